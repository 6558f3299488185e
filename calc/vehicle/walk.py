"""A ride walked from its start to its end: speed, current, charge and sag on every stretch, and what holds it back."""

from __future__ import annotations

from functools import partial
from typing import Any, NamedTuple

import numpy as np

from calc.drive.bracket import crossing
from calc.drive.correction import Correction, corrected_torque
from calc.drive.torque import torque_by_battery_limit, torque_by_phase_limit
from calc.machine.losses import drag_torque
from calc.power.pack import battery_current, open_circuit_voltage
from calc.quantities import (
    Array,
    EmfConstant,
    Fraction,
    Joule,
    Kilogram,
    Metre,
    Number,
    Ohm,
    Real,
    Second,
    SquareMetre,
    Volt,
    Watt,
)
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.ride import electrical_power, line_current, machine_torque
from calc.vehicle.road import road_load
from calc.vehicle.route import Stretches

PIECES = 60
"""Into so many pieces of equal time a ride is cut at least, so that the charge falls in small steps."""
ROUNDS = 3
CREEP = 0.05
"""Speed, m/s, at which a vehicle that can't do it counts as standing."""
_STEPS = 9
_NOTHING = ""


class Walk(NamedTuple):
    """What happens on each piece of a ride, arrays in its order; SI.

    start, length, slope, own, least, most: of the stretch, see `Stretches`. wanted, speed: road speed wanted and had.
    torque: the machine's, drag included. current: the cells'. open_voltage, voltage: rested, and at the terminals.
    power: from the cells, loss in the pack's own resistance included. charge: left at the end of the piece, 0..1, less
    than nothing where it would have run out. limit: what holds it back ('battery limit', 'phase limit', 'voltage',
    'stands'), or ''. drives: whether the slope drives the machine beyond what the pack's voltage holds.
    """

    start: Array
    length: Array
    slope: Array
    own: Array
    least: Array
    most: Array
    rolling: Array
    wanted: Array
    speed: Array
    time: Array
    torque: Array
    line_current: Array
    current: Array
    open_voltage: Array
    voltage: Array
    power: Array
    charge: Array
    limit: tuple[str, ...]
    drives: Array
    heights: bool


