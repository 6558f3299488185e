"""How a calculator is evaluated: from layers of entries to what is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from calc import units
from calc.build import DIRECT, Build, Input, Values
from calc.entries import Entry
from calc.errors import NoSensors, NoSolution
from calc.fields import ALTERNATIVES, FIELDS
from calc.findings import Finding
from calc.spec import Calculator, Report, Result
from calc.told import both_ways


class Answer(NamedTuple):
    """A calculator's answer: the inputs used, the results in SI, and how it is told."""

    calculator: Calculator
    inputs: tuple[Input, ...]
    results: dict[str, Any]
    report: Report
    build: Build
    told: tuple[str, ...] = ()
    """The results that were worked out: a None among them is an answer."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self.report.findings


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
    needed, tell = tuple(n for r in gives for n in r.nodes) + calculator.reads, calculator.report
    if lacking := build.missing(*needed):
        early = _early(calculator, build)
        if not early:
            build.need(*needed)
        gives, needed = early, tuple(n for r in early for n in _reads(calculator, r))

        def tell(values: Values) -> Report:
            return _in_part(calculator, values, early, lacking)

    values = build.nominal()
    named = [k for k in calculator.optional if {k, *DIRECT.get(k, ())} & build.entered.keys()]
    used = build.leaves(*needed, *named)
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
    told = tuple(r.key for r in gives)
    try:
        results, report = _work_out(calculator, values, gives, tell)
    except NoSolution as none:
        stop = Finding("stop", none.text, none.do)
        results, report, told = {}, Report("No answer", "", none.text, (stop,)), ()
        if calculator.despite_sensors and isinstance(none, NoSensors):
            try:
                mended = build.mended().nominal()
                results, report = _work_out(calculator, mended, gives, tell)
                values = mended
                report = report._replace(
                    aside=f"{report.aside}, once the sensors are mended",
                    findings=(stop, *report.findings),
                )
            except NoSolution:  # something else fails as well
                results = {}
        results = results or {r.key: _or_none(values, r) if r in gives else None for r in calculator.gives}
    inputs = tuple(build.input(key) for key in used) + _computed(takes, values)
    # What was entered twice decides what all the rest says.
    found = (*cautions, *report.findings, *_stand_ins(calculator, build, inputs), *notes, *unused)
    report = report._replace(findings=tuple(sorted(found, key=lambda f: f.severity != "stop")))
    return Answer(calculator, inputs, results, report, build, told)


MOST_NAMED = 5
"""Usual values that a caution names: those that move the answer most."""
MOVES = 0.05
"""A usual range that moves what the answer hinges on by less than this share isn't named (a choice)."""


def _stand_ins(calculator: Calculator, build: Build, inputs: tuple[Input, ...]) -> tuple[Finding, ...]:
    """The caution that usual values stand in for what the answer rests on: it is that of such a machine."""
    usual = [i.key for i in inputs if i.source == "usual" and FIELDS[i.key].table]
    names = _by_effect(calculator, build, usual)
    if names is None:
        names = [key for key in usual if key in calculator.asks] or usual[:3]
    if not names:
        return ()
    others = len(usual) - len(names)
    listed = ", ".join(FIELDS[key].name for key in names)
    if others:
        listed += f" and {'one other' if others == 1 else f'{others} others'}"
    text = f"Usual values stand in for {listed}: such machines have these; yours was not measured."
    return (Finding("caution", text, "Enter them before you build or buy by this answer."),)


def _by_effect(calculator: Calculator, build: Build, usual: list[str]) -> list[str] | None:
    """Of the usual values those whose range moves most what the answer hinges on, the first the most; None where it
    hinges on nothing named, or on what has no answer."""
    if not calculator.hinges or build.missing(*calculator.hinges):
        return None
    moved: list[tuple[float, str]] = []
    try:
        for key in usual:
            item = build.input(key)
            if item.spread:
                low, high = FIELDS[key].limits()
                ends = np.array(
                    [max(item.value - item.spread, low), item.value, min(item.value + item.spread, high)]
                )
                values = build.nominal(**{key: ends})
                moved.append((sum(_swing(values[node]) for node in calculator.hinges), key))
    except NoSolution:
        return None
    return [key for swing, key in sorted(moved, reverse=True) if swing > MOVES][:MOST_NAMED]


def _swing(found: Any) -> float:
    """How far a quantity goes over the ends and the middle of a range, as a share of the middle."""
    across = np.broadcast_to(np.asarray(found, dtype=float), (3,))
    return float(np.ptp(across) / max(abs(across[1]), 1e-9))


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


def _reads(calculator: Calculator, result: Result) -> tuple[str, ...]:
    """What a result of `early` rests on."""
    return calculator.early[result.key] or result.nodes


def _early(calculator: Calculator, build: Build) -> list[Result]:
    """The results that can be told while others wait for entries; none unless the first of them can."""
    known = [
        r
        for key in calculator.early
        for r in calculator.gives
        if r.key == key and not build.missing(*_reads(calculator, r))
    ]
    return known if known and known[0].key == next(iter(calculator.early)) else []


def _in_part(calculator: Calculator, values: Values, early: list[Result], lacking: list[str]) -> Report:
    """The report of what can be told, and what the rest waits for; what can't be told at all is left out."""
    known = [(r, r.value(values)) for r in early]
    first, *others = [
        (r.label, r.nothing if value is None else units.show(value, r.unit))
        for r, value in known
        if value is not None or r.nothing
    ]
    told = " ".join(f"{label}: {value}." for label, value in others)
    waits = ", ".join(FIELDS[key].quoted for key in lacking)
    finding = Finding(
        "caution",
        "Only this can be told yet; what else this page judges, its stops too, waits for entries.",
        f"Enter {waits}.",
    )
    found = (*calculator.early_findings(values), finding)
    return Report(first[1], first[0][:1].lower() + first[0][1:], told, found)


def _work_out(
    calculator: Calculator, values: Values, gives: list[Result], tell: Callable[[Values], Report]
) -> tuple[dict[str, Any], Report]:
    return {r.key: r.value(values) if r in gives else None for r in calculator.gives}, tell(values)


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
