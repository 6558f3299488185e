"""A ride as rows of steady going: what each takes from the cells, and the mean over them."""

from __future__ import annotations

from functools import reduce

import numpy as np

from calc.drive.correction import Correction, corrected_torque
from calc.machine.losses import drag_torque
from calc.power.pack import battery_current
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Kilogram,
    Metre,
    MetrePerSecond,
    Nm,
    Number,
    Ohm,
    Radian,
    SquareMetre,
    Volt,
    Watt,
)
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.ride import electrical_power, machine_torque
from calc.vehicle.road import road_load

Rows = tuple[tuple[MetrePerSecond, Fraction, Fraction], ...]
CLIMBING = 0.2


def usual_duty(road_speed: MetrePerSecond, climb_speed: MetrePerSecond, slope: Fraction) -> Rows:
    """The ride taken when none is entered: four fifths level at the wanted speed, one fifth up the steepest slope.

    Rows of (speed m/s, slope, share of the time). Common practice, no source: what goes up comes down, and the
    descent gives nothing back, so a level row stands for it on the safe side.

    Source: [method] #ride
    """
    return ((road_speed, 0.0, 1 - CLIMBING), (climb_speed, slope, CLIMBING))


def duty_powers(
    duty: Rows,
    duty_torques: tuple[Nm, ...],
    gear_ratio: Number,
    wheel_diameter: Metre,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    controller_efficiency: Fraction,
    field_power: Watt,
    idle_power: Watt,
    alignment_error: Radian,
    rested_voltage: Volt,
    pack_resistance: Ohm,
) -> tuple[Watt, ...]:
    """Power that the cells give in each row of `duty`, W, loss in the pack's own resistance included.

    `field_power` is what the field supply takes, `rested_voltage` the pack's at half charge.

    Source: [method] #ride
    """
    powers = []
    for (speed, _, _), torque in zip(duty, duty_torques, strict=True):
        drawn = electrical_power(
            torque,
            motor_speed_at(speed, gear_ratio, wheel_diameter),
            emf_constant,
            line_resistance,
            controller_efficiency,
            field_power,
            idle_power,
            alignment_error,
        )
        powers.append(battery_current(drawn, rested_voltage, pack_resistance) * rested_voltage)
    return tuple(powers)


def duty_torques(
    duty: Rows,
    duty_rolling: tuple[Number, ...],
    total_mass: Kilogram,
    drag_area: SquareMetre,
    gear_ratio: Number,
    wheel_diameter: Metre,
    drive_efficiency: Fraction,
    friction_torque: Nm,
    iron_share: Fraction,
) -> tuple[Nm, ...]:
    """Torque that the machine has to make in each row of `duty`, N·m, its own drag included.

    `duty_rolling`: the rolling coefficient in each row.

    Source: [method] #ride
    """
    return tuple(
        machine_torque(
            road_load(total_mass, slope, rolling, drag_area, speed),
            gear_ratio,
            wheel_diameter,
            drive_efficiency,
            drag_torque(friction_torque, iron_share, motor_speed_at(speed, gear_ratio, wheel_diameter)),
        )
        for (speed, slope, _), rolling in zip(duty, duty_rolling, strict=True)
    )


def same_rolling(duty: Rows, rolling_coefficient: Number) -> tuple[Number, ...]:
    """The rolling coefficient in each row of `duty`: the sheet's own in all of them.

    Source: [method] #ride
    """
    return (rolling_coefficient,) * len(duty)


def duty_reach(
    duty: Rows,
    duty_torques: tuple[Nm, ...],
    gear_ratio: Number,
    wheel_diameter: Metre,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
    alignment_error: Radian,
    correction: Correction,
) -> tuple[Number, ...]:
    """What full throttle gives in each row of `duty`, as a share of the torque needed there; at most 100.

    Below 1 the row can't be ridden at that speed.

    Source: [method] #ride
    """
    given = (gear_ratio, wheel_diameter, emf_constant, line_resistance, line_inductance, pole_pairs)
    limits = (supply_voltage, phase_current_limit, bus_current_limit, alignment_error)
    rows = np.array(np.broadcast_arrays(*(speed for speed, _, _ in duty)))  # all of them in one call
    depth = max(np.ndim(value) for value in (*given, *limits, rows[0]))
    speeds = rows.reshape(len(rows), *[1] * (depth - rows[0].ndim), *rows[0].shape)
    full = corrected_torque(motor_speed_at(speeds, *given[:2]), *given[2:], *limits, correction)
    return tuple(
        np.clip(there / np.maximum(torque, 1e-6), -100.0, 100.0)
        for there, torque in zip(np.asarray(full), duty_torques, strict=True)
    )


def duty_mean(values: tuple[Number, ...], duty: Rows) -> Number:
    """Mean of one value for each row of `duty`, weighted with its share of the time (shares need not add to 1).

    Source: [method] #ride
    """
    total = sum(share for _, _, share in duty)
    mean: Number = sum(value * share for value, (_, _, share) in zip(values, duty, strict=True)) / np.maximum(
        total, 1e-9
    )
    return mean


def duty_speed(duty: Rows) -> MetrePerSecond:
    """Mean speed of the ride, m/s.

    Source: [method] #ride
    """
    return duty_mean(tuple(speed for speed, _, _ in duty), duty)


def least_reach(duty_reach: tuple[Number, ...]) -> Number:
    """The share of the torque needed that is there in the hardest row of a ride.

    Source: [method] #ride
    """
    return reduce(np.minimum, duty_reach)


def whole() -> Number:
    """All of what is needed: the other side of `least_reach`.

    Source: [method] #ride
    """
    return 1.0
