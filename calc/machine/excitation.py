"""The field coil and its supply: current, power, ripple, switching off, heat standing still, which current pays."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from calc.errors import NoSolution
from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE, hot_resistance
from calc.machine.curve import Saturation
from calc.machine.emf import emf_at
from calc.machine.thermal_class import allowed_temperature
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Joule,
    Kelvin,
    Nm,
    Number,
    Ohm,
    RadianPerSecond,
    Real,
    Second,
    Volt,
    Watt,
)

NEVER = 2000.0
"""Temperature that stands for "no end to it", K."""
DIODE_DROP = 1.0
"""Volts across a conducting silicon diode at a few amperes (common practice, no source)."""
FIELD_RIPPLE = 0.05
"""Peak-to-peak ripple of the field current that does no harm, as a share of it (common practice, no source)."""
_TRIED = 401


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


def supply_share(
    field_supply_volts: Volt, field_supply_amps: Ampere, field_voltage_hot: Volt, field_current: Ampere
) -> Number:
    """What a supply gives of what the field asks with its coil hot, as a share: the lesser of volts and amps.

    Source: [method-machine] #field-supply
    """
    return np.minimum(field_supply_volts / field_voltage_hot, field_supply_amps / field_current)


def time_constant(field_inductance: Henry, field_resistance: Ohm, field_temperature: Kelvin) -> Second:
    """Time to 63 % of the field current after switching on, s: L/R with the coil at its temperature.

    Source: [method-machine] #field-supply
    """
    return field_inductance / hot_resistance(field_resistance, field_temperature)


def rise_time(time_constant: Second, start: Ampere, end: Ampere, share: float) -> Second:
    """Time from the field current `start` to `share` of `end` after the supply is set to `end` volts' worth, s.

    0 where `start` is there already. Validity: fixed volts; a supply that holds current with volts to spare is faster.

    Source: [method-machine] #field-supply
    """
    left = np.clip((end - start) / np.maximum(end * (1.0 - share), 1e-12), 1.0, None)
    return time_constant * np.log(left)


def flyback_energy(field_inductance: Henry, field_current: Ampere) -> Joule:
    """Energy that the coil gives back when its current is cut, J: ½·L·I².

    Source: [method-machine] #switching-off
    """
    return 0.5 * field_inductance * field_current * field_current


def decay_time(field_current: Ampere, resistance: Ohm, field_inductance: Henry, drop: Volt) -> Second:
    """Time until a twentieth of the field current is left, s, round a way of `resistance` and a fixed `drop`.

    L·di/dt = −R·i − drop, so t = L/R·ln((I + drop/R)/(I/20 + drop/R)).

    Source: [method-machine] #switching-off
    """
    fixed = drop / resistance
    return field_inductance / resistance * np.log((field_current + fixed) / (field_current / 20.0 + fixed))


def input_ripple(
    field_current: Ampere, least_voltage: Volt, greatest_voltage: Volt, voltage_min: Volt, voltage_full: Volt
) -> Ampere:
    """Most ripple current, rms, that the input capacitor of a chopping field supply sees, A: I·√(D·(1 − D)).

    D, coil volts over pack volts, anywhere from a cold coil on a full pack to a hot coil on an empty one.
    Validity: the coil's own ripple small, as its inductance makes it.

    Source: [method-machine] #field-supply
    """
    low = np.minimum(least_voltage / np.maximum(voltage_full, 1e-6), 1.0)
    high = np.minimum(greatest_voltage / np.maximum(voltage_min, 1e-6), 1.0)
    duty = np.clip(0.5, low, np.maximum(high, low))
    return field_current * np.sqrt(duty * (1.0 - duty))


def chopping_frequency(
    least_current: Ampere,
    least_voltage: Volt,
    greatest_voltage: Volt,
    voltage_full: Volt,
    field_inductance: Henry,
) -> Number:
    """Least switching frequency that keeps the coil's own ripple within FIELD_RIPPLE, Hz: most U·(1 − D)/(L·ΔI).

    U, the coil's volts, anywhere between a cold and a hot coil: U·(1 − D) is greatest at half the pack's volts.
    Validity: the inductance of switching on. Currents induced in solid claws hide much of it from a fast chopper.

    Source: [method-machine] #field-supply
    """
    full = np.maximum(voltage_full, 1e-6)
    worst = np.clip(full / 2.0, np.minimum(least_voltage, full), np.minimum(greatest_voltage, full))
    swing = FIELD_RIPPLE * np.maximum(least_current, 1e-6)
    return worst * (1.0 - worst / full) / (field_inductance * swing)


def standing_temperature(
    field_current: Ampere,
    field_resistance: Ohm,
    field_thermal_resistance: Number,
    ambient_temperature: Kelvin,
) -> Kelvin:
    """Temperature that the coil ends at with the rotor still and a held current, K: its watts grow with its own heat.

    T = Ta + Rth·I²·R20·(1 + α·(T − 20 °C)), solved for T; NEVER (2000 K) where there is no end to it.
    Validity: constant current; the brushes' heat goes elsewhere.

    Source: [method-machine] #standing-field
    """
    rise = field_thermal_resistance * field_current * field_current * field_resistance
    left = 1.0 - rise * COPPER_COEFFICIENT
    start = ambient_temperature + rise * (1.0 - COPPER_COEFFICIENT * REFERENCE_TEMPERATURE)
    return np.where(left > 0.05, np.minimum(start / np.maximum(left, 0.05), NEVER), NEVER)


def standing_temperature_at_volts(
    field_voltage: Volt,
    brush_drop: Volt,
    field_resistance: Ohm,
    field_thermal_resistance: Number,
    ambient_temperature: Kelvin,
) -> Kelvin:
    """Temperature that the coil ends at with the rotor still and fixed volts, K: its watts fall as it warms.

    With x = R/R20: x² − x_ambient·x = α·Rth·(V − brushes)²/R20, which always has one positive answer.

    Source: [method-machine] #standing-field
    """
    cold = 1.0 + COPPER_COEFFICIENT * (ambient_temperature - REFERENCE_TEMPERATURE)
    volts = np.maximum(field_voltage - brush_drop, 0.0)
    push = COPPER_COEFFICIENT * field_thermal_resistance * np.square(volts) / field_resistance
    ratio = (cold + np.sqrt(np.square(cold) + 4.0 * push)) / 2.0
    return np.minimum(REFERENCE_TEMPERATURE + (ratio - 1.0) / COPPER_COEFFICIENT, NEVER)


def standing_power(
    field_thermal_resistance: Number, ambient_temperature: Kelvin, insulation_class: str
) -> Watt:
    """Watts that the still rotor can lose for ever, without its fan, with its coil at what its class allows, W.

    Source: [iec60085] thermal classes; [method-machine] #standing-field
    """
    return (
        np.maximum(allowed_temperature(insulation_class) - ambient_temperature, 0.0)
        / field_thermal_resistance
    )


def standing_current(standing_power: Watt, field_resistance: Ohm, insulation_class: str) -> Ampere:
    """Field current that the coil stands for ever with the rotor still, A: where it ends at what its class allows.

    Source: [iec60085] thermal classes; [method-machine] #standing-field
    """
    return np.sqrt(standing_power / hot_resistance(field_resistance, allowed_temperature(insulation_class)))


def energy_per_hour(field_drain: Watt) -> Joule:
    """Energy that the field takes from the pack in an hour, J, moving or standing.

    Source: [method-machine] #field-supply
    """
    return field_drain * 3600.0


def reconnect_speed(emf_constant: EmfConstant, voltage_min: Volt) -> RadianPerSecond:
    """Speed where the EMF's peak reaches the volts of an empty pack, rad/s: above it no field may be switched on.

    Source: [method-machine] #switching-off
    """
    return voltage_min / (np.sqrt(2.0) * emf_constant)


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
    starts: Callable[[Any], Any],
    field_resistance: Ohm,
    field_temperature: Kelvin,
    brush_drop: Volt,
    field_supply_efficiency: Fraction,
    hot_line_resistance: Ohm,
) -> Ampere:
    """The tested field current with the least total loss for `torque`, A; the end of the range where it lies there.

    Only currents count of which `starts` says that the build starts with them. Raises NoSolution when it starts with
    none.

    Source: [method-machine] #worth-its-watts
    """
    given = (field_resistance, field_temperature, brush_drop, field_supply_efficiency, hot_line_resistance)
    lanes = np.broadcast(torque, *given).ndim
    currents = np.linspace(saturation.low, saturation.high, _TRIED).reshape(-1, *([1] * lanes))
    losses = total_loss(currents, torque, saturation, *given)
    losses = np.where(starts(currents), losses, np.inf)
    if not np.isfinite(losses).any():
        raise NoSolution(
            "With no field current that was tested does this build start with a fifth in hand, the current's pull on "
            "the sensors counted.",
            "Gear lower, take weight off, or test higher field currents, if the coil stands them.",
        )
    return np.linspace(saturation.low, saturation.high, _TRIED)[np.argmin(losses, axis=0)]
