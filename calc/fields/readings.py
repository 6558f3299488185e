"""Readings from the bench, row by row: what a machine's values are worked out from.

Each table is the other way to give a quantity of the machine (`ALTERNATIVES`); the value is worked out anew
whenever it is needed and never stored.
"""

from __future__ import annotations

from calc.fields.model import Field

_SPEED = Field("speed", "", "Speed", "number", "", ("rpm", "rad/s"), 10, 30000, example="2000 rpm")
# Where current goes in, and where it comes out: one lead against the two others, or one against another.
FEEDS = tuple(
    (feed, f"in at {' and '.join(feed[: feed.index('-')])}, out at {' and '.join(feed[feed.index('-') + 1 :])}")
    for feed in (
        "A-BC", "AB-C", "B-AC", "BC-A", "C-AB", "AC-B", "A-C", "B-C", "B-A", "C-A", "C-B", "A-B",
    )
)  # fmt: skip
ORDERS = tuple((order, order) for order in ("123", "231", "312", "132", "213", "321"))
LEAD_ORDERS = tuple((order, order) for order in ("ABC", "BCA", "CAB", "ACB", "BAC", "CBA"))
SEEN = (
    ("smooth", "turns smoothly"),
    ("rough", "turns roughly, hot or with little force"),
    ("locks", "locks, hums or twitches"),
    ("nothing", "does nothing"),
)
WAYS = (("forward", "forward"), ("backward", "backward"), ("neither", "none"))

MACHINE_READINGS = (
    Field(
        "emf_test",
        "machine",
        "Spin test: volts with open leads",
        "table",
        "Rectifier off, clamped, guarded; the leads are live. Spin at a known speed, set the field current, read "
        "volts rms between two leads. Four field currents or more, up to the one you will use.",
        columns=(
            _SPEED,
            Field("field_current", "", "Field current", "number", "", ("A", "mA"), 0, 30, example="2 A"),
            Field(
                "voltage", "", "Volts between two leads", "number", "", ("V", "mV"), 0, 500, example="16.7 V"
            ),
        ),
        high=200,
        example="2000 rpm, 1 A, 9.7 V; 2000 rpm, 2 A, 16.7 V; 2000 rpm, 3 A, 20.4 V; 2000 rpm, 4 A, 21.7 V",
    ),
    Field(
        "short_circuit_test",
        "machine",
        "Short-circuit spin",
        "table",
        "At one speed and one low field current: first volts between two open leads; stop, join all three, then amps "
        "in one of them. Seconds only.",
        columns=(
            _SPEED,
            Field(
                "voltage", "", "Volts with open leads", "number", "", ("V", "mV"), 0.01, 500, example="20 V"
            ),
            Field("current", "", "Amps with joined leads", "number", "", ("A",), 0.01, 2000, example="110 A"),
        ),
        high=50,
        example="1500 rpm, 12 V, 60 A; 1500 rpm, 16 V, 82 A",
    ),
    Field(
        "resistance_test",
        "machine",
        "Four-wire resistance, pair by pair",
        "table",
        "Send a steady current through two leads; read volts on the leads themselves, inside the clips. All three "
        "pairs, one row each. Field not fed, its brush leads bolted together. The winding's temperature, if it isn't "
        "20 °C.",
        columns=(
            Field(
                "voltage", "", "Volts on the leads", "number", "", ("mV", "V"), 0.01, 60000, example="180 mV"
            ),
            Field("current", "", "Current", "number", "", ("A",), 0.01, 500, example="5 A"),
            Field(
                "temperature",
                "",
                "Temperature of the winding",
                "number",
                "",
                ("degC", "degF"),
                -30,
                200,
                example="20 °C",
                optional=True,
            ),
        ),
        high=30,
        example="180 mV, 5 A; 181 mV, 5 A; 179 mV, 5 A",
    ),
    Field(
        "coast_down_test",
        "machine",
        "Coast-down of the machine by itself",
        "table",
        "Field on, leads open and insulated: they are live while it turns. Clamped, guarded, sleeves and hair away. "
        "Drive it through a freewheel that overruns; never throw a belt off. Stop the drive; time it from one speed to "
        "another.",
        columns=(
            Field("from_speed", "", "From", "number", "", ("rpm", "rad/s"), 10, 30000, example="1000 rpm"),
            Field("to_speed", "", "To", "number", "", ("rpm", "rad/s"), 0, 30000, example="500 rpm"),
            Field("time", "", "Time", "number", "", ("s", "minute"), 0.05, 3600, example="0.7 s"),
        ),
        high=50,
        example="1000 rpm, 500 rpm, 0.62 s; 1000 rpm, 500 rpm, 0.60 s",
    ),
    Field(
        "no_load_test",
        "machine",
        "Running free as a motor",
        "table",
        "Chain off, guarded, steady speed: speed, volts and amps into the controller, less its amps with the throttle "
        "shut; the field's amps not counted.",
        columns=(
            _SPEED,
            Field("voltage", "", "Volts at the controller", "number", "", ("V",), 1, 500, example="50 V"),
            Field(
                "current", "", "Amps into the controller", "number", "", ("A",), 0.01, 500, example="0.9 A"
            ),
        ),
        high=50,
        example="1000 rpm, 50 V, 0.8 A",
    ),
    Field(
        "corner_test",
        "machine",
        "Delta opened at one corner",
        "table",
        "One corner of the ring unsoldered, the two ends apart and insulated. Little field, slow spin, guarded: speed, "
        "volts rms across the gap, and in the same spin across one coil, from one end of the gap to the next lead.",
        columns=(
            _SPEED,
            Field("voltage", "", "Volts across the gap", "number", "", ("V", "mV"), 0, 500, example="0.2 V"),
            Field(
                "coil_voltage",
                "",
                "Volts across one coil",
                "number",
                "",
                ("V", "mV"),
                0.02,
                500,
                example="2.8 V",
            ),
        ),
        high=20,
        example="600 rpm, 0.2 V, 2.8 V",
    ),
    Field(
        "insulation_test",
        "machine",
        "Insulation to the case, by two readings",
        "table",
        "A battery or bench supply from winding to case with the voltmeter in series: volts of the supply, volts that "
        "the meter shows, and, as proof that it would show, volts with winding and case joined by a wire. One row for "
        "the stator, one for the field.",
        columns=(
            Field("supply", "", "Volts of the supply", "number", "", ("V",), 5, 1000, example="48 V"),
            Field(
                "reading",
                "",
                "Volts that the meter shows",
                "number",
                "",
                ("V", "mV"),
                0,
                1000,
                example="0.5 V",
            ),
            Field(
                "joined",
                "",
                "With winding and case joined",
                "number",
                "",
                ("V", "mV"),
                0,
                1000,
                example="48 V",
            ),
        ),
        high=20,
        example="48 V, 0.4 V, 48 V; 48 V, 0.2 V, 48 V",
    ),
    Field(
        "meter_resistance",
        "machine",
        "Input resistance of the voltmeter",
        "number",
        "From its leaflet: most digital meters have 10 MΩ.",
        ("Mohm", "kohm"),
        0.01,
        10000,
        usual=(9, 11),
        example="10 MΩ",
    ),
)

