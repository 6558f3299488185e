"""What stops it, and how that was tried. Usual ranges are common practice, no source, unless noted."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

AXLES = (("front", "front"), ("rear", "rear"), ("both", "both axles"))

BRAKES = (
    Field(
        "braked_axle",
        "brakes",
        "Axle that the working brake acts on",
        "choice",
        "The brake that you stop with. Wheels off the ground, brake on, turn each by hand.",
        choices=AXLES,
    ),
    Field(
        "braked_wheels",
        "brakes",
        "Wheels of the axle that are braked",
        "choice",
        "Brake on, axle off the ground: do both wheels hold? If any of the brakes holds one wheel alone, say one.",
        usual="two",
        choices=(
            ("two", "both wheels of the axle, or its only one"),
            ("one", "one of the axle's two wheels"),
        ),
    ),
    Field(
        "front_brake_share",
        "brakes",
        "Part of the braking force that works in front",
        "number",
        "Pull the vehicle on the level with a luggage scale, front brake on alone, then rear alone, levers as "
        "hard as in "
        "riding: front pull divided by both. Leave it out if unsure: then the worse axle alone counts.",
        ("percent",),
        0,
        100,
        spreads=Spreads(5, 10, 20, relative=False),
        example="60 %",
    ),
    Field(
        "deceleration",
        "brakes",
        "Deceleration of the working brake on the level",
        "number",
        "Loaded, dry and level: speed squared divided by twice the braking distance, from the mark where the brake "
        "goes on. From 10 km/h in 1.5 m it is 2.6 m/s². Before the first ride: coasted at walking pace, pack "
        "unplugged, as the page on brakes says.",
        ("m/s**2", "ft/s**2"),
        0.1,
        12,
        example="2.6 m/s²",
    ),
    Field(
        "reaction_time",
        "brakes",
        "Time until the brake bites",
        "number",
        "From seeing to full braking. Somebody ready takes 1 s, somebody surprised 1.5 s, a beginner 2 s "
        "(common practice, "
        "no source).",
        ("s",),
        0,
        5,
        usual=(1.0, 2.0),
        example="1.5 s",
    ),
    Field(
        "second_axle",
        "brakes",
        "Axle that the second brake acts on",
        "choice",
        "With lever, cable and shoes of its own. Take the first brake's cable off: does the second still stop it?",
        choices=(("none", "there is no second brake"), *AXLES),
    ),
    Field(
        "second_deceleration",
        "brakes",
        "Deceleration of the second brake alone",
        "number",
        "As with the working brake, that one untouched. Walking pace first. 0 m/s² where there is no second brake.",
        ("m/s**2", "ft/s**2"),
        0,
        12,
        example="2 m/s²",
    ),
    Field(
        "parking_axle",
        "brakes",
        "Axle that the parking brake acts on",
        "choice",
        "The brake that stays on by itself, with a catch.",
        choices=AXLES,
    ),
    Field(
        "parking_force",
        "brakes",
        "Pull that the parking brake holds on the level",
        "number",
        "Parking brake on, loaded, level and dry: pull along with a luggage scale until it moves or a wheel "
        "slips; chocks "
        "a hand's breadth off.",
        ("N", "kN", "kgf", "lbf"),
        1,
        20000,
        example="450 N",
    ),
    Field(
        "brake_mass",
        "brakes",
        "Mass of the discs, drums or rims that get warm",
        "number",
        "Kitchen scales; all that one pull of the lever rubs on, together.",
        ("kg", "g", "lb"),
        0.02,
        200,
        example="1.6 kg",
    ),
    # Steel 460 to 500, cast iron 500, aluminium 900 J/(kg·K) (common practice, no source).
    Field(
        "brake_specific_heat",
        "brakes",
        "Specific heat of that metal",
        "number",
        "Steel 470, cast iron 500, aluminium 900 J/(kg·K).",
        ("J/kg/K",),
        300,
        1200,
        usual=(460, 500),
        spreads=Spreads(0.02, 0.03, 0.05),
        example="470 J/(kg·K)",
    ),
    Field(
        "heat_share",
        "brakes",
        "Part of the heat that goes into that metal",
        "number",
        "The rest goes into pads and shoes. 90 to 100 %.",
        ("percent",),
        30,
        100,
        usual=(90, 100),
        spreads=Spreads(2, 5, 10, relative=False),
        example="95 %",
    ),
    Field(
        "descent_height",
        "brakes",
        "Height of the longest descent",
        "number",
        "A map, or its length times its slope.",
        ("m", "ft"),
        0.1,
        2000,
        example="12 m",
    ),
)
