"""How hot the machine gets on the ride of the sheet: what each row and its starts put in, and where that ends."""

from __future__ import annotations

from functools import reduce

import numpy as np

from calc.errors import NoSolution
from calc.machine import connection as winding
from calc.machine import heat, losses
from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE
from calc.machine.excitation import NEVER
from calc.machine.heat import Losses, Network, Temperatures
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Kelvin,
    Metre,
    Newton,
    Nm,
    Number,
    Ohm,
    Radian,
    RadianPerSecond,
    Second,
    Volt,
    Watt,
)
from calc.vehicle.duty import Rows, duty_mean
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.ride import line_current, machine_torque

HOUR = 3600.0


def pull_current(
    force: Newton,
    gear_ratio: Number,
    wheel_diameter: Metre,
    drive_efficiency: Fraction,
    friction_torque: Nm,
    iron_share: Fraction,
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    alignment_error: Radian,
    phase_current_limit: Ampere,
) -> Ampere:
    """Line current for a steady force at the rim at a motor's speed, A, as far as the controller's limit lets it.

    Source: [method-drive] #losses
    """
    drag = losses.drag_torque(friction_torque, iron_share, motor_speed)
    torque = machine_torque(force, gear_ratio, wheel_diameter, drive_efficiency, drag)
    return np.minimum(line_current(torque, emf_constant, alignment_error), phase_current_limit)


def duty_currents(
    duty_torques: tuple[Nm, ...],
    emf_constant: EmfConstant,
    alignment_error: Radian,
    phase_current_limit: Ampere,
) -> tuple[Ampere, ...]:
    """Line current in each row of the ride, A, as far as the controller's limit lets it.

    Source: [method-drive] #losses
    """
    return tuple(
        np.minimum(line_current(torque, emf_constant, alignment_error), phase_current_limit)
        for torque in duty_torques
    )


def duty_speeds(duty: Rows, gear_ratio: Number, wheel_diameter: Metre) -> tuple[RadianPerSecond, ...]:
    """Speed of the motor in each row of the ride, rad/s.

    Source: [method-drive] #losses
    """
    return tuple(motor_speed_at(speed, gear_ratio, wheel_diameter) for speed, _, _ in duty)


def ride_cooling(duty: Rows, duty_speeds: tuple[RadianPerSecond, ...], fan_gain: Number) -> Number:
    """Mean over the ride of how many times better than at standstill the air cools.

    Source: [method-drive] #ride-heat
    """
    return duty_mean(tuple(heat.cooling(speed, fan_gain) for speed in duty_speeds), duty)


def no_ring() -> Watt:
    """Heat of a current round the ring, W, where none was measured.

    Source: [method-machine] #third-harmonic
    """
    return 0.0


def ring_loss(
    corner_test: tuple[tuple[float, float, float], ...],
    motor_speed: RadianPerSecond,
    connection: str,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    leakage_share: Fraction,
) -> Watt:
    """Heat of the third harmonic's current round a closed delta, W, its copper's as at 20 °C; in a star none.

    Raises NoSolution where the opened corner says that a coil is turned over.

    Source: [method-machine] #third-harmonic
    """
    if connection != "delta":
        return 0.0 * np.asarray(motor_speed)
    if winding.ring_state(corner_test) == "turned":
        raise NoSolution(
            "The opened corner of the delta says that one coil is turned over: the closed ring is a short circuit.",
            "Don't close it and don't run it. Swap the two ends of one coil after the other until the corner shows "
            "well under half of a coil's volts.",
        )
    share = winding.corner_share(corner_test)
    volts = winding.corner_voltage(share, emf_constant, connection, motor_speed)
    current = winding.circulating_current(
        volts, motor_speed, pole_pairs, line_resistance, line_inductance, leakage_share
    )
    return winding.circulating_loss(current, line_resistance)


def no_rings(duty: Rows) -> tuple[Watt, ...]:
    """The same for each row of the ride, W, where none was measured.

    Source: [method-machine] #third-harmonic
    """
    return (0.0,) * len(duty)


