"""The smallest single change that mends a check: looked for after the verdict is shown, since it takes longer."""

from __future__ import annotations

import numpy as np

from calc import units
from calc.build import Build
from calc.checks import Check, Judged, Lever
from calc.draws import Array
from calc.errors import NoSensors, NoSolution
from calc.fields import FIELDS
from calc.findings import WORST
from calc.verdict import Verdict, judge_one

LANES = 48
FURTHEST = 3.0  # a change by more than this factor is another build, not a lever


def mend(verdict: Verdict) -> Verdict:
    """The same verdict with a lever for each check that isn't ok and that a single change can mend.

    Candidates are lanes of one evaluation at the stated values, so that the search costs little; only what looks
    right there is tried over the draws.
    """
    return verdict._replace(checks=tuple(j._replace(lever=_lever(verdict, j)) for j in verdict.checks))


def _lever(verdict: Verdict, judged: Judged) -> Lever | None:
    check, build = judged.check, verdict.build
    if judged.severity == "ok" or judged.margin is None:
        return None
    if check.safety:  # a matter of safety is mended, not tuned
        return None
    found: list[tuple[float, str, float]] = []
    for key in build.leaves(*check.nodes):
        values = _candidates(build, key)
        if not values.size:
            continue
        margin = np.broadcast_to(_margin(check, build, {key: values}), values.shape)
        distance = np.abs(np.log(values / float(build.input(key).value)))
        hopeful = (margin > max(judged.margin, judged.doubt)) & (distance < np.log(FURTHEST))
        order = np.argsort(distance[hopeful])
        value = _smallest(verdict, check, key, values[hopeful][order])
        if value is not None:
            found.append((abs(float(np.log(value / float(build.input(key).value)))), key, value))
    if not found:
        return None
    _, key, value = min(found)
    f = FIELDS[key]
    was, to = (units.show(x, f.unit) for x in (float(build.input(key).value), value))
    note = f", {f.lever_note}," if f.lever_note else ""
    return Lever(
        key, value, f"{f.label}: {to} instead of {was}{note} makes this ok and no other check worse."
    )


def _smallest(verdict: Verdict, check: Check, key: str, values: Array) -> float | None:
    """The first of `values` (nearest first) that makes the check ok over the draws and no other one worse.

    The further the change, the better for this check and the worse for others. So the furthest tells whether there
    is any, halving finds the nearest, and that one alone has to pass the others.
    """
    if not values.size or not _is_ok(check, _changed(verdict.build, key, values[-1])):
        return None
    low, high = 0, values.size - 1
    while low < high:
        middle = (low + high) // 2
        if _is_ok(check, _changed(verdict.build, key, values[middle])):
            high = middle
        else:
            low = middle + 1
    changed = _changed(verdict.build, key, values[low])
    stated, drawn = changed.nominal(), changed.drawn()
    touched = (j for j in verdict.checks if key in verdict.build.leaves(*j.check.nodes))
    worse = any(
        WORST[judge_one(j.check, changed, stated, drawn)[0].severity] > WORST[j.severity] for j in touched
    )
    return None if worse else float(values[low])


def _changed(build: Build, key: str, value: float) -> Build:
    return build.with_entry(key, round(value) if FIELDS[key].kind == "count" else float(value))


def _is_ok(check: Check, build: Build) -> bool:
    return judge_one(check, build, build.nominal(), build.drawn())[0].severity == "ok"


def _margin(check: Check, build: Build, changes: dict[str, Array]) -> Array:
    """The margin at the stated values with some leaves replaced by lanes; as if mended where the sensors fail."""
    try:
        return np.asarray(check.margin(build.nominal(**changes)), dtype=float)
    except NoSolution as none:
        if not (check.despite_sensors and isinstance(none, NoSensors)):
            return np.asarray(-1.0)
        return np.asarray(check.margin(build.mended().nominal(**changes)), dtype=float)


def _candidates(build: Build, key: str) -> Array:
    """Values of a lever's range as one would choose them; none for a field without a lever.

    Whole numbers for a count, else round ones in the display unit.
    """
    f = FIELDS[key]
    if f.lever is None:
        return np.array([])
    low, high = f.lever
    step = 1.0 if f.kind == "count" else _round_step(high - low)
    values = np.array([f.si(x) for x in np.arange(low, high + step / 2, step)])
    return values[np.abs(values - float(build.input(key).value)) > 1e-9]


def _round_step(span: float) -> float:
    """A step of 1, 2 or 5 times a power of ten that divides `span` into at most LANES parts."""
    power = 10.0 ** np.floor(np.log10(span / LANES))
    return float(next(power * m for m in (1, 2, 5, 10) if span / (power * m) <= LANES))
