"""What was seen when the drive cut out. Never stored by a rule, never defaulted."""

from __future__ import annotations

from calc.fields.model import Field

DOING = (
    ("switching-on", "at switching on"),
    ("standing", "standing under throttle"),
    ("riding", "riding under throttle"),
    ("downhill", "downhill"),
)
DOING_TOO = (
    ("uphill", "riding"),
    ("climbing", "riding"),
    ("on the level", "riding"),
    ("riding uphill", "riding"),
)
BACK = (
    ("at-once", "at once when the throttle is let go"),
    ("wait", "after a wait"),
    ("switching", "only after switching off and on"),
    ("not", "not at all"),
    ("itself", "by itself under throttle"),
)
BACK_TOO = (
    ("after letting go", "at-once"),
    ("letting go", "at-once"),
    ("after waiting", "wait"),
    ("never", "not"),
)

CUT_OUTS = (
    Field(
        "cut_outs",
        "controller",
        "Cut-outs seen",
        "table",
        "One row each time: what it was doing, seconds to the cut-out, how it came back, throttle, pack volts at the "
        "controller before, during and after, the cells' temperature, the slope. Leave out what you didn't see.",
        columns=(
            Field("doing", "", "What it was doing", "choice", "", choices=DOING, also=DOING_TOO),
            Field(
                "seconds",
                "",
                "Seconds to the cut-out",
                "number",
                "",
                ("s",),
                0.001,
                36000,
                example="4 s",
                optional=True,
            ),
            Field(
                "comes_back",
                "",
                "How it comes back",
                "choice",
                "",
                choices=BACK,
                also=BACK_TOO,
                optional=True,
            ),
            Field(
                "throttle", "", "Throttle", "number", "", ("percent",), 0, 100, example="100 %", optional=True
            ),
            Field("before", "", "Volts before", "number", "", ("V",), 0, 1000, example="52 V", optional=True),
            Field("during", "", "Volts during", "number", "", ("V",), 0, 1000, example="42 V", optional=True),
            Field("after", "", "Volts after", "number", "", ("V",), 0, 1000, example="51 V", optional=True),
            Field(
                "cells",
                "",
                "Cells' temperature",
                "number",
                "",
                ("degC",),
                -40,
                90,
                example="8 °C",
                optional=True,
            ),
            Field(
                "slope",
                "",
                "Slope, uphill positive",
                "number",
                "",
                ("percent", "deg"),
                -100,
                100,
                example="6 %",
                optional=True,
            ),
        ),
        high=40,
        example="riding, 4 s, at-once, 100 %, 52 V, 42 V, 51 V, 8 °C, 6 %",
    ),
)
