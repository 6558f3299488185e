"""Readings on the bench to values of the machine: inductance, resistance, friction, insulation.

Each takes rows of readings in SI and gives the mean, and beside it how far the mean may be off as a share of it. The
rows of a table never vary between draws.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.errors import NoSolution
from calc.machine.copper import REFERENCE_TEMPERATURE, hot_resistance
from calc.quantities import Fraction, KilogramSquareMetre, Nm, Number, Ohm, Real

LEAST_ERROR = 0.01
"""What meters leave open however well rows agree (common practice, no source)."""
STOPWATCH = 0.15
"""How far a hand on a stopwatch is off, s (common practice, no source)."""
LEAST_PER_VOLT = 100.0
"""Least insulation between a direct-current circuit and the case, ohm per volt. Source: [touch-voltage] 100 Ω/V"""
GOOD_INSULATION = 1.0e6
"""What dry, clean windings of this size reach with ease, ohm (common practice, no source)."""
_STUDENT = (12.7, 4.3, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23)


def scatter(values: Sequence[float]) -> float:
    """How far the mean of these may be off, as a share of it: Student's t for 95 % times the standard error.

    Never under 1 %; one value alone: 5 %.

    Source: [method-machine] #bench
    """
    many = np.asarray(values, dtype=float)
    if many.size < 2:
        return 0.05
    t = _STUDENT[many.size - 2] if many.size - 2 < len(_STUDENT) else 2.0
    error = t * float(many.std(ddof=1)) / np.sqrt(many.size) / abs(float(many.mean()))
    return float(min(max(error, LEAST_ERROR), 0.5))


def inductances(
    short_circuit_test: Sequence[tuple[float, float, float]], pole_pairs: Number, line_resistance: Ohm
) -> list[Real]:
    """Inductance between two leads by each row (speed, open volts, joined amps), H.

    The joined machine's EMF falls on its own impedance: Z = 2·E/(√3·I) between two leads, and L = √(Z² − R²)/ω.
    Validity: the same field current for both readings. With joined leads the iron is hardly magnetised, so this is
    the unsaturated value, an upper bound.

    Source: [method-machine] #short-circuit
    """
    found = []
    for speed, volts, amps in short_circuit_test:
        impedance = 2.0 * volts / (np.sqrt(3.0) * amps)
        reactance = np.sqrt(np.maximum(impedance**2 - np.square(line_resistance), (0.05 * impedance) ** 2))
        found.append(reactance / (pole_pairs * speed))
    return found


def line_inductance(
    short_circuit_test: Sequence[tuple[float, float, float]], pole_pairs: Number, line_resistance: Ohm
) -> Real:
    """Inductance between two leads, H: the mean over the rows of a short-circuit spin.

    Source: [method-machine] #short-circuit
    """
    rows = inductances(short_circuit_test, pole_pairs, line_resistance)
    return sum(rows[1:], rows[0]) / len(rows)


def inductance_spread(short_circuit_test: Sequence[tuple[float, float, float]]) -> Fraction:
    """How far the inductance may be off, as a share, from how the rows' impedance per speed agrees.

    Source: [method-machine] #bench
    """
    return max(scatter([volts / amps / speed for speed, volts, amps in short_circuit_test]), 0.03)


def resistances(resistance_test: Sequence[tuple[float, float, float | None]]) -> list[float]:
    """Resistance between two leads at 20 °C by each row (volts, amps, temperature or None for 20 °C), ohm.

    Source: [nbs100] temperature coefficient at 20 °C, 0.00393 per kelvin
    """
    return [
        volts / amps / float(hot_resistance(1.0, REFERENCE_TEMPERATURE if kelvin is None else kelvin))
        for volts, amps, kelvin in resistance_test
    ]


def line_resistance(resistance_test: Sequence[tuple[float, float, float | None]]) -> Ohm:
    """Resistance between two leads at 20 °C, ohm: the mean over the rows.

    Source: [method-machine] #bench
    """
    return float(np.mean(resistances(resistance_test)))


def resistance_spread(resistance_test: Sequence[tuple[float, float, float | None]]) -> Fraction:
    """How far the resistance may be off, as a share.

    Source: [method-machine] #bench
    """
    return scatter(resistances(resistance_test))


def friction_torque(
    coast_down_test: Sequence[tuple[float, float, float]], rotor_inertia: KilogramSquareMetre
) -> Nm:
    """Friction by coast-down, N·m: inertia times loss of speed over time, the mean over rows (from, to, time).

    Raises NoSolution when a row doesn't slow down.

    Source: [method-machine] #friction
    """
    return rotor_inertia * float(np.mean(decelerations(coast_down_test)))


def decelerations(coast_down_test: Sequence[tuple[float, float, float]]) -> list[float]:
    """Loss of speed over time by each row, rad/s². Raises NoSolution when a row doesn't slow down.

    Source: [method-machine] #friction
    """
    for number, (start, end, _) in enumerate(coast_down_test, 1):
        if end >= start:
            raise NoSolution(
                f"Row {number} of the coast-down ends at {end * 30 / np.pi:.4g} rpm, no slower than the "
                f"{start * 30 / np.pi:.4g} rpm it starts at.",
                "Enter the higher speed first: from, to, time.",
            )
    return [(start - end) / time for start, end, time in coast_down_test]


def friction_spread(coast_down_test: Sequence[tuple[float, float, float]]) -> Fraction:
    """How far the friction may be off for the timing, as a share; the inertia's own ± comes on top.

    Source: [method-machine] #friction
    """
    by_watch = (
        STOPWATCH / float(np.mean([time for *_, time in coast_down_test])) / np.sqrt(len(coast_down_test))
    )
    return float(min(max(scatter(decelerations(coast_down_test)), by_watch), 0.8))


def friction_by_drive(
    no_load_test: Sequence[tuple[float, float, float]], controller_efficiency: Fraction
) -> Nm:
    """Friction of a machine that runs free as a motor, N·m: power into the controller, its loss taken off, over speed.

    Rows (speed, volts, amps) at the controller, field supply not counted. Copper loss is left in: at no load it is
    small. Validity: steady speed, sensors and leads right.

    Source: [method-machine] #friction
    """
    torques = [volts * amps / speed for speed, volts, amps in no_load_test]
    return controller_efficiency * float(np.mean(torques))


def insulation_resistances(
    insulation_test: Sequence[tuple[float, float]], meter_resistance: Ohm
) -> list[Ohm]:
    """Insulation to the case by each row (volts of the supply, volts the meter shows), ohm: R_meter·(U/V − 1).

    A reading of nothing counts as a thousandth of the supply: no more can be told with this meter.
    Raises NoSolution when the meter shows more than the supply gives.

    Source: [method-machine] #insulation
    """
    for number, (supply, reading) in enumerate(insulation_test, 1):
        if reading > supply * 1.02:
            raise NoSolution(
                f"Row {number} of the insulation test shows {reading:.4g} V from a supply of {supply:.4g} V.",
                "Nothing else may be connected. Measure the supply first, then put the meter in series.",
            )
    return [
        meter_resistance * np.maximum(supply / max(reading, supply / 1000.0) - 1.0, 1e-6)
        for supply, reading in insulation_test
    ]


def insulation_resistance(insulation_test: Sequence[tuple[float, float]], meter_resistance: Ohm) -> Ohm:
    """Insulation to the case, ohm: the worst of the rows, for one bad winding is enough.

    Source: [method-machine] #insulation
    """
    rows = insulation_resistances(insulation_test, meter_resistance)
    worst = rows[0]
    for row in rows[1:]:
        worst = np.minimum(worst, row)
    return worst


def insulation_needed(voltage_full: Real) -> Ohm:
    """Least insulation to the case for a circuit of this voltage, ohm.

    Source: [touch-voltage] 100 ohm per volt, direct current
    """
    return LEAST_PER_VOLT * voltage_full
