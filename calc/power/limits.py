"""Where a pack meets its neighbours: what is asked of it, how far it sags, what charges it."""

from __future__ import annotations

import numpy as np

from calc.power import cells
from calc.power.pack import voltage_full
from calc.quantities import Ampere, Coulomb, Number, Ohm, Volt, Watt

SHOCK_VOLTAGE = 60.0
"""Direct voltage from which touch protection is asked for, V. Source: [touch-voltage] voltage class A, 60 V

What changes from there on. Source: [class-b] orange cables, exposed metal bonded under 0.1 ohm"""
CELL_TOLERANCE = 0.05
"""Volts by which one cell may pass full. Source: [cell-sheets] 4.20 ± 0.05 V; for LFP the same is taken"""
CHARGE_TOLERANCE = 0.025
"""Volts a cell by which a charger may pass the full pack: half of what one cell stands, since good groups are 20 mV
apart and the highest is over first. Source: [board-sheets] boards level groups to within 0.025 V of full"""
PROTECTION_OVER = 0.15
"""Volts above full by which a protection board that guards a cell opens. Source: [board-sheets] 4.325 and 4.35 V for
cells of 4.20 V; for LFP the same is taken, though boards of 3.90 V are sold"""
PROTECTION_EMPTY = 0.8
"""Share of the empty pack's volts down to which a protection board guards the cells (common practice, no source)."""


def cell_capacity(pack_capacity: Coulomb, parallel: Number) -> Coulomb:
    """Charge of one cell of a pack that is known as a whole, A·s.

    Source: [method] #pack
    """
    return pack_capacity / parallel


def cell_resistance(resistance_capacity: Number, cell_capacity: Coulomb) -> Ohm:
    """Resistance of one cell, ohm, from the product of resistance and capacity (ohm·A·s), the same for like cells.

    Source: [method] #pack
    """
    return resistance_capacity / cell_capacity


def charge_voltage_limit(chemistry: str, series: Number) -> Volt:
    """Highest voltage that a charger may bring to the pack, V: full, plus what level groups may share.

    Source: [board-sheets] 4.20 ± 0.025 V; [method-power] #windows
    """
    return voltage_full(chemistry, series) + CHARGE_TOLERANCE * series


def supply_voltage(open_circuit_voltage: Volt, battery_current: Ampere, pack_resistance: Ohm) -> Volt:
    """Voltage at the controller while it draws `battery_current`, V; never under half of the rested voltage.

    At half, the pack gives all the power that it can; a controller asking for more gets no more.

    Source: [method] #pack
    """
    return np.maximum(open_circuit_voltage - battery_current * pack_resistance, open_circuit_voltage / 2.0)


def greatest_current(
    battery_current_limit: Ampere, field_power: Watt, idle_power: Watt, voltage_nominal: Volt
) -> Ampere:
    """The most that the pack is asked for, A: the controller at its limit, the field and everything else.

    Source: [method] #pack
    """
    return battery_current_limit + (field_power + idle_power) / voltage_nominal


def sag(reserve_voltage: Volt, lowest_voltage: Volt) -> Volt:
    """Voltage that the pack and its leads lose at the most that is asked of them, V.

    Source: [method] #pack
    """
    return reserve_voltage - lowest_voltage


def least_voltage(controller_voltage_cutoff: Volt, voltage_min: Volt) -> Volt:
    """Voltage that the pack must keep under load, V: the controller's cut-out or the cells' least, the higher.

    Source: [method] #pack
    """
    return np.maximum(controller_voltage_cutoff, voltage_min)


def charger_least(voltage_full: Volt) -> Volt:
    """Voltage below which a charger isn't one for this pack, V: 95 % of full (common practice, no source).

    Source: [method] #pack
    """
    return 0.95 * voltage_full


def protection_most(voltage_full: Volt, series: Number) -> Volt:
    """Highest voltage at which a protection board that opens when charging still guards the cells, V.

    Source: [method-power] #windows
    """
    return voltage_full + PROTECTION_OVER * series


def group_most(chemistry: str) -> Volt:
    """Highest voltage at which a protection that watches each group still guards it, V.

    Source: [method-power] #windows
    """
    return cells.window(chemistry)[2] + PROTECTION_OVER


def group_share(pack_voltage: Volt, series: Number) -> Volt:
    """Voltage of each of the groups of a pack, V, were they level.

    Source: [method-power] #windows
    """
    return pack_voltage / series


def group_lowest(
    lowest_voltage: Volt, greatest_pack_current: Ampere, pack_lead_resistance: Ohm, series: Number
) -> Volt:
    """Voltage of each group at the most that is asked of the pack, V: what leads and protection lose isn't the cells'.

    Source: [method-power] #windows
    """
    return (lowest_voltage + greatest_pack_current * pack_lead_resistance) / series


def groups_open(
    group_voltage_min: Volt, greatest_pack_current: Ampere, pack_lead_resistance: Ohm, series: Number
) -> Volt:
    """Voltage at the controller at which a protection that watches each group opens, level groups, V.

    Source: [method-power] #windows
    """
    return group_voltage_min * series - greatest_pack_current * pack_lead_resistance


def protection_least(voltage_min: Volt) -> Volt:
    """Lowest voltage at which a protection board that opens under load still guards the cells, V.

    Source: [method-power] #windows
    """
    return PROTECTION_EMPTY * voltage_min


def current_limit(pack_current_limit: Ampere, greatest_pack_current: Ampere) -> Ampere:
    """The lesser of what the protection lets through and what the drive can ask, A.

    Source: [method] #pack
    """
    return np.minimum(pack_current_limit, greatest_pack_current)
