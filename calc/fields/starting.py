"""Starting without sensors, and what has to be turned. Usual ranges are common practice, no source, unless noted."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

CHOSEN = Spreads(0.02, 0.05, 0.2)

STARTING = (
    Field(
        "start_frequency",
        "controller",
        "Frequency at which a forced start begins",
        "number",
        "From the controller's settings. Else field on, chain off, throttle just open: film a lead's clamp meter or "
        "scope and count whole turns of the current in the first second. Electrical: pole pairs times turns of the "
        "shaft.",
        ("Hz",),
        0.05,
        50,
        usual=(1, 5),
        spreads=CHOSEN,
        example="3 Hz",
    ),
    Field(
        "frequency_ramp",
        "controller",
        "How fast a forced start speeds up",
        "number",
        "From the controller's settings: end frequency less start frequency, divided by the time between. Electrical.",
        ("Hz/s",),
        0.1,
        1000,
        usual=(20, 150),
        spreads=CHOSEN,
        example="60 Hz/s",
    ),
    Field(
        "end_frequency",
        "controller",
        "Frequency at which a forced start ends",
        "number",
        "From the controller's settings: where it begins to follow the rotor. Leave it: the EMF that it needs tells.",
        ("Hz",),
        0.1,
        500,
        spreads=CHOSEN,
        example="24 Hz",
    ),
    Field(
        "start_hold",
        "controller",
        "How long the field stands still before a forced start",
        "number",
        "From the controller's settings: its alignment time. 0 s when it sets off at once.",
        ("s",),
        0,
        60,
        usual=(0, 1),
        spreads=Spreads(0.05, 0.05, 0.3),
        example="1.5 s",
    ),
    Field(
        "sensing_emf",
        "controller",
        "EMF that a controller without sensors needs to see",
        "number",
        "Between two leads, volts rms. Turn the machine slowly by hand drill, field on, until the controller follows; "
        "EMF constant times that speed.",
        ("V",),
        0.05,
        100,
        usual=(1, 3),
        spreads=Spreads(0.1, 0.2, 0.4),
        example="1.5 V",
    ),
    Field(
        "wheel_inertia",
        "vehicle",
        "Moment of inertia of the wheels",
        "number",
        "All wheels that turn, at their axle: mass of rim and tyre times the square of the radius, added up.",
        ("kg*m**2", "kg*cm**2"),
        0,
        50,
        usual=(0.1, 0.6),
        spreads=Spreads(0.1, 0.2, 0.4),
        example="0.25 kg·m²",
    ),
    Field(
        "slack",
        "gearing",
        "Free travel of the motor's sprocket",
        "number",
        "Wheel held, supply off: rock the motor's sprocket from stop to stop and read the angle of its shaft. In "
        "millimetres of chain, divide by the sprocket's pitch radius and multiply by 57.3.",
        ("deg", "rad"),
        0,
        90,
        usual=(2, 10),
        spreads=Spreads(0.1, 0.2, 0.4),
        example="4°",
    ),
    # 2 to 10 % of critical on the stand for a machine of this size: our estimate, no source.
    Field(
        "damping",
        "machine",
        "Damping of the rotor's swing",
        "number",
        "Chain off, field on, a small current through two leads: push the rotor aside and film how it swings. Moment "
        "of inertia times 1.39 times swings in a second, divided by the swings until half is left.",
        ("N*m*s/rad",),
        0,
        5,
        usual=(0.02, 0.1),
        spreads=Spreads(0.2, 0.3, 0.5),
        example="0.05 N·m·s/rad",
    ),
)
