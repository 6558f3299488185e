"""What a simulated cause shows over the lanes, and what all causes have in common to get there."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.power.cutout.course import TIMES, Course, Heat, Plant, Seen
from calc.power.cutout.ranges import Hidden, fixed
from calc.quantities import Array

BACK = ("at-once", "wait", "switching", "not", "itself")
ONCE, WAIT, SWITCHING, NOT, ITSELF = range(5)
SOON = 1.5
"""What is back within so many seconds is back at once (common practice, no source)."""
LOOKED = 3.0
"""Seconds after which somebody reads the volts after (common practice, no source)."""
FALSE_ALARM = 0.03
"""How often a shaken lead shows a fault that isn't one (common practice, no source)."""

Mask = np.ndarray[Any, np.dtype[np.bool_]]


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


class Crossing(NamedTuple):
    """Where a margin over TIMES first passes zero: whether, when, and between which moments."""

    happens: Mask
    seconds: Array
    after: np.ndarray[Any, np.dtype[np.intp]]
    part: Array

    def of(self, values: Array) -> Array:
        """Another course at that moment."""
        lane = np.arange(values.shape[1])
        one, two = values[np.maximum(self.after - 1, 0), lane], values[self.after, lane]
        return one + self.part * (two - one)


def crossing(margin: Array, times: Array = TIMES[:, None]) -> Crossing:
    """Where a margin over `times` (first axis, s) and lanes first passes zero, straight between the moments."""
    over = margin >= 0.0
    after = np.argmax(over, axis=0)
    lane = np.arange(margin.shape[1])
    low, high = margin[np.maximum(after - 1, 0), lane], margin[after, lane]
    part = np.where(after > 0, -low / np.where(high > low, high - low, 1.0), 1.0)
    times = np.broadcast_to(times, margin.shape)
    start = np.where(after > 0, times[np.maximum(after - 1, 0), lane], 0.0)
    return Crossing(over.any(axis=0), start + part * (times[after, lane] - start), after, part)


def at_moment(seconds: Array) -> Crossing:
    """The course at a moment of each lane."""
    after = np.clip(np.searchsorted(TIMES, seconds), 1, len(TIMES) - 1)
    part = np.clip((seconds - TIMES[after - 1]) / (TIMES[after] - TIMES[after - 1]), 0.0, 1.0)
    return Crossing(np.ones(len(seconds), bool), seconds, after, part)


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


def happening(scene: Scene, happens: Mask, seconds: Array) -> Array:
    """1 where it happens while somebody is there to see it."""
    return np.where(happens & (seconds < watched(scene.seen)), 1.0, 0.0)


def by_chance(scene: Scene, rate: Array) -> tuple[Array, Array, Array]:
    """(act, seconds, rate) of a chance event that strikes so often on a ride."""
    rate = rate * fixed(f"bumps_{scene.seen.doing}")
    act = -np.expm1(-rate * watched(scene.seen))
    return act, -np.log1p(-scene.hidden.now("luck") * act) / rate, rate


def partly_loaded(scene: Scene, seconds: Array, level: Array) -> Array:
    """Volts of a drive that has stopped pulling, somewhere between loaded and rested."""
    loaded = at_moment(seconds).of(level)
    return loaded + scene.hidden.now("between") * (scene.run.rested - loaded)


def outcome(
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
    at = at_moment(np.minimum(seconds, TIMES[-1]))
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
