"""Why does the drive cut out?"""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.figures.cutout import likelihoods
from calc.findings import Finding
from calc.power.cutout.model import Plant, Seen
from calc.power.cutout.weigh import SURE, Weighed, weigh
from calc.spec import Calculator, Column, Report, Result
from calc.standards import rows as table
from calc.units import show

_PLANT = tuple(name for name in Plant._fields if not name.endswith("_spread"))
_WORDS = {
    "doing": "what it was doing",
    "time": "the time it took",
    "back": "how it comes back",
    "volts": "the volts during",
    "after": "the volts after",
}
_GOOD, _BAD = -0.7, -1.5  # logarithm against the best that a cause could show


def _weighed(v: Values) -> Weighed | None:
    """What was seen, weighed; None when nothing was entered."""
    if "cut_outs" not in v.build.entered:
        return None
    return weigh(Plant(*(float(v[name]) for name in _PLANT)), [Seen(*row) for row in v["cut_outs"]])


def _causes(v: Values) -> list[dict[str, Any]]:
    found = _weighed(v)
    if found is None:
        return []
    texts, rows = table("cut_outs"), []
    order = [int(k) for k in np.argsort(-found.likelihood, kind="stable")]
    for place, k in enumerate(order):
        after = order[place + 1] if place + 1 < len(order) else order[place - 1]
        cheapest = min((k, after), key=lambda one: float(texts[one]["minutes"]))
        kinds = {
            kind: min(float(row[kind][k]) for row in found.signs if kind in row)
            for kind in _WORDS
            if any(kind in row for row in found.signs)
        }
        good = [_WORDS[kind] for kind, fit in kinds.items() if fit > _GOOD]
        bad = [_WORDS[kind] for kind, fit in kinds.items() if fit < _BAD]
        if found.acts[k] < 0.2:
            bad.append("the build's own numbers")
        rows.append(
            {
                "cause": texts[k]["cause"],
                "likelihood": round(float(found.likelihood[k]), 3),  # what it rests on carries no more
                "for": ", ".join(good) or "nothing",
                "against": ", ".join(bad) or "nothing",
                "test": f"{texts[cheapest]['test']}.",
                "time": 60.0 * float(texts[cheapest]["minutes"]),
            }
        )
    return rows


def _cut_out(v: Values) -> Report:
    found, rows = _weighed(v), _causes(v)
    if found is None:
        return Report(
            "Nothing was seen yet",
            "",
            "Enter what it was doing when it cut out, and what else you noted.",
            (Finding("caution", "No cut-out is entered.", "Enter one row each time (cut_outs)."),),
        )
    first, second = rows[:2]
    cautions = [
        Finding(
            "caution",
            "A drive that cuts out can strand you, or come back by itself.",
            "Brake first, throttle off; drive wheel off the ground or blocked before you look. Never bridge a fuse or "
            "the pack's protection to find out.",
        )
    ]
    sure = found.fits and first["likelihood"] >= SURE
    if not found.fits:
        cautions.insert(
            0,
            Finding(
                "caution",
                f"No single cause fits well; {first['cause'].lower()} fits least badly.",
                "Watch again with a meter on the pack's lead. There may be two causes.",
            ),
        )
    elif not sure:
        cautions.insert(
            0,
            Finding(
                "caution",
                f"Can't tell: the first has {show(first['likelihood'], 'percent', 2)}, less than "
                f"{show(SURE, 'percent', 2)}.",
                first["test"],
            ),
        )
    return Report(
        first["cause"] if sure else "Can't tell yet",
        f"{show(first['likelihood'], 'percent', 2)}, next: {second['cause'][0].lower()}{second['cause'][1:]}, "
        f"{show(second['likelihood'], 'percent', 2)}",
        f"{first['test']} It takes about {show(first['time'], 'minute', 2)}, and tells the first two apart. For the "
        f"first speaks: {first['for']}; against it: {first['against']}.",
        tuple(cautions),
        (lambda uid: likelihoods(uid, rows),),
    )


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
                Column("likelihood", "Likelihood", "percent"),
                Column("for", "For it"),
                Column("against", "Against it"),
                Column("test", "Test that tells it from the next"),
                Column("time", "Test takes", "minute"),
            ),
            made=_causes,
        ),
    ),
    report=_cut_out,
    reads=_PLANT,
    optional=("cut_outs",),
)
