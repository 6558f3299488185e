"""Causes that strike by chance or stand in the controller's table: contacts, codes, the stall time-out.

Common practice, no source, but for the physics; ranges of what no sheet tells stand in the table of ranges.
"""

from __future__ import annotations

import numpy as np

from calc.power.cutout.course import TIMES
from calc.power.cutout.outcome import (
    ITSELF,
    NOT,
    ONCE,
    SWITCHING,
    Outcome,
    Scene,
    at_moment,
    by_chance,
    crossing,
    faults,
    happening,
    outcome,
    partly_loaded,
)
from calc.power.cutout.ranges import fixed

SHAKEN = 60.0
"""How long a lead is shaken, s (common practice, no source)."""


def field(scene: Scene) -> Outcome:
    """The field's supply stops at a low input, or a brush or a lead lets go on a bump.

    Source: [method-power] #cut-out
    """
    hidden, run = scene.hidden, scene.run
    stops = hidden.having("field_dropout_share") > 0.0
    cross = crossing(hidden["field_dropout"] * scene.plant.voltage_nominal - run.volts)
    act, seconds, rate = by_chance(scene, hidden["field_rate"])
    act = np.where(stops, happening(scene, cross.happens, cross.seconds), act)
    seconds = np.where(stops, cross.seconds, seconds)
    volts = np.where(
        stops, cross.of(run.volts), partly_loaded(scene, np.minimum(seconds, TIMES[-1]), run.volts)
    )
    shares, back = faults()
    moment = (act, seconds, np.where(stops, 0.0, rate))
    return outcome(
        scene, moment, volts, (shares, back), field=np.where(stops, 0.05, 1.0 - hidden["field_depth"])
    )


def sensor(scene: Scene) -> Outcome:
    """A code is missed by chance; short ones are over by themselves, others put the controller in its fault.

    Source: [method-power] #cut-out
    """
    moment = by_chance(scene, scene.hidden["sensor_rate"])
    shares, back = faults()
    brief = fixed("sensor_short")
    kinds = (np.array([brief, *(1.0 - brief) * shares]), np.array([ITSELF, *back]))
    volts = partly_loaded(scene, np.minimum(moment[1], TIMES[-1]), scene.run.volts)
    seen = -np.expm1(-scene.hidden["sensor_rate"] * scene.hidden["wiggle"] * SHAKEN)
    return outcome(scene, moment, volts, kinds, lamps=seen)


def throttle(scene: Scene) -> Outcome:
    """A contact of throttle or brake switch lets go by chance, and the controller follows it.

    Source: [method-power] #cut-out
    """
    moment = by_chance(scene, scene.hidden["throttle_rate"])
    itself = fixed("throttle_itself")
    volts = partly_loaded(scene, np.minimum(moment[1], TIMES[-1]), scene.run.volts)
    seen = -np.expm1(-scene.hidden["throttle_rate"] * scene.hidden["wiggle"] * SHAKEN)
    return outcome(
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
    moment = (
        happening(scene, held & counts & (scene.seen.doing == "standing"), seconds),
        seconds,
        0.0 * seconds,
    )
    shares, _ = faults()
    back = np.array([ONCE, ONCE, ONCE, SWITCHING])
    return outcome(scene, moment, at_moment(seconds).of(run.volts), (shares, back))


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
    cross = crossing(scene.plant.controller_voltage_cutoff * hidden["cutoff_factor"] - left)
    act, seconds, rate = by_chance(scene, hidden["joint_rate"])
    act = np.where(loses, happening(scene, cross.happens, cross.seconds), act)
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
    lost = np.where(loses, cross.of(drop), at_moment(np.minimum(seconds, TIMES[-1])).of(drop))
    lost = lost + at_moment(np.minimum(seconds, TIMES[-1])).of(run.amps) * run.leads_ohms
    low = np.where(loses, volts, 0.0)
    return outcome(
        scene, (act, seconds, np.where(loses, 0.0, rate)), volts, (shares, back), dead, lost=lost, low=low
    )
