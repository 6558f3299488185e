"""Torque at speed: limits that physics sets, and behaviour over the whole range of the fields."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.drive import bracket, torque
from calc.drive.standing import stall_current, standing_torque

RANGES = {
    "motor_speed": st.floats(0.0, 3150.0),
    "emf_constant": st.floats(0.004, 0.6),
    "line_resistance": st.floats(0.001, 5.0),
    "line_inductance": st.floats(5e-6, 0.02),
    "pole_pairs": st.integers(1, 40),
    "supply_voltage": st.floats(0.0, 500.0),
    "phase_current_limit": st.floats(1.0, 2000.0),
    "bus_current_limit": st.floats(1.0, 1000.0),
    "alignment_error": st.floats(-np.pi, np.pi),
}
MACHINE = {
    "emf_constant": 0.095,
    "line_resistance": 0.04,
    "line_inductance": 200e-6,
    "pole_pairs": 8,
    "supply_voltage": 50.0,
    "phase_current_limit": 150.0,
    "bus_current_limit": 60.0,
    "alignment_error": 0.0,
}


@given(st.fixed_dictionaries(RANGES))
def test_finite_and_bounded_everywhere(inputs):
    """No NaN, no infinity, no numpy warning; never more than flat-top current at the limit could give."""
    value = torque.torque_at_speed(**inputs)
    assert np.isfinite(value)
    most = np.sqrt(2) * inputs["emf_constant"] * inputs["phase_current_limit"]
    assert abs(value) <= most * (1 + 1e-9)


@given(st.lists(st.fixed_dictionaries(RANGES), min_size=2, max_size=5))
def test_arrays_give_what_scalars_give(lanes):
    together = torque.torque_at_speed(**{key: np.array([lane[key] for lane in lanes]) for key in RANGES})
    apart = [float(torque.torque_at_speed(**lane)) for lane in lanes]
    assert together == pytest.approx(apart, rel=1e-9, abs=1e-9)


def test_a_sweep_over_draws_has_both_axes():
    speeds = np.linspace(0.0, 300.0, 7)[:, None]
    draws = {**MACHINE, "emf_constant": np.array([0.08, 0.095, 0.11])}
    assert np.shape(torque.torque_at_speed(speeds, **draws)) == (7, 3)


def test_at_standstill_it_is_the_standing_torque():
    expected = standing_torque(0.095, stall_current(0.04, 50.0, 150.0, 60.0), 0.2)
    assert torque.torque_at_speed(0.0, **{**MACHINE, "alignment_error": 0.2}) == pytest.approx(
        expected, rel=1e-3
    )


@given(st.floats(10.0, 450.0), st.floats(-0.5, 0.5))
def test_power_out_is_less_than_the_battery_gives(speed, error):
    value = torque.torque_at_speed(speed, **{**MACHINE, "alignment_error": error})
    assert value * speed <= 50.0 * 60.0 * (1 + 1e-9)


def test_battery_limit_balances_power():
    speed, resistance = 200.0, 0.04
    value = torque.torque_by_battery_limit(speed, 0.095, resistance, 50.0, 60.0, 0.3)
    current = value / standing_torque(0.095, 1.0, 0.3)
    assert value * speed + current**2 * resistance == pytest.approx(50.0 * 60.0)


def test_torque_falls_with_speed_and_inductance():
    speeds = np.linspace(0.0, 360.0, 40)
    curve = torque.torque_at_speed(speeds, **MACHINE)
    assert np.all(np.diff(curve) < 1e-9)
    assert np.all(torque.torque_at_speed(speeds[1:], **{**MACHINE, "line_inductance": 400e-6}) < curve[1:])


def test_early_beats_late_at_speed_and_equals_it_at_standstill():
    """Design note 6: 30° early and 30° late look alike at stall and differ by far at speed."""
    early, late = ({**MACHINE, "alignment_error": sign * np.pi / 6} for sign in (-1, 1))
    assert torque.torque_at_speed(0.0, **early) == pytest.approx(torque.torque_at_speed(0.0, **late))
    assert torque.torque_at_speed(250.0, **early) > 3 * torque.torque_at_speed(250.0, **late)


def test_no_load_speed():
    """Torque vanishes where 3/pi · U = E · (1/2 + 3√3/4π), E the peak line-line EMF (hand-worked)."""
    speed = torque.no_load_speed(0.095, 50.0)
    peak = np.sqrt(2) * 0.095 * speed
    assert 3 / np.pi * 50.0 == pytest.approx(peak * (0.5 + 3 * np.sqrt(3) / (4 * np.pi)))
    small = {**MACHINE, "line_inductance": 5e-6, "phase_current_limit": 1e5, "bus_current_limit": 1e5}
    assert abs(torque.torque_at_speed(speed, **small)) < 0.1


@given(st.floats(-3.0, 5.0), st.floats(0.5, 4.0))
def test_crossing_of_a_cubic(root, slope):
    found = bracket.crossing(lambda x: slope * (root - x) * (1 + (x - root) ** 2), 0.0, 2.0, 40)
    assert found == pytest.approx(min(max(root, 0.0), 2.0), abs=1e-6)


def test_crossing_lane_by_lane():
    roots = np.array([-1.0, 0.3, 1.7, 9.0])
    found = bracket.crossing(lambda x: roots - x, np.zeros(4), np.full(4, 2.0), 5)
    assert found == pytest.approx([0.0, 0.3, 1.7, 2.0])
