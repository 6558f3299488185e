"""Two packs of one kind joined side by side: the current that levels them, and when they may be joined."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.power import cells
from calc.quantities import Ampere, Array, Coulomb, Fraction, Joule, Number, Ohm, Second, Volt

STEPS = 400
LEVEL = 0.01
"""Difference of charge at which two packs count as level (common practice, no source)."""
LEVEL_VOLTS = 0.1
"""Volts between two rested packs up to which a meter calls them level (common practice, no source)."""


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


def level_charge(
    first: Fraction, second: Fraction, first_capacity: Coulomb, second_capacity: Coulomb
) -> Fraction:
    """Charge at which two joined packs come to rest: all that is in both, shared out by capacity.

    Source: [method-power] #joining
    """
    return (first * first_capacity + second * second_capacity) / (first_capacity + second_capacity)


def levelling(
    chemistry: str,
    series: float,
    first: float,
    second: float,
    loop_resistance: float,
    first_capacity: Coulomb,
    second_capacity: Coulomb,
) -> Levelling:
    """The current over time until two packs are level, by steps of charge.

    At each step the charge that has moved fixes both voltages, so the current, so the time of the step.

    Source: [method-power] #joining
    """
    (high, large), (low, small) = sorted(
        ((first, first_capacity), (second, second_capacity)), key=lambda one: one[0], reverse=True
    )
    whole = (high - low) / (1.0 / large + 1.0 / small)
    moved = (1.0 - np.geomspace(1.0, LEVEL / 2.0, STEPS)) * whole
    fuller, emptier = high - moved / large, low + moved / small
    current = np.asarray(equalising_current(chemistry, series, fuller, emptier, loop_resistance))
    steps = np.diff(moved) / np.maximum((current[1:] + current[:-1]) / 2.0, 1e-6)
    return Levelling(np.append(0.0, np.cumsum(steps)), current, fuller, emptier)


def lost_energy(
    chemistry: str,
    series: float,
    first: float,
    second: float,
    first_capacity: Coulomb,
    second_capacity: Coulomb,
) -> Joule:
    """Energy that levelling turns to heat, J: what both packs hold before, less what they hold after.

    Source: [method-power] #joining
    """
    end = cells.voltage_above(chemistry, level_charge(first, second, first_capacity, second_capacity))
    parts = ((first, first_capacity), (second, second_capacity))
    return series * sum(
        capacity * (end - cells.voltage_above(chemistry, charge)) for charge, capacity in parts
    )


class Hidden(NamedTuple):
    """The two charges that are furthest apart and yet no further in volts than was asked."""

    low: float
    high: float

    @property
    def share(self) -> float:
        return self.high - self.low


def hidden_charge(chemistry: str, series: float, apart: float) -> Hidden:
    """How much charge two packs may be apart at most though their rested volts are no more than `apart` V apart.

    Validity: the cells' table at 25 °C; cells of one kind differ from it by some 20 mV, so it may be more.

    Source: [pybamm] the open-circuit curves; [method-power] #joining
    """
    charges = np.linspace(0.0, 1.0, 1001)
    volts = series * np.asarray(cells.open_circuit_voltage(chemistry, charges))
    last = np.searchsorted(volts, volts + apart * (1.0 + 1e-12), side="right") - 1
    widest = int(np.argmax(charges[last] - charges))
    return Hidden(float(charges[widest]), float(charges[last[widest]]))


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
