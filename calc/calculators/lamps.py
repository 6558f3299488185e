"""What is wrong when three lamps don't go through six codes."""

from __future__ import annotations

from typing import Any

from calc import figures
from calc.build import Values
from calc.fields import FIELDS
from calc.graph import step
from calc.machine import lamps, sensors
from calc.spec import Calculator, Column, Finding, Report, Result


def _causes(v: Values) -> list[dict[str, Any]]:
    slots, pole_pairs = round(float(v["slots"])), round(float(v["pole_pairs"]))
    sets = sensors.valid_sets(slots, pole_pairs, v["sensor_spacing"])
    right = tuple(sets[0][f"slot_{k}"] for k in (1, 2, 3)) if sets else ()
    entered = tuple(v["sensor_slots"]) if "sensor_slots" in v.build.entered else ()
    return list(lamps.causes(slots, pole_pairs, right, entered, v["lamp_pattern"]))


def _lamp_pattern(v: Values) -> Report:
    rows = _causes(v)
    reported = dict(FIELDS["lamp_pattern"].choices)[v["lamp_pattern"]]
    first = rows[0] if rows else None
    findings = []
    if first and first["mend"]:
        findings.append(Finding("stop", first["cause"], f"{first['test']} {first['mend']}"))
    elif first:
        findings.append(Finding("ok", first["cause"], first["test"]))
    else:
        findings.append(
            Finding(
                "caution",
                "No placing in whole slots and no fault of one part shows this.",
                "Look again, a degree at a time; then measure each sensor by itself with a magnet.",
            )
        )
    drawings = ()
    if first and first["slots"]:
        places = tuple(int(x) for x in first["slots"].split(", "))
        shown = sensors.pattern(round(float(v["slots"])), round(float(v["pole_pairs"])), places)
        drawings = (lambda uid: figures.lamps(uid, shown),)
    more = f"{len(rows)} things explain it" if len(rows) != 1 else "one thing explains it"
    return Report(
        reported,
        more,
        "Most likely first. What is counted on paper is tried before what is measured, and each test tells a "
        "cause from the "
        "next. Lamps are read with the field on and the rotor turned slowly by hand.",
        tuple(findings),
        drawings,
    )


LAMP_PATTERN = Calculator(
    id="lamp-pattern",
    title="When the lamps are wrong",
    chapter="sense",
    question="The lamps don't go through six codes: why?",
    asks=("lamp_pattern", "pole_pairs", "slots", "sensor_slots", "sensor_spacing"),
    gives=(
        Result(
            "causes",
            "What explains it",
            columns=(
                Column("cause", "Cause"),
                Column("slots", "Slots"),
                Column("test", "Test that tells it"),
                Column("mend", "What to do"),
            ),
            made=_causes,
        ),
    ),
    report=_lamp_pattern,
    rules={"lamp_pattern": step(lamps.expected)},
    reads=("lamp_pattern", "slots", "pole_pairs", "sensor_spacing"),
    optional=("sensor_slots",),
)
