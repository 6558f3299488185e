"""From what was seen to how likely each cause is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from calc.power.cutout.causes import KEYS, simulate
from calc.power.cutout.course import TIMES, Plant, Seen
from calc.power.cutout.outcome import BACK, Outcome, watched
from calc.power.cutout.ranges import LANES, Hidden, Uniform, fixed
from calc.quantities import Array
from calc.standards import column

SURE = 0.5
"""Below this likelihood of the first nothing is named (common practice, no source)."""
AHEAD = 2.0
"""Nor where the first is less than so many times as likely as the next (common practice, no source)."""
LEAST = 0.01
"""Chance that a cause acts though no lane says so: numbers on a sheet may be wrong (common practice, no source)."""
AT_HAND = 0.4
"""Seconds that a hand on a watch blurs, s (common practice, no source)."""
LONGER = 2.0
"""A chance event may be seen so many times as long as it is usually watched (common practice, no source)."""
ALIVE = 0.5
"""Share of the rested volts from which a lead counts as alive (common practice, no source)."""


class Weighed(NamedTuple):
    """likelihood: of each cause. fits: whether simulations explain it better than "like none of them". signs: by kind
    of sign, logarithm of how much better than the other causes together each cause explains it. shows: by kind, what
    each cause would show (low, middle, high). acts: chance that each cuts out there. first: what each cause does in
    the first row, and how much each lane weighs."""

    likelihood: Array
    fits: bool
    signs: dict[str, Array]
    shows: dict[str, Array]
    acts: Array
    first: list[Outcome]
    lanes: Array


def names_one(likelihood: Array) -> bool:
    """Whether the likeliest cause is likely enough, by itself and against the next, to be named.

    Source: [method-power] #cut-out
    """
    second, first = np.sort(likelihood)[-2:]
    return bool(first >= SURE and first >= AHEAD * second)


def _blurred(seconds: Array | float) -> Array:
    return np.log(np.asarray(seconds) + AT_HAND)


def _bell(far: Array, wide: Array | float) -> Array:
    return np.exp(-0.5 * np.square(far / wide)) / (np.sqrt(2.0 * np.pi) * wide)


def signs_of(out: Outcome, seen: Seen, rested: float) -> dict[str, Array]:
    """Density of each thing seen, over kinds and lanes; what wasn't seen is left out. "acts": that it cuts out at all.

    Source: [method-power] #cut-out
    """
    told: dict[str, Array] = {"acts": out.act[None, :]}
    if seen.seconds is not None:
        fixed_time = _bell(_blurred(seen.seconds) - _blurred(out.seconds), fixed("watch"))
        still = np.exp(-out.rate * seen.seconds) * out.rate * (seen.seconds + AT_HAND)
        still = still * (seen.seconds < LONGER * watched(seen))
        told["time"] = np.where(out.rate > 0.0, still / np.maximum(out.act, 1e-12), fixed_time)[None, :]
    if seen.comes_back is not None:
        wrong = fixed("told_wrong")
        told["back"] = (1.0 - wrong) * (out.back == BACK.index(seen.comes_back)) + wrong / len(BACK)
    if seen.during is not None:
        wide = np.hypot(fixed("meter") * out.volts, fixed("meter_digit"))
        loaded, top = _bell(seen.during - out.volts, wide), np.maximum(out.volts, 1.0)
        fell = fixed("fallen") * out.dead
        told["volts"] = (1.0 - fell) * loaded + fell * (seen.during < top) / top
    if seen.after is not None:
        dead = seen.after < ALIVE * rested
        wrong = fixed("lead_wrong")
        chance = wrong + (1.0 - 2.0 * wrong) * out.dead
        told["after"] = chance if dead else 1.0 - chance
    return told


def _unlike(told: dict[str, Array], rested: float) -> float:
    """Density of what was seen when it may be anything."""
    whole = 1.0
    for kind, density in (
        ("time", 1.0 / float(_blurred(TIMES[-1]) - _blurred(0.0))),
        ("back", 1.0 / len(BACK)),
        ("volts", 1.0 / (1.2 * rested)),
        ("after", 0.5),
    ):
        whole *= density if kind in told else 1.0
    return whole


def _shown(out: Outcome, values: Array) -> list[float]:
    """What nine of ten lanes that cut out show: least, middle, most."""
    order = np.argsort(values)
    sums = np.cumsum(out.act[order])
    return [
        float(values[order][min(int(np.searchsorted(sums, q * sums[-1])), len(values) - 1)])
        for q in (0.05, 0.5, 0.95)
    ]


def weigh(
    plant: Plant,
    rows: Sequence[Seen],
    uniform: Uniform,
    rested: float,
    lanes: int = LANES,
    prior: Array | None = None,
) -> Weighed:
    """How likely each cause is: one cause and one set of hidden things behind all rows, lane by lane. Bayes.

    rested: volts of the pack at rest where none are noted, V.

    Source: [method-power] #cut-out
    """
    prior = np.array(column("cut_outs", "prior")) if prior is None else prior
    hidden = Hidden(uniform, lanes)
    whole: list[Array] = [np.ones((1, lanes))] * len(KEYS)
    kinds: dict[str, list[Array]] = {}
    first: list[Outcome] = []
    unlike, acts = 1.0, np.ones(len(KEYS))
    for seen in rows:
        outs = simulate(plant, hidden, seen)
        open_volts = rested if seen.before is None else seen.before
        first = first or outs
        shares = np.array([np.mean(out.act) for out in outs])
        acts = np.minimum(acts, shares)
        found: dict[str, list[float]] = {}
        for k, out in enumerate(outs):
            told = signs_of(out, seen, open_volts)
            row = told["acts"]
            for kind, density in told.items():
                if kind != "acts":
                    row = row * density
                    mean = np.mean(out.shares @ np.broadcast_to(out.act * density, (len(out.shares), lanes)))
                    found.setdefault(kind, []).append(float(mean) / max(float(shares[k]), 1e-9))
            whole[k] = whole[k] * row
        unlike *= _unlike(told, open_volts)
        for kind, each in found.items():
            kinds.setdefault(kind, []).append(np.array(each))
        hidden = hidden.next_time()
    lane = np.stack(
        [
            out.shares @ np.broadcast_to(w, (len(out.shares), lanes))
            for out, w in zip(first, whole, strict=True)
        ]
    )
    odd = fixed("unlike")
    like = (1.0 - odd) * lane.mean(axis=1)
    anything = odd * np.maximum(acts, LEAST) * unlike
    weight = prior * (like + anything)
    likelihood = weight / weight.sum()
    best = int(np.argmax(likelihood))
    signs = {
        kind: _against_rest(np.prod(each, axis=0) + 1e-9, prior * np.maximum(acts, LEAST))
        for kind, each in kinds.items()
    }
    shows = {
        "time": np.array([_shown(out, out.seconds) for out in first]),
        "volts": np.array([_shown(out, out.volts) for out in first]),
    }
    return Weighed(likelihood, bool(like[best] > anything[best]), signs, shows, acts, first, lane)


def _against_rest(each: Array, weight: Array) -> Array:
    """Logarithm of a sign's density for each cause over the mean of the others'."""
    rest = (np.sum(weight * each) - weight * each) / np.maximum(weight.sum() - weight, 1e-12)
    return np.log(each / np.maximum(rest, 1e-12))
