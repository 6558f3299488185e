"""The cheapest test that tells two causes apart, by what the simulation says that each would show."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.power.cutout.causes import simulate
from calc.power.cutout.course import TIMES, Plant, Seen
from calc.power.cutout.outcome import Outcome
from calc.power.cutout.ranges import Hidden, Uniform
from calc.power.cutout.weigh import Weighed
from calc.quantities import Array
from calc.standards import rows

RIGHT = 0.9
"""A test tells two causes apart when it is right so often (common practice, no source)."""
GIVEN_UP = 600.0
"""Seconds after which a drive that hasn't cut out counts as one that doesn't (common practice, no source)."""
_POINTS, _LEVELS = 41, 60
_DOUBT = 0.02  # weight of lanes that what was seen speaks against: the watch may be wrong


class Test(NamedTuple):
    """One row of the table of tests."""

    reads: str
    minutes: float
    unit: str
    noise: float
    digit: float
    name: str
    quantity: str
    do: str


class Parting(NamedTuple):
    """The test between two causes. right: how often. limit: the reading between them, SI (None: yes or no); under it,
    or with no, it is the first when `first_low`."""

    test: Test
    right: float
    limit: float | None
    first_low: bool


def table() -> tuple[Test, ...]:
    """The tests, quickest first."""
    return tuple(
        Test(
            row["reads"],
            float(row["minutes"]),
            row["unit"],
            float(row["noise"]),
            float(row["digit"]),
            row["name"],
            row["quantity"],
            row["do"],
        )
        for row in rows("cut_out_tests")
    )


class Shown(NamedTuple):
    """What each test (first axis) shows for each cause, as so many equally likely readings (last axis)."""

    readings: Array


def _quantiles(values: Array, weight: Array) -> Array:
    order = np.argsort(values, kind="stable")
    sums = np.cumsum(weight[order])
    places = (np.arange(_POINTS) + 0.5) / _POINTS * sums[-1]
    found: Array = values[order][np.minimum(np.searchsorted(sums, places), len(values) - 1)]
    return found


def _half(half: Outcome, luck: Array) -> Array:
    """Seconds to the cut-out at half the throttle; GIVEN_UP where it doesn't."""
    by_chance = -np.log1p(-luck) / np.where(half.rate > 0.0, half.rate, 1.0)
    seconds = np.where(half.rate > 0.0, by_chance, np.where(half.act > 0.0, half.seconds, TIMES[-1]))
    return np.minimum(seconds, GIVEN_UP)


def shown(plant: Plant, seen: Seen, uniform: Uniform, weighed: Weighed) -> Shown:
    """What each test would show in the first row's situation for each cause, lanes as likely as what was seen says.

    Source: [method-power] #cut-out
    """
    lanes = weighed.lanes.shape[1]
    throttle = 1.0 if seen.throttle is None else seen.throttle
    hidden = Hidden(uniform, lanes)
    halved = simulate(plant, hidden, seen._replace(throttle=0.5 * throttle, seconds=None))
    luck = hidden.share("luck of the test")
    out = np.empty((len(table()), len(halved), _POINTS))
    for k, outcome in enumerate(weighed.first):
        acts = outcome.act if outcome.act.any() else np.ones(lanes)
        weight = weighed.lanes[k]
        weight = (weight / weight.sum() if weight.any() else 0.0) + _DOUBT * acts / acts.sum()
        for n, test in enumerate(table()):
            if test.unit == "chance":
                out[n, k] = np.sum(weight * outcome.reads[test.reads]) / weight.sum()
            else:
                values = _half(halved[k], luck) if test.reads == "half" else outcome.reads[test.reads]
                out[n, k] = _quantiles(np.broadcast_to(values, (lanes,)), weight)
    return Shown(out)


def between(one: Array, two: Array, test: Test) -> Parting:
    """The best limit between two sets of readings, and how often it is right when both causes are as likely."""
    if test.unit == "chance":
        first, second = float(one[0]), float(two[0])
        return Parting(test, 0.5 + 0.5 * abs(first - second), None, first < second)
    both = np.sort(np.concatenate([one, two]))
    limits = np.linspace(both[0], both[-1], _LEVELS)
    limits = np.concatenate([limits, 0.5 * (both[1:] + both[:-1])])
    wide = np.hypot(test.noise * limits, test.digit)
    # the bell curve's sum, by the logistic curve that stays within 0.01 of it
    under = [
        np.mean(
            1.0 / (1.0 + np.exp(np.clip(-1.702 * (limits[:, None] - x) / wide[:, None], -60.0, 60.0))), axis=1
        )
        for x in (one, two)
    ]
    right = 0.5 + 0.5 * (under[0] - under[1])
    best = int(np.argmax(np.abs(right - 0.5)))
    return Parting(
        test, float(max(right[best], 1.0 - right[best])), float(limits[best]), bool(right[best] > 0.5)
    )


def parting(shows: Shown, first: int, second: int, seen_after: bool = False) -> Parting:
    """The quickest test that is right nine times in ten between two causes; the best one when none is.

    seen_after: somebody has read the lead after the cut-out already: not asked again.

    Source: [method-power] #cut-out
    """
    best: Parting | None = None
    for n, test in enumerate(table()):
        if test.reads == "dead" and seen_after:
            continue
        found = between(shows.readings[n, first], shows.readings[n, second], test)
        if found.right >= RIGHT:
            return found
        if best is None or found.right > best.right + 1e-9:
            best = found
    assert best is not None
    return best
