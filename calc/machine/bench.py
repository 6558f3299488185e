"""Readings on the bench to values of the machine: inductance, resistance, friction.

Each takes rows of readings in SI and gives the mean, and beside it how far the mean may be off as a share of it. The
rows of a table never vary between draws.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.errors import NoSolution
from calc.machine import losses
from calc.machine.copper import REFERENCE_TEMPERATURE, hot_resistance
from calc.machine.inductance import inductance_at
from calc.machine.scatter import READING_ERROR, spread_of_mean
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    KilogramSquareMetre,
    Nm,
    Number,
    Ohm,
    middle,
)

STOPWATCH = 0.15
"""How far a hand on a stopwatch is off, s (common practice, no source)."""
LEAST_OHMS, MOST_OHMS = 0.001, 5.0
"""Between these a resistance between two leads can be believed, ohm; the field line_resistance has the same limits."""
SATURATED = 0.57
"""Inductance at full field over that without field, of a measured machine. Source: [method-machine] #short-circuit"""
_CLAMP = 0.02
"""Error of a clamp on an alternating current of some ten to a hundred hertz (common practice, no source)."""
_RESISTIVE = 0.98
"""Where resistance is more than this share of the impedance, the readings tell no inductance."""

SpinRow = tuple[float, float, float]
ShortRow = tuple[float, float, float, float | None]
"""Speed, volts with open leads, amps with joined leads, field current of both if it was noted."""


def impedances(short_circuit_test: Sequence[ShortRow]) -> list[Ohm]:
    """Impedance between two leads by each row, ohm: 2·E/(√3·I).

    Source: [method-machine] #short-circuit
    """
    return [2.0 * volts / (3.0**0.5 * amps) for _, volts, amps, _ in short_circuit_test]


def inductances(
    short_circuit_test: Sequence[ShortRow], pole_pairs: Number, line_resistance: Ohm
) -> list[Henry]:
    """Inductance between two leads by each row, H, along the poles and at the row's own field current.

    The joined machine's EMF falls on its own impedance Z, and L = √(Z² − R²)/ω, ω electrical.
    Validity: the same field current for both readings.

    Raises NoSolution when the resistance alone is as large as the impedance.

    Source: [method-machine] #short-circuit
    """
    found = []
    rows = zip(short_circuit_test, impedances(short_circuit_test), strict=True)
    for number, ((speed, *_), impedance) in enumerate(rows, 1):
        if middle(line_resistance) > _RESISTIVE * impedance:
            raise NoSolution(
                f"Row {number} of the short-circuit spin: volts over amps make {impedance * 1000:.3g} mΩ between two "
                f"leads, no more than their resistance of {middle(line_resistance) * 1000:.3g} mΩ. No "
                "inductance can be told from that.",
                "Spin faster, and check that both readings were at the same field current.",
            )
        held = np.minimum(line_resistance, _RESISTIVE * impedance)
        found.append(np.sqrt(impedance**2 - held**2) / (pole_pairs * speed))
    return found


def spun_inductance(
    short_circuit_test: Sequence[ShortRow], pole_pairs: Number, line_resistance: Ohm
) -> Henry:
    """Inductance between two leads at the field current of the spin, H: the mean over the rows.

    Source: [method-machine] #short-circuit
    """
    rows = inductances(short_circuit_test, pole_pairs, line_resistance)
    return sum(rows[1:], rows[0]) / len(rows)


def line_inductance(
    short_circuit_test: Sequence[ShortRow],
    pole_pairs: Number,
    line_resistance: Ohm,
    leakage_share: Fraction,
    emf_constant: EmfConstant,
    field_current: Ampere,
) -> Henry:
    """Inductance between two leads at the working field current, H: each row brought there, then their mean.

    The row's own open volts say how far its field saturates the iron. A row that doesn't note its field current counts
    as it is: an upper bound where it was lower.

    Source: [method-machine] #short-circuit
    """
    rows = inductances(short_circuit_test, pole_pairs, line_resistance)
    brought = [
        found / inductance_at(1.0, leakage_share, emf_constant, field_current, volts / speed, amps)
        if amps is not None
        else found
        for found, (speed, volts, _, amps) in zip(rows, short_circuit_test, strict=True)
    ]
    return sum(brought[1:], brought[0]) / len(brought)


def least_inductance(short_circuit_test: Sequence[ShortRow], line_inductance: Henry) -> Henry:
    """Least inductance between two leads at the working field, H: a row without its field current may have been spun
    without any, where a machine has most.

    Source: [method-machine] #short-circuit
    """
    unnoted = float(np.mean([amps is None for *_, amps in short_circuit_test]))
    return line_inductance * (1.0 - unnoted * (1.0 - SATURATED))


def inductance_spread(short_circuit_test: Sequence[ShortRow], line_resistance: Ohm) -> Fraction:
    """How far the inductance may be off for the readings, as a share.

    Rows are compared by √(Z² − R²)/speed. Volts and amps each bring their error; taking the resistance off raises it
    by Z²/(Z² − R²). Pole pairs don't matter, and the resistance's own ± comes on top.

    Source: [method-machine] #short-circuit
    """
    ohms = np.array(impedances(short_circuit_test))
    speeds = np.array([speed for speed, *_ in short_circuit_test])
    held = np.minimum(middle(line_resistance), _RESISTIVE * ohms)
    raised = float(np.mean(ohms**2 / (ohms**2 - held**2)))
    return min(spread_of_mean((np.sqrt(ohms**2 - held**2) / speeds).tolist(), _CLAMP * raised), 0.5)


