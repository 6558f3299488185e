"""How long a charge takes: constant current, then constant voltage, exact along the pieces of the cells' curve."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.power import cells
from calc.quantities import (
    Ampere,
    Array,
    Coulomb,
    Fraction,
    Joule,
    Kelvin,
    Kilogram,
    Number,
    Ohm,
    Second,
    Volt,
)

LASTING = {"lfp": 1.15}
LASTING_ELSE = 1.4
"""A cell's resistance in minutes of charging over that in ten seconds.

Source: [pybamm] ten minutes at C/2 from 80 % over ten seconds from 50 %: LFP 1.15, NMC 1.43
"""
LEVELLING_ELSE = 1.1
LEVELLING = {"lfp": 0.0}
"""By how much more a cell's resistance has grown by the end of the held part: the inside levels ever more slowly.

Source: [pybamm] Chen2020, SPMe, C/2 to C/20: charge and current where each part ends; Prada2013 shows none
"""
KNOTS = 201
CELL_HEAT = 1000.0
"""Heat that a kilogram of cells takes for a kelvin, J/(kg·K) (common practice, no source)."""
CELL_DENSITY = 2000.0
"""Of a block of cells, kg/m³ (common practice, no source)."""
BOX_LOSS = 6.0
"""Heat that a box in a still room takes up, W/(m²·K) (common practice, no source)."""
CELL_ENERGY = 120.0 * 3600.0
"""Energy of a kilogram of cells, J/kg, where nobody weighed them (common practice, no source)."""


class Course(NamedTuple):
    """A charge from start to end: times (s), charges (A·s) and energies (J) of its two parts.

    switch: state of charge at which the voltage is reached; end: where it stops. delivered: energy at the charger's
    leads; stored: of the cells' curve; the rest is heat.
    """

    start: float
    switch: float
    end: float
    constant_time: float
    held_time: float
    constant_charge: float
    held_charge: float
    delivered: float
    stored: float
    times: Array
    states: Array
    currents: Array
    voltages: Array

    @property
    def time(self) -> float:
        return self.constant_time + self.held_time


def charge_resistance(
    chemistry: str, series: Number, parallel: Number, cell_resistance: Ohm, pack_lead_resistance: Ohm
) -> Ohm:
    """Resistance of the pack over the minutes of a charge, ohm: the cells show more than in ten seconds.

    Source: [pybamm] Prada2013 and Chen2020, SPMe: see LASTING; [method-power] #charge-time
    """
    lasting = LASTING.get(chemistry, LASTING_ELSE)
    return series * cell_resistance * lasting / parallel + pack_lead_resistance


def levelling(chemistry: str, pack_resistance: Ohm, pack_lead_resistance: Ohm) -> Number:
    """Growth of the pack's resistance from the switch to full, as a share: that of the cells, not of the leads.

    Source: [pybamm] see LEVELLING; [method-power] #charge-time
    """
    return LEVELLING.get(chemistry, LEVELLING_ELSE) * (1.0 - pack_lead_resistance / pack_resistance)


def _mean_current(first: Array, last: Array) -> Array:
    """Current that carries the charge of a piece in the time it takes: the logarithmic mean."""
    ratio = last / first - 1.0
    small = np.abs(ratio) < 1e-9
    return np.where(small, first, first * ratio / np.log1p(np.where(small, 1.0, ratio)))


def course(
    chemistry: str,
    series: Number,
    pack_capacity: Coulomb,
    charge_resistance: Ohm,
    levelling: Number,
    charger_voltage: Volt,
    charger_current: Ampere,
    charge_tail: Fraction,
    charge_now: Fraction,
    charge_target: Fraction,
) -> Course:
    """The charge of a pack by a charger of a current and a voltage, single values.

    Constant current until the pack, its resistance counted, has the charger's voltage; then that voltage until the
    current has fallen to `charge_tail` capacities an hour, the target is met, or the cells are full. Between knots of
    the open-circuit curve both parts are exact.

    Validity: about 25 °C, level groups. Diffusion inside the cells is left out but for the factor on their resistance;
    how far off that is stands on the page.

    Source: [method-power] #charge-time
    """
    knots = np.linspace(0.0, 1.0, KNOTS)
    rested = np.maximum.accumulate(series * np.asarray(cells.open_circuit_voltage(chemistry, knots)))
    tail = charge_tail * pack_capacity / 3600.0
    start = float(charge_now)
    reached = float(np.interp(charger_voltage - charger_current * charge_resistance, rested, knots))
    met = max(reached, start)

    def held_at(states: Array, volts: Array) -> Array:
        """Current at the charger's voltage; the resistance seen grows while the inside of the cells levels."""
        grown = 1.0 + levelling * np.maximum(states - met, 0.0) / max(1.0 - met, 1e-9)
        return np.clip((charger_voltage - volts) / (charge_resistance * grown), 1e-9, charger_current)

    flows = held_at(knots, rested)
    full = max(reached, float(np.interp(-tail, -flows, knots)))
    end = max(min(full, float(charge_target)), start)
    switch = min(met, end)

    def part(first: float, last: float) -> tuple[Array, Array]:
        inside = knots[(knots > first) & (knots < last)]
        states = np.concatenate(([first], inside, [last]))
        return states, np.interp(states, knots, rested)

    low, low_rested = part(start, switch)
    high, high_rested = part(switch, end)
    held = held_at(high, high_rested)
    steps = pack_capacity * np.diff(high) / _mean_current(held[:-1], held[1:])
    before = pack_capacity * (low - start) / charger_current
    after = before[-1] + np.concatenate(([0.0], np.cumsum(steps)))
    stored = pack_capacity * (_area(low, low_rested) + _area(high, high_rested))
    delivered = (
        pack_capacity * _area(low, low_rested)
        + charger_current**2 * charge_resistance * before[-1]
        + charger_voltage * pack_capacity * (end - switch)
    )
    return Course(
        start,
        switch,
        end,
        float(before[-1]),
        float(steps.sum()),
        float(pack_capacity * (switch - start)),
        float(pack_capacity * (end - switch)),
        float(delivered),
        float(stored),
        np.concatenate((before, after)),
        np.concatenate((low, high)),
        np.concatenate((np.full(low.size, float(charger_current)), held)),
        np.concatenate(
            (low_rested + charger_current * charge_resistance, np.full(high.size, float(charger_voltage)))
        ),
    )


