"""What moves the sensors' edges: the current, the threshold, a place off by millimetres, the slot's own current."""

from __future__ import annotations

import contextlib
import io
import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import cli
from calc.machine import armature, edges

LATE = st.floats(-0.5, 0.5)


def test_the_share_of_a_published_machine():
    """Rivas, Perreault and Keim (2004), star: 120 µH, 10.716 V a phase at 180 Hz, 6 pole pairs, 18.56 V line to line.

    λ = √2·10.716/(2π·180) = 13.40 mWb; at 100 A six-step 120 µH · 110.27 A = 13.23 mWb.
    """
    per_radian = 18.56 / (2.0 * np.pi * 30.0)
    share = armature.armature_ratio(per_radian, 240e-6, 6, 100.0)
    assert share == pytest.approx(
        120e-6 * 110.266 / (np.sqrt(2.0) * 10.716 / (2.0 * np.pi * 180.0)), rel=1e-3
    )
    assert share == pytest.approx(0.987, abs=0.002)
    assert armature.armature_share(share, 0.6) == pytest.approx(0.6 * share)


@given(st.floats(0.0, 0.99))
def test_current_square_to_the_sum_of_both_fields(share):
    """Found by turning the current until it stands square to the sum, not by the triangle."""
    low, high = 0.0, np.pi / 2.0
    for _ in range(60):
        angle = (low + high) / 2.0
        total = 1.0 + share * np.exp(
            1j * (angle + np.pi / 2.0)
        )  # rotor along 0, current a quarter turn from `angle`
        low, high = (angle, high) if np.angle(total) > angle else (low, angle)
    assert armature.armature_shift(share) == pytest.approx(low, abs=1e-6)
    assert armature.armature_shift(share) >= 0.0


def test_beyond_the_rotors_own_field_nothing_is_left():
    assert np.degrees(armature.armature_shift(np.array([1.0, 3.0]))) == pytest.approx([90.0, 90.0])
    assert armature.stall_alignment(0.2, 0.05, 0.1) == pytest.approx(0.15)


@pytest.mark.parametrize("kind", ["latching", "unipolar"])
@pytest.mark.parametrize(("threshold", "field"), [(0.002, 0.15), (0.015, 0.06), (0.05, 0.06)])
def test_edges_of_a_sensor_in_a_sinusoidal_field(kind, threshold, field):
    """A switch followed through two turns; its duty and both edges against the formulas."""
    angle = np.linspace(0.0, 4.0 * np.pi, 400_001)
    wave = field * np.sin(angle)  # should be on from 0 to 180°
    release = -threshold if kind == "latching" else armature.RELEASE * threshold
    on, state = [], False
    for value in wave:
        state = value > threshold or (state and value > release)
        on.append(state)
    turn = np.array(on)[200_000:-1]
    first = angle[int(np.argmax(turn))]
    off = angle[int(np.argmax(turn)) + int(turn[int(np.argmax(turn)) :].argmin())] - np.pi
    late_on = armature.edge_on_delay(threshold, field)
    late_off = armature.edge_off_delay(kind, threshold, field)
    assert first == pytest.approx(late_on, abs=1e-4)
    assert off == pytest.approx(late_off, abs=1e-4)
    assert turn.mean() == pytest.approx(armature.lamp_duty(late_on, late_off), abs=1e-4)


def test_a_millimetre_of_bore():
    """Arithmetic: on a bore of 92 mm a millimetre is 360/(π·92) = 1.246° of shaft, 9.97° with 8 pole pairs."""
    assert np.degrees(edges.bore_angle(0.001, 0.092, 8)) == pytest.approx(
        8 * 360.0 / (np.pi * 92.0), rel=1e-9
    )


@pytest.mark.parametrize(
    ("error", "mean", "lowest"),
    [(10, 0.94042, 0.766), (20, 0.89734, 0.643), (30, 0.82699, 0.500), (60, 0.47746, 0.0)],
)
def test_shares_of_a_set_off_alike(error, mean, lowest):
    """Six-step torque with commutation error, by closed form: reference values, section 3."""
    late = [np.radians(error)] * 3
    assert edges.mean_share(late) * 3.0 / np.pi == pytest.approx(mean, rel=3e-5)
    assert edges.worst_share(late) * np.cos(np.pi / 6.0) == pytest.approx(lowest, abs=2e-3)


