"""Sensors that answer to one pole: on late, off early. Both edges are carried to torque, start and verdict."""

from __future__ import annotations

import contextlib
import io
import json
from functools import cache

import numpy as np
import pytest

from calc import cli
from calc.build import Build
from calc.checks import Judged
from calc.drive import standing
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.machine import armature, edges, sensors
from calc.sheet import Sheet
from calc.verdict import judge

POINTS = 36_000
MIDDLE = {5: 30.0, 4: 90.0, 6: 150.0, 2: 210.0, 3: 270.0, 1: 330.0}
"""Electrical middle of each code's sector, degrees: three sensors, each on for the half turn from its place."""
WEAK = ("sensor_kind=unipolar", "sensor_threshold=20 mT", "sensor_field=60 mT")
"""On asin(20/60) = 19.47° late, off asin(14/60) = 13.49° early."""


@cache
def switched(threshold: float, field: float) -> np.ndarray:
    """Codes over a turn of three unipolar switches followed through two, in a sinusoidal field."""
    angle = (np.arange(2 * POINTS) + 0.5) * 2.0 * np.pi / POINTS
    code = np.zeros(POINTS, dtype=int)
    for number in range(3):
        state, on = False, []
        for value in field * np.sin(angle - number * 2.0 * np.pi / 3.0):
            state = value > threshold or (state and value > armature.RELEASE * threshold)
            on.append(state)
        code += np.array(on[POINTS:]) * (4 >> number)
    return code


def run(calculator: str, *words: str) -> dict:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", calculator, *words, "--json"]) == 0
    return json.loads(out.getvalue())


def said(data: dict, severity: str = "") -> str:
    return " ".join(f["text"] for f in data["findings"] if severity in ("", f["severity"]))


def of(cart: Sheet, *words: str) -> Sheet:
    return Sheet({**cart.entries, **parse_all(dict(w.split("=") for w in words), FIELDS)}, cart.document)


def check(s: Sheet, check_id: str) -> Judged:
    return next(j for j in judge(s).checks if j.check.id == check_id)


@pytest.mark.parametrize(("threshold", "field"), [(0.02, 0.06), (0.005, 0.15), (0.03, 0.06)])
@pytest.mark.parametrize("shift", [0.0, 0.4])
def test_torque_steps_and_lamps_against_switches_followed_round_the_turn(threshold, field, shift):
    """Three switches followed along the turn, each code drives its pair, torque summed; `shift` early by current."""
    code = switched(threshold, field)
    angle = (np.arange(POINTS) + 0.5) * 2.0 * np.pi / POINTS
    pulls = np.cos(angle - shift - np.radians(np.vectorize(MIDDLE.__getitem__)(code)))
    on = armature.edge_on_delay(threshold, field)
    off = armature.edge_off_delay("unipolar", threshold, field)
    late = [error - shift for error in edges.both_edges((0.0, 0.0, 0.0), on, off)]
    assert edges.mean_share(late) * 3.0 / np.pi == pytest.approx(pulls.mean(), abs=2e-4)
    assert edges.worst_share(late) * np.cos(np.pi / 6.0) == pytest.approx(pulls.min(), abs=5e-4)
    assert standing.edge_torque(1.0, 1.0, on - shift, off - shift) == pytest.approx(
        np.sqrt(2.0) * pulls.mean(), abs=3e-4
    )
    assert standing.edge_torque_worst(1.0, 1.0, on - shift, off - shift) == pytest.approx(
        np.sqrt(2.0) * pulls.min(), abs=7e-4
    )
    changes = np.flatnonzero(code != np.roll(code, 1))
    widths = np.diff(np.append(changes, changes[0] + POINTS)) * 2.0 * np.pi / POINTS
    places = [k * 2.0 * np.pi / 3.0 for k in range(3)]
    assert sorted(edges.step_widths(places, on, off)) == pytest.approx(sorted(widths), abs=5e-4)
    rows = sensors.pattern(48, 8, (0, 2, 4), on - off)
    start = int(np.argmin(np.abs(angle - on)))
    for row in rows:  # by the middle of each row, from where the first sensor goes on
        at = start + round((row["angle"] + row["width"] / 2.0) * POINTS / (2.0 * np.pi))
        lamps = row["sensor_1"] * 4 + row["sensor_2"] * 2 + row["sensor_3"]
        assert lamps == code[at % POINTS]
    assert sum(row["width"] for row in rows) == pytest.approx(2.0 * np.pi)


