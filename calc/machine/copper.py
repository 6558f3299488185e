"""Copper: resistance when hot, and what the field costs."""

from __future__ import annotations

import numpy as np

from calc.errors import NoSolution
from calc.quantities import Ampere, Fraction, Kelvin, Ohm, Volt, Watt

COPPER_COEFFICIENT = 0.00393
"""Rise of copper's resistance per kelvin, from its value at 20 °C. Source: [nbs100] annealed copper, 20 °C"""
REFERENCE_TEMPERATURE = 293.15
"""Temperature that resistances are stated at, K (20 °C)."""


def hot_resistance(resistance: Ohm, temperature: Kelvin) -> Ohm:
    """Resistance of a copper winding at `temperature`, ohm, from its `resistance` at 20 °C.

    Validity: −50 to 250 °C (below absolute-zero resistance, about −234 °C, it would be meaningless).

    Source: [nbs100] temperature coefficient at 20 °C, 0.00393 per kelvin
    """
    return resistance * (1.0 + COPPER_COEFFICIENT * (temperature - REFERENCE_TEMPERATURE))


def cold_resistance(resistance: Ohm, cold_air: Kelvin) -> Ohm:
    """Least resistance that a copper winding has at a start, ohm, from its `resistance` at 20 °C: as cold as the
    coldest day, 20 °C at most.

    Source: [method-drive] #strongest
    """
    return hot_resistance(resistance, np.minimum(cold_air, REFERENCE_TEMPERATURE))


def temperature_by_resistance(hot_resistance: Ohm, resistance: Ohm) -> Kelvin:
    """Temperature of a copper winding, K, from its `hot_resistance` and its `resistance` at 20 °C.

    The resistance-rise method, `hot_resistance` turned round: 234.45 °C where a standard's constant is 234.5 °C.
    Raises NoSolution when the middle of the two can't be of one winding (below −50 °C or above 250 °C).

    Source: [nbs100] temperature coefficient at 20 °C, 0.00393 per kelvin
    """
    temperature = REFERENCE_TEMPERATURE + (hot_resistance / resistance - 1.0) / COPPER_COEFFICIENT
    middle = float(np.mean(temperature)) - 273.15
    if not -50.0 <= middle <= 250.0:
        raise NoSolution(
            f"{float(np.mean(hot_resistance)):.3g} Ω hot against {float(np.mean(resistance)):.3g} Ω at 20 °C would "
            f"mean {middle:.0f} °C: these are not two readings of one coil.",
            "Measure both again on the slip rings, the cold one with the rotor as cold as the air.",
        )
    return temperature


def field_power(
    field_current: Ampere, field_resistance: Ohm, field_temperature: Kelvin, brush_drop: Volt
) -> Watt:
    """Power that the field takes, W, at its temperature: in the coil (`field_resistance` at 20 °C) and in the brushes.

    Validity: steady current; the supply's own loss comes on top.

    Source: [method] #field
    """
    return field_current * (field_current * hot_resistance(field_resistance, field_temperature) + brush_drop)


def field_drain(field_power: Watt, field_supply_efficiency: Fraction) -> Watt:
    """Power that the field supply takes from the pack, W.

    A resistor from the pack is a supply too, of an efficiency as low as coil voltage over pack voltage.

    Source: [method] #field
    """
    return field_power / field_supply_efficiency
