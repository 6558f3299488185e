"""What a calculator is, and how one is evaluated."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Literal, NamedTuple

from calc import units
from calc.build import DIRECT, Build, Clash, Input, Values
from calc.entries import Entry
from calc.errors import NoSensors, NoSolution
from calc.fields import ALTERNATIVES, FIELDS
from calc.graph import GRAPH, WHEN_ENTERED, Step
from calc.power.limits import SHOCK_VOLTAGE

Severity = Literal["ok", "caution", "stop"]
WORST = {"ok": 0, "caution": 1, "stop": 2}
GUARDED_SPEED = 15 / 3.6
"""From here on brakes, helmet and rider are spoken of whatever speed was wished, m/s (common practice, no source)."""


class Finding(NamedTuple):
    """Something the reader should know about the answer: how bad, what was found, what to do."""

    severity: Severity
    text: str
    do: str = ""


def shock(volts: float) -> Finding:
    """The caution for a pack at or above the limit of touch voltage."""
    return Finding(
        "caution",
        f"{units.show(volts, 'V')} is at or above {SHOCK_VOLTAGE:g} V direct current, where standards draw the line of "
        "touch voltage (UN R100, ISO 6469-4).",
        "Cover every live part, and let a licensed person check it; local codes come first.",
    )


def over_full(charger: Input, full: float, limit: float) -> list[Finding]:
    """The caution for a charger above the full pack (V), though surely within what its cells stand, `limit`."""
    if charger.value <= full + 0.005 or charger.value + charger.spread > limit:  # a meter's last digit
        return []
    return [
        Finding(
            "caution",
            f"The charger gives {units.show(charger.value, 'V', 4)}, a little over the {units.show(full, 'V', 4)} of "
            "the full pack. That is within the cells' tolerance, and it wears them.",
            f"Turn it down to {units.show(full, 'V', 4)} or a little less if it can be set. Stay with it while it "
            "charges.",
        )
    ]


def unsaid(item: Input) -> str:
    """What to say of a number that counts as a guess, because that is what it is or because nobody said: its ±."""
    if item.basis != "guess" or not item.spread:
        return ""
    unit = FIELDS[item.key].unit
    off = units.show(item.spread, "K" if unit == "degC" else unit)  # a difference of temperatures
    return f" {units.show(item.value, unit)} counts as a guess, ± {off}; measure it, and say so."


def fast(top: float, wanted: float | None) -> list[Finding]:
    """The caution for a top speed (m/s) that brakes and rider must be fit for, or that nobody asked for.

    wanted: the speed wanted on the level, None when it wasn't entered.
    """
    least = GUARDED_SPEED if wanted is None else min(1.5 * wanted, GUARDED_SPEED)
    if top < least:
        return []
    asked = "" if wanted is None else f", where {units.show(wanted, 'km/h')} are wanted"
    return [
        Finding(
            "caution",
            f"At full throttle it reaches {units.show(top, 'km/h')} on the level{asked}; downhill it is faster still.",
            "Set the controller's speed limit until two independent brakes, helmet and rider are tried at that "
            "speed. Local rules may ask for more.",
        )
    ]


UNCOUNTED = Finding(
    "ok",
    "Not counted here: the strength of chain, key and mount. Grip of the tyres and tipping over backwards are told by "
    "the standing start.",
    "Try the slope unladen first, with somebody beside the vehicle, never behind or below it.",
)
"""Said where a pull at the wheel is told by the gearing."""


MOST_ROWS = 12
"""Of a table, in page, print and text; JSON has them all."""


class Column(NamedTuple):
    """One column of a table result. `unit` is what its numbers are shown in; values are SI inside."""

    key: str
    label: str
    unit: str = ""


class Result(NamedTuple):
    """One thing a calculator gives. `node` is the step of the graph that yields it (the key unless named).

    optional: None rather than a question when what it rests on wasn't entered. made: makes a table, or a result
    that is no node, from the values; what it reads stands in the calculator's `reads`, or in `needs` when it is
    optional. sweep: the rows follow each other along a curve, so that a short reading thins them out.
    """

    key: str
    label: str
    unit: str = ""
    node: str = ""
    columns: tuple[Column, ...] = ()
    optional: bool = False
    made: Callable[[Values], Any] | None = None
    needs: tuple[str, ...] = ()
    sweep: bool = False

    @property
    def nodes(self) -> tuple[str, ...]:
        return self.needs if self.made else (self.node or self.key,)

    def value(self, values: Values) -> Any:
        """The result in SI, or the rows of a table."""
        return self.made(values) if self.made else values[self.nodes[0]]


def shortened(result: Result, rows: Sequence[Any]) -> tuple[list[Any], str]:
    """The rows of a table to read, and a word on those left out: the first of them, or of a sweep some all along it."""
    if len(rows) <= MOST_ROWS:
        return list(rows), ""
    if not result.sweep:
        return list(rows[:MOST_ROWS]), f"The first {MOST_ROWS} of {len(rows)}"
    steps = range(MOST_ROWS)
    kept = [rows[round(k * (len(rows) - 1) / (MOST_ROWS - 1))] for k in steps]
    return kept, f"{MOST_ROWS} of {len(rows)}, all along the curve"


class Report(NamedTuple):
    """How an answer is told: the number first, then why, then findings; figures are SVG texts."""

    headline: str
    aside: str
    why: str
    findings: tuple[Finding, ...] = ()
    figures: tuple[Callable[[str], str], ...] = ()


def reach(nodes: Iterable[str], steps: Mapping[str, Step]) -> tuple[str, ...]:
    """Every field that can matter to the nodes, both ways of each alternative, in the registry's order."""
    seen: set[str] = set()
    open_ = list(nodes)
    while open_:
        key = open_.pop()
        if key and key not in seen:
            seen.add(key)
            for found in (steps, *WHEN_ENTERED.values()):
                open_ += (*found[key].arguments, found[key].spread) if key in found else ()
            open_ += DIRECT.get(key, ())
    return tuple(key for key in FIELDS if key in seen)


