"""What readings on the bench tell of the winding: resistance and inductance between two leads."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.fields import FIELDS
from calc.figures.rows import rows_about_mean
from calc.findings import Finding
from calc.graph import step
from calc.machine import bench, emf, pairs
from calc.machine.scatter import ROWS_APART
from calc.spec import Calculator, Column, Report, Result
from calc.units import show, show_spread

CURVE_AGREES = 0.1
"""Open volts of the short-circuit spin agree with the spin test's curve within this share (common practice)."""


def _short_circuit_rows(v: Values) -> list[dict[str, Any]]:
    test = v["short_circuit_test"]
    rows = zip(test, bench.impedances(test), v["tested_inductances"], strict=True)
    return [
        {"speed": speed, "impedance": impedance, "inductance": float(inductance)}
        for (speed, *_), impedance, inductance in rows
    ]


def _short_circuit_spread(v: Values) -> float:
    """The readings' ±, and what the resistance's own ± adds where the resistance counts; at most nine tenths."""
    return float(min(v.spread("tested_inductance") / float(v["tested_inductance"]), 0.9))


def _at_work(v: Values) -> float | None:
    """Inductance at the working field; None where that field, its EMF or the spin's field current isn't known."""
    usual = [
        key
        for key in ("emf_constant", "field_current")
        if v.build.is_leaf(key) and v.build.input(key).source == "usual"
    ]
    noted = all(row[3] is not None for row in v["short_circuit_test"])
    return float(v["working_inductance"]) if noted and not usual else None


def _saturated(v: Values) -> Finding:
    """What the field at work makes of the inductance."""
    spun, there = float(v["tested_inductance"]), _at_work(v)
    if there is not None:
        return Finding(
            "note",
            f"At the working field of {show(v['field_current'], 'A')} it is {show(there, 'uH')}: the volts for each "
            "ampere of field say how far the iron is saturated there. That value is used by every other page.",
        )
    if all(row[3] is not None for row in v["short_circuit_test"]):
        return Finding(
            "caution",
            f"{show(spun, 'uH')} belong to the field current of the spin; at the working one it is another. Until its "
            f"field and EMF are entered, usual ones stand in: the other pages count with "
            f"{show(v['working_inductance'], 'uH')}.",
            f"Enter {FIELDS['field_current'].quoted}, and {FIELDS['emf_test'].quoted} or "
            f"{FIELDS['emf_constant'].quoted}.",
        )
    return Finding(
        "caution",
        "The field current of the spin isn't noted, so this counts at the working field as it is. If the spin's field "
        "was lower, the machine has less inductance at work, down to "
        f"{bench.SATURATED:g} of it on a measured one, and pulls more at speed than these pages say. Current back "
        "downhill is counted with the least.",
        "Note the field current of each row.",
    )


def _against_the_spin(v: Values) -> list[Finding]:
    """Rows whose open volts aren't those of the spin test at the field current that they note."""
    if v.build.missing("saturation"):
        return []
    curve, found = v["saturation"], []
    for number, (speed, volts, _, amps) in enumerate(v["short_circuit_test"], 1):
        if amps is None or not curve.low <= amps <= curve.high:
            continue
        there = float(emf.emf_at(curve, amps)) * speed
        off = volts / there - 1.0
        if abs(off) > CURVE_AGREES:
            found.append(
                Finding(
                    "stop" if abs(off) > emf.NO_CURVE else "caution",
                    f"Row {number}: at {show(amps, 'A')} of field and that speed the spin test says "
                    f"{show(there, 'V')}, the row {show(volts, 'V')}. They contradict each other; the "
                    "inductance at work is in doubt.",
                    "Read field current and speed again, coil warm, for both tests.",
                )
            )
    return found


def _short_circuit(v: Values) -> Report:
    rows = _short_circuit_rows(v)
    values = [row["inductance"] for row in rows]
    ohms = min(row["impedance"] for row in rows)
    value, spread = float(v["tested_inductance"]), _short_circuit_spread(v)
    found = []
    if max(values) > (1.0 + ROWS_APART) * min(values):
        found.append(
            Finding(
                "caution",
                f"The rows give {show(min(values), 'uH')} to {show(max(values), 'uH')}: more than "
                f"{show(ROWS_APART, 'percent')} apart.",
                "Keep the field current the same for both readings of a row; let the field coil warm first.",
            )
        )
    if v["line_resistance"] > 0.5 * ohms:
        found.append(
            Finding(
                "caution",
                f"Of {show(ohms, 'mohm')} between two leads the resistance alone is "
                f"{show(v['line_resistance'], 'mohm')}. "
                "What is left for the inductance is uncertain.",
                "Spin faster: inductance grows with speed, resistance doesn't.",
            )
        )
    found += _against_the_spin(v)
    found.append(_saturated(v))
    return Report(
        show_spread(value, spread, "uH"),
        "between two leads, at the field current of the spin",
        "The machine's own EMF drives the joined leads; only resistance and inductance hold the current back. "
        "Volts over "
        f"amps make {show(ohms, 'mohm')} between two leads, and the resistance is taken off square from square.",
        tuple(found),
        (lambda uid: rows_about_mean(uid, "Inductance", "uH", values, value, spread),),
    )