@given(st.tuples(LATE, LATE, LATE))
def test_uneven_sensors_against_torque_along_the_turn(late):
    """Each sensor's code followed round the turn, the pair that suits it driven, torque summed."""
    angle = (np.arange(36_000) + 0.5) * 2.0 * np.pi / 36_000
    on = [np.mod(angle - k * 2.0 * np.pi / 3.0 - e, 2.0 * np.pi) < np.pi for k, e in enumerate(late)]
    code = on[0] * 4 + on[1] * 2 + on[2] * 1
    middle = {5: 30.0, 4: 90.0, 6: 150.0, 2: 210.0, 3: 270.0, 1: 330.0}
    pulls = np.cos(angle - np.radians(np.vectorize(middle.__getitem__)(code)))
    best = np.cos(np.pi / 6.0)
    assert edges.mean_share(late) * 3.0 / np.pi == pytest.approx(pulls.mean(), abs=1e-3)
    assert edges.worst_share(late) * best == pytest.approx(pulls.min(), abs=1e-3)
    places = [k * 2.0 * np.pi / 3.0 + e for k, e in enumerate(late)]
    widths = edges.step_widths(places)
    changed = np.flatnonzero(code != np.roll(code, 1))
    assert len(widths) == len(changed) == 6
    measured = np.diff(np.append(changed, changed[0] + 36_000)) * 2.0 * np.pi / 36_000
    assert sorted(widths) == pytest.approx(sorted(measured), abs=1e-3)


def test_field_of_a_loaded_slot_by_the_field_of_a_long_gap():
    """Ampère's law by hand: 4 turns of 66.7 A across 3.2 mm, 0.105 T; two coil sides twice that."""
    current = edges.coil_current(100.0, "delta")
    assert edges.slot_leakage(1, 4, current, 0.0032) == pytest.approx(0.1047, abs=2e-4)
    assert edges.slot_leakage(2, 4, current, 0.0032) == pytest.approx(0.2094, abs=4e-4)
    assert edges.coil_current(100.0, "star") == 100.0


def run(*words: str) -> dict:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", "sensor-slots", *words, "--json"]) == 0
    return json.loads(out.getvalue())


def said(data: dict) -> str:
    return " ".join(finding["text"] for finding in data["findings"])


def test_another_machine_gets_no_shift_from_the_demos_values():
    data = run("pole_pairs=7", "slots=42", "connection=delta")
    assert data["results"]["current_shift"]["value"] is None
    assert "isn't told" in said(data)
    assert data["results"]["leakage_field"]["value"] is None


def test_shift_from_entered_values():
    """L/2·1.103·I·0.6/λ by hand: 65 µH · 110.3 A · 0.6 over √(2/3)·0.0955/8 Wb is 0.441: 26.2°."""
    data = run(
        "emf_constant=10 V/krpm", "line_inductance=130 uH", "sensed_share=60 %", "phase_current_limit=100 A"
    )
    assert data["results"]["armature_shift"]["value"] == pytest.approx(26.2, abs=0.1)
    rows = data["results"]["current_shift"]["value"]
    assert [row["current"] for row in rows] == pytest.approx([25, 50, 75, 100, 125, 150])
    assert [row["shift"] for row in rows] == sorted(row["shift"] for row in rows)


def test_far_too_much_current_is_a_stop():
    data = run(
        "emf_constant=3 V/krpm",
        "line_inductance=300 uH",
        "phase_current_limit=300 A",
        "battery_current_limit=300 A",
    )
    assert any(f["severity"] == "stop" and "reaches the rotor's" in f["text"] for f in data["findings"])


def test_places_within_the_slots():
    data = run(
        "slots=48", "pole_pairs=8", "layers=1", "bore_diameter=92 mm", "sensor_offsets=0 mm; 1 mm; 0 mm"
    )
    widths = [row["width"] for row in data["results"]["steps"]["value"]]
    assert sorted(widths) == pytest.approx([50.04, 50.04, 60, 60, 69.96, 69.96], abs=0.01)
    assert sum(widths) == pytest.approx(360.0)
    assert data["results"]["edges"]["value"][1]["move"] == pytest.approx(-1.0)
    # 9.97° of place and asin(5/150) = 1.91° of threshold: cos(41.88°)/cos 30°
    assert data["results"]["worst_share"]["value"] == pytest.approx(85.98, abs=0.02)
    two = run("slots=48", "pole_pairs=8", "bore_diameter=92 mm", "sensor_offsets=0 mm; 1 mm")
    assert "Only 2 of three places" in said(two)
    lost = run("slots=48", "pole_pairs=8", "layers=1", "sensor_offsets=0 mm; 1 mm; 0 mm")
    assert "the bore was not" in said(lost)


@pytest.mark.parametrize(
    ("kind", "words"), [("latching", "every edge 30° late"), ("unipolar", "on 30° late, off 20.5° early")]
)
def test_the_kind_of_sensor_is_told(kind, words):
    data = run(f"sensor_kind={kind}", "sensor_threshold=50 mT", "sensor_field=100 mT")
    assert words in said(data)
    assert (data["results"]["lamp_duty"]["value"] < 50.0) == (kind == "unipolar")


def test_a_threshold_that_is_never_passed_is_a_stop():
    data = run("sensor_threshold=100 mT", "sensor_field=60 mT")
    assert any(f["severity"] == "stop" and "never passes" in f["text"] for f in data["findings"])
