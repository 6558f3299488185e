"""Torque at speed under the limits of supply, controller and pack."""

from __future__ import annotations

import numpy as np

from calc.drive.sixstep import LEAST_RESISTANCE, LEAST_SUPPLY, full_duty
from calc.drive.standing import torque_constant
from calc.quantities import Ampere, EmfConstant, Henry, Nm, Number, Ohm, Radian, RadianPerSecond, Volt

_PEAKS = 0.2
_CORNER = 8.0
"""How the current limit rounds the corner to full duty: a phase's highest current passes its flat-top
equivalent by up to this share when diodes conduct all the time, and the limit is felt before it is reached.
Both chosen on the solution in time, to lean low (docs/method.md, "Torque at speed")."""


def no_load_speed(emf_constant: EmfConstant, supply_voltage: Volt) -> RadianPerSecond:
    """Speed where six-step torque vanishes, rad/s, before friction: sensors right, little inductance.

    Peak line-line EMF is then 1.045 times the supply. Early sensors raise it, late ones lower it.

    Source: [method] #torque-at-speed
    """
    per_volt = 3.0 / np.pi / (0.5 + 3.0 * np.sqrt(3.0) / (4.0 * np.pi))
    return per_volt * supply_voltage / (np.sqrt(2.0) * emf_constant)


def torque_by_battery_limit(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    supply_voltage: Volt,
    bus_current_limit: Ampere,
    alignment_error: Radian,
) -> Nm:
    """Size of the mean torque that the battery limit allows, N·m: U·I_bus = T·ω + I²·R with T = K·|cos ε|·I.

    Validity: flat-top current; 4 % where the phase limit holds its current, up to 16 % low for sensors 30°
    early. Where voltage holds it the other limit is the lesser.

    Source: [method] #torque-at-speed
    """
    constant = torque_constant(emf_constant) * np.abs(np.cos(alignment_error))
    power = np.maximum(supply_voltage, LEAST_SUPPLY) * bus_current_limit
    resistance = np.maximum(line_resistance, LEAST_RESISTANCE)
    back = constant * motor_speed
    return constant * 2.0 * power / (back + np.sqrt(np.square(back) + 4.0 * resistance * power))


def torque_by_phase_limit(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    alignment_error: Radian,
) -> Nm:
    """Mean torque at full throttle under the phase current limit, N·m, whatever the pack allows.

    Between standstill and full duty the current's lag behind the EMF is taken to grow from ε in step with the
    current, as the time that commutation takes does: T = K·I·cos(ε + (lag at full duty − ε)·x).

    Source: [method] #torque-at-speed
    """
    unlimited, lag, share = full_duty(
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        alignment_error,
    )
    ratio = phase_current_limit / np.maximum(unlimited, 1e-9)
    current = phase_current_limit / (1.0 + ratio**_CORNER) ** (1.0 / _CORNER)
    x = np.minimum(ratio / (1.0 + _PEAKS * share), 1.0)
    extra = np.mod(lag - alignment_error + np.pi, 2.0 * np.pi) - np.pi
    return torque_constant(emf_constant) * current * np.cos(alignment_error + extra * x)


def torque_at_speed(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
    alignment_error: Radian,
) -> Nm:
    """Mean torque at full throttle at `motor_speed`, N·m, friction not taken off: the lesser of two limits.

    `line_resistance` as hot as it is, `supply_voltage` stiff. Validity: standstill to no-load speed;
    sinusoidal EMF; inductance the same at every rotor position. Against a solution in time over 1500
    machines (docs/method.md): −12 % to +10 % for sensors right or up to 30° early; −12 % to +11 % at 15°
    late, +25 % near no-load speed; at 30° late it may read as little as a quarter of the truth.

    Source: [method] #torque-at-speed
    """
    by_phase = torque_by_phase_limit(
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        phase_current_limit,
        alignment_error,
    )
    by_battery = torque_by_battery_limit(
        motor_speed, emf_constant, line_resistance, supply_voltage, bus_current_limit, alignment_error
    )
    return np.minimum(by_phase, by_battery)
