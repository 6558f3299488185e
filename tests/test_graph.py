"""The graph: sorted, complete, and every step the same for scalars and for arrays."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.build import Build, Input
from calc.calculators import CALCULATORS
from calc.checks import CHECKS
from calc.errors import NoSolution
from calc.fields import ALTERNATIVES, FIELDS, TABLES
from calc.graph import GRAPH, WHEN_ENTERED, drive, machine, power, ride, vehicle
from calc.sheet import Sheet

NODES = sorted({node for c in CHECKS for node in c.nodes})


def test_the_graph_sorts_but_for_the_two_ways_to_a_packs_capacity() -> None:
    arguments = {key: set(step.arguments) for key, step in GRAPH.items()}
    with pytest.raises(CycleError):
        TopologicalSorter(arguments).prepare()
    arguments["cell_capacity"] = set()
    TopologicalSorter(arguments).prepare()


def test_no_chapter_takes_another_chapters_place() -> None:
    """A node, or what is derived otherwise once a field is entered, has one home; the second would silently win."""
    chapters = (vehicle, power, machine, drive, ride)
    for each in ("STEPS", "WHEN_ENTERED"):
        names = [name for chapter in chapters for name in getattr(chapter, each)]
        assert len(names) == len(set(names)), each


def test_every_argument_is_a_field_or_a_step() -> None:
    steps = dict(GRAPH)
    for c in CALCULATORS.values():
        steps |= c.rules
    known = set(steps) | set(FIELDS)
    for key, step in steps.items():
        assert set(step.arguments) <= known, key
    for key, c in CALCULATORS.items():
        assert c.id == key
        assert set(c.nodes) <= known, c.id


def test_the_registry_is_whole() -> None:
    for key, f in FIELDS.items():
        assert f.table in TABLES or f.table == "", key
        assert f.how_to_measure, key
        if f.kind == "number":
            assert f.low < f.high
        if isinstance(f.usual, tuple):
            assert f.low <= f.usual[0] <= f.usual[1] <= f.high
        if f.lever:
            assert f.low <= f.lever[0] < f.lever[1] <= f.high
    for direct, parts, *_ in ALTERNATIVES:
        assert direct in GRAPH
        assert set(parts) <= set(FIELDS)


def test_every_stored_field_matters_to_a_calculator_or_a_check() -> None:
    used = {key for c in CALCULATORS.values() for key in c.takes}
    stored = {key for key, f in FIELDS.items() if f.table not in ("", "build")}
    assert stored <= used


def inputs_of(share: dict[str, float]) -> dict[str, Input]:
    """A build with every leaf of the checks set to a share of its allowed range."""
    out = {}
    for key, f in FIELDS.items():
        if f.kind in ("number", "count") and f.table:
            low, high = f.limits()
            value = low + share.get(key, 0.5) * (high - low)
            out[key] = Input(key, round(value) if f.kind == "count" else value, 0.0, "measured", "sheet")
    for direct, parts, *_ in ALTERNATIVES:
        if any(part in out for part in parts):
            out.pop(direct, None)
    return out


@given(
    st.dictionaries(st.sampled_from(sorted(FIELDS)), st.sampled_from([0.0, 0.01, 0.2, 0.9, 1.0]), max_size=25)
)
def test_every_node_is_finite_over_the_whole_range_and_the_same_as_an_array(share: dict[str, float]) -> None:
    build = Build(inputs_of(share))
    scalars = build.nominal()
    lanes = build.nominal(
        **{
            key: np.full(3, item.value, dtype=float)
            for key, item in build.entered.items()
            if FIELDS[key].kind in ("number", "count") and key not in ("slots", "pole_pairs", "coil_span")
        }
    )
    for check in CHECKS:
        for node in check.nodes:
            if build.missing(node):
                continue
            try:
                one = scalars[node]
            except NoSolution:
                continue
            if isinstance(one, (bool, str)):
                continue
            many = np.broadcast_to(np.asarray(lanes[node], dtype=float), (3,))
            assert np.isfinite(float(one)), node
            assert many == pytest.approx(float(one), rel=1e-9, abs=1e-12), node


def test_the_demo_reaches_every_node(cart: Sheet) -> None:
    build = Build.of([("sheet", cart.entries)])
    for node in NODES:
        assert not build.missing(node), node


def test_no_two_chapters_name_one_node() -> None:
    """The later would take the earlier's place unseen."""
    chapters = (vehicle, power, machine, drive, ride)
    assert len(GRAPH) == sum(len(chapter.STEPS) for chapter in chapters)
    told = [key for chapter in chapters for key in getattr(chapter, "WHEN_ENTERED", {})]
    assert sorted(told) == sorted(WHEN_ENTERED)
