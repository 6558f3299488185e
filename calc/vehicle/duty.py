"""A ride as rows of steady going: what each takes from the cells, and the mean over them."""

from __future__ import annotations

import numpy as np

from calc.power.pack import battery_current
from calc.quantities import (
    EmfConstant,
    Fraction,
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
    total_mass: Kilogram,
    rolling_coefficient: Number,
    drag_area: SquareMetre,
    gear_ratio: Number,
    wheel_diameter: Metre,
    drive_efficiency: Fraction,
    friction_torque: Nm,
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

    `rested_voltage` is the pack's at half charge.

    Source: [method] #ride
    """
    powers = []
    for speed, slope, _ in duty:
        force = road_load(total_mass, slope, rolling_coefficient, drag_area, speed)
        torque = machine_torque(force, gear_ratio, wheel_diameter, drive_efficiency, friction_torque)
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
