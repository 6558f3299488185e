"""Causes that follow from amps, volts and heat of the build, each simulated over the lanes.

Common practice, no source, but for the physics; ranges of what no sheet tells stand in the table of ranges.
"""

from __future__ import annotations

import numpy as np

from calc.drive.launch import COPPER_HEAT
from calc.power.cells import open_circuit_voltage
from calc.power.cutout.course import TIMES
from calc.power.cutout.outcome import (
    NOT,
    ONCE,
    SOON,
    SWITCHING,
    WAIT,
    Outcome,
    Scene,
    at_moment,
    crossing,
    faults,
    happening,
    outcome,
    protections,
)
from calc.power.cutout.ranges import fixed
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.road import GRAVITY


def sag(scene: Scene) -> Outcome:
    """The volts fall under the controller's cut-out for longer than its filter: it stops, and they rise again.

    Source: [method-power] #cut-out
    """
    limit = scene.plant.controller_voltage_cutoff * scene.hidden["cutoff_factor"]
    cross = crossing(limit - scene.run.volts)
    seconds = cross.seconds + scene.hidden["cutoff_filter"]
    volts = np.minimum(at_moment(seconds).of(scene.run.volts), limit)
    happens = cross.happens & (scene.run.rested > limit)  # a rested pack under it wouldn't have started
    return outcome(scene, (happening(scene, happens, seconds), seconds, 0.0 * seconds), volts, faults())


def over_current(scene: Scene) -> Outcome:
    """The protection opens once the integral of (I/threshold)² − 1 has reached what it lets pass.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    limit = scene.plant.pack_current_limit * hidden["trip_factor"]
    over = np.maximum(np.square(run.amps * scene.plant.pack_share / limit) - 1.0, 0.0)
    step = np.diff(TIMES, prepend=0.0)[:, None]
    cross = crossing(np.cumsum(over * step, axis=0) / hidden["trip_heat"] - 1.0)
    shares, back, dead = protections(scene)
    moment = (happening(scene, cross.happens, cross.seconds), cross.seconds, 0.0 * cross.seconds)
    return outcome(
        scene,
        moment,
        cross.of(run.volts),
        (shares, back),
        dead,
        low=0.0 * cross.seconds,
        amps=cross.of(run.amps),
    )


def inrush(scene: Scene) -> Outcome:
    """At switching on: an empty bus, or a short, draws more than the short-circuit threshold for longer than its delay.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    limit = scene.plant.pack_current_limit * hidden["short_trip"]
    ohms = run.leads_ohms + run.cells_ohms[0]
    first = scene.plant.precharge_left * run.rested / ohms
    lasts = ohms * scene.plant.bus_capacitance * np.log(np.maximum(first / limit, 1.0))
    short = hidden.having("short_share") > 0.0
    shorted = hidden["short_ohms"]
    trips = np.where(short, run.rested / (ohms + shorted) > limit, lasts > hidden["short_delay"])
    seconds = hidden["short_delay"] + 0.0 * ohms
    shares, back, dead = protections(scene)
    moment = (happening(scene, trips & (scene.seen.doing == "switching-on"), seconds), seconds, 0.0 * seconds)
    volts = np.where(short, run.rested * shorted / (shorted + ohms), 0.0)
    bus = np.where(short, 0.02, 1.0 - scene.plant.precharge_left)
    return outcome(
        scene, moment, volts, (shares, np.where(short, NOT, back)), dead, low=0.0 * seconds, bus=bus
    )


