"""The causes of a cut-out, each simulated over the lanes: whether, when, at which volts, and how it comes back.

Common practice, no source, but for the physics: ranges of what no sheet tells stand in the table of ranges.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from calc.power.cells import open_circuit_voltage
from calc.power.cutout.course import TIMES, Course, Heat, Plant, Seen, course, heat
from calc.power.cutout.ranges import Hidden, fixed
from calc.quantities import Array
from calc.standards import rows
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.road import GRAVITY

BACK = ("at-once", "wait", "switching", "not", "itself")
KEYS = tuple(row["key"] for row in rows("cut_outs"))
ONCE, WAIT, SWITCHING, NOT, ITSELF = range(5)
SOON = 1.5
"""What is back within so many seconds is back at once (common practice, no source)."""
LOOKED = 3.0
"""Seconds after which somebody reads the volts after (common practice, no source)."""
FALSE_ALARM = 0.03
"""How often a shaken lead shows a fault that isn't one (common practice, no source)."""
SHAKEN = 60.0
"""How long a lead is shaken, s (common practice, no source)."""


class Outcome(NamedTuple):
    """What a cause does, over lanes (last axis). act: chance that it cuts out there. seconds: when. rate: events a
    second of a chance event, 0 where the moment is fixed. volts: at the controller when it stops. Over kinds of
    controller or protection (first axis): shares, back: how it comes back, dead: chance that the pack's lead is dead
    after. reads: what the tests would show."""

    act: Array
    seconds: Array
    rate: Array
    volts: Array
    shares: Array
    back: Array
    dead: Array
    reads: dict[str, Array]


class Scene(NamedTuple):
    """What every cause is simulated from. most_amps, least_volts: up to each moment, as a meter holds them."""

    plant: Plant
    hidden: Hidden
    seen: Seen
    run: Course
    heat: Heat
    most_amps: Array
    least_volts: Array


class _Crossing(NamedTuple):
    """Where a margin over TIMES first passes zero: whether, when, and between which moments."""

    happens: Array
    seconds: Array
    after: Array
    part: Array

    def of(self, values: Array) -> Array:
        """Another course at that moment."""
        lane = np.arange(values.shape[1])
        one, two = values[np.maximum(self.after - 1, 0), lane], values[self.after, lane]
        return one + self.part * (two - one)


def _crossing(margin: Array, times: Array = TIMES[:, None]) -> _Crossing:
    over = margin >= 0.0
    after = np.argmax(over, axis=0)
    lane = np.arange(margin.shape[1])
    low, high = margin[np.maximum(after - 1, 0), lane], margin[after, lane]
    part = np.where(after > 0, -low / np.where(high > low, high - low, 1.0), 1.0)
    times = np.broadcast_to(times, margin.shape)
    start = np.where(after > 0, times[np.maximum(after - 1, 0), lane], 0.0)
    return _Crossing(over.any(axis=0), start + part * (times[after, lane] - start), after, part)


def _at(seconds: Array) -> _Crossing:
    """The course at a moment of each lane."""
    after = np.clip(np.searchsorted(TIMES, seconds), 1, len(TIMES) - 1)
    part = np.clip((seconds - TIMES[after - 1]) / (TIMES[after] - TIMES[after - 1]), 0.0, 1.0)
    return _Crossing(np.ones(len(seconds), bool), seconds, after, part)


def faults() -> tuple[Array, Array]:
    """Kinds of controller after a fault: (shares, ways back)."""
    told = [fixed(key) for key in ("fault_once", "fault_itself", "fault_wait")]
    return np.array([*told, 1.0 - sum(told)]), np.array([ONCE, ITSELF, WAIT, SWITCHING])


def protections(scene: Scene) -> tuple[Array, Array, Array]:
    """Kinds of protection once open: (shares, ways back, chance that the lead is dead when somebody reads)."""
    auto, reset = fixed("protection_auto"), fixed("protection_reset")
    delay = scene.hidden["protection_delay"]
    dead = np.stack([np.where(delay > LOOKED, 1.0, 0.0), np.ones_like(delay), np.ones_like(delay)])
    back = np.stack(
        [np.where(delay < SOON, ONCE, WAIT), np.full(len(delay), SWITCHING), np.full(len(delay), NOT)]
    )
    return np.array([auto, reset, 1.0 - auto - reset]), back, dead


def watched(seen: Seen) -> float:
    """How long it is watched there, s."""
    return fixed(f"watched_{seen.doing}")


