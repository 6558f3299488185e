"""What steady riding takes from the pack, and how fast it can go."""

from __future__ import annotations

import numpy as np

from calc.drive.bracket import first_crossing
from calc.drive.controller import drawn
from calc.drive.correction import Correction, corrected_torque
from calc.drive.standing import torque_constant
from calc.machine.losses import drag_torque
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
from calc.vehicle.gearing import road_speed, wheel_force
from calc.vehicle.road import road_load

_SLOWEST = 0.01
_LEAST_COSINE = 0.1


def machine_torque(
    force: Newton, gear_ratio: Number, wheel_diameter: Metre, drive_efficiency: Fraction, drag: Nm
) -> Nm:
    """Torque that the machine makes for a steady rim `force`, N·m, its own `drag` (N·m) at that speed included.

    Uphill the drive's loss is added, downhill it helps to hold back. Never negative: a descent gives nothing
    back, brakes take the rest.

    Source: [method] #ride
    """
    lever = wheel_diameter / (2.0 * gear_ratio)
    gain = np.where(np.asarray(force) > 0.0, 1.0 / drive_efficiency, drive_efficiency)
    return np.maximum(force * lever * gain + drag, 0.0)


def line_current(torque: Nm, emf_constant: EmfConstant, alignment_error: Radian) -> Ampere:
    """Flat-top line current that makes a mean `torque`, A.

    The current's own pull on the sensors is left out: turning, the time that commutation takes makes up for it.
    Validity: turning; |alignment_error| below 84°, beyond it the cosine is held at 0.1.

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
    alignment_error: Radian,
) -> Watt:
    """Power from the pack at a steady `torque` of the machine (its drag included) and speed, W.

    (T·ω + I²·R) / controller efficiency + field + electronics. Two phases in series carry the current at any
    moment, so copper takes I²·line_resistance. Iron is in the drag.

    Source: [method] #ride
    """
    current = line_current(torque, emf_constant, alignment_error)
    machine = torque * motor_speed + current * current * line_resistance
    return drawn(machine, controller_efficiency) + field_power + idle_power


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
    iron_share: Fraction,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
    alignment_error: Radian,
    correction: Correction,
) -> MetrePerSecond:
    """Speed at which full-throttle torque still holds the road load on `slope`, m/s; 0 when it cannot move.

    Found between standstill and 1.5 times the speed at which peak EMF meets supply, on a grid laid twice, good
    to 0.1 %. On a descent steep enough to pull it faster, the upper end is given. Mean torque of
    all rotor positions decides whether it moves at all; a start under load is judged at the worst one.

    Source: [method] #ride
    """
    load = (total_mass, slope, rolling_coefficient, drag_area, gear_ratio, wheel_diameter, drive_efficiency)
    drive = (
        friction_torque,
        iron_share,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
    )
    limits = (phase_current_limit, bus_current_limit, alignment_error)
    shape = np.broadcast_shapes(*(np.shape(value) for value in (*load, *drive, *limits)))
    fastest = np.broadcast_to(1.5 * supply_voltage / (np.sqrt(2.0) * emf_constant), shape)

    def surplus(motor_speed: RadianPerSecond) -> Newton:
        torque = corrected_torque(
            motor_speed,
            emf_constant,
            line_resistance,
            line_inductance,
            pole_pairs,
            supply_voltage,
            phase_current_limit,
            bus_current_limit,
            alignment_error,
            correction,
        )
        speed = road_speed(motor_speed, gear_ratio, wheel_diameter)
        left = torque - drag_torque(friction_torque, iron_share, motor_speed)
        driven = wheel_force(left, gear_ratio, wheel_diameter, drive_efficiency)
        return driven - road_load(total_mass, slope, rolling_coefficient, drag_area, speed)

    return road_speed(first_crossing(surplus, 0.0, fastest), gear_ratio, wheel_diameter)
