"""What speaks for and against each cause of a cut-out, and what the test between two of them tells: in words."""

from __future__ import annotations

from collections.abc import Sequence

from calc.fields.cutout import BACK
from calc.power.cutout.course import Seen
from calc.power.cutout.outcome import BACK as WAYS
from calc.power.cutout.parting import Parting
from calc.power.cutout.weigh import Weighed
from calc.standards import rows as table
from calc.units import show

CLEAR = 0.4
"""Logarithm from which a sign speaks for or against: half as likely again, or less (common practice, no source)."""
RARE = 0.2
"""Share of simulated builds under which the build itself speaks against a cause (common practice, no source)."""
MOST = 2
_WAY = dict(BACK)


def _acts(share: float) -> str:
    if share == 0.0:
        return "no simulated copy of your build did it"
    return f"{max(round(100 * share), 1)} of 100 simulated copies of your build did it"


def _span(values: Sequence[float], unit: str) -> str:
    low, high = (show(float(x), unit, 2) for x in (values[0], values[2]))
    return f"about {low}" if low == high else f"{low} to {high}"


def _time(seconds: float) -> str:
    if seconds < 1.0:
        return "under 1 s"
    return show(seconds, "s", 2) if seconds < 120 else show(seconds, "minute", 2)


def _expected(kind: str, k: int, found: Weighed, seen: Seen) -> str:
    """What the cause would show in place of what was seen; '' when it would cut out nowhere in that situation."""
    if not found.acts[k]:
        return ""
    noted = {"time": seen.seconds, "volts": seen.during}.get(kind)
    if noted is not None:
        low, _, high = (float(x) for x in found.shows[kind][k])
        if low <= noted <= high:
            return ""  # rarer than with the others, but no contradiction
    if kind == "time":
        low, _, high = (float(x) for x in found.shows["time"][k])
        low_text, high_text = _time(low), _time(high)
        return f"would take {low_text}" + ("" if low_text == high_text else f" to {high_text}")
    if kind == "volts":
        return f"would show {_span(found.shows['volts'][k], 'V')}"
    out = found.first[k]
    if kind == "back":
        chances = [float((out.shares @ ((out.back == way) * out.act)).sum()) for way in range(len(WAYS))]
        return f"would mostly come back {_WAY[WAYS[chances.index(max(chances))]]}"
    dead = float((out.shares @ (out.dead * out.act)).sum()) > 0.5 * float(out.act.sum())
    return f"would mostly leave the pack's lead {'dead' if dead else 'alive'}"


def _noted(kind: str, seen: Seen, dead: bool) -> str:
    if kind == "time" and seen.seconds is not None:
        return f"the time, {_time(seen.seconds)}"
    if kind == "volts" and seen.during is not None:
        return f"{show(seen.during, 'V')} during it"
    if kind == "back" and seen.comes_back is not None:
        return "how it comes back"
    return "the lead dead after it" if dead else "the lead alive after it"


def evidence(k: int, found: Weighed, first: Seen, rested: float) -> str:
    """For and against the cause, the strongest signs first, with numbers."""
    dead = first.after is not None and first.after < 0.5 * (first.before or rested)
    signs = [(float(each[k]), kind) for kind, each in found.signs.items()]
    good = [kind for sign, kind in sorted(signs, reverse=True) if sign > CLEAR][:MOST]
    bad = [kind for sign, kind in sorted(signs) if sign < -CLEAR][:MOST]
    for_ = [_noted(kind, first, dead) for kind in good]
    against = [text for kind in bad if (text := _expected(kind, k, found, first))]
    if found.acts[k] < RARE:
        against.insert(0, _acts(float(found.acts[k])))
    parts = [
        f"For: {', '.join(for_)}." if for_ else "",
        f"Against: {', '.join(against[:MOST])}." if against else "",
    ]
    return " ".join(part for part in parts if part) or "Nothing for or against it."


def reading(parting: Parting, first: int, second: int) -> str:
    """Which reading of the test speaks for which of two causes."""
    names = [row["short"] for row in table("cut_outs")]
    one, two = (first, second) if parting.first_low else (second, first)
    if parting.limit is None:
        return f"{parting.test.quantity}: {names[two]}; not: {names[one]}"
    if parting.test.unit == "s":
        limit = "no cut-out any more" if parting.limit > 590 else f"over {_time(parting.limit)}"
        return f"{limit}: {names[two]}; sooner: {names[one]}"
    limit = show(parting.limit, parting.test.unit, 2 if parting.test.unit != "V" else 3)
    return f"under {limit}: {names[one]}; over it: {names[two]}"


def sure(parting: Parting) -> str:
    """How often the test is right, as people count."""
    return f"right in {min(round(100 * parting.right), 99)} of 100"