def over_voltage(scene: Scene) -> Outcome:
    """Downhill it runs away until the field's volts, rectified into the pack, reach what the controller stands, or the
    protection opens and leaves the bus to them.

    Source: [method-power] #cut-out; [diode-bridge] page 655, as quoted
    """
    plant, hidden, run = scene.plant, scene.hidden, scene.run
    downhill = scene.seen.doing == "downhill"
    end = plant.descent_speed * hidden.now("run_away")
    start = hidden.now("rolling_start") * np.minimum(plant.road_speed, end)
    gain = np.maximum(GRAVITY * (-run.slope - plant.rolling_coefficient), 0.02)
    speed = start + np.linspace(0.0, 1.0, len(TIMES))[:, None] * (end - start)
    peak = plant.descent_peak * speed / plant.descent_speed
    turning = plant.pole_pairs * motor_speed_at(speed, plant.gear_ratio, plant.wheel_diameter)
    inside = np.maximum(np.square(peak) / 3.0 - 4.0 * np.square(run.rested) / np.pi**2, 0.0)
    charge = 3.0 * np.sqrt(inside) / (np.pi * np.maximum(turning * plant.line_inductance / 2.0, 1e-9))
    charge = charge * plant.pack_share
    bus = run.rested + charge * (run.cells_ohms[0] + run.leads_ohms)
    ceiling = plant.controller_voltage_max * hidden["ceiling_factor"]
    full = plant.voltage_full + plant.series * hidden["full_over"]
    opens = np.maximum(bus / full, charge / (plant.pack_current_limit * hidden["charge_trip"])) - 1.0
    cross = crossing(np.maximum(bus / ceiling - 1.0, opens), (speed - start) / gain)
    opened = cross.of(opens) > cross.of(bus / ceiling - 1.0)
    left = np.maximum(cross.of(peak), cross.of(bus))
    volts = np.where(opened, left, np.maximum(cross.of(bus), ceiling))
    shares, back, dead = protections(scene)
    by_fault = np.array([ONCE, ONCE, SWITCHING])[:, None]
    moment = (happening(scene, cross.happens & downhill, cross.seconds), cross.seconds, 0.0 * cross.seconds)
    return outcome(
        scene,
        moment,
        volts,
        (shares, np.where(opened, back, by_fault)),
        dead * opened,
        high=volts,
        low=run.rested,
    )


def too_hot(scene: Scene) -> Outcome:
    """Switches or winding reach the temperature at which the controller stops; it goes on some kelvin cooler.

    Source: [method-power] #cut-out
    """
    hidden, warm, air = scene.hidden, scene.heat, scene.plant.ambient_temperature - 273.15
    has = hidden.having("heat_sensor") > 0.0
    switches = warm.switches - (hidden["heat_limit"] - air)
    winding = np.where(has, warm.winding - (hidden["heat_winding"] - air), -1.0)
    cross = crossing(np.maximum(switches, winding))
    by_winding = has & (cross.of(winding) > cross.of(switches))
    rise = np.maximum(np.where(by_winding, cross.of(warm.winding), cross.of(warm.switches)), 1.0)
    slow = np.where(
        by_winding,
        scene.plant.winding_thermal_resistance * scene.plant.winding_mass * COPPER_HEAT,
        hidden["heat_time"],
    )
    cooling = -slow * np.log1p(-np.minimum(hidden["heat_back"] / rise, 0.95))
    latch = fixed("heat_latch")
    back = np.stack([np.where(cooling < SOON, ONCE, WAIT), np.full(hidden.lanes, SWITCHING)])
    case = scene.plant.ambient_temperature + hidden["heat_case"] * np.where(
        by_winding, cross.of(warm.switches), hidden["heat_limit"] - air
    )
    moment = (happening(scene, cross.happens, cross.seconds), cross.seconds, 0.0 * cross.seconds)
    kinds = (np.array([1.0 - latch, latch]), back)
    return outcome(scene, moment, cross.of(scene.run.volts), kinds, case=case)


def cells(scene: Scene) -> Outcome:
    """The weakest group, of more resistance and less charge, falls under the protection's least: it opens.

    Source: [method-power] #cut-out
    """
    plant, hidden, run = scene.plant, scene.hidden, scene.run
    amps = run.amps * plant.pack_share
    own = run.cells_ohms / plant.series
    mean = run.mean
    lacking = np.maximum(run.charge - hidden["lacking"], 0.0)
    less = mean - np.asarray(open_circuit_voltage(plant.chemistry, lacking))
    extra = less + amps * own * (hidden["weak"] - 1.0)
    group = run.rested / plant.series - (mean[0] - mean) - amps * own - extra
    limit = plant.voltage_min / plant.series * hidden["group_least"]
    cross = crossing(limit - group)
    seconds = cross.seconds + hidden["group_delay"]
    at = at_moment(np.minimum(seconds, TIMES[-1]))
    volts = np.maximum(at.of(run.volts) - at.of(extra), 0.0)
    shares, back, dead = protections(scene)
    happens = cross.happens & (run.rested / plant.series - less[0] > limit)  # else it was open before
    moment = (happening(scene, happens, seconds), seconds, 0.0 * seconds)
    return outcome(scene, moment, volts, (shares, back), dead, low=0.0 * seconds, gap=at.of(extra))
