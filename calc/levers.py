"""The smallest single change that mends a check: looked for after the verdict is shown, since it takes longer."""

from __future__ import annotations

import numpy as np

from calc import units
from calc.build import Build
from calc.checks import Check
from calc.draws import Array
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.spec import WORST
from calc.verdict import Judged, Lever, Verdict, judge_one

LANES = 48
FURTHEST = 3.0  # a change by more than this factor is another build, not a lever
TRIES = 3


def mend(verdict: Verdict) -> Verdict:
    """The same verdict with a lever for each check that isn't ok and that a single change can mend.

    Candidates are lanes of one evaluation at the stated values, so that the search costs little; only the smallest
    that looks right there is confirmed with draws, then the next.
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
        if values.size:
            margin = np.broadcast_to(_margin(check, build, {key: values}), values.shape)
            now = float(build.input(key).value)
            near = np.abs(np.log(values / now)) < np.log(FURTHEST)
            better = values[(margin > max(judged.margin, judged.doubt)) & near]
            found += [(abs(float(np.log(value / now))), key, float(value)) for value in better]
    for _, key, value in _spaced(sorted(found)):
        changed = build.with_entry(key, round(value) if FIELDS[key].kind == "count" else value)
        touched = [j for j in verdict.checks if key in build.leaves(*j.check.nodes)]
        if _mends(check, touched, changed):
            f = FIELDS[key]
            was, to = (units.show(x, f.unit) for x in (float(build.input(key).value), value))
            note = f", {f.lever_note}," if f.lever_note else ""
            return Lever(
                key, value, f"{f.label}: {to} instead of {was}{note} makes this ok and no other check worse."
            )
    return None


def _margin(check: Check, build: Build, changes: dict[str, Array]) -> Array:
    """The margin at the stated values with some leaves replaced by lanes; as if mended where the sensors fail."""
    try:
        return np.asarray(check.margin(build.nominal(**changes)), dtype=float)
    except NoSolution:
        if not check.despite_sensors:
            return np.asarray(-1.0)
        return np.asarray(check.margin(build.mended().nominal(**changes)), dtype=float)


def _mends(check: Check, touched: list[Judged], changed: Build) -> bool:
    """Whether the change makes its check ok over the draws, and none of the others that it touches worse."""
    stated, drawn = changed.nominal(), changed.drawn()

    def severity(one: Check) -> str:
        return judge_one(one, changed, stated, drawn)[0].severity

    return severity(check) == "ok" and all(WORST[severity(j.check)] <= WORST[j.severity] for j in touched)


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


def _spaced(found: list[tuple[float, str, float]]) -> list[tuple[float, str, float]]:
    """At most TRIES candidates of each field, nearest first, the later ones further apart."""
    kept: list[tuple[float, str, float]] = []
    for key in dict.fromkeys(key for _, key, _ in found):
        own = [item for item in found if item[1] == key]
        picks = sorted({min(len(own) - 1, round(len(own) * (k / TRIES) ** 2)) for k in range(TRIES)})
        kept += [own[k] for k in picks]
    return sorted(kept)
