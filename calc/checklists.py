"""Checklists to print, filled in from a build: what to do, in order, what is good, and room for what was read."""

from __future__ import annotations

import os
import re
import tomllib
from functools import cache
from html import escape
from typing import Any

from calc import bars, render, render_verdict, units, verdict
from calc.build import Build, Values
from calc.calculators.rider import SHORT
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.power.limits import SHOCK_VOLTAGE
from calc.sheet import Sheet
from calc.told.power import touch

BLANK = "________"
CODES = "Local codes and licensed practice come before this sheet."
LICENSED = f"At {SHOCK_VOLTAGE:g} V or more a licensed person does or checks this."
HOLE = re.compile(r"\{(\w+)(?:\|([^}]*))?\}")
MOST_NAMED = 4
"""Stops named on a sheet, which is one page; half as many checks that wait."""
OF_A_RIDER = frozenset({"who", "limit", "cap"})
"""Holes of a step that stands once for each rider: they are filled in from the rows of the riders."""


@cache
def checklists() -> dict[str, dict[str, Any]]:
    """Every checklist by name: title, intro, caution, steps (what to do, what is good) and a last word."""
    with open(os.path.join(os.path.dirname(__file__), "checklists.toml"), encoding="utf-8") as file:
        return tomllib.loads(file.read())


def known(build: Build, *nodes: str) -> bool:
    """Whether the build's own entries give the nodes: on paper what is only usual would pass for the build's own."""
    return not build.missing(*nodes) and not build.unsaid(*nodes)


def told(build: Build, values: Values, node: str, unit: str | None) -> str:
    """What the build gives for a node, in that unit ("m|2": two digits of it) or as chosen; else a line to write on."""
    unit, _, digits = unit.partition("|") if unit is not None else (None, "", "")
    blank = f"{BLANK} {units.symbol(unit)}" if unit else BLANK
    if not known(build, node):
        return blank
    try:
        value = values[node]
    except NoSolution:
        return blank
    if unit == "m":
        value = round(float(value), 2)  # what a tape reads
    if unit is not None:
        return units.show(float(value), unit, int(digits or 3))
    field = FIELDS.get(node)
    names = dict(field.choices) if field else {}
    return names.get(value) or units.plain(float(value))


def _riders(build: Build, values: Values) -> list[dict[str, str]]:
    """What a rider's step says of each rider of the sheet; lines to write on where there is none."""
    speed = f"{BLANK} {units.symbol('km/h')}"
    if "riders" not in build.entered:
        return [{"who": "This rider", "limit": speed, "cap": speed}]
    rows = values["riders"]
    try:
        caps = values["told_caps"] if known(build, "told_caps") else [None] * len(rows)
    except NoSolution:
        caps = [None] * len(rows)
    found = []
    for (kind, watched, limit), cap in zip(rows, caps, strict=True):
        who = f"{SHORT[kind]}, {SHORT[watched]}"
        limit_, cap_ = (speed if one is None else units.show(float(one), "km/h") for one in (limit, cap))
        found.append({"who": who[0].upper() + who[1:], "limit": limit_, "cap": cap_})
    return found


def _groups(build: Build, values: Values) -> str:
    """A box to write in for the volts of each group; nothing where their number isn't known."""
    if not known(build, "series"):
        return ""
    boxes = "".join(f"<span>{number}</span>" for number in range(1, int(values["series"]) + 1))
    return f'<p>Volts of each group:</p><div class="ta-groups">{boxes}</div>'


def body(name: str, sheet: Sheet, source: str, today: str) -> str:
    """A checklist as HTML, filled in from a sheet, with what the verdict stops on top."""
    one = checklists()[name]
    if one.get("own") and source == "demo":
        sheet = sheet._replace(entries={})
    judged = verdict.judge(sheet, source)
    build = judged.build
    values = build.nominal()

    def filled(words: str, rider: dict[str, str] | None = None) -> str:
        return HOLE.sub(
            lambda hole: (rider or {}).get(hole[1]) or told(build, values, hole[1], hole[2]), words
        )

    rows = []
    for what, good in one["steps"]:
        each = _riders(build, values) if OF_A_RIDER & {node for node, _ in HOLE.findall(what)} else [None]
        rows += [(render.TICK, filled(what, rider), filled(good, rider), "") for rider in each]
    title = one["title"][0].upper() + one["title"][1:]
    caution = filled(one["caution"])
    if one.get("live") and (not known(build, "voltage_full") or touch(values)):
        caution += f" {LICENSED}"
    on_top = render_verdict.on_top(judged, name, MOST_NAMED) if one.get("judged", True) else ""
    stops, waits = len(bars.stops(judged, name)), len(bars.unjudged(judged, name))
    if (stops or waits) and name in bars.BARS:
        why = f"{stops} to mend first" if stops else f"{waits} not judged yet"
        sign = f'<p class="ta-demo">Not to be {bars.BARS[name].word}: {why}, named on top.</p></div>'
    else:
        sign = '<p class="ta-sign">Done by: <span></span> Date: <span></span></p></div>'
    return (
        f'<div class="ta-checklist">{render.headed(title, sheet.name, source, today)}{on_top}'
        f"<p>{escape(filled(one['intro']))}</p>"
        f'<p class="ta-warn"><strong>{escape(caution)} {CODES}</strong></p>'
        + render.table(title, ("Done", "What to do", "Good is", "What you read"), rows, title, named=1)
        + (_groups(build, values) if one.get("groups") else "")
        + f"<p>{escape(filled(one['last']))}</p>"
        + sign
    )
