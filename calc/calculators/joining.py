"""May these two packs be joined side by side?"""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.fields import FIELDS
from calc.figures.bus import coming_level
from calc.findings import Finding
from calc.graph import alias, step
from calc.power import cells, joining
from calc.spec import Calculator, Column, Report, Result
from calc.units import show

USUAL = 0.2 / 3600.0
"""Charging current taken when none is entered, for each unit of capacity, 1/s (common practice, no source)."""
LIMITS = ("charge_current_limit", "pack_current_limit", "fuse_rating")
TRAP = 0.1
"""Charge that equal volts hide, from which on it is said (common practice, no source)."""
SAME_SIZE = 0.05
"""Share within which two capacities count as one size (common practice, no source)."""
UNEQUAL = (1.0, 1.5, 2.0, 3.0)
"""How many times the other's resistance one of two packs may have, in the table of shares."""


def _charges(v: Values) -> tuple[float, float]:
    first, second = v["state_of_charge"][0]
    return float(first), float(second)


def _capacities(v: Values) -> tuple[float, float]:
    """Of this pack and of the other, A·s."""
    return float(v["pack_capacity"]), float(v["other_capacity"])


def _level(v: Values) -> float:
    """Charge at which both end."""
    return float(joining.level_charge(*_charges(v), *_capacities(v)))


def _apart(v: Values) -> float:
    """Volts between the two packs now, at rest."""
    return abs(float(joining.voltage_between(v["chemistry"], v["series"], *_charges(v))))


def _wait_volts(v: Values) -> float:
    """Volts between the two, at rest, at which they may be joined: what a meter can read."""
    return float(joining.voltage_between(v["chemistry"], float(v["series"]), _wait(v), min(_charges(v))))


def _hidden(v: Values, apart: float) -> joining.Hidden:
    return joining.hidden_charge(v["chemistry"], float(v["series"]), apart)


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
        *_capacities(v),
    )


def _allowed(v: Values) -> float:
    """The current that may flow: as entered, or the least of what the sheet has of cells, protection and fuse.

    Either may be the one that is charged, and what is known of this pack's cells is taken for the other's: a smaller
    pack stands less in proportion.
    """
    entered = v.build.entered
    if "joining_current" in entered:
        return float(v["joining_current"])
    this, other = _capacities(v)
    found = [USUAL * min(this, other)]
    found += [float(v[key]) for key in LIMITS if key in entered]
    if "cell_charge_limit" in entered:
        found.append(float(v["cell_charge_limit"]) * float(v["parallel"]) * min(1.0, other / this))
    return min(found)


def _wait(v: Values) -> float:
    """Charge that the fuller pack may have, for the current that is allowed."""
    allowed = _allowed(v)
    return joining.wait_until(
        v["chemistry"], float(v["series"]), min(_charges(v)), float(v["loop_resistance"]), allowed
    )


def _lost(v: Values) -> float:
    return float(joining.lost_energy(v["chemistry"], float(v["series"]), *_charges(v), *_capacities(v)))


def _shares(_: Values) -> list[dict[str, Any]]:
    """What each of two packs gives when one has more resistance than the other."""
    rows = []
    for times in UNEQUAL:
        low, high = joining.shares(np.array([1.0, times]))
        rows.append({"times": times, "low": float(low), "high": float(high)})
    return rows


def _trap(v: Values) -> list[Finding]:
    """How much charge the flat part of the cells' curve hides from a voltmeter."""
    hidden, wait = _hidden(v, joining.LEVEL_VOLTS), _wait_volts(v)
    if hidden.share < TRAP:
        return []
    return [
        Finding(
            "caution",
            f"Volts level, charge not: two packs of {v['series']:.0f} {v['chemistry'].upper()} cells at "
            f"{show(hidden.low, 'percent')} and {show(hidden.high, 'percent')} are {joining.LEVEL_VOLTS:g} V apart or "
            f"less; {show(wait, 'V')} may hide {show(_hidden(v, wait).share, 'percent')}. Joined so, hardly a current "
            "flows; near the end of the ride the emptier one drops away, and the other gives it all.",
            "Level them by charging both full, not by a voltmeter. Each pack's fuse, leads and protection must stand "
            "the whole current.",
        )
    ]