def _cut(stretches: Stretches) -> Stretches:
    """The stretches, the long ones in pieces."""
    time = stretches.length / stretches.speed
    pieces = np.maximum(np.ceil(time / max(float(time.sum()), 1e-9) * PIECES), 1).astype(int)
    if pieces.max() == 1:
        return stretches
    number = np.repeat(np.arange(len(pieces)), pieces)
    within = np.arange(len(number)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    length = stretches.length[number] / pieces[number]
    columns = (stretches.slope, stretches.speed, stretches.own, stretches.least, stretches.most)
    slope, speed, own, least, most = (column[number] for column in columns)
    start = stretches.start[number] + within * length
    return Stretches(start, length, slope, speed, own, least, most, stretches.heights)


def walk(
    stretches: Stretches,
    rolling_coefficient: float,
    total_mass: Kilogram,
    drag_area: SquareMetre,
    gear_ratio: Number,
    wheel_diameter: Metre,
    drive_efficiency: Fraction,
    friction_torque: float,
    iron_share: float,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: float,
    pole_pairs: Number,
    phase_current_limit: float,
    bus_current_limit: float,
    alignment_error: float,
    correction: Correction,
    controller_efficiency: Fraction,
    field_power: Watt,
    idle_power: Watt,
    chemistry: str,
    series: Number,
    pack_capacity: float,
    pack_resistance: Ohm,
    reserve_charge: float,
) -> Walk:
    """A ride from a full pack, each stretch at the speed wanted or the fastest that the drive gives there.

    Steady going on each: the fastest is where full throttle, within both current limits and at the voltage that the
    pack keeps under that load, holds the road. Charge falls from piece to piece, rested voltage and sag with it,
    down to `reserve_charge`: beyond, all counts as there.
    Validity: single values; no starts, no gathering of speed; the pack at about 25 °C; the brakes hold it downhill.

    Source: [method-power] #route
    """
    parts = _cut(stretches)
    rolling = parts.rolling(rolling_coefficient)

    def demand(speed: Real, slope: Array, rolls: Array, rested: Array) -> tuple[Any, Any, Any, Any]:
        """Torque, motor speed, current of the cells and voltage at the terminals in steady going."""
        force = road_load(total_mass, slope, rolls, drag_area, speed)
        motor = motor_speed_at(speed, gear_ratio, wheel_diameter)
        drag = drag_torque(friction_torque, iron_share, motor)
        torque = machine_torque(force, gear_ratio, wheel_diameter, drive_efficiency, drag)
        drawn = electrical_power(
            torque,
            motor,
            emf_constant,
            line_resistance,
            controller_efficiency,
            field_power,
            idle_power,
            alignment_error,
        )
        current = battery_current(drawn, rested, pack_resistance)
        return torque, motor, current, rested - current * pack_resistance

    def surplus(speed: Real, slope: Array, rolls: Array, rested: Array) -> Array:
        torque, motor, _, volts = demand(speed, slope, rolls, rested)
        full = corrected_torque(
            motor,
            emf_constant,
            line_resistance,
            line_inductance,
            pole_pairs,
            volts,
            phase_current_limit,
            bus_current_limit,
            alignment_error,
            correction,
        )
        return np.where(torque > 0.0, full - torque, 1.0)

    charge = np.ones(len(rolling))
    short = np.zeros(0, dtype=int)
    # First the charge as if nothing held it back, then what does; once more where that changes the charge.
    for round_ in range(ROUNDS):
        if round_ == ROUNDS - 1 and not len(short):
            break
        rested = np.asarray(open_circuit_voltage(chemistry, series, np.clip(charge, reserve_charge, 1.0)))
        speed, stands = parts.speed.copy(), np.zeros(len(rolling), dtype=bool)
        if round_:
            short = np.flatnonzero(surplus(speed, parts.slope, rolling, rested) < 0.0)
        if len(short):
            here = (parts.slope[short], rolling[short], rested[short])
            least = np.minimum(CREEP, speed[short])
            speed[short] = crossing(
                partial(surplus, slope=here[0], rolls=here[1], rested=here[2]), least, speed[short], _STEPS
            )
            stands[short] = surplus(least, *here) <= 0.0
            speed[stands] = parts.speed[stands]
        # Where it stands it counts as if it went: the answer says that its times don't hold.
        torque, motor, current, volts = demand(speed, parts.slope, rolling, rested)
        time = parts.length / speed
        used = np.cumsum(current * time) / pack_capacity
        end = 1.0 - used
        charge = end + 0.5 * current * time / pack_capacity
    limit = [_NOTHING] * len(rolling)
    if len(short):
        words = _words(
            motor[short],
            volts[short],
            emf_constant,
            line_resistance,
            line_inductance,
            pole_pairs,
            phase_current_limit,
            bus_current_limit,
            alignment_error,
        )
        for k, word in zip(short, words, strict=True):
            limit[k] = "stands" if stands[k] else word
    peak = np.sqrt(2.0) * emf_constant * motor
    return Walk(
        parts.start,
        parts.length,
        parts.slope,
        parts.own,
        parts.least,
        parts.most,
        rolling,
        parts.speed,
        speed,
        time,
        torque,
        np.minimum(line_current(torque, emf_constant, alignment_error), phase_current_limit),
        current,
        rested,
        volts,
        current * rested,
        end,
        tuple(limit),
        (parts.slope < 0.0) & (torque <= 0.0) & (peak > rested),
        parts.heights,
    )


def _words(
    motor: Array,
    volts: Array,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: float,
    pole_pairs: Number,
    phase_current_limit: float,
    bus_current_limit: float,
    alignment_error: float,
) -> list[str]:
    """What holds full throttle at each motor speed: the least of three."""
    common = (emf_constant, line_resistance)
    battery = torque_by_battery_limit(motor, *common, volts, bus_current_limit, alignment_error)
    given = (line_inductance, pole_pairs, volts)
    phase = torque_by_phase_limit(motor, *common, *given, phase_current_limit, alignment_error)
    free = torque_by_phase_limit(motor, *common, *given, 10.0 * phase_current_limit, alignment_error)
    held = np.where(free > 1.02 * phase, "phase limit", "voltage")
    return [str(word) for word in np.where(battery < phase, "battery limit", held)]


def walk_distance(walk: Walk) -> Metre:
    """Length of the ride, m.

    Source: [method-power] #route
    """
    return float(walk.length.sum())


def walk_time(walk: Walk) -> Second:
    """How long the ride takes, s.

    Source: [method-power] #route
    """
    return float(walk.time.sum())


def walk_energy(walk: Walk) -> Joule:
    """Energy that the ride takes from the cells, J, loss in the pack's own resistance included.

    Source: [method-power] #route
    """
    return float((walk.power * walk.time).sum())


def charge_left(walk: Walk) -> Fraction:
    """Charge at the end of the ride from a full pack, 0..1.

    Source: [method-power] #route
    """
    return max(float(walk.charge[-1]), 0.0)


def ride_voltage(walk: Walk) -> Volt:
    """Lowest voltage at the pack's terminals on the ride, V.

    Source: [method-power] #route
    """
    return float(walk.voltage.min())


def charge_ends(walk: Walk, reserve_charge: float) -> float | None:
    """Distance at which the charge falls to `reserve_charge`, m; None where it doesn't.

    Source: [method-power] #route
    """
    under = np.flatnonzero(walk.charge < reserve_charge)
    if not len(under):
        return None
    k = int(under[0])
    before = float(walk.charge[k - 1]) if k else 1.0
    share = (before - reserve_charge) / max(before - float(walk.charge[k]), 1e-12)
    return float(walk.start[k] + min(max(share, 0.0), 1.0) * walk.length[k])
