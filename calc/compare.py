"""Two builds side by side, and what each idea of the budget would change: verdicts beside each other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from calc import units, view
from calc.build import Build
from calc.checks import Judged
from calc.entries import Entry, parse
from calc.errors import InputError, NoSensors, NoSolution, Problem
from calc.fields import FIELDS, near
from calc.findings import WORST
from calc.sheet import Sheet
from calc.verdict import Verdict, judge

POINT = 0.01
"""A margin that moves by less than a percentage point has not moved."""
PER = 100.0
PLENTY = 10.0
"""A margin beyond this share is not told by figures."""


class Measure(NamedTuple):
    """A number that two builds are compared by: a node of the graph, or what `value` makes of the entries."""

    key: str
    label: str
    unit: str
    value: Callable[[Build], float] | None = None


def _price(build: Build) -> float:
    """What is bought and needed. Raises KeyError where no prices are entered."""
    return float(sum(row[1] for row in build.entered["cost"].value if row[2] != "idea"))


MEASURES = (
    Measure("total_mass", "Mass, rider and load on board", "kg"),
    Measure("pack_mass", "Mass of the cells", "kg"),
    Measure("price", "Price, bought and needed", "", _price),
    Measure("run_time", "Run time", "minute"),
    Measure("ride_range", "Range", "km"),
    Measure("energy_per_distance", "Energy for each kilometre", "W*hour/km"),
    Measure("top_speed", "Top speed on the level", "km/h"),
)


class Beside(NamedTuple):
    """Two builds: their verdicts, each check and each measure of both (None where it can't be told), and the fields in
    which they differ, as texts ('' where nothing is entered)."""

    verdicts: tuple[Verdict, Verdict]
    checks: tuple[tuple[Judged, Judged], ...]
    measures: tuple[tuple[Measure, float | None, float | None], ...]
    differs: tuple[tuple[str, str, str], ...]


def _told(measure: Measure, build: Build) -> float | None:
    if measure.value:
        return measure.value(build) if "cost" in build.entered else None
    if build.missing(measure.key):
        return None
    try:
        try:
            return float(build.nominal()[measure.key])
        except NoSensors:
            return float(build.mended().nominal()[measure.key])
    except NoSolution:
        return None


def beside(first: Sheet, second: Sheet, sources: tuple[str, str] = ("sheet", "sheet")) -> Beside:
    """Two sheets, judged and compared."""
    one, other = (judge(sheet, source) for sheet, source in zip((first, second), sources, strict=True))
    measures = tuple((m, _told(m, one.build), _told(m, other.build)) for m in MEASURES)
    shown = [
        {key: view.shown(FIELDS[key], entry) for key, entry in sheet.entries.items()}
        for sheet in (first, second)
    ]
    differs = tuple(
        (key, shown[0].get(key, ""), shown[1].get(key, ""))
        for key in FIELDS
        if key not in ("name", "notes", "cost") and shown[0].get(key, "") != shown[1].get(key, "")
    )
    return Beside((one, other), tuple(zip(one.checks, other.checks, strict=True)), measures, differs)


class Idea(NamedTuple):
    """One idea of the budget, tried: what becomes ok, what gets worse (titles), the check that gains most, its margin
    before and after, and by how many points of a hundred it grows for each PER of money (None where it is free or
    nothing gains)."""

    item: str
    price: float
    changes: str
    before: Verdict
    after: Verdict
    mends: tuple[str, ...]
    worsens: tuple[str, ...]
    gains: Judged | None
    was: float | None
    points: float | None


def ideas(sheet: Sheet, source: str = "sheet") -> tuple[Idea, ...]:
    """Every idea that says what it changes, tried on the whole build, the best buy first.

    First come those that mend most and worsen nothing, then by points for the money. Raises InputError where a change
    can't be read, naming its row.
    """
    if "cost" not in sheet.entries:
        return ()
    rows = sheet.entries["cost"].value
    wanted = [
        (row, _changes(number, row)) for number, row in enumerate(rows, 1) if row[2] == "idea" and row[4]
    ]
    if not wanted:
        return ()
    before = judge(sheet, source)
    found = [_tried(sheet, source, before, row, given) for row, given in wanted]
    return tuple(sorted(found, key=lambda one: (len(one.worsens) - len(one.mends), -(one.points or 0.0))))


def _changes(number: int, row: tuple[Any, ...]) -> dict[str, Entry]:
    """The entries of 'field=value and field=value'. Raises InputError with every problem in it."""
    given, problems = {}, []
    for word in str(row[4]).split(" and "):
        key, equals, text = (part.strip() for part in word.partition("="))
        where = f"row {number} (“{row[0]}”): "
        if not equals or key not in FIELDS or not FIELDS[key].table:
            why = f"“{word.strip()}” isn't a change of the build sheet, written field=value."
            problems.append(
                Problem("cost", FIELDS["cost"].label, where + why + (near(key) if equals else ""))
            )
            continue
        try:
            given[key] = parse(FIELDS[key], text)
        except InputError as error:
            problems += [
                Problem("cost", FIELDS["cost"].label, f"{where}{p.label}: {p.text}") for p in error.problems
            ]
    if problems:
        raise InputError(problems)
    return given


def _tried(sheet: Sheet, source: str, before: Verdict, row: tuple[Any, ...], given: dict[str, Entry]) -> Idea:
    item, price, _, mass, changes = row
    key = "total_mass" if "total_mass" in before.build.entered else "vehicle_mass"
    if mass and key not in given and key in before.build.entered:
        now = before.build.input(key)
        told = units.show(now.value + mass, "kg")
        given = {**given, key: Entry(now.value + mass, now.spread, now.basis, told)}
    after = judge(sheet, source, given)
    pairs = list(zip(before.checks, after.checks, strict=True))
    mends = tuple(a.check.title for b, a in pairs if a.severity == "ok" and b.severity != "ok")
    worsens = tuple(a.check.title for b, a in pairs if WORST[a.severity] > WORST[b.severity])
    gained = [
        (a.margin - b.margin, b, a)
        for b, a in pairs
        if a.margin is not None and b.margin is not None and a.margin - b.margin > POINT
    ]
    # What isn't well yet counts before what has plenty.
    gained.sort(key=lambda one: (one[1].severity == "ok", -one[0]))
    if not gained:
        return Idea(item, price, changes, before, after, mends, worsens, None, None, None)
    gain, was, now_ = gained[0]
    points = 100.0 * gain / price * PER if price > 0.0 else None
    return Idea(item, price, changes, before, after, mends, worsens, now_, was.margin, points)


def percent(margin: float) -> str:
    """A margin for a table, by two figures; of plenty only that it is."""
    return f"over {units.show(PLENTY, 'percent')}" if margin > PLENTY else units.show(margin, "percent", 2)


def rate(one: Idea) -> str:
    """What an idea buys for the money, to follow its gain: ', 84.7 % more margin for each 100 of money'."""
    if one.points is None:
        return ""
    return f", {units.show(one.points / 100.0, 'percent')} more margin for each {PER:g} of money"


def data(found: Beside) -> dict[str, Any]:
    """The JSON of `compare` for two builds."""

    def judged(one: Judged) -> dict[str, Any]:
        return {"severity": one.severity, "margin": one.margin, "chance": one.chance, "text": one.text}

    return {
        "builds": [v.name for v in found.verdicts],
        "severity": [v.severity for v in found.verdicts],
        "checks": [
            {"id": one.check.id, "title": one.check.title, "first": judged(one), "second": judged(other)}
            for one, other in found.checks
        ],
        "measures": [
            {
                "id": m.key,
                "label": m.label,
                "unit": m.unit,
                **{
                    side: None if value is None else view.number(value, m.unit)
                    for side, value in (("first", one), ("second", other))
                },
            }
            for m, one, other in found.measures
        ],
        "differs": [
            {"field": key, "label": FIELDS[key].label, "first": one or None, "second": other or None}
            for key, one, other in found.differs
        ],
    }


def ideas_data(name: str, found: tuple[Idea, ...]) -> dict[str, Any]:
    """The JSON of `compare` for one build: its ideas."""
    return {
        "build": name,
        "ideas": [
            {
                "item": one.item,
                "price": one.price,
                "changes": one.changes,
                "severity": one.after.severity,
                "mends": list(one.mends),
                "worsens": list(one.worsens),
                "gains": None if one.gains is None else one.gains.check.id,
                "margin_before": one.was,
                "margin_after": None if one.gains is None else one.gains.margin,
                "points_per_100": one.points,
            }
            for one in found
        ],
    }
