"""Star and delta of the same coils: what changes between two leads, and what circulates in a delta."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Number,
    Ohm,
    RadianPerSecond,
    Real,
    Volt,
    Watt,
)

CONNECTIONS = ("star", "delta")
# Of the same coils in delta, as multiples of what they show in star.
VOLTAGE_RATIO = 1.0 / np.sqrt(3.0)
IMPEDANCE_RATIO = 1.0 / 3.0
# Share of I²·R between two leads that the hottest coil takes at standstill in one sector.
HOTTEST_COIL = {"star": 0.5, "delta": 2.0 / 3.0}
RING_CLEAR = 0.45
"""Volts at an opened corner over a coil's below which no coil is turned over. Source: [method-machine] #turned-coil"""
RING_TURNED = 1.0
"""Above this a coil counts as turned over; a turned one shows 1.73 to 2. Source: [method-machine] #turned-coil"""
METER_LIMIT = 400.0
"""Frequency up to which a common meter reads alternating volts rightly, Hz (common practice, no source)."""


def in_connection(value: Real, ratio: float, connection: str, wanted: str) -> Real:
    """A value between two leads as the same coils show it in another connection.

    ratio: delta over star, `VOLTAGE_RATIO` for EMF and torque constant, `IMPEDANCE_RATIO` for resistance and
    inductance.

    Source: [method-machine] #star-delta
    """
    if connection == wanted:
        return value
    return value * ratio if wanted == "delta" else value / ratio


def corner_ratios(corner_test: Sequence[tuple[float, float, float]]) -> list[float]:
    """Volts across an opened corner as a multiple of one coil's, for each row (speed, volts across it, coil's volts).

    Source: [method-machine] #turned-coil
    """
    return [gap / coil for _, gap, coil in corner_test]


def corner_share(corner_test: Sequence[tuple[float, float, float]]) -> Fraction:
    """Volts across an opened corner of the delta as a multiple of one coil's volts, mean of the rows.

    Source: [method-machine] #third-harmonic
    """
    return float(np.mean(corner_ratios(corner_test)))


def corner_scatter(corner_test: Sequence[tuple[float, float, float]]) -> float:
    """How far the rows of an opened corner lie apart, as a share of their mean; 0 for one row.

    Source: [method-machine] #third-harmonic
    """
    ratios = corner_ratios(corner_test)
    return (max(ratios) - min(ratios)) / max(sum(ratios) / len(ratios), 1e-12)


def ring_state(corner_test: Sequence[tuple[float, float, float]]) -> str:
    """Whether the ring is "right", "doubtful" or has a coil "turned", by the worst row of its opened corner.

    Source: [method-machine] #turned-coil
    """
    worst = max(corner_ratios(corner_test))
    return "right" if worst < RING_CLEAR else "doubtful" if worst <= RING_TURNED else "turned"


def delta_resistance(line_resistance: Ohm, connection: str) -> Ohm:
    """Resistance between two leads of the same coils in delta, ohm.

    Source: [method-machine] #star-delta
    """
    return in_connection(line_resistance, IMPEDANCE_RATIO, connection, "delta")


def delta_inductance(line_inductance: Henry, connection: str) -> Henry:
    """Inductance between two leads of the same coils in delta, H.

    Source: [method-machine] #star-delta
    """
    return in_connection(line_inductance, IMPEDANCE_RATIO, connection, "delta")


def corner_voltage(
    corner_share: Fraction, emf_constant: EmfConstant, connection: str, motor_speed: RadianPerSecond
) -> Volt:
    """Volts at an opened corner of the delta at a speed and the working field, rms.

    Validity: the third harmonic's share as it was in the test; with another field the iron's saturation changes it.

    Source: [method-machine] #third-harmonic
    """
    return corner_share * in_connection(emf_constant, VOLTAGE_RATIO, connection, "delta") * motor_speed


def third_frequency(motor_speed: RadianPerSecond, pole_pairs: Number) -> Number:
    """Frequency of the third harmonic, Hz: three times the pole pairs' for each turn.

    Source: [method-machine] #third-harmonic
    """
    return 3.0 * pole_pairs * motor_speed / (2.0 * np.pi)


def circulating_current(
    corner_voltage: Volt,
    motor_speed: RadianPerSecond,
    pole_pairs: Number,
    delta_resistance: Ohm,
    delta_inductance: Henry,
    leakage_share: Fraction,
) -> Ampere:
    """Current that the third harmonic drives round a closed delta, A rms.

    The open corner's voltage over three coils in series: three times 1.5·R between leads, and three times the
    leakage part of 1.5·L at three times the frequency.
    Validity: leakage stands for the zero-sequence inductance.

    Source: [method-machine] #third-harmonic
    """
    resistance = 4.5 * delta_resistance
    reactance = 4.5 * leakage_share * delta_inductance * 3.0 * pole_pairs * motor_speed
    return corner_voltage / np.maximum(np.hypot(resistance, reactance), 1e-9)


def circulating_loss(circulating_current: Ampere, delta_resistance: Ohm) -> Watt:
    """Heat of the circulating current in all three coils, W.

    Source: [method-machine] #third-harmonic
    """
    return np.square(circulating_current) * 4.5 * delta_resistance