def _sure(scene: Scene, happens: Array, seconds: Array) -> Array:
    return np.where(happens & (seconds < watched(scene.seen)), 1.0, 0.0)


def _chance(scene: Scene, rate: Array) -> tuple[Array, Array, Array]:
    """(act, seconds, rate) of a chance event that strikes so often on a ride."""
    rate = rate * fixed(f"bumps_{scene.seen.doing}")
    act = -np.expm1(-rate * watched(scene.seen))
    return act, -np.log1p(-scene.hidden.now("luck") * act) / rate, rate


def _between(scene: Scene, seconds: Array, level: Array) -> Array:
    """Volts of a drive that has stopped pulling, somewhere between loaded and rested."""
    loaded = _at(seconds).of(level)
    return loaded + scene.hidden.now("between") * (scene.run.rested - loaded)


def _outcome(
    scene: Scene,
    moment: tuple[Array, Array, Array],
    volts: Array,
    kinds: tuple[Array, Array],
    dead: Array | None = None,
    **reads: Array,
) -> Outcome:
    """An outcome whose tests show what a sound drive shows, but for `reads`."""
    act, seconds, rate = moment
    run, lanes = scene.run, scene.hidden.lanes
    at = _at(np.minimum(seconds, TIMES[-1]))
    opened = np.zeros((len(kinds[0]), lanes)) if dead is None else dead
    back = kinds[1] if kinds[1].ndim == 2 else np.repeat(kinds[1][:, None], lanes, axis=1)
    amps = at.of(scene.most_amps)
    sound = {
        "low": np.minimum(at.of(scene.least_volts), volts),
        "amps": amps,
        "lost": amps * run.leads_ohms,
        "field": 0.96 + 0.04 * scene.hidden.share("field read"),
        "lamps": np.full(lanes, FALSE_ALARM),
        "shaken": np.full(lanes, FALSE_ALARM),
        "bus": 1.0 - scene.plant.precharge_left + np.zeros(lanes),
        "gap": scene.hidden["group_healthy"] * amps / scene.plant.battery_current_limit,
        "case": scene.plant.ambient_temperature + scene.hidden["heat_case"] * at.of(scene.heat.switches),
        "dead": opened.T @ kinds[0],
        "high": np.maximum(run.rested, volts),
    }
    return Outcome(act, seconds, rate, volts, kinds[0], back, opened, {**sound, **reads})


def sag(scene: Scene) -> Outcome:
    """The volts fall under the controller's cut-off for longer than its filter: it stops, and they rise again.

    Source: [method-power] #cut-out
    """
    limit = scene.plant.controller_voltage_cutoff * scene.hidden["cutoff_factor"]
    cross = _crossing(limit - scene.run.volts)
    seconds = cross.seconds + scene.hidden["cutoff_filter"]
    volts = np.minimum(_at(seconds).of(scene.run.volts), limit)
    happens = cross.happens & (scene.run.rested > limit)  # a rested pack under it wouldn't have started
    return _outcome(scene, (_sure(scene, happens, seconds), seconds, 0.0 * seconds), volts, faults())


def over_current(scene: Scene) -> Outcome:
    """The protection opens once the integral of (I/threshold)² − 1 has reached what it lets pass.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    limit = scene.plant.pack_current_limit * hidden["trip_factor"]
    over = np.maximum(np.square(run.amps * scene.plant.pack_share / limit) - 1.0, 0.0)
    step = np.diff(TIMES, prepend=0.0)[:, None]
    cross = _crossing(np.cumsum(over * step, axis=0) / hidden["trip_heat"] - 1.0)
    shares, back, dead = protections(scene)
    moment = (_sure(scene, cross.happens, cross.seconds), cross.seconds, 0.0 * cross.seconds)
    return _outcome(
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
    moment = (_sure(scene, trips & (scene.seen.doing == "switching-on"), seconds), seconds, 0.0 * seconds)
    volts = np.where(short, run.rested * shorted / (shorted + ohms), 0.0)
    bus = np.where(short, 0.02, 1.0 - scene.plant.precharge_left)
    return _outcome(
        scene, moment, volts, (shares, np.where(short, NOT, back)), dead, low=0.0 * seconds, bus=bus
    )


def over_voltage(scene: Scene) -> Outcome:
    """Downhill it runs away until the field's volts, rectified into the pack, reach the controller's ceiling, or the
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
    cross = _crossing(np.maximum(bus / ceiling - 1.0, opens), (speed - start) / gain)
    opened = cross.of(opens) > cross.of(bus / ceiling - 1.0)
    left = np.maximum(cross.of(peak), cross.of(bus))
    volts = np.where(opened, left, np.maximum(cross.of(bus), ceiling))
    shares, back, dead = protections(scene)
    by_fault = np.array([ONCE, ONCE, SWITCHING])[:, None]
    moment = (_sure(scene, cross.happens & downhill, cross.seconds), cross.seconds, 0.0 * cross.seconds)
    return _outcome(
        scene,
        moment,
        volts,
        (shares, np.where(opened, back, by_fault)),
        dead * opened,
        high=volts,
        low=run.rested,
    )


