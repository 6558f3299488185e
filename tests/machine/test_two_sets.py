"""12 slots to a pole pair: one winding of two slots for each pole and phase, or two three-phase sets 30° apart."""

from __future__ import annotations

import contextlib
import io
import json

import numpy as np
import pytest

from calc import cli
from calc.machine import winding


def run(calculator: str, *words: str) -> dict:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", calculator, *words, "--json"]) == 0
    return json.loads(out.getvalue())


def two_sets(data: dict) -> list[dict]:
    return [f for f in data["findings"] if "two three-phase sets" in f["text"]]


@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize(("connection", "turn", "right"), [("delta", 0.0, 0), ("star", 30.0, 1)])
def test_slots_of_one_set(connection, turn, right, layers):
    """One set of 96 slots by itself has every other slot, one for each pole and phase: a phase peaks over its own.

    From the star of slots: the axis of the set's line voltage against all 96 places, modulo 60°.
    """
    axis = np.degrees(winding.phase_axis(48, 8, 3, layers)) + turn
    off = [abs((slot * 30.0 - axis + 30.0) % 60.0 - 30.0) for slot in range(96)]
    assert off[right::2] == pytest.approx([0.0] * 48, abs=1e-6)
    assert off[1 - right :: 2] == pytest.approx([30.0] * 48, abs=1e-6)
    found = two_sets(
        run(
            "sensor-slots",
            "slots=96",
            "pole_pairs=8",
            "coil_span=6",
            f"layers={layers}",
            f"connection={connection}",
        )
    )
    assert [f["severity"] for f in found] == ["caution"]
    own, other = "in the driven set's own slots", "in the other set's slots"
    assert (own if connection == "delta" else other) in found[0]["text"]
    assert (other if connection == "delta" else own) not in found[0]["text"]


def test_winding_says_that_it_may_be_two():
    found = two_sets(run("winding", "slots=96", "pole_pairs=8", "coil_span=6", "layers=1"))
    assert [f["severity"] for f in found] == ["caution"]
    assert "48 slots and a span of 3" in found[0]["do"]


@pytest.mark.parametrize("calculator", ["winding", "sensor-slots"])
def test_six_slots_to_a_pole_pair_are_one_set(calculator):
    assert two_sets(run(calculator, "slots=48", "pole_pairs=8", "coil_span=3")) == []
