"""Torque at speed: an honest estimate from the fundamental wave, inductance included."""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, EmfConstant, Henry, Nm, Number, Ohm, Radian, RadianPerSecond, Volt

_LEAST_RESISTANCE = 1.0e-6
_GATED = np.sqrt(3.0) / np.pi
"""Fundamental of a phase's voltage per volt of supply, switched for 120° of each half turn."""
_FLOATING = 0.5 * (1.0 - 3.0 * np.sqrt(3.0) / (2.0 * np.pi))
"""Fundamental, per volt of phase EMF, of the voltage of a phase left floating for 60° about its zero."""


def no_load_speed(emf_constant: EmfConstant, supply_voltage: Volt) -> RadianPerSecond:
    """Speed where six-step torque vanishes, rad/s, sensors right, before friction.

    1.045 times supply over peak line-line EMF per rad/s, exact for small inductance.

    Source: [method] #torque-at-speed
    """
    peak_phase = np.sqrt(2.0 / 3.0) * emf_constant
    return _GATED * supply_voltage / ((1.0 - _FLOATING) * peak_phase)


def torque_by_phase_limit(
    emf_constant: EmfConstant, phase_current_limit: Ampere, alignment_error: Radian
) -> Nm:
    """Mean torque at the phase current limit, N·m.

    Source: [method] #six-step-torque
    """
    return 3.0 / np.pi * np.sqrt(2.0) * emf_constant * np.cos(alignment_error) * phase_current_limit


def torque_by_battery_limit(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    supply_voltage: Volt,
    battery_current_limit: Ampere,
    alignment_error: Radian,
) -> Nm:
    """Mean torque that the battery current limit allows, N·m: U·I_b = T·ω + I²·R, T = K·cos ε·I.

    Source: [method] #torque-at-speed
    """
    constant = 3.0 / np.pi * np.sqrt(2.0) * emf_constant * np.cos(alignment_error)
    power = supply_voltage * battery_current_limit
    resistance = np.maximum(line_resistance, _LEAST_RESISTANCE)
    back = constant * motor_speed
    current = 2.0 * power / (back + np.sqrt(np.square(back) + 4.0 * resistance * power))
    return constant * current


def torque_by_voltage(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    alignment_error: Radian,
) -> Nm:
    """Mean torque at full duty with no current limit, N·m, from the fundamental wave.

    Source: [method] #torque-at-speed
    """
    resistance = np.maximum(line_resistance, _LEAST_RESISTANCE) / 2.0
    reactance = pole_pairs * motor_speed * line_inductance / 2.0
    flux = np.sqrt(2.0 / 3.0) * emf_constant
    along = _GATED * supply_voltage * np.cos(alignment_error) - (1.0 - _FLOATING) * flux * motor_speed
    across = -_GATED * supply_voltage * np.sin(alignment_error)
    size = np.square(resistance) + np.square(reactance)
    return 1.5 * flux * (along * resistance + across * reactance) / size


def torque_at_speed(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    battery_current_limit: Ampere,
    alignment_error: Radian,
) -> Nm:
    """Mean torque at full throttle at `motor_speed`, N·m, friction not taken off.

    The least of the torque at the phase limit, at the battery limit and by voltage.

    Source: [method] #torque-at-speed
    """
    by_phase = torque_by_phase_limit(emf_constant, phase_current_limit, alignment_error)
    by_battery = torque_by_battery_limit(
        motor_speed, emf_constant, line_resistance, supply_voltage, battery_current_limit, alignment_error
    )
    by_voltage = torque_by_voltage(
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        alignment_error,
    )
    return np.minimum(np.minimum(by_phase, by_battery), by_voltage)
