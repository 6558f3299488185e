"""A build with its gaps filled: which layer gives each quantity, what is derived, what is only usual.

Layers are the command (or a form) over a sheet over nothing; with no sheet at all the demo build stands below.
A quantity nobody entered is derived by the graph, else takes its usual range, else is missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

import numpy as np

from calc import draws
from calc.entries import Entry
from calc.errors import InputError, NoSolution, Problem
from calc.fields import ALTERNATIVES, FIELDS, Field
from calc.graph import GRAPH, WHEN_ENTERED, Step

DIRECT = {a.direct: a.parts for a in ALTERNATIVES}
ASKED_AS_PARTS = {a.direct for a in ALTERNATIVES if a.ask == "parts"}


_PLACE = {key: place for place, key in enumerate(FIELDS)}


def _in_order(found: Iterable[str]) -> list[str]:
    """The fields among what was found, in the registry's order."""
    return sorted((key for key in found if key in _PLACE), key=_PLACE.__getitem__)


_SLOPE = 1e-3
"""Share of its ± by which a quantity is moved to see what follows it."""


class Input(NamedTuple):
    """One leaf of the graph as it will be used: SI value, spread, basis and where it came from."""

    key: str
    value: Any
    spread: float
    basis: str
    source: str  # given, sheet, demo, usual

    @property
    def guessed(self) -> bool:
        """True when nobody measured it or read it from a label: what measuring would improve."""
        return self.source == "usual" or self.basis == "guess"


def usual(field_: Field) -> Input:
    """The stand-in for a quantity nobody entered: the middle of its usual range, or its usual choice."""
    if isinstance(field_.usual, str):
        return Input(field_.key, field_.usual, 0.0, "usual", "usual")
    assert field_.usual is not None
    low, high = (field_.si(x) for x in field_.usual)
    middle = round((low + high) / 2) if field_.kind == "count" else (low + high) / 2
    return Input(field_.key, middle, (high - low) / 2, "usual", "usual")


class Clash(NamedTuple):
    """A quantity entered in both ways in one layer: the direct value, which counts, and whether it is a guess; what the
    parts give, or why they give nothing."""

    direct: str
    parts: tuple[str, ...]
    stated: float
    derived: float | None
    why: str = ""
    guess: bool = False


