"""May these two packs be joined side by side?"""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.figures.bus import coming_level
from calc.findings import Finding
from calc.graph import step
from calc.power import cells, joining
from calc.spec import Calculator, Column, Report, Result
from calc.units import show

USUAL = 0.2 / 3600.0
"""Charging current taken when none is entered, for each unit of capacity, 1/s (common practice, no source)."""
LIMITS = ("charge_current_limit", "pack_current_limit", "fuse_rating")
UNEQUAL = (1.0, 1.5, 2.0, 3.0)
"""How many times the other's resistance one of two packs may have, in the table of shares."""


def _charges(v: Values) -> tuple[float, float]:
    first, second = v["state_of_charge"][0]
    return float(first), float(second)


def _current(v: Values) -> float:
    """Current at the first moment, A."""
    return float(
        joining.equalising_current(v["chemistry"], v["series"], *_charges(v), float(v["loop_resistance"]))
    )


def _course(v: Values) -> joining.Levelling:
    return joining.levelling(
        v["chemistry"],
        float(v["series"]),
        *_charges(v),
        float(v["loop_resistance"]),
        float(v["pack_capacity"]),
    )


def _allowed(v: Values) -> float:
    """The current that may flow: as entered, or the least of what the sheet has of cells, protection and fuse."""
    entered = v.build.entered
    if "joining_current" in entered:
        return float(v["joining_current"])
    found = [USUAL * float(v["pack_capacity"])]
    found += [float(v[key]) for key in LIMITS if key in entered]
    if "cell_charge_limit" in entered:
        found.append(float(v["cell_charge_limit"]) * float(v["parallel"]))
    return min(found)


def _wait(v: Values) -> float:
    """Charge that the fuller pack may have, for the current that is allowed."""
    allowed = _allowed(v)
    return joining.wait_until(
        v["chemistry"], float(v["series"]), min(_charges(v)), float(v["loop_resistance"]), allowed
    )


def _lost(v: Values) -> float:
    return float(
        joining.lost_energy(v["chemistry"], float(v["series"]), *_charges(v), float(v["pack_capacity"]))
    )


def _shares(_: Values) -> list[dict[str, Any]]:
    """What each of two packs gives when one has more resistance than the other."""
    rows = []
    for times in UNEQUAL:
        low, high = joining.shares(np.array([1.0, times]))
        rows.append({"times": times, "low": float(low), "high": float(high)})
    return rows


def _findings(v: Values) -> list[Finding]:
    current, allowed, (first, second) = _current(v), _allowed(v), _charges(v)
    apart = abs(float(joining.voltage_between(v["chemistry"], v["series"], first, second)))
    coldest, _ = cells.temperatures(v["chemistry"], "charge")
    found = []
    if current > allowed:
        wait = _wait(v)
        found.append(
            Finding(
                "stop",
                f"Fire risk: {show(current, 'A')} flow the moment they are joined, where {show(allowed, 'A')} may.",
                f"Don't join them. With the emptier as it is, the fuller may have {show(wait, 'percent')}; best "
                "charge both full with one charger, one after the other, and join them full and rested.",
            )
        )
    if "joining_current" not in v.build.entered:
        found.append(
            Finding(
                "caution",
                f"What may flow isn't entered; {show(allowed, 'A')} are taken: the least of a fifth of the capacity "
                "each hour (common practice, no source) and of what the sheet has of cells, protection and fuse.",
                "Enter the least of: the cells' charging current, both protections, the fuse between them "
                "(joining_current).",
            )
        )
    if abs(first - second) > 0.1 and apart < 0.5:
        found.append(
            Finding(
                "caution",
                f"Only {show(apart, 'V')} apart, and yet {show(abs(first - second), 'percent')} of charge: such cells "
                "are flat in the middle. Equal volts don't mean equal charge.",
                "Level them by charging both full, not by a voltmeter.",
            )
        )
    if v["temperature"] < coldest:
        found.append(
            Finding(
                "stop",
                f"At {show(v['temperature'], 'degC')} the emptier pack would be charged below "
                f"{show(coldest, 'degC')}, which ruins cells and makes them dangerous.",
                "Bring both packs into the warm for some hours first.",
            )
        )
    found.append(
        Finding(
            "caution",
            "Packs of different chemistry, number in series, size or age are never joined: the weaker one is charged "
            "and discharged by the other for ever.",
            "Only two of one kind and age, each with its own fuse at its plus and its own protection. Rest them for "
            "hours, measure both, and join through a fuse. Eyes covered, no rings. Local codes come first.",
        )
    )
    return found


def _join(v: Values) -> Report:
    course, (first, second) = _course(v), _charges(v)
    apart = abs(float(joining.voltage_between(v["chemistry"], v["series"], first, second)))
    return Report(
        show(_current(v), "A"),
        f"the moment they are joined at {show(first, 'percent')} and {show(second, 'percent')}",
        f"{show(apart, 'V')} apart over {show(v['loop_resistance'], 'mohm')} all round. Left alone they are level "
        f"after {show(float(joining.settling_time(course)), 'hour')}, and {show(_lost(v), 'W*hour')} are lost.",
        tuple(_findings(v)),
        (lambda uid: coming_level(uid, course, _allowed(v)),),
    )


JOIN_PACKS = Calculator(
    id="join-packs",
    title="Joining packs",
    chapter="power",
    question="May these two packs be joined side by side?",
    asks=("chemistry", "series", "state_of_charge", "loop_resistance", "joining_current", "pack_capacity"),
    gives=(
        Result("equalising_current", "Current at the first moment", "A", made=_current),
        Result("wait_until", "May be joined with so much in the fuller", "percent", made=_wait),
        Result("level_after", "Level after", "hour", made=lambda v: joining.settling_time(_course(v))),
        Result("lost", "Lost on the way", "W*hour", made=_lost),
        Result(
            "shares",
            "How two packs share a current",
            columns=(
                Column("times", "One has so many times the other's resistance"),
                Column("low", "The lower one gives", "percent"),
                Column("high", "The higher one gives", "percent"),
            ),
            made=_shares,
        ),
    ),
    report=_join,
    rules={
        "loop_resistance": step(lambda pack_resistance: 2.0 * pack_resistance),
    },
    reads=(
        "chemistry",
        "series",
        "state_of_charge",
        "loop_resistance",
        "pack_capacity",
        "parallel",
        "temperature",
    ),
    optional=("joining_current", "cell_charge_limit", *LIMITS),
)
