"""Volts that an energised field makes downhill: against the pack, the controller and the limits of touch voltage."""

from __future__ import annotations

import numpy as np

from calc.machine.copper import hot_resistance
from calc.quantities import (
    Ampere,
    EmfConstant,
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
TOUCH_AC = 30.0
"""Limit of touch voltage, V ac rms: UN R100, ISO 6469-4 (reference read in the regulation)."""


def usual_descent(road_speed: MetrePerSecond) -> MetrePerSecond:
    """Speed downhill where none is entered, m/s: half as fast again as wished (common practice, no source).

    Unbraked, 8 % of slope pull a cart to several times that; brakes have to hold it.

    Source: [method-drive] #overspeed
    """
    return FASTER * road_speed


def full_field_constant(emf_constant: EmfConstant, field_temperature: Kelvin) -> EmfConstant:
    """EMF constant with the coil cold, V·s/rad: at the same volts a cold coil takes more current than a warm one.

    Taken in proportion to the current, which iron never exceeds: an upper bound. A supply that holds the current gives
    no more than the present constant.

    Source: [method-drive] #overspeed
    """
    return emf_constant * np.maximum(hot_resistance(1.0, field_temperature), 1.0)


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

    V the peak of a phase, L per phase of the equivalent star, ω electrical. Validity: current flows all the time, which
    it does from 1.1 times the charging speed on (below, little flows); resistance left out: an upper bound.

    Source: [diode-bridge] page 655, as quoted
    """
    phase = np.sqrt(2.0 / 3.0) * full_field_constant * motor_speed
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-9)
    under = np.maximum(phase**2 - 4.0 * pack_voltage**2 / np.pi**2, 0.0)
    return 3.0 * pack_voltage * np.sqrt(under) / (np.pi * reactance)


def charging_current(bridge_power: Watt, pack_voltage: Volt) -> Ampere:
    """Current into the pack, A.

    Source: [diode-bridge] page 655, as quoted
    """
    return bridge_power / np.maximum(pack_voltage, 1e-6)


def braking_torque(bridge_power: Watt, motor_speed: RadianPerSecond) -> Nm:
    """Torque with which that holds back, N·m; it ends when the pack's protection opens, so it is no brake.

    Source: [method-drive] #overspeed
    """
    return bridge_power / np.maximum(motor_speed, 1e-6)