class Build:
    """The entries of all layers, merged. `steps` is the graph, with a calculator's own rules on top."""

    def __init__(
        self,
        entered: Mapping[str, Input],
        clashes: tuple[Clash, ...] = (),
        steps: Mapping[str, Step] = GRAPH,
        like: Build | None = None,
    ) -> None:
        """like: a build near enough for what is worked out at the stated values alone (`Step.stated`)."""
        self.entered, self.clashes, self.steps = entered, clashes, steps
        self._like = like
        self._stated: Values | None = None
        self._leaves: dict[str, tuple[frozenset[str], frozenset[str]]] = {}
        self._below: dict[str, frozenset[str]] = {}

    @classmethod
    def of(
        cls, layers: Iterable[tuple[str, Mapping[str, Entry]]], rules: Mapping[str, Step] | None = None
    ) -> Build:
        """Merge layers, nearest first. Each is (source, entries)."""
        layers = list(layers)
        entered: dict[str, Input] = {}
        for source, entries in layers:
            for key, e in entries.items():
                entered.setdefault(key, Input(key, e.value, e.spread, e.basis, source))
        clashes: list[Clash] = []
        for way in ALTERNATIVES:
            members = {way.direct, *way.parts}
            nearest = next((entries for _, entries in layers if members & entries.keys()), {})
            if way.direct not in nearest:
                entered.pop(way.direct, None)
                continue
            if members & nearest.keys() > {way.direct}:
                others = cls.of(
                    [(s, {k: e for k, e in es.items() if k != way.direct}) for s, es in layers], rules
                )
                derived, why = others._told(way.direct)
                named = tuple(part for part in way.parts if part in nearest)
                if way.hides or derived is not None or why:
                    clashes.append(
                        Clash(
                            way.direct,
                            named,
                            entered[way.direct].value,
                            derived,
                            why,
                            entered[way.direct].guessed,
                        )
                    )
            for part in way.parts if way.hides else ():
                entered.pop(part, None)
        steps = {**GRAPH, **(rules or {})}
        for key, others_ in WHEN_ENTERED.items():
            steps |= others_ if key in entered else {}
        return cls(entered, tuple(clashes), steps)

    def _told(self, key: str) -> tuple[float | None, str]:
        """A single value that is derived, or why there is none ('' where something is missing)."""
        if FIELDS[key].kind == "table" or self.missing(key):
            return None, ""
        try:
            return float(self.nominal()[key]), ""
        except NoSolution as none:
            return None, none.text

    def is_leaf(self, key: str) -> bool:
        """True when `key` is taken as it stands rather than derived from others."""
        if key in self.entered or key not in self.steps:
            return True
        if key in DIRECT and not any(part in self.entered for part in DIRECT[key]):
            return FIELDS[key].usual is not None or key not in ASKED_AS_PARTS  # nobody named either way
        return False

    def _trace(self, key: str) -> tuple[frozenset[str], frozenset[str]]:
        """(leaves, missing) below a node."""
        if key not in self._leaves:
            if self.is_leaf(key):
                known = key in self.entered or (key in FIELDS and FIELDS[key].usual is not None)
                self._leaves[key] = (frozenset([key]), frozenset() if known else frozenset([key]))
            else:
                step = self.steps[key]
                needs = (*step.arguments, step.spread) if step.spread else step.arguments
                below = [self._trace(argument) for argument in needs]
                unknown = frozenset(
                    argument
                    for argument in step.entered
                    if not {argument, *DIRECT.get(argument, ())} & self.entered.keys()
                )
                self._leaves[key] = (
                    frozenset().union(*(b[0] for b in below)),
                    unknown.union(*(b[1] for b in below)),
                )
        return self._leaves[key]

    def below(self, node: str) -> frozenset[str]:
        """Every node that a derived one rests on, leaves too."""
        if node not in self._below:
            arguments = () if self.is_leaf(node) else self.steps[node].arguments
            self._below[node] = frozenset(arguments).union(*(self.below(argument) for argument in arguments))
        return self._below[node]

    def leaves(self, *nodes: str) -> list[str]:
        """The fields that the nodes rest on, in the registry's order."""
        return _in_order(frozenset().union(*(self._trace(node)[0] for node in nodes)))

    def unsaid(self, *nodes: str) -> list[str]:
        """The fields below the nodes that nobody entered: a usual value stands in for them, or a rule."""
        found = {key for key in self.leaves(*nodes) if self.input(key).source == "usual"}
        below = frozenset(nodes).union(*(self.below(node) for node in nodes))
        found |= {
            key for key in below if key in self.steps and not self.is_leaf(key) and self.steps[key].stands_in
        }
        return _in_order(found)

    def missing(self, *nodes: str) -> list[str]:
        """The fields that must be entered before the nodes can be worked out, in the registry's order."""
        return _in_order(frozenset().union(*(self._trace(node)[1] for node in nodes)))

    def input(self, key: str) -> Input:
        """A leaf with its spread: entered, or usual."""
        return self.entered[key] if key in self.entered else usual(FIELDS[key])

    @property
    def stated(self) -> Values:
        """Where nodes come from that are worked out at the stated values alone."""
        if self._like:
            return self._like.stated
        self._stated = self._stated or Values(self, lambda key: self.input(key).value)
        return self._stated

    def nominal(self, **changes: Any) -> Values:
        """Every node at the stated values; `changes` replace leaves (scalars, or lanes as arrays)."""
        if not changes and not self._like:
            return self.stated
        return Values(
            self, lambda key: changes[key] if key in changes else self.input(key).value, self.stated
        )

    def drawn(self) -> Values:
        """Every node over the draws, which are the last axis."""
        return Values(self, self._draw, self.stated, scatter=True)

    def with_entry(self, key: str, value: Any) -> Build:
        """The same build with one field changed; its spread keeps its share of the value.

        What is worked out at the stated values alone stays this build's; `afresh` works it out anew. A number entered
        for the direct way of an alternative hides the parts, and the other way round.
        """
        old = self.input(key)
        scale = abs(value / old.value) if old.value and isinstance(value, float) else 1.0
        entered = {**self.entered, key: Input(key, value, old.spread * scale, old.basis, "given")}
        return Build(entered, self.clashes, self.steps, like=self)

    def afresh(self) -> Build:
        """The same build, with nothing taken from another."""
        return Build(self.entered, self.clashes, self.steps)

    def mended(self) -> Build:
        """The build as if its sensors sat as well as its winding allows: what can be told while they don't."""
        known = not self.missing("best_alignment")
        best = float(self.nominal()["best_alignment"]) if known else 0.0
        entered = {**self.entered, "alignment_error": Input("alignment_error", best, 0.0, "", "computed")}
        return Build(entered, self.clashes, self.steps)

    def _draw(self, key: str) -> Any:
        item, f = self.input(key), FIELDS[key]
        if f.kind == "count" and item.source == "usual" and isinstance(f.usual, tuple):
            return draws.whole(key, int(f.usual[0]), int(f.usual[1]))
        if f.kind != "number":
            return item.value
        triangular = item.basis in ("measured", "rated")
        return draws.spread_out(key, item.value, item.spread, triangular, *f.limits())

    def need(self, *nodes: str) -> None:
        """Raise InputError, naming every field that is missing and each way to give it."""
        problems = [Problem(key, FIELDS[key].label, enter(key)) for key in self.missing(*nodes)]
        if problems:
            raise InputError(problems)


