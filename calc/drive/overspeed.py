"""Volts that an energised field makes downhill: against the pack, the controller and the limits of touch voltage."""

from __future__ import annotations

import numpy as np

from calc.machine.copper import REFERENCE_TEMPERATURE, hot_resistance
from calc.quantities import (
    Ampere,
    EmfConstant,
    Farad,
    Fraction,
    Henry,
    Kelvin,
    MetrePerSecond,
    Nm,
    Number,
    RadianPerSecond,
    Volt,
    Watt,
)

FASTER = 1.5
"""How much faster than wished it is taken to run downhill where nobody says (common practice, no source)."""
ACROSS = 1.3
"""Most inductance across the poles over that along them, as far as it was worked out (common practice, no source)."""
TOUCH_AC = 30.0
"""Limit of touch voltage, V ac rms: UN R100, ISO 6469-4 (reference read in the regulation)."""


_PULSES = 27.0 / (16.0 * np.pi)
_RATIOS = np.array([1.05, 1.064, 1.08, 1.1, 1.15, 1.2, 1.3, 1.4, 1.8])
_NUMBERS = np.array([0.0057, 0.016, 0.031, 0.051, 0.105, 0.163, 0.285, 0.41, 0.784])
"""Power times ω·L over U² of a bridge of six diodes, up to 1.4 a tenth more than it was without resistance followed in
time; the last is the formula's, 7 % more."""


def usual_descent(road_speed: MetrePerSecond) -> MetrePerSecond:
    """Speed downhill where none is entered, m/s: half as fast again as wished (common practice, no source).

    Unbraked, 8 % of slope pull a cart to several times that; brakes have to hold it.

    Source: [method-drive] #overspeed
    """
    return FASTER * road_speed


def cold_share(field_temperature: Kelvin, cold_air: Kelvin) -> Number:
    """How many times the working field current a cold coil takes at the same volts: as cold as the coldest day, 20 °C
    at most.

    Source: [method-drive] #overspeed
    """
    cold = hot_resistance(1.0, np.minimum(cold_air, REFERENCE_TEMPERATURE))
    return np.maximum(hot_resistance(1.0, field_temperature) / cold, 1.0)


def held_share(field_supply_holds: str, field_temperature: Kelvin, cold_air: Kelvin) -> Number:
    """The same where somebody says what the supply holds: one that holds the current gives the working one, cold too.

    Source: [method-drive] #overspeed
    """
    return 1.0 if field_supply_holds == "current" else cold_share(field_temperature, cold_air)


def full_field_constant(emf_constant: EmfConstant, cold_share: Number) -> EmfConstant:
    """EMF constant with the coil cold, V·s/rad: in proportion to the current, which iron never exceeds.

    Source: [method-drive] #overspeed
    """
    return emf_constant * cold_share


def full_field_inductance(line_inductance: Henry, leakage_share: Fraction, cold_share: Number) -> Henry:
    """The least inductance that the machine can have with the coil cold, H between two leads: leakage stays, the rest
    falls as if the extra field current made no flux at all.

    Source: [method-drive] #overspeed
    """
    return line_inductance * (leakage_share + (1.0 - leakage_share) / cold_share)


def peak_emf(motor_speed: RadianPerSecond, full_field_constant: EmfConstant) -> Volt:
    """Peak between two leads, V: √2 times the rms.

    Source: [method-drive] #overspeed
    """
    return np.sqrt(2.0) * full_field_constant * motor_speed


def speed_at_peak(volts: Volt, full_field_constant: EmfConstant) -> RadianPerSecond:
    """Speed of the machine at which the peak between two leads reaches `volts`, rad/s.

    Source: [method-drive] #overspeed
    """
    return volts / (np.sqrt(2.0) * full_field_constant)


def bridge_power(
    motor_speed: RadianPerSecond,
    full_field_constant: EmfConstant,
    line_inductance: Henry,
    pole_pairs: Number,
    pack_voltage: Volt,
) -> Watt:
    """Power that the controller's diodes put into a pack of `pack_voltage`, W: 3·U·√(V² − 4U²/π²)/(π·ω·L).

    V the peak of a phase, L per phase of the equivalent star, ω electrical. Validity: current that flows all the time,
    from 1.8 times the charging speed on within 7 %; resistance left out.

    Source: [diode-bridge] page 655, as quoted
    """
    phase = np.sqrt(2.0 / 3.0) * full_field_constant * motor_speed
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-9)
    under = np.maximum(phase**2 - 4.0 * pack_voltage**2 / np.pi**2, 0.0)
    return 3.0 * pack_voltage * np.sqrt(under) / (np.pi * reactance)


def charging_power(
    motor_speed: RadianPerSecond,
    full_field_constant: EmfConstant,
    line_inductance: Henry,
    pole_pairs: Number,
    pack_voltage: Volt,
) -> Watt:
    """Power that the controller's diodes put into a pack of `pack_voltage`, W, from the charging speed on.

    Without resistance it is U²/(ω·L) times a number that goes with the peak between leads over U alone: that of pulses
    up to 1.05, of the bridge followed in time up to 1.4, of `bridge_power` from 1.8 on, straight lines between. Leans
    high.

    Source: [method-drive] #overspeed
    """
    ratio = peak_emf(motor_speed, full_field_constant) / np.maximum(pack_voltage, 1e-9)
    half = np.arccos(1.0 / np.maximum(ratio, 1.0))
    number = np.where(ratio < _RATIOS[0], _PULSES * half**4, np.interp(ratio, _RATIOS, _NUMBERS))
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-9)
    followed = number * pack_voltage**2 / reactance
    steady = bridge_power(motor_speed, full_field_constant, line_inductance, pole_pairs, pack_voltage)
    return np.where(ratio >= _RATIOS[-1], steady, followed)


def charging_current(bridge_power: Watt, pack_voltage: Volt) -> Ampere:
    """Current into the pack, A.

    Source: [diode-bridge] page 655, as quoted
    """
    return bridge_power / np.maximum(pack_voltage, 1e-6)


def stood_current(downhill_current: Ampere) -> Ampere:
    """What the pack stands, A, no less than a milliampere: a share of nothing can't be told.

    Source: [method-drive] #overspeed
    """
    return np.maximum(downhill_current, 1e-3)


def opened_voltage(
    pack_voltage: Volt, line_inductance: Henry, phase_current_limit: Ampere, bus_capacitance: Farad
) -> Volt:
    """Bus volts after the pack opened at the full current and the controller let go, V: √(U² + 1.3·L·I²/C).

    The two phases that carry the current hold ½·L·I², L between two leads; their diodes put it into the capacitors.
    Across the poles L may be 1.3 times what is known. Validity: the EMF under the bus; what the winding's resistance
    takes meanwhile left out: an upper bound.

    Source: [method-drive] #opened
    """
    return np.sqrt(pack_voltage**2 + ACROSS * line_inductance * phase_current_limit**2 / bus_capacitance)


def braking_torque(bridge_power: Watt, motor_speed: RadianPerSecond) -> Nm:
    """Torque with which that holds back, N·m; it ends when the pack's protection opens, so it is no brake.

    Source: [method-drive] #overspeed
    """
    return bridge_power / np.maximum(motor_speed, 1e-6)
