"""Whether winding and field are clear of the case."""

from __future__ import annotations

from typing import Any

from calc import figures
from calc.build import Values
from calc.machine import bench
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import plain, show


def _told(v: Values) -> bool:
    """Whether the insulation comes from the two readings rather than from an insulation tester."""
    return not v.build.is_leaf("insulation_resistance")


def _insulation_rows(v: Values) -> list[dict[str, Any]]:
    if not _told(v):
        return []
    test = v["insulation_test"]
    values = bench.insulation_resistances(test, v["meter_resistance"])
    return [
        {
            "supply": supply,
            "reading": reading,
            "insulation": float(value),
            "told": "at least" if least else "as read",
        }
        for (supply, reading), value, least in zip(test, values, bench.beyond_the_meter(test), strict=True)
    ]


def _insulation_do(v: Values) -> Finding:
    value = float(v["insulation_resistance"])
    known = not v.build.missing("insulation_needed")
    needed = float(v["insulation_needed"]) if known else None
    if needed is not None and value < needed:
        return Finding(
            "stop",
            f"{show(value, 'kohm')} to the case; a circuit of {show(v['voltage_full'], 'V')} needs "
            f"{show(needed, 'kohm')} "
            "at least (100 Ω for each volt, UN R100).",
            "Don't connect a pack. Isolate the grounded brush and the rectifier, look for a rubbed lead, dry and "
            "clean the "
            "winding, and measure again.",
        )
    if value < bench.GOOD_INSULATION:
        return Finding(
            "caution",
            f"{show(value, 'kohm')} is less than the 1 MΩ that a dry, clean winding has (common practice, no source)."
            + ("" if known else " Whether it is enough depends on the pack, which isn't entered."),
            "Clean out the brush dust, which conducts, dry the winding warm for a day, and measure again before "
            "a pack is "
            "connected.",
        )
    return Finding(
        "ok",
        "Dry and clean enough."
        if known
        else "Dry and clean enough for any pack of this book; the least for yours needs its chemistry and series.",
        "Measure again when it is built in, pack plug out. A pass at this voltage doesn't prove it at a higher one.",
    )


def _insulation(v: Values) -> Report:
    value = float(v["insulation_resistance"])
    rows = _insulation_rows(v)
    beyond = bool(rows) and all(row["told"] == "at least" for row in rows)
    found = [_insulation_do(v)]
    if rows and len(rows) < 2:
        found.append(
            Finding(
                "caution", "One row. Stator and field are two windings.", "Add a row for the other winding."
            )
        )
    how = (
        f"In series with the insulation a meter of {show(v['meter_resistance'], 'Mohm')} shows a share of the "
        "supply: the "
        "less it shows, the better."
        if rows
        else "As read from an insulation tester."
    )
    needed = (
        f" For a pack of {plain(float(v['voltage_full']))} V the least is {show(v['insulation_needed'], 'kohm')}."
        if not v.build.missing("insulation_needed")
        else ""
    )
    return Report(
        ("more than " if beyond else "") + show(value, "Mohm"),
        "to the case" + (", the worst row" if len(rows) > 1 else ""),
        how + needed,
        tuple(found),
        (
            lambda uid: figures.insulation(
                uid,
                [row["insulation"] for row in rows] or [value],
                bench.GOOD_INSULATION,
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