SENSOR_READINGS = (
    Field(
        "sensor_offsets",
        "sensors",
        "Each sensor's place off the middle of its slot",
        "table",
        "One row for each sensor, in order: millimetres along the bore, in the direction of forward rotation "
        "(against it: negative).",
        columns=(Field("offset", "", "Off by", "number", "", ("mm", "inch"), -50, 50, example="0.5 mm"),),
        high=3,
        example="0 mm; 0.5 mm; -0.5 mm",
    ),
    Field(
        "lock_test",
        "sensors",
        "Static lock test",
        "table",
        "Current in at some leads and out at others; the rotor stands; write down the three lamps. The mean of both "
        "turning senses.",
        columns=(
            Field("feed", "", "Feed", "choice", "", choices=FEEDS),
            Field("lamps", "", "Lamps 1 2 3", "text", "", high=3, example="101"),
            Field(
                "steady",
                "",
                "Steady",
                "choice",
                "",
                choices=(("yes", "steady"), ("no", "flickers")),
                optional=True,
            ),
        ),
        high=60,
        example="A-BC, 010; AB-C, 011; B-AC, 001; BC-A, 101; C-AB, 100; AC-B, 110",
    ),
    Field(
        "controller_table",
        "sensors",
        "The controller's own table",
        "table",
        "Motor off. Three switches in place of the sensors, three lamps in star on the outputs, a little throttle. "
        "Two lamps light; by a meter from each of those outputs to the pack's minus the higher is high.",
        columns=(
            Field("switches", "", "Inputs 1 2 3", "text", "", high=3, example="101"),
            Field(
                "high", "", "Output that is high", "choice", "", choices=(("U", "U"), ("V", "V"), ("W", "W"))
            ),
            Field(
                "low", "", "Output that is low", "choice", "", choices=(("U", "U"), ("V", "V"), ("W", "W"))
            ),
        ),
        high=8,
        example="101, U, V; 100, U, W; 110, V, W; 010, V, U; 011, W, U; 001, W, V",
    ),
    Field(
        "trials",
        "sensors",
        "Trials so far",
        "table",
        "Which machine leads went to the outputs U V W, which sensors to the inputs 1 2 3, what you saw, which way.",
        columns=(
            Field("phase_order", "", "Leads on U V W", "choice", "", choices=LEAD_ORDERS),
            Field("sensor_order", "", "Sensors on 1 2 3", "choice", "", choices=ORDERS),
            Field("seen", "", "Seen", "choice", "", choices=SEEN),
            Field("way", "", "Which way", "choice", "", choices=WAYS, optional=True),
        ),
        high=60,
        example="ABC, 123, locks; ACB, 123, rough, backward",
    ),
)

PATTERNS = (
    ("six-codes", "six codes in turn"),
    ("all-together", "all three together"),
    ("two-together", "two together"),
    ("two-at-once", "two change at once"),
    ("opposite", "one is on whenever another is off"),
    ("uneven", "six codes, unevenly long"),
    ("one-fixed", "one never changes"),
    ("none", "none changes"),
)
SENSOR_REPORT = (
    Field(
        "lamp_pattern",
        "",
        "What the three lamps do",
        "choice",
        "Field on, rotor turned slowly by hand through one pole pair.",
        choices=PATTERNS,
    ),
    Field(
        "placing_error",
        "",
        "How far a sensor may sit from its place",
        "number",
        "A ruler along the bore.",
        ("mm", "inch"),
        0,
        50,
        example="0.5 mm",
    ),
)
