"""How fast the motor runs by itself: what tells sensors that switch early from those that switch late."""

from __future__ import annotations

import numpy as np

from calc.drive.bracket import first_crossing
from calc.drive.sixstep import full_duty
from calc.drive.standing import torque_constant
from calc.drive.torque import no_load_speed
from calc.quantities import EmfConstant, Henry, Nm, Number, Ohm, Radian, RadianPerSecond, Real, Volt

_FASTEST = 2.5


def unloaded_torque(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    alignment_error: Radian,
) -> Nm:
    """Mean torque at full duty with no limit on current, N·m, friction not taken off.

    Validity as in `sixstep.full_duty`: diodes that conduct while a phase floats are left out.

    Source: [method-machine] #early-late
    """
    current, lag, _ = full_duty(
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        alignment_error,
    )
    return torque_constant(emf_constant) * current * np.cos(lag)


def unloaded_speed(
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    friction_torque: Nm,
    alignment_error: Radian,
) -> RadianPerSecond:
    """Speed at which full throttle turns nothing but the machine's own friction, rad/s.

    Validity: the current limits don't matter there. Against the solution in time for the demo machine: 6 % high at
    30° early, 1 % at 30° late (docs/method-machine.md).

    Source: [method-machine] #early-late
    """
    top = _FASTEST * no_load_speed(emf_constant, supply_voltage) + 0.0 * np.asarray(alignment_error)

    def left(motor_speed: Real) -> Real:
        return (
            unloaded_torque(
                motor_speed,
                emf_constant,
                line_resistance,
                line_inductance,
                pole_pairs,
                supply_voltage,
                alignment_error,
            )
            - friction_torque
        )

    return first_crossing(left, 1e-3 * top, top)


def early_and_late(
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    friction_torque: Nm,
) -> RadianPerSecond:
    """`unloaded_speed` with sensors 30° early and 30° late, rad/s, one after the other on a leading axis.

    Source: [method-machine] #early-late
    """
    given = (emf_constant, line_resistance, line_inductance, pole_pairs, supply_voltage, friction_torque)
    lanes = max(np.ndim(value) for value in given)
    error = np.array([-np.pi / 6.0, np.pi / 6.0]).reshape((2,) + (1,) * lanes)
    return unloaded_speed(*given, error)
