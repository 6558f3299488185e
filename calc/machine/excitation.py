"""The field coil and its supply: current, power, heat standing still, and which current is worth its watts."""

from __future__ import annotations

import numpy as np

from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE, hot_resistance
from calc.machine.emf import Saturation, emf_at
from calc.quantities import Ampere, Fraction, Henry, Joule, Kelvin, Nm, Number, Ohm, Real, Second, Volt, Watt

NEVER = 2000.0
"""Temperature that stands for "no end to it", K."""
# Greatest temperature of an insulation class, K. Source: [iec60085] thermal classes
CLASS_LIMIT = {"A": 378.15, "E": 393.15, "B": 403.15, "F": 428.15, "H": 453.15}


def field_current(
    field_voltage: Volt, brush_drop: Volt, field_resistance: Ohm, field_temperature: Kelvin
) -> Ampere:
    """Field current, A: voltage on the brush leads less what the brushes lose, over the coil's hot resistance.

    Source: [method-machine] #field-supply
    """
    return np.maximum(field_voltage - brush_drop, 0.0) / hot_resistance(field_resistance, field_temperature)


def field_voltage_needed(
    field_current: Ampere, brush_drop: Volt, field_resistance: Ohm, field_temperature: Kelvin
) -> Volt:
    """Voltage on the brush leads that drives a field current through the coil at its temperature, V.

    Source: [method-machine] #field-supply
    """
    return field_current * hot_resistance(field_resistance, field_temperature) + brush_drop


def time_constant(field_inductance: Henry, field_resistance: Ohm, field_temperature: Kelvin) -> Second:
    """Time to 63 % of the field current after switching on, s: L/R with the coil at its temperature.

    Source: [method-machine] #field-supply
    """
    return field_inductance / hot_resistance(field_resistance, field_temperature)


def flyback_energy(field_inductance: Henry, field_current: Ampere) -> Joule:
    """Energy that the coil gives back when its current is cut, J: ½·L·I².

    Source: [method-machine] #field-supply
    """
    return 0.5 * field_inductance * field_current * field_current


def supply_rating(
    field_current: Ampere, field_resistance: Ohm, brush_drop: Volt, insulation_class: str
) -> Watt:
    """Power that the supply must be able to give, W: this current through a coil at its class's limit, and the brushes.

    Source: [method-machine] #field-supply
    """
    hottest = CLASS_LIMIT[insulation_class]
    return field_current * field_voltage_needed(field_current, brush_drop, field_resistance, hottest)


def energy_per_hour(field_drain: Watt) -> Joule:
    """Energy that the field takes from the pack in an hour, J, moving or standing.

    Source: [method-machine] #field-supply
    """
    return field_drain * 3600.0


def input_ripple(field_current: Ampere, field_voltage_needed: Volt, supply_voltage: Volt) -> Ampere:
    """Ripple current, rms, that the input capacitor of a chopping field supply must stand, A: I·√(D·(1−D)).

    D is coil voltage over supply voltage. Validity: the coil's own ripple small, as its inductance makes it.

    Source: [method-machine] #field-supply
    """
    duty = np.clip(field_voltage_needed / np.maximum(supply_voltage, 1e-6), 0.0, 1.0)
    return field_current * np.sqrt(duty * (1.0 - duty))


def standing_temperature(
    field_current: Ampere,
    field_resistance: Ohm,
    field_thermal_resistance: Number,
    ambient_temperature: Kelvin,
) -> Kelvin:
    """Temperature that the coil ends at with the rotor still, K: its watts grow with its own heat.

    T = Ta + Rth·I²·R20·(1 + α·(T − 20 °C)), solved for T; NEVER (2000 K) where there is no end to it.
    Validity: constant current; the brushes' heat goes elsewhere.

    Source: [method-machine] #standing-field
    """
    rise = field_thermal_resistance * field_current * field_current * field_resistance
    left = 1.0 - rise * COPPER_COEFFICIENT
    start = ambient_temperature + rise * (1.0 - COPPER_COEFFICIENT * REFERENCE_TEMPERATURE)
    return np.where(left > 0.05, np.minimum(start / np.maximum(left, 0.05), NEVER), NEVER)


def standing_current(
    field_resistance: Ohm,
    field_thermal_resistance: Number,
    ambient_temperature: Kelvin,
    insulation_class: str,
) -> Ampere:
    """Field current that the coil stands for ever with the rotor still, A: where it ends at its class's limit.

    Source: [iec60085] thermal classes; [method-machine] #standing-field
    """
    limit = CLASS_LIMIT[insulation_class]
    watts = np.maximum(limit - ambient_temperature, 0.0) / field_thermal_resistance
    return np.sqrt(watts / hot_resistance(field_resistance, limit))


def total_loss(
    field_current: Real,
    torque: Nm,
    saturation: Saturation,
    field_resistance: Ohm,
    field_temperature: Kelvin,
    brush_drop: Volt,
    field_supply_efficiency: Fraction,
    hot_line_resistance: Ohm,
) -> Watt:
    """Watts lost in field supply, field and stator copper while the machine makes `torque`, W.

    The stator's current is torque over the torque constant at that field; six-step loss is I² times the resistance
    between two leads. Iron, friction and switches are left out.

    Source: [method-machine] #worth-its-watts
    """
    constant = 3.0 / np.pi * np.sqrt(2.0) * emf_at(saturation, field_current)
    coil = field_current * field_voltage_needed(
        field_current, brush_drop, field_resistance, field_temperature
    )
    return coil / field_supply_efficiency + np.square(torque / constant) * hot_line_resistance


def best_field(
    torque: Nm,
    saturation: Saturation,
    field_resistance: Ohm,
    field_temperature: Kelvin,
    brush_drop: Volt,
    field_supply_efficiency: Fraction,
    hot_line_resistance: Ohm,
) -> Ampere:
    """The tested field current with the least total loss for `torque`, A; the end of the range where it lies there.

    Source: [method-machine] #worth-its-watts
    """
    currents = np.linspace(saturation.low, saturation.high, 401)
    losses = total_loss(
        currents,
        torque,
        saturation,
        field_resistance,
        field_temperature,
        brush_drop,
        field_supply_efficiency,
        hot_line_resistance,
    )
    return float(currents[int(np.argmin(losses))])
