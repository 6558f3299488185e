"""Gearing: a speed worked by hand, and what is inverse to what."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.vehicle import gearing, road

RATIOS, WHEELS, SHARES = st.floats(0.2, 100.0), st.floats(0.05, 1.5), st.floats(0.3, 1.0)


def test_speed_by_hand():
    """3000 rpm, 11/60 teeth, 2.00 m for each wheel turn: 3000 · 11/60 · 2 · 60 = 66,000 m an hour."""
    ratio = gearing.gear_ratio(11, 60)
    speed = gearing.road_speed(3000 * 2 * np.pi / 60, ratio, 2.00 / np.pi)
    assert speed * 3.6 == pytest.approx(66.0, abs=1e-9)


@given(st.floats(0.0, 100.0), RATIOS, WHEELS)
def test_motor_speed_is_the_inverse(speed, ratio, wheel):
    assert gearing.road_speed(gearing.motor_speed_at(speed, ratio, wheel), ratio, wheel) == pytest.approx(
        speed
    )


@given(st.floats(0.0, 1e4), RATIOS, WHEELS, SHARES)
def test_torque_needed_is_the_inverse_of_wheel_force(force, ratio, wheel, share):
    torque = gearing.torque_needed(force, ratio, wheel, share)
    assert gearing.wheel_force(torque, ratio, wheel, share) == pytest.approx(force)


@given(st.floats(0.0, 300.0), st.floats(0.0, 500.0), RATIOS, WHEELS, SHARES)
def test_power_is_lost_only_in_the_drive(torque, speed, ratio, wheel, share):
    out = gearing.wheel_force(torque, ratio, wheel, share) * gearing.road_speed(speed, ratio, wheel)
    assert out == pytest.approx(torque * speed * share, rel=1e-9, abs=1e-9)


def test_a_descent_needs_no_torque():
    assert gearing.torque_needed(-50.0, 6.0, 0.5, 0.95) == 0.0


@given(st.floats(-0.4, 0.9), st.floats(10.0, 3000.0), st.floats(0.001, 0.5))
def test_slope_limit_is_the_slope_whose_load_the_force_is(slope, mass, coefficient):
    force = road.road_load(mass, slope, coefficient, 0.0, 0.0)
    assert gearing.slope_limit(force, mass, coefficient) == pytest.approx(slope, abs=1e-9)


def test_slope_limit_at_its_ends():
    # No force: it rolls down a slope of the rolling coefficient, and no gentler one.
    assert gearing.slope_limit(0.0, 200.0, 0.02) == pytest.approx(-0.02)
    # More than the weight: "45° or more".
    assert gearing.slope_limit(1e6, 200.0, 0.02) == pytest.approx(1.0)
    assert gearing.slope_limit(-1e6, 200.0, 0.02) == pytest.approx(-1.0)


def test_arrays_give_what_scalars_give():
    force, mass = np.array([10.0, 300.0, 9000.0]), np.array([80.0, 200.0, 150.0])
    expected = [gearing.slope_limit(f, m, 0.02) for f, m in zip(force, mass, strict=True)]
    assert gearing.slope_limit(force, mass, 0.02) == pytest.approx(expected)