def _area(states: Array, volts: Array) -> float:
    return float(np.sum(np.diff(states) * (volts[1:] + volts[:-1]) / 2.0))


def wall_energy(delivered: Joule, charger_efficiency: Fraction) -> Joule:
    """Energy from the wall, J.

    Source: [method-power] #charge-time
    """
    return delivered / charger_efficiency


def block_mass(pack_energy: Joule) -> Kilogram:
    """Mass of the cells where nobody weighed them, kg.

    Source: [method-power] #charge-cold
    """
    return pack_energy / CELL_ENERGY


def settling_time(pack_mass: Kilogram) -> Second:
    """Time constant with which a pack follows the room, s: a cube of cells in still air.

    Validity: order of size; a padded box takes longer, single cells in the open less.

    Source: [method-power] #charge-cold
    """
    surface = 6.0 * (pack_mass / CELL_DENSITY) ** (2.0 / 3.0)
    return pack_mass * CELL_HEAT / (BOX_LOSS * surface)


def waiting_time(
    temperature: Kelvin, room_temperature: Kelvin, wanted: Kelvin, settling_time: Second
) -> Second:
    """Time until cells come from `temperature` to `wanted` in a room, s; infinite where it never takes them there.

    Source: [method-power] #charge-cold
    """
    gap, left = room_temperature - temperature, room_temperature - wanted
    way = wanted - temperature
    ratio = np.where(left * gap > 0.0, gap / np.where(left == 0.0, 1.0, left), np.inf)
    time = settling_time * np.log(np.maximum(ratio, 1.0))
    return np.where(way * gap <= 0.0, np.where(way == 0.0, 0.0, np.inf), time)
