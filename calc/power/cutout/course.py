"""What pack and drive do before anything cuts out: amps, volts and heat over time, for every lane."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.drive.launch import COPPER_HEAT
from calc.machine.heat import BODY_HEAT, cooling
from calc.power.cells import open_circuit_voltage
from calc.power.cutout.ranges import Hidden, fixed
from calc.power.pack import cold_factor
from calc.quantities import Array, Real
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.road import road_load

DOING = ("switching-on", "standing", "riding", "downhill")
TIMES = np.geomspace(0.01, 3600.0, 64)
"""Moments that are looked at, s; between them straight lines."""
LEAST_THROTTLE = 0.02
"""Less throttle than this moves nothing (common practice, no source)."""
TURNING = 1.1
"""Inertia of wheels and rotor on top of the mass (common practice, no source)."""


class Plant(NamedTuple):
    """The build: SI, single values or lanes; named as in the graph."""

    chemistry: str
    series: Real
    parallel: Real
    cell_resistance: Real
    pack_lead_resistance: Real
    pack_capacity: Real
    pack_share: Real
    pack_current_limit: Real
    voltage_min: Real
    voltage_nominal: Real
    voltage_full: Real
    battery_current_limit: Real
    phase_current_limit: Real
    controller_voltage_cutoff: Real
    controller_voltage_max: Real
    controller_efficiency: Real
    field_drain: Real
    idle_power: Real
    precharge_left: Real
    bus_capacitance: Real
    total_mass: Real
    rolling_coefficient: Real
    drag_area: Real
    slope: Real
    road_speed: Real
    descent_speed: Real
    descent_peak: Real
    drive_efficiency: Real
    gear_ratio: Real
    wheel_diameter: Real
    torque_constant: Real
    hot_line_resistance: Real
    line_inductance: Real
    pole_pairs: Real
    ambient_temperature: Real
    cold_air: Real
    winding_thermal_resistance: Real
    body_thermal_resistance: Real
    winding_mass: Real
    body_mass: Real
    fan_gain: Real


class Seen(NamedTuple):
    """One cut-out as it was seen: SI; None is not seen."""

    doing: str
    seconds: float | None = None
    comes_back: str | None = None
    throttle: float | None = None
    before: float | None = None
    during: float | None = None
    after: float | None = None
    cells: float | None = None
    slope: float | None = None


class Course(NamedTuple):
    """Over TIMES (first axis) and lanes: pack's amps and volts at the controller, amps in the machine's lead, charge of
    the cells, their rested volts and resistance. For each lane: throttle, slope, rested volts, resistance of the leads,
    pull that the slope asks for over the one there is, speed in the end."""

    amps: Array
    volts: Array
    phase: Array
    charge: Array
    mean: Array
    cells_ohms: Array
    throttle: Array
    slope: Array
    rested: Array
    leads_ohms: Array
    asked: Array
    speed: Array


def _even(hidden: Hidden, name: str) -> Array:
    """Evenly between -1 and 1, new ones each time."""
    return 2.0 * hidden.share(name, again=True) - 1.0


def read_volts(hidden: Hidden, volts: float) -> Array:
    """What a cheap voltmeter's reading may stand for, V.

    Source: [method-power] #cut-out
    """
    wide = np.hypot(fixed("meter") * volts, fixed("meter_digit"))
    return np.maximum(volts + wide * np.sqrt(3.0) * _even(hidden, "meter"), 0.1)


def _slope(plant: Plant, hidden: Hidden, seen: Seen) -> Array:
    """Rise over run, uphill positive; downhill it falls whatever sign was noted."""
    some = plant.slope * hidden.now("slope")
    if seen.slope is not None:
        some = seen.slope + fixed("slope_by_eye") * _even(hidden, "slope read")
    return -np.maximum(np.abs(some), 0.01) if seen.doing == "downhill" else some


def _throttle(hidden: Hidden, seen: Seen) -> Array:
    if seen.throttle is None:
        return hidden.now("throttle")
    by_hand = fixed("throttle_by_hand") * np.sqrt(3.0) * _even(hidden, "throttle read")
    return np.clip(seen.throttle + by_hand, LEAST_THROTTLE, 1.0)


def _charge(plant: Plant, hidden: Hidden, before: float | None) -> tuple[Array, Array]:
    """(state of charge, rested volts)."""
    if before is None:
        charge = hidden.now("charge")
        return charge, np.asarray(plant.series * open_circuit_voltage(plant.chemistry, charge))
    rested = read_volts(hidden, before)
    knots = np.linspace(0.0, 1.0, 101)
    volts = np.asarray(open_circuit_voltage(plant.chemistry, knots))
    return np.interp(rested / plant.series, volts, knots), rested


class Pull(NamedTuple):
    """Over TIMES and lanes: amps that the drive takes, amps in the machine's lead. For each lane: speed in the end, the
    pull that is asked for over the one there is."""

    amps: Array
    phase: Array
    speed: Array
    asked: Array


def pull(plant: Plant, hidden: Hidden, seen: Seen, throttle: Array, slope: Array) -> Pull:
    """What the drive takes.

    Riding: from some speed on it pulls with the throttle's share of both current limits, first as strong, then as
    powerful as they let it, up to the speed that the throttle asks for, and holds that. Standing: copper loss alone.

    Source: [method-power] #cut-out
    """
    most, limit = throttle * plant.phase_current_limit, throttle * plant.battery_current_limit
    held = np.square(most) * plant.hot_line_resistance / plant.controller_efficiency / plant.voltage_nominal
    held = np.minimum(held, limit)
    rides = 1.0 if seen.doing == "riding" else 0.0
    wanted = rides * throttle * plant.road_speed * hidden["top_factor"]
    load = np.asarray(road_load(plant.total_mass, slope, plant.rolling_coefficient, plant.drag_area, wanted))
    newton = plant.torque_constant * plant.gear_ratio * 2.0 / plant.wheel_diameter * plant.drive_efficiency
    force = np.maximum(most * newton, 1e-3)
    time = TIMES[:, None]
    if not rides:
        on = 1.0 if seen.doing == "standing" else 0.0
        return Pull(held * on + 0.0 * time, most * on + 0.0 * time, wanted, load / force)
    passed = hidden["machine_efficiency"] * plant.controller_efficiency * plant.drive_efficiency
    power = limit * plant.voltage_nominal * passed
    corner = power / force  # from this speed on the battery's limit rules
    start = hidden.now("rolling_start") * wanted
    gain = np.maximum(force - load, 0.0) / (TURNING * plant.total_mass)
    first = np.maximum(np.minimum(corner, wanted) - start, 0.0) / np.maximum(gain, 1e-3)
    low = np.minimum(np.maximum(corner, start), wanted)
    climb = np.square(wanted) - np.square(low)
    left = np.maximum(power - load * (wanted + low) / 2.0, 1e-3 * power)
    second = 0.5 * TURNING * plant.total_mass * climb / left
    part = np.clip((time - first) / np.maximum(second, 1e-6), 0.0, 1.0)
    quick = np.minimum(start + gain * time, wanted)
    speed = np.where(time < first, quick, np.sqrt(np.square(low) + part * climb))
    pulling = time < first + second
    steady = np.clip(load * wanted / passed / plant.voltage_nominal, 0.0, limit)
    holds = np.clip(load / newton, 0.0, most * np.minimum(corner / wanted, 1.0))
    return Pull(
        np.where(pulling, held + (limit - held) * np.minimum(speed / corner, 1.0), steady),
        np.where(pulling, most * np.minimum(corner / np.maximum(speed, 1e-6), 1.0), holds),
        wanted,
        load / force,
    )


def course(plant: Plant, hidden: Hidden, seen: Seen) -> Course:
    """How amps and volts run if nothing cuts out.

    Source: [method-power] #cut-out
    """
    lanes = np.zeros(hidden.lanes)
    throttle, slope = _throttle(hidden, seen), _slope(plant, hidden, seen)
    charge, rested = _charge(plant, hidden, seen.before)
    drive = pull(plant, hidden, seen, throttle, slope)
    amps = drive.amps + (plant.field_drain + plant.idle_power) / plant.voltage_nominal
    spent = np.cumsum(amps * np.diff(TIMES, prepend=0.0)[:, None], axis=0) * plant.pack_share
    now = np.maximum(charge - spent / plant.pack_capacity, 0.0)
    grown = 1.0 + (hidden["resistance_grows"] - 1.0) * -np.expm1(-TIMES[:, None] / fixed("resistance_time"))
    kelvin: Real = plant.cold_air + hidden.now("warmth") * (plant.ambient_temperature - plant.cold_air)
    cold = cold_factor(kelvin if seen.cells is None else seen.cells)
    cells = plant.series * plant.cell_resistance / plant.parallel * hidden["ageing"] * cold * grown
    leads = plant.pack_lead_resistance * hidden["lead_ageing"] + lanes
    mean = np.asarray(open_circuit_voltage(plant.chemistry, now))
    sunk = plant.series * (open_circuit_voltage(plant.chemistry, charge) - mean)
    volts = rested - sunk - amps * plant.pack_share * (cells + leads)
    return Course(
        amps,
        np.maximum(volts, rested / 2.0),
        drive.phase,
        now,
        mean,
        np.asarray(cells),
        throttle + lanes,
        slope + lanes,
        rested + lanes,
        leads,
        drive.asked + lanes,
        drive.speed + lanes,
    )


class Heat(NamedTuple):
    """Rise over the air of the controller's switches and of the machine's winding, K, over TIMES and lanes."""

    switches: Array
    winding: Array


def heat(plant: Plant, hidden: Hidden, run: Course) -> Heat:
    """How hot controller and winding get on that course: bodies that warm at one time constant each.

    Source: [method-power] #cut-out
    """
    fan = cooling(motor_speed_at(run.speed, plant.gear_ratio, plant.wheel_diameter), plant.fan_gain)
    inner, outer = plant.winding_thermal_resistance, plant.body_thermal_resistance / fan
    loss = plant.hot_line_resistance
    ones = np.ones(hidden.lanes)
    final = np.stack(
        [
            hidden["heat_rise"] / np.square(plant.phase_current_limit) * ones,
            loss * inner * ones,
            loss * outer * ones,
        ]
    )
    slow = np.stack(
        [
            hidden["heat_time"] * ones,
            inner * plant.winding_mass * COPPER_HEAT * ones,
            outer * plant.body_mass * BODY_HEAT * ones,
        ]
    )
    squared = np.square(run.phase)
    warm = hidden.now("heat_warm") * (hidden["heat_limit"] - (plant.ambient_temperature - 273.15))
    rise = np.stack([warm, 0.0 * warm, warm])
    kept = np.exp(-np.diff(TIMES, prepend=0.0)[:, None, None] / slow)
    out = np.empty((len(TIMES), 3, hidden.lanes))
    for k in range(len(TIMES)):
        end = final * squared[k]
        rise = end + (rise - end) * kept[k]
        out[k] = rise
    return Heat(out[:, 0], out[:, 1] + out[:, 2])