class Calculator(NamedTuple):
    """One calculator of the book, declared. What it takes is read off the graph, never typed.

    asks: the fields a form shows first. rules: how the build gives an input that is never stored. reads: nodes
    that the report needs beside the results. optional: fields that are used when entered and never
    defaulted; only the demo build as a whole shows its own.
    despite_sensors: where the sensors give no usable pattern, answer as if they were mended, and say so.
    """

    id: str
    title: str
    chapter: str
    question: str
    asks: tuple[str, ...]
    gives: tuple[Result, ...]
    report: Callable[[Values], Report]
    rules: Mapping[str, Step] = {}
    reads: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    despite_sensors: bool = False

    @property
    def nodes(self) -> tuple[str, ...]:
        return tuple(n for result in self.gives for n in result.nodes) + self.reads

    @property
    def takes(self) -> tuple[str, ...]:
        """Every field that can matter, both ways of each alternative, in the registry's order."""
        return reach([*self.nodes, *self.optional], {**GRAPH, **self.rules})


class Answer(NamedTuple):
    """A calculator's answer: the inputs used, the results in SI, and how it is told."""

    calculator: Calculator
    inputs: tuple[Input, ...]
    results: dict[str, Any]
    report: Report
    build: Build

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self.report.findings


def both_ways(clash: Clash) -> Finding:
    """The caution when a quantity was entered in both ways, with both numbers where both are whole."""
    f = FIELDS[clash.direct]
    parts = ", ".join(FIELDS[p].name for p in clash.parts)
    if f.kind == "table":
        return Finding(
            "caution",
            f"{f.label} was entered, and {parts} too. The first counts.",
            "Clear one of the two.",
        )
    stated = units.show(clash.stated, f.unit)
    other = f" gives {units.show(clash.derived, f.unit)}" if clash.derived is not None else " was entered too"
    return Finding(
        "caution",
        f"{f.label} was entered as {stated}; what was entered of its parts ({parts}){other}. The {stated} counts.",
        "Clear one of the two.",
    )


