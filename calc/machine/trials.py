"""Pairing leads and sensors by trials, for a controller that can't be measured: what remains, and what to try next.

A hypothesis is the arrangement that stands for "ABC, 123" and how the sensors are aligned. Each predicts from the
computed torques what any of the 36 shows from rest; reports are weighed by Bayes' rule, a stated share of them wrong.
Running in reverse counts as found: the way is chosen afterwards.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

import numpy as np

from calc.machine import leads
from calc.machine.leads import ORDERS, Arrangement, Order
from calc.quantities import Array

Trial = tuple[Order, Order, str, str | None]  # leads on U V W, sensors on 1 2 3, seen, way
Row = dict[str, Any]
# What a trial shows: runs forward, runs in reverse, weak forward, weak in reverse, locks.
SHOWN = (
    ("smooth", "forward"),
    ("smooth", "backward"),
    ("rough", "forward"),
    ("rough", "backward"),
    ("locks", ""),
)
ENOUGH = 0.95  # posterior at which the search stops
WRONG = 0.1  # share of wrong reports counted with (common practice, no source)
MOST_TRIALS = 12  # after as many without an answer, measuring is quicker
MUDDLED = 0.35  # share of reports against the likeliest hypothesis that says: measure instead
OUT = -np.pi / 6.0  # sensors 30° out; early or late is the same set of twelve
_LEAST_WEIGHT = 1e-3


class Plan(NamedTuple):
    """hypotheses by probability; next: (leads, sensors) to try; found: probability that it runs, either way.

    settled: found is ENOUGH. hopeless: too many trials, or too many that contradict each other. expected: further
    trials until it is settled, on average. astray: trials (from 1) that don't fit the likeliest hypothesis.
    """

    hypotheses: tuple[Row, ...]
    next: tuple[Order, Order]
    found: float
    settled: bool
    hopeless: bool
    expected: float
    astray: tuple[int, ...]


class Known(NamedTuple):
    """What is computed once for a kind of sensor set: hypotheses, candidates for a trial, and what each would show."""

    hypotheses: tuple[tuple[Order, Order, float], ...]
    candidates: tuple[tuple[Order, Order], ...]
    shows: Array  # by candidate and hypothesis: index in SHOWN
    groups: Array  # by group and hypothesis: 1 where the same candidates run


@cache
def _table(error: float, spacing: str) -> dict[tuple[Order, Order], Arrangement]:
    places = leads.edges((error,) * 3, spacing)
    found = leads.arrangements(places, tuple(leads.table_of(spacing).items()))
    return {(a.leads, a.sensors): a for a in found}


def _from_its_view(order: Order, tried: Order) -> Order:
    """`tried` renamed so that `order` becomes 0 1 2."""
    return (order.index(tried[0]), order.index(tried[1]), order.index(tried[2]))


def _in_our_names(order: Order, seen: Order) -> Order:
    return (order[seen[0]], order[seen[1]], order[seen[2]])


def shown(hypothesis: tuple[Order, Order, float], tried: tuple[Order, Order], spacing: str) -> int:
    """Index in SHOWN of what an arrangement shows from rest if the hypothesis is true.

    Source: [method-machine] #trials
    """
    right_leads, right_sensors, error = hypothesis
    found = _table(error, spacing)[
        (_from_its_view(right_leads, tried[0]), _from_its_view(right_sensors, tried[1]))
    ]
    kind = leads.starts(found)
    return 4 if kind == "locks" else (0 if kind == "smooth" else 2) + (found.mean < 0.0)


@cache
def known(errors: tuple[float, ...], spacing: str) -> Known:
    """Hypotheses and candidates for these alignment errors (rad), all equally likely at first.

    Twelve classes of arrangements, for three of the 36 are the same but for the names: six orders of the leads, the
    sensors as they are or the first and third exchanged.

    Source: [method-machine] #trials
    """
    candidates = tuple((order, sensors) for sensors in ((0, 1, 2), (2, 1, 0)) for order in ORDERS)
    hypotheses = tuple((*c, error) for error in errors for c in candidates)
    shows = np.array([[shown(h, c, spacing) for h in hypotheses] for c in candidates])
    kinds, which = np.unique(shows < 2, axis=1, return_inverse=True)
    groups = (np.arange(kinds.shape[1])[:, None] == which.ravel()).astype(float)
    return Known(hypotheses, candidates, shows, groups)


@cache
def _confusion(wrong: float) -> Array:
    """By report and truth: how likely the report is. A wrong one is any of the others alike."""
    return np.full((5, 5), wrong / 4.0) + np.eye(5) * (1.0 - wrong - wrong / 4.0)


def _reports(seen: str, way: str | None) -> list[int]:
    """The reports (indexes in SHOWN) that what somebody wrote may stand for."""
    told = [k for k, (word, _) in enumerate(SHOWN) if word == seen]
    exact = [k for k in told if SHOWN[k][1] == way]
    return exact or told


def _weights(k: Known, trials: tuple[Trial, ...], spacing: str, wrong: float) -> Array:
    """Probability of each hypothesis after the trials; all alike where nothing agrees with them."""
    weight = np.ones(len(k.hypotheses))
    for order, sensors, seen, way in trials:
        if seen == "nothing":
            continue
        truth = np.array([shown(h, (order, sensors), spacing) for h in k.hypotheses])
        weight = weight * _confusion(wrong)[_reports(seen, way)].sum(axis=0)[truth]
        if weight.sum() > 0.0:
            weight = weight / weight.sum()
    return weight / weight.sum() if weight.sum() > 0.0 else np.full(weight.shape, 1.0 / weight.size)


def _runs(k: Known, weights: Array) -> Array:
    """Probability that each candidate runs, by lane."""
    return weights @ (k.shows < 2).T.astype(float)


def _after(k: Known, weights: Array, wrong: float) -> Array:
    """By lane, candidate, report and hypothesis: the probability of both."""
    likely: Array = np.moveaxis(_confusion(wrong)[:, k.shows], 0, 1)
    return weights[:, None, None, :] * likely


def _choose(k: Known, weights: Array, wrong: float) -> tuple[Array, Array]:
    """The candidate that leaves least doubt about what runs, by lane, and what may follow it (report, hypothesis)."""
    joint = _after(k, weights, wrong)
    grouped = joint @ k.groups.T
    total = grouped.sum(axis=-1, keepdims=True)
    doubt = (grouped * (np.log(np.maximum(total, 1e-300)) - np.log(np.maximum(grouped, 1e-300)))).sum(
        (-1, -2)
    )
    # Of two that tell as much the likelier to run goes first.
    pick = np.argmin(np.round(doubt, 6) - 1e-3 * _runs(k, weights), axis=1)
    return pick, joint[np.arange(len(pick)), pick]


def _expected(k: Known, weights: Array, wrong: float) -> float:
    """Mean number of further trials until one candidate runs with ENOUGH probability.

    Every branch that weighs at least a thousandth is followed; what is lighter counts one trial more.
    """
    lanes, share, mean = weights[None, :], np.ones(1), 0.0
    for _ in range(MOST_TRIALS):
        going = _runs(k, lanes).max(axis=1) < ENOUGH
        lanes, share = lanes[going], share[going]
        mean += float(share.sum())
        heavy = share >= _LEAST_WEIGHT
        lanes, share = lanes[heavy], share[heavy]
        if not len(share):
            break
        _, follows = _choose(k, lanes, wrong)
        chance = follows.sum(axis=-1)
        share = (share[:, None] * chance).ravel()
        lanes = (follows / np.maximum(chance, 1e-300)[..., None]).reshape(-1, lanes.shape[1])
        lanes, share = lanes[share > 0.0], share[share > 0.0]
    return mean


def alike(order: Order, sensors: Order, spacing: str) -> list[tuple[Order, Order]]:
    """The arrangements that are the same but for names: outputs and inputs turned alike, if 120° apart.

    Source: [method-machine] #arrangements
    """
    turns = (0, 1, 2) if spacing == "120" else (0,)
    return [
        (
            (order[t], order[(t + 1) % 3], order[(t + 2) % 3]),
            (sensors[t], sensors[(t + 1) % 3], sensors[(t + 2) % 3]),
        )
        for t in turns
    ]


def _nearest(
    choice: tuple[Order, Order], last: tuple[Order, Order] | None, spacing: str
) -> tuple[Order, Order]:
    """Of those that are the same but for names, the one that moves fewest wires from the last trial."""
    order, sensors = last or ((0, 1, 2), (0, 1, 2))

    def moved(pair: tuple[Order, Order]) -> int:
        return sum(a != b for a, b in zip((*pair[0], *pair[1]), (*order, *sensors), strict=True))

    return min(alike(*choice, spacing), key=moved)


def _row(
    hypothesis: tuple[Order, Order, float], chance: float, last: tuple[Order, Order] | None, spacing: str
) -> Row:
    """A hypothesis told by the arrangements that would run well, forward and in reverse."""
    order, sensors, error = hypothesis
    found = tuple(_table(error, spacing).values())
    row: Row = {"probability": chance, "error": error}
    for way, reverse in (("forward", False), ("reverse", True)):
        ties = leads.best(found, reverse)
        ours = [(_in_our_names(order, a.leads), _in_our_names(sensors, a.sensors)) for a in ties[:1]]
        row[way] = _nearest(ours[0], last, spacing) if ours else None
        late = [a for a in found if a.behaviour == ("late in reverse" if reverse else "late")]
        ours = [(_in_our_names(order, a.leads), _in_our_names(sensors, a.sensors)) for a in late[:1]]
        row[f"late_{way}"] = _nearest(ours[0], last, spacing) if ours else None
    return row


@cache
def plan(
    trials: tuple[Trial, ...], errors: tuple[float, ...], spacing: str = "120", wrong: float = WRONG
) -> Plan:
    """What the trials leave and what to try next.

    errors: the alignment errors that the sensors may have, rad, each as likely; spacing: what the controller expects;
    wrong: share of reports that are wrong. A report of nothing tells nothing about the arrangement.

    Source: [method-machine] #trials
    """
    k = known(errors, spacing)
    weights = _weights(k, trials, spacing, wrong)
    runs = _runs(k, weights)
    last = (trials[-1][0], trials[-1][1]) if trials else None
    found = float(runs.max())
    settled = found >= ENOUGH
    pick = int(runs.argmax()) if settled else int(_choose(k, weights[None, :], wrong)[0][0])
    likeliest = k.hypotheses[int(weights.argmax())]
    astray = tuple(
        number
        for number, (order, sensors, seen, way) in enumerate(trials, 1)
        if seen != "nothing" and shown(likeliest, (order, sensors), spacing) not in _reports(seen, way)
    )
    counted = sum(seen != "nothing" for *_, seen, _ in trials)
    muddled = len(astray) >= 3 and len(astray) > MUDDLED * counted
    hopeless = not settled and (counted >= MOST_TRIALS or muddled)
    ranked = sorted(range(len(weights)), key=lambda n: -round(float(weights[n]), 12))
    return Plan(
        tuple(_row(k.hypotheses[n], float(weights[n]), last, spacing) for n in ranked),
        _nearest(k.candidates[pick], last, spacing),
        found,
        settled,
        hopeless,
        _expected(k, weights, wrong),
        astray,
    )
