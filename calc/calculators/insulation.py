"""Whether winding and field are clear of the case."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.figures import rows as drawings
from calc.findings import Finding
from calc.machine import insulation
from calc.spec import Calculator, Column, Report, Result
from calc.told.machine import BOTH_WINDINGS, ONE_WINDING
from calc.units import plain, show


def _told(v: Values) -> bool:
    """Whether the insulation comes from the two readings rather than from an insulation tester."""
    return not v.build.is_leaf("insulation_resistance")


def _insulation_rows(v: Values) -> list[dict[str, Any]]:
    if not _told(v):
        return []
    test = v["insulation_test"]
    values = insulation.insulation_resistances(test, v["meter_resistance"])
    return [
        {
            "supply": supply,
            "reading": reading,
            "insulation": float(value),
            "told": "at least" if least else "as read",
        }
        for (supply, reading, _), value, least in zip(
            test, values, insulation.beyond_the_meter(test), strict=True
        )
    ]


def _ohms(value: float) -> str:
    """A resistance in the unit that reads best."""
    return show(value, "Mohm" if value >= 0.1e6 else "kohm" if value >= 100.0 else "ohm")


def _least(v: Values) -> float:
    """The least insulation that the readings leave believable, ohm."""
    if not _told(v):
        item = v.build.input("insulation_resistance")
        return float(item.value - item.spread)
    meter = v.build.input("meter_resistance")
    spread = float(v["insulation_spread"]) + meter.spread / meter.value
    return float(v["insulation_resistance"]) * max(1.0 - spread, 0.0)


def _insulation_do(v: Values) -> Finding:
    value, least = float(v["insulation_resistance"]), _least(v)
    known = not v.build.missing("insulation_needed")
    needed = float(v["insulation_needed"]) if known else None
    isolate = (
        "Don't connect a pack. Isolate the grounded brush and the rectifier, look for a rubbed lead, dry and clean the "
        "winding, and measure again."
    )
    if needed is not None and value < needed:
        return Finding(
            "stop",
            f"{_ohms(value)} to the case; a circuit of {show(v['voltage_full'], 'V')} needs {_ohms(needed)} at least "
            "(500 Ω for each volt, UN R100: the stator's current alternates, and the controller joins it to the pack).",
            isolate,
        )
    if _told(v) and least < (needed or 0.0) + 1.0:
        return Finding(
            "stop",
            "The meter shows nearly the whole supply. A winding that lies on the case reads the same, so this "
            "counts as "
            "too little.",
            isolate
            + " To tell small values apart put a resistor of 100 kΩ across the meter and enter 0.1 MΩ for it.",
        )
    if needed is not None and least < needed:
        return Finding(
            "stop",
            f"{_ohms(value)} to the case, and as little as {_ohms(least)} is believable; a circuit of "
            f"{show(v['voltage_full'], 'V')} needs {_ohms(needed)} at least (500 Ω for each volt, UN R100).",
            isolate,
        )
    if value < insulation.GOOD_INSULATION:
        return Finding(
            "caution",
            f"{_ohms(value)} is less than the 1 MΩ that a dry, clean winding has (common practice, no source)."
            + ("" if known else " Whether it is enough depends on the pack, which isn't entered."),
            "Clean out the brush dust, which conducts, dry the winding warm for a day, and measure again before a pack "
            "is connected.",
        )
    return Finding(
        "ok",
        "Dry and clean enough."
        + ("" if known else " The least for your pack, 500 Ω for each volt, needs its chemistry and series."),
        "Measure again when it is built in, pack plug out. A pass at this voltage doesn't prove it at a higher one.",
    )


def _insulation(v: Values) -> Report:
    value = float(v["insulation_resistance"])
    rows = _insulation_rows(v)
    beyond = bool(rows) and all(row["told"] == "at least" for row in rows)
    found = [_insulation_do(v)]
    if rows and len(rows) < 2:
        found.append(Finding("caution", ONE_WINDING, BOTH_WINDINGS))
    how = (
        f"In series with the insulation a meter of {show(v['meter_resistance'], 'Mohm')} shows a share of the "
        "supply: the "
        "less it shows, the better."
        if rows
        else "As read from an insulation tester."
    )
    needed = (
        f" For a pack of {plain(float(v['voltage_full']))} V the least is {_ohms(float(v['insulation_needed']))}."
        if not v.build.missing("insulation_needed")
        else ""
    )
    head, aside = ("more than " if beyond else "") + _ohms(value), "to the case"
    if rows and _least(v) <= 0.0:
        head, aside = "Nearly nothing: on the case", "the meter shows the whole supply"
    return Report(
        head,
        aside + (", the worst row" if len(rows) > 1 else ""),
        how + needed,
        tuple(found),
        (
            lambda uid: drawings.insulation(
                uid,
                [row["insulation"] for row in rows] or [value],
                insulation.GOOD_INSULATION,
                None if v.build.missing("insulation_needed") else float(v["insulation_needed"]),
            ),
        ),
    )


INSULATION_TEST = Calculator(
    id="insulation-test",
    title="Insulation to the case",
    chapter="convert",
    question="Is the winding clear of the case?",
    asks=("insulation_test", "meter_resistance", "insulation_resistance", "chemistry", "series"),
    gives=(
        Result("insulation_resistance", "Insulation to the case", "Mohm"),
        Result("insulation_needed", "Least for this pack", "kohm", optional=True),
        Result(
            "rows",
            "Row by row",
            columns=(
                Column("supply", "Supply", "V"),
                Column("reading", "Read", "V"),
                Column("told", "Told"),
                Column("insulation", "Insulation", "Mohm"),
            ),
            made=_insulation_rows,
        ),
    ),
    report=_insulation,
)