def evaluate(
    calculator: Calculator, layers: list[tuple[str, Mapping[str, Entry]]], remarks: tuple[str, ...] = ()
) -> Answer:
    """The calculator's answer for layers of entries, nearest first: [('given', …), ('sheet' or 'demo', …)].

    remarks: what reading the sheet found, to be said with the answer.
    Raises InputError when a field that it needs was not entered and has no usual range. Where the physics has
    no answer, the results are None and a stop finding says why.
    """
    takes = calculator.takes
    layers = _without_defaults(calculator, layers)
    build = Build.of(layers, calculator.rules)
    gives = [r for r in calculator.gives if not (r.optional and build.missing(*r.nodes))]
    needed = tuple(n for r in gives for n in r.nodes) + calculator.reads
    build.need(*needed)
    values = build.nominal()
    used = build.leaves(*needed) + [k for k in calculator.optional if k in build.entered]
    cautions = tuple(both_ways(clash) for clash in build.clashes if clash.direct in takes)
    notes = tuple(Finding("caution", remark) for remark in remarks) + tuple(
        Finding("caution", note)
        for _, entries in layers
        for key, entry in entries.items()
        if key in takes
        for note in entry.notes
    )
    unused = tuple(
        Finding("caution", f"{FIELDS[key].label} isn't used by this calculator.", f"Leave {key} out.")
        for source, entries in layers
        if source == "given"
        for key in entries
        if key not in takes
    )
    try:
        results, report = _work_out(calculator, values, gives)
    except NoSolution as none:
        stop = Finding("stop", none.text, none.do)
        results, report = {}, Report("No answer", "", none.text, (stop,))
        if calculator.despite_sensors and isinstance(none, NoSensors):
            try:
                mended = build.mended().nominal()
                results, report = _work_out(calculator, mended, gives)
                values = mended
                report = report._replace(
                    aside=f"{report.aside}, once the sensors are mended",
                    findings=(stop, *report.findings),
                )
            except NoSolution:  # something else fails as well
                results = {}
        results = results or {r.key: _or_none(values, r) if r in gives else None for r in calculator.gives}
    inputs = tuple(build.input(key) for key in dict.fromkeys(used)) + _computed(takes, values)
    found = report.findings + _stand_ins(calculator, inputs) + cautions + notes + unused
    report = report._replace(findings=found)
    return Answer(calculator, inputs, results, report, build)


def _stand_ins(calculator: Calculator, inputs: tuple[Input, ...]) -> tuple[Finding, ...]:
    """The caution that usual values stand in for what the form asks first: the answer is of such a machine."""
    names = [
        FIELDS[i.key].name
        for i in inputs
        if i.source == "usual" and i.key in calculator.asks and FIELDS[i.key].table
    ]
    if not names:
        return ()
    listed = ", ".join(names)
    text = f"Usual values stand in for {listed}: such machines have these; yours was not measured."
    return (Finding("caution", text, "Enter them before you build or buy by this answer."),)


TAKEN_WITH_OTHERS = ("short_circuit_test", "stall_test", "heat_run")
"""Readings that give a quantity only together with others of the same machine."""


def _without_defaults(calculator: Calculator, layers: list[tuple[str, Mapping[str, Entry]]]) -> list[Any]:
    """The layers as they are, or once anything is given: the demo build without what belongs to its machine alone.

    That is its optional fields, and readings that were taken with other quantities of its machine: what they gave
    stands in for them, so that a machine that is half given and half the demo's doesn't contradict itself.
    """
    given = {key for source, entries in layers if source == "given" for key in entries}
    if not given:
        return layers
    return [
        (source, _settled(calculator, entries, given) if source == "demo" else entries)
        for source, entries in layers
    ]


def _settled(calculator: Calculator, entries: Mapping[str, Entry], given: set[str]) -> dict[str, Entry]:
    kept = {key: e for key, e in entries.items() if key not in calculator.optional}
    settled = [
        key for key in TAKEN_WITH_OTHERS if key in kept and key != calculator.asks[0] and key not in given
    ]
    values = Build.of([("demo", kept)]).nominal()
    for way in ALTERNATIVES:
        if set(way.parts) & set(settled) and way.direct not in kept:
            value = float(values[way.direct])
            told = units.show(value, FIELDS[way.direct].unit)
            kept[way.direct] = Entry(value, values.spread(way.direct), "measured", told)
    return {key: e for key, e in kept.items() if key not in settled}


def _work_out(calculator: Calculator, values: Values, gives: list[Result]) -> tuple[dict[str, Any], Report]:
    return {r.key: r.value(values) if r in gives else None for r in calculator.gives}, calculator.report(
        values
    )


def _computed(takes: tuple[str, ...], values: Values) -> tuple[Input, ...]:
    """Quantities of the registry that were worked out on the way rather than entered."""
    return tuple(
        Input(key, value, values.spread(key), "", "computed")
        for key, value in values.derived().items()
        if key in FIELDS and key in takes
    )


def _or_none(values: Values, result: Result) -> Any:
    try:
        return result.value(values)
    except NoSolution:
        return None
