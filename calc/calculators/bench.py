"""What readings on the bench tell of the machine: spin, short circuit, resistance, friction, insulation."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc import figures
from calc.build import Values
from calc.drive.standing import torque_constant
from calc.graph import step
from calc.machine import bench, emf
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import from_si, plain, show

KELVIN_APART = 0.03  # pairs of leads that differ by more than this are not alike (common practice, no source)


def _saturation_rows(v: Values) -> list[dict[str, Any]]:
    curve = v["saturation"]
    first = float(emf.emf_at(curve, curve.low)) / curve.low
    currents = np.unique(np.append(np.linspace(curve.low, curve.high, 9), v["field_current"]))
    rows = []
    for current in currents[(currents >= curve.low) & (currents <= curve.high)]:
        constant = float(emf.emf_at(curve, float(current)))
        rows.append(
            {
                "field_current": float(current),
                "emf_constant": constant,
                "torque_constant": float(torque_constant(constant)),
                "straight": constant / (first * float(current)),
            }
        )
    return rows


def _residuals(v: Values) -> list[dict[str, Any]]:
    curve, rows = v["saturation"], []
    for speed, current, volts in v["emf_test"]:
        tested = current >= curve.low
        on_curve = float(emf.emf_at(curve, current)) * speed if tested else curve.remanence * speed
        rows.append(
            {
                "speed": speed,
                "field_current": current,
                "voltage": volts,
                "curve": on_curve,
                "off": volts / on_curve - 1 if tested else None,
            }
        )
    return rows


def _next(v: Values) -> float:
    return emf.next_reading(v["emf_test"], v["saturation"], float(v["field_current"]))[0]


def _emf_test(v: Values) -> Report:
    curve, current = v["saturation"], float(v["field_current"])
    constant = float(v["tested_constant"])
    where, why = emf.next_reading(v["emf_test"], curve, current)
    findings = []
    if curve.constants < 4:
        findings.append(
            Finding(
                "caution",
                "Fewer than four field currents: the bend of the curve is taken, not found.",
                "Add readings, evenly spaced from a quarter of your working current to all of it.",
            )
        )
    if curve.fastest > 1.5 * curve.slowest:
        findings.append(
            Finding(
                "caution",
                "The rows were taken at speeds that differ by more than half. EMF isn't exactly the product of "
                "speed and "
                "flux: a measured machine gave 2.8 times the volts at 3 times the speed, for currents in its "
                "solid iron.",
                "Keep one speed, near the one you will ride at, for the rows that count.",
            )
        )
    findings.append(
        Finding(
            "ok",
            f"One more reading helps most at {show(where, 'A')} of field: {why}.",
            "Nothing is claimed outside the field currents that were tested, nor far from the speed.",
        )
    )
    return Report(
        show(constant, "V/krpm"),
        f"at {show(current, 'A')} of field, ± {show(curve.error, 'percent', 2)}",
        f"Between two leads, rms, for each 1,000 turns a minute. The curve fits {len(v['emf_test'])} readings from "
        f"{show(curve.low, 'A')} to {show(curve.high, 'A')}. Iron saturates: the last ampere gives far less than the "
        f"first. Each ampere in the leads makes {show(torque_constant(constant), 'N*m/A')} of torque.",
        tuple(findings),
        (lambda uid: figures.saturation(uid, curve, v["emf_test"], current),),
    )


EMF_TEST = Calculator(
    id="emf-test",
    title="Spin test",
    chapter="convert",
    question="How many volts does it make, at which field current?",
    asks=("emf_test", "field_current", "pole_pairs"),
    gives=(
        Result("emf_constant", "EMF constant at the field current", "V/krpm", "tested_constant"),
        Result("flux_linkage", "Peak flux linkage, equivalent star", "mWb"),
        Result("torque_constant", "Torque constant", "N*m/A", "tested_torque_constant"),
        Result("fit_error", "How far a value on the curve may be off", "percent", "emf_spread"),
        Result("next_reading", "Field current of the next reading", "A", made=_next),
        Result(
            "saturation",
            "Along the curve",
            columns=(
                Column("field_current", "Field current", "A"),
                Column("emf_constant", "EMF constant", "V/krpm"),
                Column("torque_constant", "Torque constant", "N*m/A"),
                Column("straight", "Of a straight line", "percent"),
            ),
            made=_saturation_rows,
        ),
        Result(
            "readings",
            "Readings against the curve",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("field_current", "Field current", "A"),
                Column("voltage", "Read", "V"),
                Column("curve", "On the curve", "V"),
                Column("off", "Off", "percent"),
            ),
            made=_residuals,
        ),
    ),
    report=_emf_test,
    # The readings themselves, also where the sheet states another constant beside them.
    rules={
        "tested_constant": step(emf.emf_at),
        "tested_torque_constant": step(torque_constant, emf_constant="tested_constant"),
        "flux_linkage": step(emf.flux_linkage, emf_constant="tested_constant"),
    },
    reads=("saturation", "emf_test", "field_current"),
)


def _short_circuit(v: Values) -> Report:
    rows = [float(x) for x in v["tested_inductances"]]
    value, spread = float(v["tested_inductance"]), float(v["inductance_spread"])
    found = [
        Finding(
            "ok",
            "With joined leads the iron is hardly magnetised: at working field the inductance is less, by up "
            "to two fifths "
            "on a measured machine.",
            "Count this as the upper end. It makes the estimate of speed and start lean low.",
        )
    ]
    if max(rows) > 1.15 * min(rows):
        found.insert(
            0,
            Finding(
                "caution",
                f"The rows give {show(min(rows), 'uH')} to {show(max(rows), 'uH')}: more than 15 % apart.",
                "Keep the field current the same for both readings of a row, and the speed above a third of "
                "working speed.",
            ),
        )
    return Report(
        show(value, "uH"),
        f"between two leads, ± {show(spread, 'percent', 2)}",
        "The machine's own EMF drives the joined leads, and only resistance and inductance hold the current back. The "
        "resistance is taken off.",
        tuple(found),
    )


SHORT_CIRCUIT_TEST = Calculator(
    id="short-circuit-test",
    title="Short-circuit spin",
    chapter="convert",
    question="What is the inductance between two leads?",
    asks=("short_circuit_test", "pole_pairs", "line_resistance"),
    gives=(
        Result("line_inductance", "Inductance between two leads", "uH", "tested_inductance"),
        Result("spread", "How far it may be off", "percent", "inductance_spread"),
    ),
    report=_short_circuit,
    rules={
        "tested_inductances": step(bench.inductances),
        "tested_inductance": step(bench.line_inductance),
    },
    reads=("tested_inductances",),
)


def _resistance(v: Values) -> Report:
    rows = [float(x) for x in v["tested_resistances"]]
    value, spread = float(v["tested_resistance"]), float(v["resistance_spread"])
    found = []
    if max(rows) > (1 + KELVIN_APART) * min(rows):
        found.append(
            Finding(
                "caution",
                f"The pairs read {show(min(rows), 'mohm')} to {show(max(rows), 'mohm')}: more than 3 % apart.",
                "Clean the leads and measure inside the clips. If one pair stays lower, turns are shorted; if "
                "one stays "
                "higher, a joint is bad.",
            )
        )
    if len(rows) < 3:
        found.append(
            Finding("caution", f"{len(rows)} of 3 pairs measured.", "Measure A to B, B to C and C to A.")
        )
    return Report(
        show(value, "mohm"),
        f"between two leads at 20 °C, ± {show(spread, 'percent', 2)}",
        "Volts on the leads over the current through them, brought to 20 °C by copper's 0.39 % for each "
        "kelvin. Clips and "
        "wires don't count, because the voltmeter sits inside them.",
        tuple(found),
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
    ),
    report=_resistance,
    rules={
        "tested_resistance": step(bench.line_resistance),
        "tested_resistances": step(bench.resistances),
    },
    reads=("tested_resistances",),
)


def _friction(v: Values) -> Report:
    value, spread = float(v["tested_friction"]), float(v["friction_spread"])
    found = []
    if spread > 0.15:
        found.append(
            Finding(
                "caution",
                f"Timing alone leaves ± {show(spread, 'percent', 2)}.",
                "Time a longer fall of speed, from a film with a clock in it, and take five rows.",
            )
        )
    if "no_load_test" in v.build.entered:
        by_drive = float(v["friction_by_drive"])
        apart = abs(by_drive / value - 1)
        found.append(
            Finding(
                "ok" if apart < 0.3 else "caution",
                f"Running free as a motor it takes {show(by_drive, 'N*m')}.",
                "The two agree."
                if apart < 0.3
                else "They should agree within a third: check the inertia first.",
            )
        )
    return Report(
        show(value, "N*m"),
        f"of friction, ± {show(spread, 'percent', 2)} for the timing",
        f"A rotor of {show(v['rotor_inertia'], 'kg*m**2')} that loses speed so fast is held back by this much: "
        "bearings, "
        "brushes, fan, and the iron that the field magnetises. The inertia's own ± comes on top.",
        tuple(found),
    )


FRICTION_TEST = Calculator(
    id="friction-test",
    title="Friction",
    chapter="convert",
    question="How much torque does it lose by itself?",
    asks=("coast_down_test", "rotor_inertia", "no_load_test"),
    gives=(
        Result("friction_torque", "Friction by coast-down", "N*m", "tested_friction"),
        Result("spread", "How far the timing leaves it open", "percent", "friction_spread"),
        Result("friction_by_drive", "Friction by running free", "N*m", optional=True),
    ),
    report=_friction,
    rules={
        "tested_friction": step(bench.friction_torque),
        "friction_by_drive": step(bench.friction_by_drive),
    },
    reads=("rotor_inertia",),
    optional=("no_load_test",),
)


def _insulation(v: Values) -> Report:
    value, needed = float(v["tested_insulation"]), float(v["insulation_needed"])
    if value < needed:
        worst = Finding(
            "stop",
            f"{show(value, 'kohm')} to the case; a circuit of {show(v['voltage_full'], 'V')} needs "
            f"{show(needed, 'kohm')} (100 Ω for each volt, UN R100).",
            "Don't connect a pack. Find the grounded brush, rectifier or star point, or dry and clean the winding.",
        )
    elif value < bench.GOOD_INSULATION:
        worst = Finding(
            "caution",
            f"{show(value, 'kohm')} is above the least, and less than the 1 MΩ that a dry, clean winding has.",
            "Clean and dry it, and measure again, warm. Brush dust conducts.",
        )
    else:
        worst = Finding("ok", "Dry and clean enough.", "Measure again when it is built in, pack plug out.")
    return Report(
        show(value, "Mohm"),
        "to the case, the worst row",
        f"In series with the winding's insulation a meter of {show(v['meter_resistance'], 'Mohm')} shows a "
        "share of the "
        f"supply: the less it shows, the better. {from_si(needed, 'kohm'):.3g} kΩ is the least for a pack of "
        f"{plain(float(v['voltage_full']))} V.",
        (worst,),
    )


INSULATION_TEST = Calculator(
    id="insulation-test",
    title="Insulation to the case",
    chapter="convert",
    question="Is the winding clear of the case?",
    asks=("insulation_test", "meter_resistance", "chemistry", "series"),
    gives=(
        Result("insulation_resistance", "Insulation to the case", "Mohm", "tested_insulation"),
        Result("insulation_needed", "Least for this pack", "kohm"),
    ),
    report=_insulation,
    rules={"tested_insulation": step(bench.insulation_resistance)},
    reads=("voltage_full", "meter_resistance"),
)