def duty_rings(
    corner_test: tuple[tuple[float, float, float], ...],
    duty_speeds: tuple[RadianPerSecond, ...],
    connection: str,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    leakage_share: Fraction,
) -> tuple[Watt, ...]:
    """Heat of the ring's current in each row of the ride, W.

    Source: [method-machine] #third-harmonic
    """
    machine = (connection, emf_constant, line_resistance, line_inductance, pole_pairs, leakage_share)
    return tuple(ring_loss(corner_test, speed, *machine) for speed in duty_speeds)


def ride_losses(
    duty: Rows,
    duty_speeds: tuple[RadianPerSecond, ...],
    duty_currents: tuple[Ampere, ...],
    duty_rings: tuple[Watt, ...],
    line_resistance: Ohm,
    friction_torque: Nm,
    iron_share: Fraction,
    field_current: Ampere,
    field_resistance: Ohm,
    brush_drop: Volt,
    stall_current: Ampere,
    starts_per_hour: Number,
    start_time: Second,
) -> Losses:
    """Mean heat of the ride and its starts, W, copper's as at 20 °C.

    Source: [method-drive] #ride-heat
    """
    squares = duty_mean(tuple(np.square(current) for current in duty_currents), duty)
    starting = np.minimum(starts_per_hour * start_time / HOUR, 1.0)
    body = duty_mean(
        tuple(
            losses.body_loss(friction_torque, iron_share, speed, field_current, brush_drop)
            for speed in duty_speeds
        ),
        duty,
    )
    copper = ((1.0 - starting) * squares + starting * np.square(stall_current)) * line_resistance
    copper = copper + (1.0 - starting) * duty_mean(duty_rings, duty)
    return Losses(copper, body, np.square(field_current) * field_resistance)


def point_losses(
    current: Ampere,
    ring_loss: Watt,
    line_resistance: Ohm,
    motor_speed: RadianPerSecond,
    friction_torque: Nm,
    iron_share: Fraction,
    field_current: Ampere,
    field_resistance: Ohm,
    brush_drop: Volt,
) -> Losses:
    """Heat at one steady current and speed, W, copper's as at 20 °C.

    Source: [method-drive] #losses
    """
    return Losses(
        np.square(current) * line_resistance + ring_loss,
        losses.body_loss(friction_torque, iron_share, motor_speed, field_current, brush_drop),
        np.square(field_current) * field_resistance,
    )


def ride_temperatures(
    ride_network: Network, ride_losses: Losses, ride_time: Second, ambient_temperature: Kelvin
) -> Temperatures:
    """How hot winding, body and rotor are after the ride, by its mean losses, K. It starts as cold as the air.

    Source: [method-drive] #ride-heat
    """
    cold = Temperatures(ambient_temperature, ambient_temperature, ambient_temperature)
    return heat.after(ride_network, ride_losses, cold, ride_time, ambient_temperature)


def row_temperature(
    ride_temperatures: Temperatures,
    duty_currents: tuple[Ampere, ...],
    duty_rings: tuple[Watt, ...],
    line_resistance: Ohm,
    winding_thermal_resistance: Number,
) -> Kelvin:
    """Temperature of the winding at the end of the ride's heaviest row, K, at most NEVER.

    The body has its mean temperature; the winding, which follows within minutes, has the row's own.

    Source: [method-drive] #ride-heat
    """
    rows = [np.square(i) * line_resistance + ring for i, ring in zip(duty_currents, duty_rings, strict=True)]
    watts = reduce(np.maximum, rows) * winding_thermal_resistance
    left = 1.0 - COPPER_COEFFICIENT * watts
    start = ride_temperatures.body + watts * (1.0 - COPPER_COEFFICIENT * REFERENCE_TEMPERATURE)
    row = np.where(left > 0.02, np.minimum(start / np.maximum(left, 0.02), NEVER), NEVER)
    return np.maximum(row, ride_temperatures.winding)


def start_temperature(row_temperature: Kelvin, start_rise: Kelvin) -> Kelvin:
    """Temperature of the hottest coil when one more start comes right after the heaviest row, K, at most NEVER.

    Source: [method-drive] #ride-heat
    """
    return np.minimum(row_temperature + start_rise, NEVER)


def hotter_field(held_field_temperature: Kelvin, ride_temperatures: Temperatures) -> Kelvin:
    """Temperature of the field coil, K: standing still for good or after the ride, whichever is hotter.

    Source: [method-drive] #ride-heat
    """
    return np.maximum(held_field_temperature, ride_temperatures.rotor)