def field(scene: Scene) -> Outcome:
    """The field's supply stops at a low input, or a brush or a lead lets go on a bump.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    stops = hidden.having("field_dropout_share") > 0.0
    cross = _crossing(hidden["field_dropout"] * scene.plant.voltage_nominal - run.volts)
    act, seconds, rate = _chance(scene, hidden["field_rate"])
    act = np.where(stops, _sure(scene, cross.happens, cross.seconds), act)
    seconds = np.where(stops, cross.seconds, seconds)
    volts = np.where(stops, cross.of(run.volts), _between(scene, np.minimum(seconds, TIMES[-1]), run.volts))
    shares, back = faults()
    moment = (act, seconds, np.where(stops, 0.0, rate))
    return _outcome(
        scene, moment, volts, (shares, back), field=np.where(stops, 0.05, 1.0 - hidden["field_depth"])
    )


def sensor(scene: Scene) -> Outcome:
    """A code is missed by chance; short ones are over by themselves, others put the controller in its fault.

    Source: [method-power] #cut-out
    """
    moment = _chance(scene, scene.hidden["sensor_rate"])
    shares, back = faults()
    brief = fixed("sensor_short")
    kinds = (np.array([brief, *(1.0 - brief) * shares]), np.array([ITSELF, *back]))
    volts = _between(scene, np.minimum(moment[1], TIMES[-1]), scene.run.volts)
    seen = -np.expm1(-scene.hidden["sensor_rate"] * scene.hidden["wiggle"] * SHAKEN)
    return _outcome(scene, moment, volts, kinds, lamps=seen)


def throttle(scene: Scene) -> Outcome:
    """A contact of throttle or brake switch lets go by chance, and the controller follows it.

    Source: [method-power] #cut-out
    """
    moment = _chance(scene, scene.hidden["throttle_rate"])
    itself = fixed("throttle_itself")
    volts = _between(scene, np.minimum(moment[1], TIMES[-1]), scene.run.volts)
    seen = -np.expm1(-scene.hidden["throttle_rate"] * scene.hidden["wiggle"] * SHAKEN)
    return _outcome(
        scene, moment, volts, (np.array([itself, 1.0 - itself]), np.array([ITSELF, ONCE])), shaken=seen
    )


def stall(scene: Scene) -> Outcome:
    """Nothing turns under throttle, because the pull doesn't reach what is asked: the controller's time-out counts.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    held = run.asked * hidden.now("obstacle") > 1.0
    counts = (hidden.having("stall_has") > 0.0) & (run.throttle > hidden["stall_throttle"])
    seconds = hidden["stall_time"]
    moment = (_sure(scene, held & counts & (scene.seen.doing == "standing"), seconds), seconds, 0.0 * seconds)
    shares, _ = faults()
    back = np.array([ONCE, ONCE, ONCE, SWITCHING])
    return _outcome(scene, moment, _at(seconds).of(run.volts), (shares, back))


def too_hot(scene: Scene) -> Outcome:
    """Switches or winding reach the temperature at which the controller stops; it goes on some kelvin cooler.

    Source: [method-power] #cut-out
    """
    hidden, warm, air = scene.hidden, scene.heat, scene.plant.ambient_temperature - 273.15
    has = hidden.having("heat_sensor") > 0.0
    switches = warm.switches - (hidden["heat_limit"] - air)
    winding = np.where(has, warm.winding - (hidden["heat_winding"] - air), -1.0)
    cross = _crossing(np.maximum(switches, winding))
    by_winding = has & (cross.of(winding) > cross.of(switches))
    rise = np.maximum(np.where(by_winding, cross.of(warm.winding), cross.of(warm.switches)), 1.0)
    slow = np.where(
        by_winding,
        scene.plant.winding_thermal_resistance * scene.plant.winding_mass * 385.0,
        hidden["heat_time"],
    )
    cooling = -slow * np.log1p(-np.minimum(hidden["heat_back"] / rise, 0.95))
    latch = fixed("heat_latch")
    back = np.stack([np.where(cooling < SOON, ONCE, WAIT), np.full(hidden.lanes, SWITCHING)])
    case = scene.plant.ambient_temperature + hidden["heat_case"] * np.where(
        by_winding, cross.of(warm.switches), hidden["heat_limit"] - air
    )
    moment = (_sure(scene, cross.happens, cross.seconds), cross.seconds, 0.0 * cross.seconds)
    kinds = (np.array([1.0 - latch, latch]), back)
    return _outcome(scene, moment, cross.of(scene.run.volts), kinds, case=case)