def resistances(resistance_test: Sequence[tuple[float, float, float | None]]) -> list[float]:
    """Resistance between two leads at 20 °C by each row (volts, amps, temperature or None for 20 °C), ohm.

    Raises NoSolution for a row that no such machine can give.

    Source: [nbs100] temperature coefficient at 20 °C, 0.00393 per kelvin
    """
    for number, (volts, amps, _) in enumerate(resistance_test, 1):
        if not LEAST_OHMS <= volts / amps <= MOST_OHMS:
            raise NoSolution(
                f"Row {number} of the resistance test makes {volts / amps * 1000:.3g} mΩ of {volts:.3g} V and "
                f"{amps:.3g} A; {LEAST_OHMS * 1000:g} to {MOST_OHMS * 1000:g} mΩ between two leads can be believed.",
                "A bare number is millivolts: write 0.12 V for volts. Or the current wasn't that.",
            )
    return [
        volts / amps / float(hot_resistance(1.0, REFERENCE_TEMPERATURE if kelvin is None else kelvin))
        for volts, amps, kelvin in resistance_test
    ]


def line_resistance(resistance_test: Sequence[tuple[float, float, float | None]]) -> Ohm:
    """Resistance between two leads at 20 °C, ohm: the mean over the rows.

    Source: [method-machine] #resistance
    """
    return float(np.mean(resistances(resistance_test)))


def resistance_spread(resistance_test: Sequence[tuple[float, float, float | None]]) -> Fraction:
    """How far the resistance may be off, as a share.

    Source: [method-machine] #resistance
    """
    return spread_of_mean(resistances(resistance_test))


def decelerations(coast_down_test: Sequence[SpinRow]) -> list[float]:
    """Loss of speed over time by each row (from, to, time), rad/s². Raises NoSolution when a row doesn't slow down.

    Source: [method-machine] #friction
    """
    for number, (start, end, _) in enumerate(coast_down_test, 1):
        if end >= start:
            raise NoSolution(
                f"Row {number} of the run-down ends at {end * 30 / np.pi:.4g} rpm, no slower than the "
                f"{start * 30 / np.pi:.4g} rpm it starts at.",
                "Enter the higher speed first: from, to, time.",
            )
    return [(start - end) / time for start, end, time in coast_down_test]


def decelerations_there(coast_down_test: Sequence[SpinRow]) -> list[float]:
    """Loss of speed over time that each row would show at 1000 rpm, rad/s²: by the usual law of drag over speed.

    Source: [method-machine] #friction
    """
    return [
        loss / losses.law_between(start, end)
        for loss, (start, end, _) in zip(decelerations(coast_down_test), coast_down_test, strict=True)
    ]


def friction_torque(coast_down_test: Sequence[SpinRow], rotor_inertia: KilogramSquareMetre) -> Nm:
    """Friction at 1000 rpm by run-down, N·m: inertia times loss of speed over time, the mean over rows.

    Source: [method-machine] #friction
    """
    return rotor_inertia * float(np.mean(decelerations_there(coast_down_test)))


def friction_spread(coast_down_test: Sequence[SpinRow]) -> Fraction:
    """How far the friction may be off for watch and tachometer, as a share; the inertia's own ± comes on top.

    A tachometer's error is a share of the speed, of which the fall is the difference of two.

    Source: [method-machine] #friction
    """
    by_watch = STOPWATCH / 2.0 / float(np.mean([time for *_, time in coast_down_test]))
    falls = [np.hypot(start, end) / (start - end) for start, end, _ in coast_down_test]
    by_tachometer = READING_ERROR * float(np.mean(falls))
    return spread_of_mean(decelerations_there(coast_down_test), float(np.hypot(by_watch, by_tachometer)))


def drags(no_load_test: Sequence[SpinRow], controller_efficiency: Fraction) -> list[Nm]:
    """Friction at 1000 rpm of a machine that runs free as a motor, by each row (speed, volts, amps), N·m.

    Power into the controller, its loss taken off, over speed, and by the usual law of drag over speed. The field supply
    isn't counted, nor what the controller takes with the throttle shut. Copper loss is left in: at no load it is small.
    Validity: steady speed, sensors and leads right.

    Source: [method-machine] #friction
    """
    return [
        controller_efficiency * volts * amps / speed / losses.law(speed)
        for speed, volts, amps in no_load_test
    ]


def friction_by_drive(no_load_test: Sequence[SpinRow], controller_efficiency: Fraction) -> Nm:
    """Friction at 1000 rpm of a machine that runs free as a motor, N·m: the mean over the rows.

    Source: [method-machine] #friction
    """
    rows = drags(no_load_test, controller_efficiency)
    return sum(rows[1:], rows[0]) / len(rows)
