"""Standstill torque: published and hand-worked figures of six-step current on sinusoidal EMF."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.drive import standing

# (3/pi)·cos of the commutation error, per peak line-line EMF constant and ampere: worked by hand and, apart from this
# code, by averaging the torque over a turn.
MEAN = {0: 0.95493, 5: 0.95130, 10: 0.94042, 15: 0.92239, 20: 0.89734, 30: 0.82699, 45: 0.67524, 60: 0.47746,
        90: 0.0, 120: -0.47746}  # fmt: skip
# Lowest point of the torque over rotor position, from the same average.
LOWEST = {0: 0.86603, 10: 0.766, 20: 0.643, 30: 0.500, 45: 0.259, 60: 0.0}
AMPS = st.floats(0.0, 2000.0)
CONSTANTS = st.floats(0.005, 0.6)
ANGLES = st.floats(-7.0, 7.0)


@pytest.mark.parametrize(("error", "factor"), MEAN.items())
def test_mean_torque(error, factor):
    for signed in (error, -error, error + 360):
        assert standing.mean_factor(np.radians(signed)) == pytest.approx(factor, abs=5e-6)


@pytest.mark.parametrize(("error", "factor"), LOWEST.items())
def test_lowest_torque(error, factor):
    for signed in (error, -error, error - 360):
        assert standing.worst_factor(np.radians(signed)) == pytest.approx(factor, abs=5e-4)


@given(ANGLES)
def test_lowest_and_mean_are_those_of_the_sector(error):
    """Summed by brute force over the 60° for which one pair of leads is driven."""
    torque = np.cos(np.linspace(-np.pi / 6, np.pi / 6, 2001) - error)
    assert standing.worst_factor(error) == pytest.approx(torque.min(), abs=1e-6)
    assert standing.mean_factor(error) == pytest.approx(np.trapezoid(torque, dx=1 / 2000), abs=1e-6)


def test_torque_constant_of_a_measured_machine():
    """Sarafianos and others 2015, at second hand: .0796 V·s/rad at 2 A of field."""
    constant = standing.torque_constant(0.0796)
    assert constant / (np.sqrt(2) * 0.0796) == pytest.approx(0.95493, abs=5e-6)
    # Worked by hand: at equal copper loss six-step gives 3/pi of the torque of sine current.
    # Sine: .138 N·m per A rms and line, copper 3·I²·R/2; six-step: I²·R between two leads.
    sine_amps = np.sqrt(2 / 3)
    assert constant / (0.138 * sine_amps) == pytest.approx(3 / np.pi, rel=2e-3)


@given(st.floats(0.0, 500.0), CONSTANTS, ANGLES)
def test_current_needed_gives_the_torque(torque, constant, error):
    current = standing.current_needed(torque, constant, error)
    assert 0.0 <= current <= standing.NO_CURRENT_WILL_DO
    if current < standing.NO_CURRENT_WILL_DO:
        assert standing.standing_torque_worst(constant, current, error) == pytest.approx(
            torque, rel=1e-9, abs=1e-9
        )
    else:
        assert standing.standing_torque_worst(constant, current, error) <= torque * (1 + 1e-9)


def test_no_current_starts_it_with_sensors_sixty_degrees_out():
    assert standing.current_needed(1.0, 0.1, np.radians(60.1)) == standing.NO_CURRENT_WILL_DO
    assert standing.current_needed(0.0, 0.1, np.radians(90.0)) == 0.0
    assert standing.current_needed(-5.0, 0.1, 0.0) == 0.0


def test_stall_current_is_the_least_of_three():
    assert standing.stall_current(0.04, 48.0, 150.0, 100.0) == pytest.approx(150.0)
    # 48 V over 0.6 ohm.
    assert standing.stall_current(0.6, 48.0, 150.0, 1000.0) == pytest.approx(80.0)
    # 48 V · 10 A = 480 W of copper loss in 0.04 ohm: 109.5 A.
    assert standing.stall_current(0.04, 48.0, 150.0, 10.0) == pytest.approx(np.sqrt(480 / 0.04))


@given(AMPS, AMPS, st.floats(0.0, 5.0), st.floats(0.0, 500.0))
def test_stall_current_is_finite(phase, battery, resistance, supply):
    current = standing.stall_current(resistance, supply, phase, battery)
    assert np.isfinite(current) and 0.0 <= current <= phase


@given(st.lists(ANGLES, min_size=2, max_size=6), CONSTANTS)
def test_arrays_give_what_scalars_give(errors, constant):
    lanes = np.array(errors)
    for function in (standing.standing_torque, standing.standing_torque_worst):
        assert function(constant, 100.0, lanes) == pytest.approx(
            [function(constant, 100.0, e) for e in errors]
        )
    needed = standing.current_needed(10.0, constant, lanes)
    assert needed == pytest.approx([standing.current_needed(10.0, constant, e) for e in errors])