def cells(scene: Scene) -> Outcome:
    """The weakest group, of more resistance and less charge, falls under the protection's least: it opens.

    Source: [method-power] #cut-out
    """
    plant, hidden, run = scene.plant, scene.hidden, scene.run
    amps = run.amps * plant.pack_share
    own = run.cells_ohms / plant.series
    mean = open_circuit_voltage(plant.chemistry, run.charge)
    less = mean - open_circuit_voltage(plant.chemistry, np.maximum(run.charge - hidden["lacking"], 0.0))
    extra = less + amps * own * (hidden["weak"] - 1.0)
    group = run.rested / plant.series - (mean[0] - mean) - amps * own - extra
    limit = plant.voltage_min / plant.series * hidden["group_least"]
    cross = _crossing(limit - group)
    seconds = cross.seconds + hidden["group_delay"]
    at = _at(np.minimum(seconds, TIMES[-1]))
    volts = np.maximum(at.of(run.volts) - at.of(extra), 0.0)
    shares, back, dead = protections(scene)
    happens = cross.happens & (run.rested / plant.series - less[0] > limit)  # else it was open before
    moment = (_sure(scene, happens, seconds), seconds, 0.0 * seconds)
    return _outcome(scene, moment, volts, (shares, back), dead, low=0.0 * seconds, gap=at.of(extra))


def joint(scene: Scene) -> Outcome:
    """A loose joint loses volts and more as it heats, or opens on a bump.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    loses = hidden.having("joint_drop_share") > 0.0
    hot = -np.expm1(-TIMES[:, None] / hidden["joint_time"])
    load = np.square(run.amps / scene.plant.battery_current_limit)
    drop = run.amps * hidden["joint_ohms"] * (1.0 + hidden["joint_grows"] * hot * load)
    left = np.maximum(run.volts - drop, 0.3 * run.rested)
    cross = _crossing(scene.plant.controller_voltage_cutoff * hidden["cutoff_factor"] - left)
    act, seconds, rate = _chance(scene, hidden["joint_rate"])
    act = np.where(loses, _sure(scene, cross.happens, cross.seconds), act)
    seconds = np.where(loses, cross.seconds, seconds)
    told = [fixed(key) for key in ("joint_itself", "joint_once", "joint_switching")]
    shares = np.array([*told, 1.0 - sum(told)])
    back = np.where(
        loses,
        np.array([ONCE, ONCE, SWITCHING, ONCE])[:, None],
        np.array([ITSELF, ONCE, SWITCHING, NOT])[:, None],
    )
    dead = np.where(loses, 0.0, np.array([0.0, 0.0, 0.0, 1.0])[:, None])
    volts = np.where(loses, cross.of(left), hidden.now("between") * run.rested)
    lost = np.where(loses, cross.of(drop), _at(np.minimum(seconds, TIMES[-1])).of(drop))
    lost = lost + _at(np.minimum(seconds, TIMES[-1])).of(run.amps) * run.leads_ohms
    low = np.where(loses, volts, 0.0)
    return _outcome(
        scene, (act, seconds, np.where(loses, 0.0, rate)), volts, (shares, back), dead, lost=lost, low=low
    )


CAUSES: dict[str, Callable[[Scene], Outcome]] = {
    "sag": sag,
    "over-current": over_current,
    "inrush": inrush,
    "over-voltage": over_voltage,
    "field": field,
    "sensor": sensor,
    "throttle": throttle,
    "stall": stall,
    "heat": too_hot,
    "cells": cells,
    "joint": joint,
}


def simulate(plant: Plant, hidden: Hidden, seen: Seen) -> list[Outcome]:
    """What each cause does in that situation, in the order of KEYS.

    Source: [method-power] #cut-out
    """
    run = course(plant, hidden, seen)
    held = np.maximum.accumulate(run.amps, axis=0), np.minimum.accumulate(run.volts, axis=0)
    scene = Scene(plant, hidden, seen, run, heat(plant, hidden, run), *held)
    return [CAUSES[key](scene) for key in KEYS]
