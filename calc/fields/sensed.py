"""Readings of the sensors, row by row, and what was seen of them."""

from __future__ import annotations

from calc.fields.model import Field

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
WAYS = (("forward", "forward"), ("backward", "in reverse"), ("neither", "none"))
WAYS_TOO = (("forwards", "forward"), ("backwards", "backward"), ("reverse", "backward"))

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
            Field("way", "", "Which way", "choice", "", choices=WAYS, also=WAYS_TOO, optional=True),
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