def _unequal(v: Values) -> list[Finding]:
    """What two capacities mean."""
    one, other = _capacities(v)
    if "other_capacity" not in v.build.entered or abs(one / other - 1.0) < SAME_SIZE:
        return []
    moved = abs(_charges(v)[0] - _level(v)) * one
    return [
        Finding(
            "caution",
            f"{show(one, 'A*hour')} beside {show(other, 'A*hour')}: both end at {show(_level(v), 'percent')}. "
            f"{show(moved, 'A*hour')} move across, "
            f"{show(moved / min(one, other), 'percent')} of what the smaller holds.",
            "The current is shared by resistance first and by capacity in the end, charging and riding: each pack's "
            "protection must allow for its part. Better two of one size.",
        )
    ]


def _findings(v: Values) -> list[Finding]:
    current, allowed = _current(v), _allowed(v)
    coldest, _ = cells.temperatures(v["chemistry"], "charge")
    found = []
    if current > allowed:
        wait = _wait(v)
        found.append(
            Finding(
                "stop",
                f"Fire risk: {show(current, 'A')} flow the moment they are joined, where {show(allowed, 'A')} may.",
                f"Don't join them. With the emptier as it is, the fuller may have {show(wait, 'percent')}: "
                f"{show(_wait_volts(v), 'V')} apart by the meter, both rested. Best charge both full with one charger, "
                "one after the other, and join them full and rested.",
            )
        )
    if "joining_current" not in v.build.entered:
        found.append(
            Finding(
                "caution",
                f"What may flow isn't entered; {show(allowed, 'A')} are taken: the least of a fifth of the smaller "
                "pack's capacity each hour (common practice, no source) and of what the sheet has of cells, protection "
                "and fuse.",
                f"Enter {FIELDS['joining_current'].quoted}: the least of the cells' charging current, both protections "
                "and the fuse between them.",
            )
        )
    found += _trap(v) + _unequal(v)
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
    return Report(
        show(_current(v), "A"),
        f"the moment they are joined at {show(first, 'percent')} and {show(second, 'percent')}",
        f"{show(_apart(v), 'V')} apart over {show(v['loop_resistance'], 'mohm')} all round. Left alone they are level "
        f"at {show(_level(v), 'percent')} after {show(float(joining.settling_time(course)), 'hour')}, and "
        f"{show(_lost(v), 'W*hour')} are lost.",
        tuple(_findings(v)),
        (lambda uid: coming_level(uid, course, _allowed(v)),),
    )


JOIN_PACKS = Calculator(
    id="join-packs",
    title="Joining packs",
    chapter="power",
    question="May these two packs be joined side by side?",
    asks=(
        "chemistry",
        "series",
        "state_of_charge",
        "loop_resistance",
        "joining_current",
        "pack_capacity",
        "other_capacity",
    ),
    gives=(
        Result("equalising_current", "Current at the first moment", "A", made=_current),
        Result("wait_until", "May be joined with so much in the fuller", "percent", made=_wait),
        Result("wait_voltage", "Volts apart, rested, at which they may be joined", "V", made=_wait_volts),
        Result("apart", "Volts apart now", "V", made=_apart),
        Result("level_charge", "Charge of both once level", "percent", made=_level),
        Result(
            "hidden_charge",
            f"Charge that may differ at {joining.LEVEL_VOLTS:g} V",
            "percent",
            made=lambda v: _hidden(v, joining.LEVEL_VOLTS).share,
        ),
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
        "other_capacity": alias("pack_capacity"),
        "loop_resistance": step(lambda pack_resistance: 2.0 * pack_resistance),
    },
    reads=(
        "chemistry",
        "series",
        "state_of_charge",
        "loop_resistance",
        "pack_capacity",
        "other_capacity",
        "parallel",
        "temperature",
    ),
    optional=("joining_current", "cell_charge_limit", *LIMITS),
)
