"""What is worth adding or measuring next, and which checks it is for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from calc.build import Build, Values
from calc.checks import Check, Judged
from calc.checks.model import OK_FROM
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.told import unsaid

LEAST_SHARE = 0.01
"""Of all doubt: what explains less isn't named (a choice)."""
MUCH = 0.1
"""Of all doubt: what explains as much is named before choices and counts, whose share nobody knows (a choice)."""
DECIDES = 0.2
"""Of the doubt in one check: a guess that explains as much is named in what to do (a choice)."""

DRAWN = ("number", "count")
"""Kinds of fields that draws go through; a choice stays what it is."""

Explained = Mapping[str, float]
"""Of the doubt in a check the share that each guessed number explains; empty where no draw decides."""


class Next(NamedTuple):
    """A field worth adding or measuring. share: of the doubt in all checks; None where it isn't doubt that asks for it.
    checks: those that it is for, the one it moves most first."""

    field: str
    share: float | None
    checks: tuple[Check, ...]


def _weight(chance: float | None) -> float:
    """p(1 − p): a check that could go either way counts most."""
    return 0.0 if chance is None else chance * (1.0 - chance)


def _is_measurable(build: Build, key: str) -> bool:
    """Whether what a field is measured on is there yet: no sensor can be tried before it is chosen and placed."""
    return not FIELDS[key].after or FIELDS[key].after in build.entered


def _guesses(check: Check, build: Build) -> list[str]:
    """What below a check nobody measured or read from a label, and could."""
    below = build.leaves(*check.nodes)
    return [key for key in below if build.input(key).guessed and _is_measurable(build, key)]


def explained(
    check: Check, chance: float | None, margin: Any, build: Build, drawn: Values
) -> Explained | None:
    """r² between the draws of each guessed number and a check's margin; None for a check that has no margins."""
    if margin is None:
        return None
    if not _weight(chance) or float(np.std(margin)) == 0.0:
        return {}
    found = {}
    for key in _guesses(check, build):
        if FIELDS[key].kind == "number":
            sample = np.broadcast_to(np.asarray(drawn[key], dtype=float), margin.shape)
            if float(np.std(sample)) > 0.0:
                found[key] = float(np.corrcoef(sample, margin)[0, 1]) ** 2
    return found


def advised(judged: Judged, part: Explained | None) -> Judged:
    """A check that draws leave open, told what to measure before anything of the build is changed."""
    if not part or judged.check.safety or not 1.0 - OK_FROM <= (judged.chance or 0.0) < OK_FROM:
        return judged
    decider = max(part, key=part.__getitem__)
    if part[decider] < DECIDES:
        return judged
    share = f"{100 * part[decider]:.0f} % of the doubt here is in it"
    do = f"First measure or enter {FIELDS[decider].quoted}: {share}. Still in doubt? {judged.do}"
    return judged._replace(do=do)


def asked(check: Check, build: Build, margin: float, chance: float, part: Explained | None) -> list[str]:
    """What a check of safety asks for before it is called safe.

    Where it fits: what nobody entered, else the guesses that the doubt is in. Where it falls short: what nobody entered
    and could make it fit; what the draws went through without is left out. What explains most of the doubt comes first.
    """
    share = part or {}
    rests = sorted(build.unsaid(*check.nodes), key=lambda key: -share.get(key, 0.0))
    if margin >= 0.0 and not rests:
        decide = [key for key in share if share[key] >= DECIDES and unsaid(build.input(key))]
        return sorted(decide, key=lambda key: -share[key])
    if margin >= 0.0:
        return rests
    if chance >= 1.0 - OK_FROM:
        return rests
    return [key for key in rests if not (build.is_leaf(key) and FIELDS[key].kind in DRAWN)]


def _matters(check: Check, build: Build, key: str) -> bool:
    """Whether another choice, or the other end of a count's usual range, moves the check's margin."""
    f, now = FIELDS[key], build.input(key).value
    others: list[Any] = [value for value, _ in f.choices]
    others += [f.si(end) for end in f.usual] if isinstance(f.usual, tuple) else []
    try:
        margins = {round(float(check.margin(build.nominal(**{key: other}))), 9) for other in [now, *others]}
    except NoSolution:
        return True
    return len(margins) > 1


def freeing(checks: Sequence[Judged]) -> list[tuple[str, Check]]:
    """What checks wait for, each with a check that waits: for safety first, then the field that frees most of them.

    One that a check waits for alone counts most.
    """
    weight: dict[str, float] = {}
    for j in checks:
        for key in j.missing:
            weight[key] = weight.get(key, 0.0) + 1.0 / len(j.missing)
    guarding = {key for j in checks if j.check.safety for key in j.missing}
    waits = [(key, j.check) for j in checks for key in j.missing]
    return sorted(waits, key=lambda one: (one[0] not in guarding, -weight[one[0]]))


def measure_next(
    build: Build, checks: Sequence[Judged], parts: Sequence[Explained | None]
) -> tuple[Next, ...]:
    """What to measure or add first: what a stopped check of safety asks for, numbers with most of the doubt, guessed
    choices and counts, other numbers by their share, what other checks of safety ask for, then what is missing.

    A number's share is how much of the doubt in the checks it explains: r² between its draws and each margin,
    weighted by p(1 − p), which is largest where the check could go either way.
    """
    moved: dict[str, list[tuple[float, Check]]] = {}
    for judged, part in zip(checks, parts, strict=True):
        for key, share in (part or {}).items():
            moved.setdefault(key, []).append((_weight(judged.chance) * share, judged.check))
    doubt = {key: sum(share for share, _ in by) for key, by in moved.items()}
    total = sum(doubt.values())
    ranked = sorted((key for key in doubt if doubt[key] >= LEAST_SHARE * total), key=lambda key: -doubt[key])

    def guarding(severity: str) -> list[tuple[Judged, Explained | None]]:
        pairs = zip(checks, parts, strict=True)
        return [
            (j, p) for j, p in pairs if j.check.safety and j.severity == severity and j.margin is not None
        ]

    stopped = (
        (key, j.check)
        for j, part in guarding("stop")
        for key in asked(j.check, build, j.margin or 0.0, j.chance or 0.0, part)
        if _is_measurable(build, key)
    )
    unsure = (
        (key, j.check)
        for j, _ in guarding("caution")
        for key in build.unsaid(*j.check.nodes)
        if _is_measurable(build, key)
    )
    choices = (
        (key, j.check)
        for j, part in zip(checks, parts, strict=True)
        if j.severity != "ok" and part is not None
        for key in _guesses(j.check, build)
        if FIELDS[key].kind != "number" and _matters(j.check, build, key)
    )

    def numbers(least: float) -> list[tuple[str, Check]]:
        return [
            (key, check)
            for key in ranked
            if doubt[key] >= least * total
            for share, check in sorted(moved[key], key=lambda one: -one[0])
            if share >= LEAST_SHARE * total
        ]

    named: dict[str, dict[str, Check]] = {}
    for group in (stopped, numbers(MUCH), choices, numbers(LEAST_SHARE), unsure, freeing(checks)):
        for key, check in group:
            named.setdefault(key, {}).setdefault(check.id, check)
    return tuple(
        Next(key, doubt[key] / total if key in ranked else None, tuple(by.values()))
        for key, by in named.items()
    )
