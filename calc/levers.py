"""The smallest single change that mends a check: looked for after the verdict is shown, since it takes longer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from calc import units
from calc.build import Build
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.spec import WORST
from calc.verdict import Judged, Lever, Verdict, judge_all

LANES = 48
TRIES = 6


def mend(verdict: Verdict) -> Verdict:
    """The same verdict with a lever for each check that isn't ok and that a single change can mend.

    Candidates are lanes of one evaluation at the stated values, so that the search costs little; only the smallest
    that looks right there is confirmed with draws, then the next.
    """
    return replace(verdict, checks=tuple(replace(j, lever=_lever(verdict, j)) for j in verdict.checks))


def _lever(verdict: Verdict, judged: Judged) -> Lever | None:
    check, build = judged.check, verdict.build
    if judged.severity == "ok" or judged.margin is None:
        return None
    leaves = [key for key in build.leaves(*check.nodes) if FIELDS[key].lever]
    found: list[tuple[float, str, float]] = []
    for key in leaves:
        values = _candidates(build, key)
        if values.size == 0:
            continue
        try:
            margin = np.broadcast_to(
                np.asarray(check.margin(build.nominal(**{key: values})), dtype=float), values.shape
            )
        except NoSolution:
            continue
        now = float(build.input(key).value)
        better = margin > max(judged.margin, 0.0)
        found += [(abs(float(np.log(value / now))), key, float(value)) for value in values[better]]
    for _, key, value in _spaced(sorted(found)):
        changed = build.with_entry(key, round(value) if FIELDS[key].kind == "count" else value)
        checks, _ = judge_all(changed)
        after = {j.check.id: j.severity for j in checks}
        if after[check.id] == "ok" and all(
            WORST[after[j.check.id]] <= WORST[j.severity] for j in verdict.checks
        ):
            f = FIELDS[key]
            was, to = (units.show(x, f.unit) for x in (float(build.input(key).value), value))
            note = f", {f.lever_note}," if f.lever_note else ""
            return Lever(
                key, value, f"{f.label}: {to} instead of {was}{note} makes this ok and no other check worse."
            )
    return None


def _candidates(build: Build, key: str) -> NDArray[np.float64]:
    """Values of a lever's range, as one would choose them: whole numbers, or round ones in the display unit."""
    f = FIELDS[key]
    assert f.lever is not None
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