SHORT_CIRCUIT_TEST = Calculator(
    id="short-circuit-test",
    title="Short-circuit spin",
    chapter="convert",
    question="What is the inductance between two leads?",
    asks=("short_circuit_test", "pole_pairs", "line_resistance"),
    gives=(
        Result("spun_inductance", "Inductance between two leads as spun", "uH", "tested_inductance"),
        Result("line_inductance", "Inductance between two leads at the working field", "uH", made=_at_work),
        Result(
            "spread", "How far readings and resistance leave it open", "percent", made=_short_circuit_spread
        ),
        Result(
            "rows",
            "Row by row",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("impedance", "Impedance", "mohm"),
                Column("inductance", "Inductance", "uH"),
            ),
            made=_short_circuit_rows,
        ),
    ),
    report=_short_circuit,
    rules={
        "tested_inductances": step(bench.inductances),
        "tested_inductance": step(bench.spun_inductance)._replace(spread="inductance_spread"),
        "working_inductance": step(bench.line_inductance)._replace(spread="inductance_spread"),
    },
    reads=(
        "tested_inductances",
        "working_inductance",
        "short_circuit_test",
        "line_resistance",
        "inductance_spread",
        "field_current",
        "emf_constant",
    ),
)


def _resistance_rows(v: Values) -> list[dict[str, Any]]:
    mean = float(v["tested_resistance"])
    return [{"resistance": value, "off": value / mean - 1.0} for value in v["tested_resistances"]]


def _cause(v: Values) -> str:
    """What fits the three rows, for the connection that was entered or for both."""
    rows = v["tested_resistances"]
    odd = pairs.odd_one(rows)
    if odd is None and len(rows) != 3:
        return "a bad joint or shorted turns; which of them, three rows tell, one for each pair of leads"
    if odd is None:
        return "two faults at once, for no single bad joint or shorted turn makes three such values"
    if "connection" not in v.build.entered:
        star, delta = (pairs.causes(odd, connection) for connection in ("star", "delta"))
        return f"in a star, {star}; in a delta, {delta}"
    return f"{pairs.causes(odd, v['connection'])} ({v['connection']}, one row for each pair of leads)"


def _resistance(v: Values) -> Report:
    rows = v["tested_resistances"]
    value, spread = float(v["tested_resistance"]), float(v["resistance_spread"])
    found = []
    apart = pairs.above_lowest(rows)
    if apart:
        named = ", ".join(f"row {number} is {show(share, 'percent', 2)} above" for number, share in apart)
        found.append(
            Finding(
                "caution",
                f"The rows are {show(min(rows), 'mohm')} to {show(max(rows), 'mohm')}; pairs of a sound winding "
                f"agree within 3 %. Against the lowest {named}.",
                "First clean the leads, put the voltmeter inside the clips, and measure again. If it stays so: "
                f"{_cause(v)}. Don't run it until you know.",
            )
        )
    if len(rows) < 3:
        count = "1 row" if len(rows) == 1 else f"{len(rows)} rows"
        found.append(
            Finding(
                "caution",
                f"{count}; there are three pairs of leads, and only all three show a bad joint or a shorted turn.",
                "Measure A to B, B to C and C to A.",
            )
        )
    if all(kelvin is None for _, _, kelvin in v["resistance_test"]):
        found.append(
            Finding(
                "note",
                "No temperature was entered, so the winding counts as 20 °C. Each 10 °C is 4 % of resistance.",
                "Write the temperature of the room beside each row, the machine cold.",
            )
        )
    return Report(
        show_spread(value, spread, "mohm"),
        "between two leads at 20 °C",
        "Volts on the leads over the current through them, brought to 20 °C by copper's 0.393 % for each kelvin. "
        "Clips and "
        "wires don't count, because the voltmeter sits inside them.",
        tuple(found),
        (lambda uid: rows_about_mean(uid, "Resistance", "mohm", rows, value, spread),),
    )


RESISTANCE_TEST = Calculator(
    id="resistance-test",
    title="Four-wire resistance",
    chapter="convert",
    question="What is the resistance between two leads?",
    asks=("resistance_test",),
    gives=(
        Result("line_resistance", "Resistance between two leads at 20 °C", "mohm", "tested_resistance"),
        Result("spread", "How far it may be off", "percent", "resistance_spread"),
        Result(
            "rows",
            "Row by row",
            columns=(Column("resistance", "At 20 °C", "mohm"), Column("off", "Off the mean", "percent")),
            made=_resistance_rows,
        ),
    ),
    report=_resistance,
    rules={
        "tested_resistance": step(bench.line_resistance),
        "tested_resistances": step(bench.resistances),
    },
    reads=("tested_resistances", "resistance_test"),
    optional=("connection",),
)
