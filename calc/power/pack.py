"""A pack of `series` groups of `parallel` cells: windows, energy, resistance, sag."""

from __future__ import annotations

import numpy as np

from calc.power import cells
from calc.quantities import (
    Ampere,
    Coulomb,
    Fraction,
    Joule,
    Kelvin,
    Kilogram,
    Number,
    Ohm,
    Volt,
    Watt,
)


def voltage_min(chemistry: str, series: Number) -> Volt:
    """Voltage below which the pack is not used, V.

    Source: [method] #pack
    """
    return cells.window(chemistry)[0] * series


def voltage_nominal(chemistry: str, series: Number) -> Volt:
    """Voltage on the pack's label, V.

    Source: [method] #pack
    """
    return cells.window(chemistry)[1] * series


def voltage_full(chemistry: str, series: Number) -> Volt:
    """Voltage at the end of charging, V: the highest that controller and supply see without braking.

    Source: [method] #pack
    """
    return cells.window(chemistry)[2] * series


def pack_capacity(cell_capacity: Coulomb, parallel: Number) -> Coulomb:
    """Charge of the pack, A·s.

    Validity: a pack is only as good as its weakest group; salvaged cells are below their label.

    Source: [method] #pack
    """
    return cell_capacity * parallel


def pack_resistance(series: Number, parallel: Number, cell_resistance: Ohm, pack_lead_resistance: Ohm) -> Ohm:
    """Resistance between the pack's terminals, ohm: cells, links and protection (`pack_lead_resistance`).

    Source: [method] #pack
    """
    return series * cell_resistance / parallel + pack_lead_resistance


def cold_air(coldest_day: Kelvin, ambient_temperature: Kelvin) -> Kelvin:
    """Air on the coldest day of riding, K: no warmer than the hottest, if only that was entered.

    Source: [method-power] #cold
    """
    return np.minimum(coldest_day, ambient_temperature)


def cold_factor(cold_air: Kelvin) -> Number:
    """How many times the resistance at 25 °C cells have at the temperature of the air; 1 where it is warmer.

    Twice as much for each 25 K of cold (common practice, no source). Validity: −20 to 25 °C, cells as cold as the air.

    Source: [method-power] #cold
    """
    return 2.0 ** (np.maximum(298.15 - cold_air, 0.0) / 25.0)


def minutes_factor(chemistry: str) -> Number:
    """How many times their ten-second resistance cells show after minutes of a heavy load.

    Validity: LFP as found while charging, other kinds as one NMC set while discharged at 0.2C to 2C.

    Source: [pybamm] SPMe, Prada2013 1.15; Chen2020 1.6, its discharges in [method-power] #loaded
    """
    return 1.15 if chemistry == "lfp" else 1.6


def cold_resistance(
    series: Number, parallel: Number, cell_resistance: Ohm, pack_lead_resistance: Ohm, cold_factor: Number
) -> Ohm:
    """Resistance between the pack's terminals with cells as cold as the air, ohm.

    Source: [method-power] #cold
    """
    return pack_resistance(series, parallel, cell_resistance * cold_factor, pack_lead_resistance)


def cell_current(greatest_pack_current: Ampere, parallel: Number) -> Ampere:
    """Current of one cell at the most that is asked of the pack, A.

    Source: [method] #pack
    """
    return greatest_pack_current / parallel


def pack_share(packs_parallel: Number, pack_mismatch: Number) -> Fraction:
    """Share of the current that the best of several packs side by side gives: 1/(1 + (n − 1)/times).

    Source: [method-power] #joining
    """
    return 1.0 / (1.0 + (packs_parallel - 1.0) / pack_mismatch)


def one_pack_current(greatest_pack_current: Ampere, pack_share: Fraction) -> Ampere:
    """Most current of one pack among those side by side, A: what its own protection sees.

    Source: [method-power] #joining
    """
    return greatest_pack_current * pack_share


def pack_mass(series: Number, parallel: Number, cell_mass: Kilogram) -> Kilogram:
    """Mass of the cells, kg; case, links and protection come on top.

    Source: [method] #pack
    """
    return series * parallel * cell_mass


def pack_cost(series: Number, parallel: Number, cell_cost: Number) -> Number:
    """Price of the cells, in the money that one was entered in.

    Source: [method] #pack
    """
    return series * parallel * cell_cost


def open_circuit_voltage(chemistry: str, series: Number, state_of_charge: Fraction) -> Volt:
    """Rested voltage of the pack at a state of charge (0..1), V.

    Source: [method] #pack
    """
    return series * cells.open_circuit_voltage(chemistry, state_of_charge)


def pack_energy(chemistry: str, series: Number, pack_capacity: Coulomb) -> Joule:
    """Energy from full to empty at a small current, J: charge times the mean open-circuit voltage.

    Validity: about 25 °C; within 2 % of label voltage times capacity.

    Source: [method] #pack
    """
    return series * pack_capacity * cells.voltage_above(chemistry, 0.0)


def usable_energy(chemistry: str, series: Number, pack_capacity: Coulomb, reserve_charge: Fraction) -> Joule:
    """Energy from full down to `reserve_charge`, J, before the loss in the pack's own resistance.

    Source: [method] #pack
    """
    return series * pack_capacity * cells.voltage_above(chemistry, reserve_charge)


def loaded_voltage(open_circuit_voltage: Volt, battery_current: Ampere, pack_resistance: Ohm) -> Volt:
    """Voltage at the pack's terminals under a current, V; never below zero.

    Validity: the resistance after some seconds of load; cold doubles it (common practice, no source).

    Source: [method] #pack
    """
    return np.maximum(open_circuit_voltage - battery_current * pack_resistance, 0.0)


def battery_current(electrical_power: Watt, open_circuit_voltage: Volt, pack_resistance: Ohm) -> Ampere:
    """Current that gives `electrical_power` at the terminals of a sagging pack, A (closed form).

    (U − I·R)·I = P, the smaller root. A power that the pack cannot give at all yields the current of its
    greatest power, U/2R.

    Source: [method] #pack
    """
    root = np.sqrt(
        np.maximum(np.square(open_circuit_voltage) - 4.0 * electrical_power * pack_resistance, 0.0)
    )
    asked = 2.0 * electrical_power / (open_circuit_voltage + root)
    most = open_circuit_voltage / (2.0 * np.maximum(pack_resistance, 1e-9))
    return np.minimum(asked, most)
