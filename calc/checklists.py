"""Checklists to print, filled in from a build: what to do, in order, what is good, and room for what was read."""

from __future__ import annotations

import os
import re
import tomllib
from functools import cache
from html import escape
from typing import Any

from calc import render, units
from calc.build import Build, Values
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.sheet import Sheet

BLANK = "________"
CODES = "Local codes and licensed practice come before this sheet."
HOLE = re.compile(r"\{(\w+)(?:\|([^}]*))?\}")


@cache
def checklists() -> dict[str, dict[str, Any]]:
    """Every checklist by name: title, intro, caution, steps (what to do, what is good) and a last word."""
    with open(os.path.join(os.path.dirname(__file__), "checklists.toml"), encoding="utf-8") as file:
        return tomllib.loads(file.read())


def told(build: Build, values: Values, node: str, unit: str | None) -> str:
    """What the build gives for a node, in that unit or as it is chosen; a line to write on where it gives nothing."""
    blank = f"{BLANK} {units.symbol(unit)}" if unit else BLANK
    if build.missing(node):
        return blank
    try:
        value = values[node]
    except NoSolution:
        return blank
    if unit is not None:
        return units.show(float(value), unit)
    field = FIELDS.get(node)
    names = dict(field.choices) if field else {}
    return names.get(value) or units.plain(float(value))


def body(name: str, sheet: Sheet, source: str, today: str) -> str:
    """A checklist as HTML, filled in from a sheet."""
    one = checklists()[name]
    build = Build.of([(source, sheet.entries)])
    values = build.nominal()

    def filled(words: str) -> str:
        return HOLE.sub(lambda hole: told(build, values, hole[1], hole[2]), words)

    title = one["title"][0].upper() + one["title"][1:]
    rows = [("☐", filled(what), filled(good), "") for what, good in one["steps"]]
    return (
        f'<div class="ta-checklist">{render.headed(title, sheet.name, source, today)}'
        f"<p>{escape(filled(one['intro']))}</p>"
        f'<p class="ta-warn"><strong>{escape(filled(one["caution"]))} {CODES}</strong></p>'
        + render.table(title, ("Done", "What to do", "Good is", "What you read"), rows, title)
        + f"<p>{escape(filled(one['last']))}</p>"
        '<p class="ta-sign">Done by: <span></span> Date: <span></span></p></div>'
    )