def enter(key: str) -> str:
    """'nothing entered yet. …' for a field that is missing, with the other way to give it."""
    f = FIELDS[key]
    other = [FIELDS[part].name for part in DIRECT.get(key, ())]
    ways = f" Or enter {', '.join(other)}." if other else ""
    return f"nothing entered yet. Enter {f.allowed()}, for example {f.sample()}.{ways}"


class Values:
    """Nodes of the graph, worked out when asked for and remembered.

    stated: the values that give the nodes which are worked out at the stated values alone; None for those themselves.
    scatter: draw what readings leave open too.
    """

    def __init__(
        self, build: Build, leaf: Callable[[str], Any], stated: Values | None = None, scatter: bool = False
    ) -> None:
        self.build, self._leaf, self._stated, self._scatter = build, leaf, stated, scatter
        self._known: dict[str, Any] = {}

    def __getitem__(self, node: str) -> Any:
        if node not in self._known:
            if self.build.is_leaf(node):
                self._known[node] = self._leaf(node)
            elif self._stated and self.build.steps[node].stated:
                self._known[node] = self._stated[node]
            else:
                step = self.build.steps[node]
                value = step([self[argument] for argument in step.arguments])
                if step.spread and self._scatter:
                    value = value * draws.spread_out(node, 1.0, float(self[step.spread]), True, 0.0, 2.0)
                self._known[node] = value
        return self._known[node]

    def spread(self, node: str) -> float:
        """How far an entry, or a node worked out from readings, may be off, in SI; 0 for what is neither.

        What the readings leave open, and what each entry and other readings below it do, one at a time by its slope:
        the root of the sum of squares.
        """
        if self.build.is_leaf(node):
            return self.build.input(node).spread
        step = self.build.steps[node]
        if not step.spread:
            return 0.0
        own = float(self[node]) * float(self[step.spread])
        return float(
            np.sqrt(own**2 + sum(self._follows(node, source) ** 2 for source in self._sources(node)))
        )

    def _sources(self, node: str) -> list[str]:
        """What below a node has a ± of its own: entries, and nodes worked out from readings."""
        build = self.build
        return [
            source
            for source in sorted(build.below(node))  # one order, so that page and host add up alike
            if (build.input(source).spread if build.is_leaf(source) else build.steps[source].spread)
        ]

    def _follows(self, node: str, source: str) -> float:
        """By how much a node is off where what lies below it is off by its own ±."""
        if self.build.is_leaf(source):
            off = self.build.input(source).spread
        else:
            off = float(self[source]) * float(self[self.build.steps[source].spread])
        moved = {source: float(self[source]) + off * _SLOPE}
        return float(self._with(node, moved) - self[node]) / _SLOPE

    def _with(self, node: str, moved: dict[str, Any]) -> Any:
        """A node where those in `moved` have other values; what follows from them is kept there."""
        if node not in moved:
            if moved.keys().isdisjoint(self.build.below(node)):
                return self[node]
            step = self.build.steps[node]
            moved[node] = step([self._with(argument, moved) for argument in step.arguments])
        return moved[node]

    def derived(self) -> dict[str, Any]:
        """The nodes worked out so far that are not leaves."""
        return {node: value for node, value in self._known.items() if not self.build.is_leaf(node)}
