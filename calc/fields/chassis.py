"""Where the vehicle carries its weight, and what its tyres hold. Usual ranges are common practice, no source, unless
noted."""

from __future__ import annotations

from calc.fields.model import Field, Spreads
from calc.vehicle.weighing import HIGHEST

CHASSIS = (
    # Wet grass .2, wet concrete .5 to .7, dry asphalt .65, dry concrete .75 to 1 (docs/method-drive.md#grip).
    Field(
        "grip",
        "vehicle",
        "Grip of the tyres on the surface",
        "number",
        "Driven wheels locked, pull the vehicle along the worst surface with a luggage scale: newtons divided by the "
        "newtons on those wheels. Wet grass 0.2, wet concrete 0.5 to 0.7, dry asphalt 0.65.",
        ("",),
        0.05,
        1.2,
        usual=(0.35, 0.65),
        spreads=Spreads(0.1, 0.2, 0.3),
        example="0.5",
    ),
    Field(
        "driven_axle",
        "vehicle",
        "Axle that is driven",
        "choice",
        "The one the chain goes to.",
        usual="rear",
        choices=(("rear", "rear"), ("front", "front")),
    ),
    Field(
        "driven_wheels",
        "vehicle",
        "Wheels that are driven",
        "choice",
        "Turn the motor by hand, the axle off the ground: do both wheels pull when one is held?",
        usual="two",
        choices=(
            ("two", "both wheels of the axle, or its only one"),
            ("one", "one of the axle's two wheels, or both over a differential"),
        ),
    ),
    Field(
        "wheelbase",
        "vehicle",
        "Wheelbase",
        "number",
        "A tape on the ground from the middle of the front wheel to the middle of the rear wheel.",
        ("mm", "m", "cm", "inch"),
        200,
        5000,
        usual=(1000, 1600),
        spreads=Spreads(0.01, 0.02, 0.1),
        example="1300 mm",
    ),
    Field(
        "cog_from_axle",
        "vehicle",
        "Centre of gravity in front of the rear axle",
        "number",
        "Scales under the front wheels, rider and load on board, level ground: front reading divided by total mass, "
        "times the wheelbase.",
        ("mm", "m", "cm", "inch"),
        20,
        4000,
        usual=(350, 750),
        spreads=Spreads(0.04, 0.08, 0.2),
        example="520 mm",
    ),
    Field(
        "cog_height",
        "vehicle",
        "Height of the centre of gravity",
        "number",
        "Front wheels on a block, read the scales under them again: the reading lost, divided by total mass, times "
        "wheelbase squared, divided by the block's height; plus the wheel's radius. A seated rider's is at the hip.",
        ("mm", "m", "cm", "inch"),
        50,
        1000 * HIGHEST,
        usual=(450, 800),
        spreads=Spreads(0.08, 0.1, 0.25),
        example="600 mm",
    ),
    Field(
        "turn_radius",
        "vehicle",
        "Radius of the tightest turn at walking pace",
        "number",
        "Steering held over, push it half round: half of the distance between the middles of the rear axle, before "
        "and after.",
        ("m", "ft"),
        0.5,
        50,
        usual=(2, 4),
        spreads=Spreads(0.05, 0.1, 0.3),
        example="3 m",
    ),
)
