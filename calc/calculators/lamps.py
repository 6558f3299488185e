"""What is wrong when three lamps don't go through six codes."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from calc.build import Values
from calc.fields import FIELDS
from calc.figures import drawings
from calc.findings import Finding
from calc.graph import step
from calc.machine import causes, lamps, sensors
from calc.spec import Calculator, Column, Report, Result

_WORDS = dict(FIELDS["lamp_pattern"].choices)
_MOST = 8  # rows of sets that show the pattern


def _counts(v: Values) -> tuple[int, int]:
    return round(float(v["slots"])), round(float(v["pole_pairs"]))


def _entered(v: Values) -> lamps.Slots | None:
    """The three slots on the sheet, None when there are none that could be meant."""
    three = tuple(v["sensor_slots"]) if "sensor_slots" in v.build.entered else ()
    return three if len(three) == 3 and max(three) < _counts(v)[0] else None


_diagnose = lru_cache(maxsize=1)(causes.diagnose)  # results and report of one answer ask for the same


def _causes(v: Values) -> list[dict[str, Any]]:
    return _diagnose(*_counts(v), _entered(v), v["sensor_spacing"], v["sensor_kind"], v["lamp_pattern"])


def _placements(v: Values) -> list[dict[str, Any]]:
    """The most compact sets of slots that show what was reported, with what their steps are."""
    slots, pole_pairs = _counts(v)
    rows = []
    for three in lamps.placements(slots, pole_pairs, v["lamp_pattern"], _MOST):
        first, second, third = three
        why = sensors.sensors_reason(slots, pole_pairs, three, v["sensor_spacing"])
        rows.append({"slot_1": first, "slot_2": second, "slot_3": third, "why": why or "they are right"})
    return rows


def _census(v: Values) -> list[dict[str, Any]]:
    return [
        {
            **row,
            "pattern": _WORDS[row["pattern"]],
            "example": f"{row['slot_1']}, {row['slot_2']}, {row['slot_3']}",
        }
        for row in lamps.census(*_counts(v))
    ]


def _findings(v: Values, rows: list[dict[str, Any]]) -> list[Finding]:
    found = []
    if "sensor_slots" in v.build.entered and _entered(v) is None:
        why = sensors.sensors_reason(*_counts(v), v["sensor_slots"], v["sensor_spacing"])
        found.append(Finding("caution", f"{why} They are left out.", "List three slots, the first as 0."))
    if not rows:
        found.append(
            Finding(
                "caution",
                "No set of whole slots and no fault of one part shows this on this machine.",
                "Look again, a degree at a time; then try each sensor by itself with a magnet.",
            )
        )
        return found
    if "lamp_pattern" not in v.build.entered:
        text = "Nothing was reported yet. This is what good sensors in these slots should show."
        return [
            *found,
            Finding("note", text, "Turn the rotor with the field on, and choose what the lamps do."),
        ]
    first = rows[0]
    if first["cause"].startswith(causes.SOUND):
        return [*found, Finding("ok", first["cause"], first["mend"])]
    return [*found, Finding("stop", first["cause"], f"{first['test']} {first['mend']}")]


def _lamp_pattern(v: Values) -> Report:
    rows = _causes(v)
    shapes: tuple[Any, ...] = ()
    places = rows[0]["slots"] if rows else ""
    meant = _entered(v) or causes.right_set(*_counts(v), v["sensor_spacing"])
    three = tuple(int(slot) for slot in places.split(", ")) if places else meant
    if three:
        shown = sensors.pattern(*_counts(v), three)
        shapes = (lambda uid: drawings.lamps(uid, shown),)
    reported = "lamp_pattern" in v.build.entered
    return Report(
        _WORDS[v["lamp_pattern"]] if reported else f"These slots should show: {_WORDS[v['lamp_pattern']]}",
        f"{len(rows)} things explain it" if len(rows) != 1 else "one thing explains it",
        "The likeliest first. Each test is the cheapest that tells a cause from the next one in the table. "
        "Lamps are read with the field on, the rotor turned slowly by hand through one pole pair. "
        "Edges nearer than 15° electrical look like one to the eye. The drawing shows good sensors in slots "
        f"{', '.join(map(str, three)) if three else '(none)'}.",
        tuple(_findings(v, rows)),
        shapes,
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
                Column("fits", "Agrees with the slots entered"),
                Column("test", "Test that tells it from the next"),
                Column("mend", "What to do"),
                Column("slots", "Slots"),
            ),
            made=_causes,
        ),
        Result(
            "placements",
            "Slots that show this",
            columns=(
                Column("slot_1", "Sensor 1"),
                Column("slot_2", "Sensor 2"),
                Column("slot_3", "Sensor 3"),
                Column("why", "Why"),
            ),
            made=_placements,
        ),
        Result(
            "census",
            "What every set of three slots shows",
            columns=(
                Column("pattern", "Lamps"),
                Column("sets", "Sets"),
                Column("share", "Of all", "percent"),
                Column("example", "For example slots"),
            ),
            made=_census,
        ),
    ),
    report=_lamp_pattern,
    rules={"lamp_pattern": step(lamps.expected)},
    reads=("lamp_pattern", "slots", "pole_pairs", "sensor_spacing", "sensor_kind"),
    optional=("sensor_slots",),
)
