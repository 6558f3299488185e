"""What steady riding takes from the pack, and how fast it can go."""

from __future__ import annotations

import numpy as np

from calc.drive.standing import torque_constant
from calc.drive.torque import torque_at_speed
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Joule,
    JoulePerMetre,
    Kilogram,
    Metre,
    MetrePerSecond,
    Newton,
    Nm,
    Number,
    Ohm,
    Radian,
    RadianPerSecond,
    Second,
    SquareMetre,
    Volt,
    Watt,
)
from calc.vehicle.gearing import wheel_force
from calc.vehicle.road import road_load

_SLOWEST = 0.01
_LEAST_COSINE = 0.1


def machine_torque(
    force: Newton, gear_ratio: Number, wheel_diameter: Metre, drive_efficiency: Fraction, friction_torque: Nm
) -> Nm:
    """Torque that the machine makes for a steady rim `force`, N·m, its own friction included.

    Uphill the drive's loss is added, downhill it helps to hold back. Never negative: a descent gives nothing
    back, brakes take the rest.

    Source: [method] #ride
    """
    lever = wheel_diameter / (2.0 * gear_ratio)
    at_sprocket = np.where(
        np.asarray(force) > 0.0, force * lever / drive_efficiency, force * lever * drive_efficiency
    )
    return np.maximum(at_sprocket + friction_torque, 0.0)


def line_current(torque: Nm, emf_constant: EmfConstant, alignment_error: Radian = 0.0) -> Ampere:
    """Flat-top line current that makes a mean `torque`, A.

    Validity: |alignment_error| below 84°; beyond it the cosine is held at 0.1.

    Source: [method] #six-step-torque
    """
    return torque / (torque_constant(emf_constant) * np.maximum(np.cos(alignment_error), _LEAST_COSINE))


def electrical_power(
    torque: Nm,
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    controller_efficiency: Fraction,
    field_power: Watt,
    idle_power: Watt,
    alignment_error: Radian = 0.0,
) -> Watt:
    """Power from the pack at a steady `torque` of the machine (friction included) and speed, W.

    (T·ω + I²·R) / controller efficiency + field + electronics. Two phases in series carry the current at any
    moment, so copper takes I²·line_resistance. Iron is in friction_torque.

    Source: [method] #ride
    """
    current = line_current(torque, emf_constant, alignment_error)
    machine = torque * motor_speed + current * current * line_resistance
    return machine / controller_efficiency + field_power + idle_power


def mean_over(values: Number, shares: Number) -> Number:
    """Mean of `values` over rows of riding (leading axis), each weighted with its share of the time.

    Source: [method] #ride
    """
    weights = np.asarray(shares, dtype=float)
    rows = np.asarray(values, dtype=float)
    return np.tensordot(weights, rows, axes=(0, 0)) / weights.sum()


def energy_per_distance(mean_power: Watt, mean_speed: MetrePerSecond) -> JoulePerMetre:
    """Energy per distance, J/m (1 J/m = 1/3600 Wh/m); slower than 0.01 m/s counts as that.

    Source: [method] #ride
    """
    return mean_power / np.maximum(mean_speed, _SLOWEST)


def run_time(usable_energy: Joule, mean_power: Watt) -> Second:
    """Riding time on the usable energy, s; `mean_power` is what the cells give, loss in the pack included.

    Source: [method] #ride
    """
    return usable_energy / np.maximum(mean_power, 1e-3)


def ride_range(run_time: Second, mean_speed: MetrePerSecond) -> Metre:
    """Distance on the usable energy, m.

    Source: [method] #ride
    """
    return run_time * mean_speed


def field_share(field_power: Watt, mean_power: Watt) -> Fraction:
    """Share of the mean power that goes into the field, 0..1.

    Source: [method] #ride
    """
    return field_power / np.maximum(mean_power, 1e-3)


def top_speed(
    total_mass: Kilogram,
    slope: Fraction,
    rolling_coefficient: Number,
    drag_area: SquareMetre,
    gear_ratio: Number,
    wheel_diameter: Metre,
    drive_efficiency: Fraction,
    friction_torque: Nm,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    battery_current_limit: Ampere,
    alignment_error: Radian = 0.0,
) -> MetrePerSecond:
    """Speed at which full-throttle torque still holds the road load on `slope`, m/s; 0 when it cannot move.

    Halved 16 times between standstill and twice the speed at which EMF meets supply, so good to 2⁻¹⁶ of that.
    Bound: on a descent steep enough to pull it faster, the upper end is given.

    Source: [method] #ride
    """
    fastest = 2.0 * supply_voltage / (np.sqrt(2.0) * emf_constant)

    def surplus(motor_speed: RadianPerSecond) -> Newton:
        torque = torque_at_speed(
            motor_speed,
            emf_constant,
            line_resistance,
            line_inductance,
            pole_pairs,
            supply_voltage,
            phase_current_limit,
            battery_current_limit,
            alignment_error,
        )
        speed = motor_speed / gear_ratio * wheel_diameter / 2.0
        driven = wheel_force(torque - friction_torque, gear_ratio, wheel_diameter, drive_efficiency)
        return driven - road_load(total_mass, slope, rolling_coefficient, drag_area, speed)

    low = np.zeros(np.broadcast(surplus(0.0 * fastest)).shape)
    high = low + fastest
    for _ in range(16):
        middle = (low + high) / 2.0
        moves = surplus(middle) >= 0.0
        low = np.where(moves, middle, low)
        high = np.where(moves, high, middle)
    starts = surplus(0.0 * fastest) >= 0.0
    return np.where(starts, low / gear_ratio * wheel_diameter / 2.0, 0.0)
