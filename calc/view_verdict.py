"""Verdicts as plain data in display units, and what is read of them in a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from calc import view
from calc.build import Build
from calc.checks import NOT_JUDGED, Check, Judged
from calc.doubt import Next, freeing
from calc.fields import FIELDS, PACK_ASKED, QUESTIONS
from calc.findings import WORST
from calc.told import few
from calc.verdict import Verdict


def verdict(v: Verdict) -> dict[str, Any]:
    """The JSON of `check`."""
    return {
        "build": v.name,
        "severity": v.severity,
        "checks": [
            {
                "id": j.check.id,
                "severity": j.severity,
                "margin": j.margin,
                "chance": j.chance,
                "text": j.text,
                "do": j.do,
                "lever": {
                    "field": j.lever.field,
                    "value": view.number(j.lever.value, FIELDS[j.lever.field].unit),
                    "unit": FIELDS[j.lever.field].unit,
                    "text": j.lever.text,
                }
                if j.lever
                else None,
            }
            for j in v.checks
        ],
        "not_judged": NOT_JUDGED,
        "measure_next": [
            {"field": n.field, "share": n.share, "checks": [check.id for check in n.checks]}
            for n in v.measure_next
        ],
        "findings": [{"severity": f.severity, "text": f.text, "do": f.do} for f in v.findings],
    }


def open_questions(build: Build) -> list[tuple[int, str]]:
    """The home page's questions that nothing in the build answers yet: number, and the first field still to fill."""
    found = []
    # A pack of other cells is entered by its volts under load: that answers the question for its cells.
    known = PACK_ASKED if "supply_voltage" in build.entered else ()
    for number, (_, keys) in enumerate(QUESTIONS, 1):
        empty = [
            k
            for k in keys
            if k not in known and (build.missing(k) or (build.is_leaf(k) and k not in build.entered))
        ]
        found += [(number, empty[0])] if empty else []
    return found


def listed(words: Sequence[str], last: str = "and") -> str:
    """'two, three and six'."""
    return f" {last} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _inside(check: Check) -> str:
    """A check's title inside a sentence."""
    return check.title[:1].lower() + check.title[1:]


def purpose(n: Next) -> str:
    """The checks that an entry is worth making for, in a line."""
    return few([_inside(check) for check in n.checks])


SUMMARY = {"ok": "On paper this build works", "caution": "On paper it may work", "stop": "Not yet"}


def headline(v: Verdict) -> str:
    """The verdict in a few words. Until half of the checks can be told, only a stop is worth calling a verdict."""
    told = sum(not j.missing for j in v.checks)
    if 2 * told <= len(v.checks) and v.severity != "stop":
        return "Too little to tell yet"
    waits = v.severity != "stop" and any(j.missing and j.check.safety for j in v.checks)
    return f"{SUMMARY[v.severity]}; what guards you isn't all judged yet" if waits else SUMMARY[v.severity]


NAMED = 5
"""How many of the entries worth measuring next are named at once."""


def worst_first(judged: Iterable[Judged]) -> list[Judged]:
    """Checks as they are read: what stops, then what to look at, then what is well."""
    return sorted(judged, key=lambda j: -WORST[j.severity])


def waiting(v: Verdict) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """How many checks can't be told yet, which, and the fields they wait for in `freeing` order; '' for none."""
    held = [j for j in v.checks if j.missing]
    keys = dict.fromkeys(key for key, _ in freeing(held))
    count = "1 check waits for entries" if len(held) == 1 else f"{len(held)} checks wait for entries"
    names = tuple(_inside(j.check) for j in held)
    return count if held else "", names, tuple(keys)


def chance(judged: Judged) -> str:
    """How often the check holds, in words; '' where there is no chance to tell, or a yes or no."""
    share = judged.chance
    if share is None or judged.check.kind == "flag":
        return ""
    if share in (0.0, 1.0):
        return (
            "Holds in more than 99.8 % of builds like yours."
            if share
            else "Holds in fewer than 0.2 % of builds like yours."
        )
    return f"Holds in {min(max(share * 100, 0.1), 99.9):.3g} of 100 builds like yours."
