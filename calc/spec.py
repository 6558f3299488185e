"""What a calculator is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from calc.build import DIRECT, Values
from calc.fields import FIELDS, Field
from calc.findings import Finding
from calc.graph import GRAPH, WHEN_ENTERED, Step

MOST_ROWS = 12
"""Of a table, in page, print and text; JSON has them all."""


class Column(NamedTuple):
    """One column of a table result. `unit` is what its numbers are shown in; values are SI inside.

    least: a page says of a number under it that it is under it; None for every number as it is.
    """

    key: str
    label: str
    unit: str = ""
    least: float | None = None


class Result(NamedTuple):
    """One thing a calculator gives. `node` is the step of the graph that yields it (the key unless named).

    optional: None rather than a question when what it rests on wasn't entered. made: makes a table, or a result
    that is no node, from the values; what it reads stands in the calculator's `reads`, or in `needs` when it is
    optional. sweep: the rows follow each other along a curve, so that a short reading thins them out. nothing: what
    None means where it is an answer; elsewhere it can't be told.
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
    nothing: str = ""

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


@cache
def reach(nodes: tuple[str, ...], rules: tuple[tuple[str, Step], ...] = ()) -> tuple[str, ...]:
    """Every field that can matter to the nodes, both ways of each alternative, in the registry's order.

    rules: steps on top of the graph's.
    """
    steps = GRAPH | dict(rules)
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
    hinges: the nodes that decide this answer: the usual values that move them most are named.
    early: results that are told by themselves while others wait for entries, each with what it reads (nothing: its own
    nodes); the first has to be there. early_findings: what is said with them.
    called: a field that means something of its own here: its label and how to measure it.
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
    hinges: tuple[str, ...] = ()
    early: Mapping[str, tuple[str, ...]] = {}
    early_findings: Callable[[Values], Iterable[Finding]] = lambda v: ()
    called: Mapping[str, tuple[str, str]] = {}

    def field(self, key: str) -> Field:
        """A field as this calculator calls it."""
        known = FIELDS[key]
        if key not in self.called:
            return known
        label, how = self.called[key]
        return known._replace(label=label, how_to_measure=how)

    @property
    def nodes(self) -> tuple[str, ...]:
        return tuple(n for result in self.gives for n in result.nodes) + self.reads

    @property
    def takes(self) -> tuple[str, ...]:
        """Every field that can matter, both ways of each alternative, in the registry's order."""
        return reach((*self.nodes, *self.optional), tuple(self.rules.items()))