@pytest.mark.parametrize("ratio", [0.5, 0.58, 0.6, 0.9])
def test_on_for_a_third_of_the_turn_or_less_makes_no_six_codes(ratio):
    """asin x + asin 0.7·x reaches 60° at x = 0.592: from there on switches followed round show all lamps off."""
    whole = 0 not in switched(ratio, 1.0)
    on, off = armature.edge_on_delay(ratio, 1.0), armature.edge_off_delay("unipolar", ratio, 1.0)
    assert whole == (ratio < 0.592)
    assert bool(armature.sensors_work(1.0, ratio, 1.0, on, off)) == whole
    assert (armature.switching_fault(ratio, 1.0, on, off) == "") == whole
    assert (standing.edge_torque_worst(1.0, 1.0, on, off) > 0.0) == whole


def test_sensor_slots_tells_what_both_edges_cost():
    """By hand: (cos 19.47° + cos 13.49°)/2 = 0.9576; cos 49.47°/cos 30° = 0.7504; steps of 60° ∓ 32.96°."""
    results = run("sensor-slots", *WEAK)["results"]
    assert results["torque_share"]["value"] == pytest.approx(95.76, abs=0.01)
    assert results["worst_share"]["value"] == pytest.approx(75.04, abs=0.01)
    widths = [row["width"] for row in results["steps"]["value"]]
    assert sorted(widths) == pytest.approx([27.04] * 3 + [92.96] * 3, abs=0.01)
    assert [row["width"] for row in results["pattern"]["value"]] == pytest.approx(widths, abs=0.01)
    assert results["edge_on_delay"]["value"] == pytest.approx(19.47, abs=0.01)
    assert results["edge_off_delay"]["value"] == pytest.approx(-13.49, abs=0.01)


def test_current_pulls_both_edges():
    """65 µH · 110.3 A · 0.6 over √(2/3)·0.0955/8 Wb is 0.441, 26.2° early: edges at −6.7° and −39.7°."""
    machine = ("emf_constant=10 V/krpm", "line_inductance=130 uH", "sensed_share=60 %")
    data = run("sensor-slots", *machine, "phase_current_limit=100 A", *WEAK)
    row = next(r for r in data["results"]["current_shift"]["value"] if r["current"] == pytest.approx(100.0))
    assert (row["on"], row["off"]) == pytest.approx((-6.7, -39.66), abs=0.1)
    assert row["worst"] == pytest.approx(100.0 * np.cos(np.radians(69.66)) / np.cos(np.pi / 6.0), abs=0.2)


def test_start_and_verdict_count_the_edge_that_is_furthest_off(cart: Sheet):
    """Pulled 23.7° early the off edges are 37.2° early: 12.88 N·m · cos 67.2°/cos 30° = 5.76 N·m, under 6.96 needed."""
    weak = of(
        cart, "sensor_kind=unipolar", "sensor_threshold=20 mT, measured", "sensor_field=60 mT, measured"
    )
    v = Build.of([("sheet", weak.entries)]).nominal()
    off = np.arcsin(0.7 * 20 / 60) + np.arcsin(v["sensed_share"] * v["armature_ratio"])
    by_hand = v["torque_available_worst"] * np.cos(np.pi / 6.0 + off) / np.cos(np.pi / 6.0)
    assert by_hand == pytest.approx(5.76, abs=0.05)
    judged = check(weak, "start")
    assert judged.have == pytest.approx(by_hand, rel=1e-9)
    assert judged.severity == "stop"
    data = run("standing-start", *WEAK)
    assert data["results"]["torque_with_current"]["value"] == pytest.approx(float(by_hand), rel=1e-3)
    assert "off 13.5° early" in said(data, "stop")
    assert "narrowest 27° and the widest 93°" in check(weak, "sensors").text
    assert "each for 60°" in check(cart, "sensors").text


def test_sensors_that_miss_codes_stop_everywhere(cart: Sheet):
    words = ("sensor_kind=unipolar", "sensor_threshold=40 mT", "sensor_field=60 mT")
    for calculator in ("sensor-slots", "standing-start"):
        assert "a third of the turn or less" in said(run(calculator, *words), "stop")
    data = run("sensor-slots", *words)
    assert data["results"]["torque_share"]["value"] is None
    measured = of(cart, words[0], *(f"{word}, measured" for word in words[1:]))
    judged = check(measured, "sensors")
    assert judged.severity == "stop" and "a third of the turn or less" in judged.text
    assert check(measured, "start").severity == "stop"
