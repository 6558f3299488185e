"""Two builds side by side, and the ideas of a budget, as HTML."""

from __future__ import annotations

from html import escape

from calc import units, view, view_verdict
from calc.checks import Judged
from calc.compare import Beside, Idea, Measure, percent, rate
from calc.fields import FIELDS
from calc.render import DEMO_NOTE, MARKS, table
from calc.sheet import Sheet


def _judged(one: Judged) -> str:
    """A check in a cell: mark, word and margin."""
    margin = "" if one.margin is None else f", {percent(one.margin)}"
    return f"{MARKS[one.severity]} {'waits for entries' if one.missing else one.severity + margin}"


def _measured(measure: Measure, value: float | None) -> str:
    if value is None:
        return view.NOT_TOLD
    return units.show(value, measure.unit) if measure.unit else units.plain(value, 6)


def builds(found: Beside, demo: bool) -> str:
    """Two builds: what they measure, every check with its margin, and what was entered differently."""
    one, other = (v.name for v in found.verdicts)
    if one == other:
        one, other = f"{one} (first)", f"{other} (second)"
    better = sum(a.severity == "ok" and b.severity != "ok" for a, b in found.checks)
    worse = sum(b.severity == "ok" and a.severity != "ok" for a, b in found.checks)
    heads = [
        f"{name}: {view_verdict.headline(v)[0].lower()}{view_verdict.headline(v)[1:]}"
        for name, v in zip((one, other), found.verdicts, strict=True)
    ]
    why = f"{one} is ok in {better} checks where {other} isn’t, {other} in {worse} where {one} isn’t. "
    why += "Beside each check stands its margin: what is left over, as a share of what is needed or allowed."
    measures = [(m.label, _measured(m, a), _measured(m, b)) for m, a, b in found.measures]
    checks = [(a.check.title, _judged(a), _judged(b)) for a, b in found.checks]
    differs = [
        (FIELDS[key].label, a or view.NOT_ENTERED, b or view.NOT_ENTERED) for key, a, b in found.differs
    ]
    return (
        f'<p class="ta-big">{escape(one)} <small>beside {escape(other)}</small></p>'
        f'<p class="ta-why">{escape(". ".join(heads))}. {escape(why)}</p>'
        + table("What comes out", ("Measure", one, other), measures)
        + table("Every check", ("Check", one, other), checks)
        + (
            table("What is entered differently", ("Quantity", one, other), differs)
            if differs
            else "<p>Both sheets hold the same entries.</p>"
        )
        + (f'<p class="ta-note">{DEMO_NOTE}</p>' if demo else "")
    )


def ideas(sheet: Sheet, found: tuple[Idea, ...], demo: bool) -> str:
    """What each idea of the budget would change in the verdict."""
    if not found:
        return (
            '<p class="ta-big">No idea to try <small>yet</small></p>'
            '<p class="ta-why">Enter a line of the budget as an idea, with what it would change in the sheet.</p>'
        )
    best = found[0]
    does = (
        f"makes ok: {', '.join(_low(title) for title in best.mends)}"
        if best.mends
        else "no idea makes a check ok; this one gains most for the money"
    )
    return (
        f'<p class="ta-big">{escape(best.item)} <small>{escape(does)}</small></p>'
        f'<p class="ta-why">Each idea is tried alone on {escape(sheet.name)}, its mass counted. Best buy first.</p>'
        f'<ol class="ta-next">{"".join(map(_idea, found))}</ol>'
        + (f'<p class="ta-note">{DEMO_NOTE}</p>' if demo else "")
    )


def _idea(one: Idea) -> str:
    told = [f"Makes ok: {', '.join(_low(title) for title in one.mends) or 'nothing'}."]
    if one.worsens:
        told.append(f"Makes worse: {', '.join(_low(title) for title in one.worsens)}.")
    if one.gains is not None and one.was is not None and one.gains.margin is not None:
        gain = f"margin {percent(one.was)} to {percent(one.gains.margin)}{rate(one)}"
        told.append(f"Gains most: {_low(one.gains.check.title)}, {gain}.")
    return (
        f"<li><strong>{escape(one.item)}</strong> <span>{units.plain(one.price, 6)}</span><br>"
        f"<code>{escape(one.changes)}</code><br>{escape(' '.join(told))}</li>"
    )


def _low(title: str) -> str:
    return title[0].lower() + title[1:]
