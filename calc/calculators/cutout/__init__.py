"""Why does the drive cut out?"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc import draws
from calc.build import Values
from calc.calculators.cutout.evidence import evidence, reading, sure
from calc.fields import FIELDS
from calc.figures.cutout import likelihoods
from calc.findings import Finding
from calc.power.cutout import parting, ranges
from calc.power.cutout.course import Plant, Seen
from calc.power.cutout.weigh import AHEAD, SURE, Weighed, names_one, weigh
from calc.spec import Calculator, Column, Report, Result
from calc.standards import rows as table
from calc.units import show

FINEST = 0.001
"""Likelihoods are told no finer: so much do the lanes leave open at best."""
WORTH = 0.02
"""Likelihood from which a cause is worth a test (common practice, no source)."""
PAIRS = 3
FEWEST, IN_ALL = 200, 3000
"""Lanes for a row at least; and rows times lanes, so that many rows take no longer than a few."""


class Found(NamedTuple):
    """What was seen, weighed, and the causes' places, likeliest first; `tests`: of each against the next, None where a
    cause is too unlikely for any."""

    weighed: Weighed
    rows: list[Seen]
    rested: float
    order: list[int]
    tests: list[parting.Parting | None]


def _plant(v: Values, lanes: int) -> Plant:
    """The build over the lanes: each entry within its ±."""
    drawn = v.build.drawn()

    def some(name: str) -> Any:
        value = drawn[name]
        return value[:lanes] if np.ndim(value) else value

    return Plant(*(some(name) for name in Plant._fields))


@lru_cache(maxsize=1)
def _found(v: Values) -> Found | None:
    """What was seen, weighed; None when nothing was entered. Once for the tables and the report of one answer."""
    if "cut_outs" not in v.build.entered:
        return None
    rows = [Seen(*row) for row in v["cut_outs"]]
    lanes = max(FEWEST, min(ranges.LANES, IN_ALL // len(rows)))
    plant, rested = _plant(v, lanes), float(v["rested_voltage"])
    weighed = weigh(plant, rows, draws.sliced, rested, lanes)
    order = [int(k) for k in np.argsort(-weighed.likelihood, kind="stable")]
    shows = parting.shown(plant, rows[0], draws.sliced, weighed)
    read = any(row.after is not None for row in rows)
    tests = [
        parting.parting(shows, k, order[n + 1] if n + 1 < len(order) else order[n - 1], seen_after=read)
        if n == 0 or weighed.likelihood[k] >= FINEST
        else None
        for n, k in enumerate(order)
    ]
    return Found(weighed, rows, rested, order, tests)


def _causes(v: Values) -> list[dict[str, Any]]:
    found = _found(v)
    if found is None:
        return []
    texts = table("cut_outs")
    return [
        {
            "cause": texts[k]["cause"],
            "likelihood": _told(float(found.weighed.likelihood[k])),
            "evidence": evidence(k, found.weighed, found.rows[0], found.rested),
            "test": f"{test.test.name}, {show(60.0 * test.test.minutes, 'minute', 2)}"
            if test
            else "not needed",
        }
        for k, test in zip(found.order, found.tests, strict=True)
    ]


def _tests(v: Values) -> list[dict[str, Any]]:
    """The tests between the likeliest causes, each against the next."""
    found = _found(v)
    if found is None:
        return []
    worth = [n for n in range(PAIRS) if n == 0 or found.weighed.likelihood[found.order[n + 1]] >= WORTH]
    return [
        {
            "test": f"{test.test.name}. {test.test.do}",
            "tells": f"{reading(test, *found.order[n : n + 2])} ({sure(test)})",
            "time": 60.0 * test.test.minutes,
        }
        for n in worth
        if (test := found.tests[n])
    ]


def _cut_out(v: Values) -> Report:
    found = _found(v)
    if found is None:
        return Report(
            "Nothing was seen yet",
            "",
            "Enter what it was doing when it cut out, and what else you noted.",
            (
                Finding(
                    "caution",
                    "No cut-out is entered.",
                    f"Enter one row each time in {FIELDS['cut_outs'].quoted}.",
                ),
            ),
        )
    rows = _causes(v)
    first, second, test = rows[0], rows[1], found.tests[0]
    assert test is not None
    cautions = [
        Finding(
            "caution",
            "A drive that cuts out can strand you, or come back by itself.",
            "Brake first, throttle off; drive wheel off the ground or blocked before you look. Never bridge a fuse or "
            "the pack's protection to find out.",
        )
    ]
    fits = found.weighed.fits
    certain = fits and names_one(found.weighed.likelihood)
    if not fits:
        told = Finding(
            "caution",
            f"No single cause fits well; {_small(first['cause'])} fits least badly.",
            "Watch again with a meter on the pack's lead, and look at the build's numbers. There may be two causes.",
        )
        cautions.insert(0, told)
    elif not certain:
        told = Finding(
            "caution",
            f"Can't tell: the first has {show(first['likelihood'], 'percent', 2)}, the next "
            f"{show(second['likelihood'], 'percent', 2)}. A cause is named from {show(SURE, 'percent', 2)} on, and "
            f"{AHEAD:g} times the next.",
            "Do the test, and enter what you saw as one more row.",
        )
        cautions.insert(0, told)
    parts = (
        f"It tells the first two apart: {reading(test, *found.order[:2])}, {sure(test)}."
        if test.right >= parting.RIGHT
        else f"No single test tells the first two apart for sure; this is the best one: "
        f"{reading(test, *found.order[:2])}, {sure(test)}."
    )
    return Report(
        first["cause"] if certain else "Can't tell yet",
        f"{show(first['likelihood'], 'percent', 2)}, then {_small(second['cause'])}, "
        f"{show(second['likelihood'], 'percent', 2)}"
        if certain
        else f"{_small(first['cause'])} {show(first['likelihood'], 'percent', 2)}, then {_small(second['cause'])} "
        f"{show(second['likelihood'], 'percent', 2)}",
        f"Do next: {test.test.do} About {show(60.0 * test.test.minutes, 'minute', 2)}. {parts}",
        tuple(cautions),
        (lambda uid: likelihoods(uid, rows),),
    )


def _told(likelihood: float) -> float:
    """A likelihood to whole per cents, or to FINEST where it is small."""
    return round(likelihood, 2 if likelihood >= 0.1 else 3)


def _small(text: str) -> str:
    return text[0].lower() + text[1:]


CUT_OUT = Calculator(
    id="cut-out",
    title="When it cuts out",
    chapter="power",
    question="Why does the drive cut out?",
    asks=("cut_outs", "battery_current_limit", "pack_current_limit", "controller_voltage_cutoff"),
    gives=(
        Result(
            "causes",
            "What explains it",
            columns=(
                Column("cause", "Cause"),
                Column("likelihood", "Likelihood", "percent", FINEST),
                Column("evidence", "For and against"),
                Column("test", "Test against the next"),
            ),
            made=_causes,
        ),
        Result(
            "tests",
            "Tests, each between two causes",
            columns=(
                Column("test", "What to do"),
                Column("tells", "What it tells"),
                Column("time", "Takes", "minute"),
            ),
            made=_tests,
        ),
    ),
    report=_cut_out,
    reads=("rested_voltage", *Plant._fields),
    optional=("cut_outs",),
)
