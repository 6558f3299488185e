"""Two packs of one kind joined side by side: the current that levels them, and when they may be joined."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.power import cells
from calc.quantities import Ampere, Array, Coulomb, Fraction, Joule, Number, Ohm, Second, Volt

STEPS = 400
LEVEL = 0.01
"""Difference of charge at which two packs count as level (common practice, no source)."""


class Levelling(NamedTuple):
    """How two joined packs come level: time (s), current from the fuller to the emptier (A), both charges."""

    time: Array
    current: Array
    fuller: Array
    emptier: Array


def voltage_between(chemistry: str, series: Number, first: Fraction, second: Fraction) -> Volt:
    """Difference of the two packs' rested voltages, V; positive where the first is higher.

    Source: [method-power] #joining
    """
    high, low = (cells.open_circuit_voltage(chemistry, charge) for charge in (first, second))
    return series * (high - low)


def equalising_current(
    chemistry: str, series: Number, first: Fraction, second: Fraction, loop_resistance: Ohm
) -> Ampere:
    """Current at the first moment, A: the difference of the rested voltages over all the resistance round.

    Source: [method-power] #joining
    """
    return np.abs(voltage_between(chemistry, series, first, second)) / loop_resistance


def levelling(
    chemistry: str, series: float, first: float, second: float, loop_resistance: float, pack_capacity: Coulomb
) -> Levelling:
    """The current over time until two packs of one capacity are level, by steps of charge.

    At each step the charge that has moved fixes both voltages, so the current, so the time of the step.

    Source: [method-power] #joining
    """
    high, low = max(first, second), min(first, second)
    middle = (high + low) / 2.0
    moved = (1.0 - np.geomspace(1.0, LEVEL / 2.0, STEPS)) * (high - middle)
    fuller, emptier = high - moved, low + moved
    current = np.asarray(equalising_current(chemistry, series, fuller, emptier, loop_resistance))
    steps = np.diff(moved) * pack_capacity / np.maximum((current[1:] + current[:-1]) / 2.0, 1e-6)
    return Levelling(np.append(0.0, np.cumsum(steps)), current, fuller, emptier)


def lost_energy(chemistry: str, series: float, first: float, second: float, pack_capacity: Coulomb) -> Joule:
    """Energy that levelling turns to heat, J: what both packs hold before, less what they hold after.

    Source: [method-power] #joining
    """
    middle = (first + second) / 2.0
    held = [cells.voltage_above(chemistry, charge) for charge in (first, second, middle)]
    return series * pack_capacity * (2.0 * held[2] - held[0] - held[1])


def wait_until(
    chemistry: str, series: float, emptier: float, loop_resistance: float, joining_current: float
) -> float:
    """Highest charge of the fuller pack at which joining drives no more than `joining_current`, above the emptier's.

    Source: [method-power] #joining
    """
    tried = np.linspace(emptier, 1.0, 2001)
    current = np.asarray(equalising_current(chemistry, series, tried, emptier, loop_resistance))
    over = np.flatnonzero(current > joining_current)
    return float(tried[over[0] - 1]) if over.size and over[0] > 0 else float(emptier if over.size else 1.0)


def shares(resistances: Array) -> Array:
    """Share of a current that each of several packs side by side gives: in proportion to 1/resistance.

    Validity: packs at one rested voltage.

    Source: [method-power] #joining
    """
    ways = 1.0 / np.asarray(resistances, dtype=float)
    return ways / ways.sum(0)


def settling_time(levelling: Levelling) -> Second:
    """Time until the packs are level within 1 %, s.

    Source: [method-power] #joining
    """
    return float(levelling.time[-1])
