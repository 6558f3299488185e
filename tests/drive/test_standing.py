"""Standstill torque: published and hand-worked figures of six-step current on sinusoidal EMF."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.drive import standing
from calc.drive.inverter import steady_state
from calc.machine import armature, leads
from calc.machine.armature import FUNDAMENTAL

# (3/pi)·cos of the commutation error, per peak line-line EMF constant and ampere: worked by hand and, apart from this
# code, by averaging the torque over a turn.
MEAN = {0: 0.95493, 5: 0.95130, 10: 0.94042, 15: 0.92239, 20: 0.89734, 30: 0.82699, 45: 0.67524, 60: 0.47746,
        90: 0.0, 120: -0.47746}  # fmt: skip
# Lowest point of the torque over rotor position, from the same average.
LOWEST = {0: 0.86603, 10: 0.766, 20: 0.643, 30: 0.500, 45: 0.259, 60: 0.0}
# The same by commutation error, made with numpy before this code; its first lines say how.
TABLE = Path(__file__).with_name("sixstep_sine_emf.csv").read_text(encoding="utf-8").splitlines()
BY_ANGLE = [{key: float(value) for key, value in row.items()} for row in csv.DictReader(TABLE[2:])]
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


@pytest.mark.parametrize("row", BY_ANGLE, ids=lambda row: f"{row['commutation_error_elec_deg']:g}")
def test_torque_over_a_turn(row):
    """Mean, lowest and highest over the rotor's positions; the table's are sampled, a few thousand to a turn."""
    error = np.radians(row["commutation_error_elec_deg"])
    assert standing.mean_factor(error) == pytest.approx(row["mean_numeric"], abs=1e-5)
    assert standing.worst_factor(error) == pytest.approx(row["minimum"], abs=2e-4)
    places = leads.edges((error,) * 3, "120")
    right = leads.torque_of(places, leads.table_of("120"), (0, 1, 2), (0, 1, 2))
    assert (right.mean, right.least, right.most) == pytest.approx(
        (row["mean_numeric"], row["minimum"], row["maximum"]), abs=2e-4
    )


def test_ripple():
    """Reference figures: peak to peak 14.03 % of the mean and 13.40 % of the highest (closed form, recomputed)."""
    spread = 1.0 - standing.worst_factor(0.0)
    assert spread / standing.mean_factor(0.0) == pytest.approx(0.1403, rel=1e-3)
    assert spread == pytest.approx(0.1340, rel=1e-3)


@pytest.mark.parametrize("row", BY_ANGLE[:-2], ids=lambda row: f"{row['commutation_error_elec_deg']:g}")
def test_drive_in_time_so_slow_that_it_stands(row):
    """A lead's current is 0.81650 of the flat top, rms, and torque the table's, as long as the change from one lead to
    the next takes no time: 2 parts in 10,000 of it here.
    """
    error = np.radians(row["commutation_error_elec_deg"])
    found = steady_state(1e-3, 0.1, 0.04, 1e-4, 8, 48.0, 0.0, 100.0, 1e9, error)
    assert found.line_current / 100.0 == pytest.approx(0.81650, abs=2e-4)
    assert found.torque / (np.sqrt(2) * 0.1 * 100.0) == pytest.approx(row["mean_numeric"], abs=3e-4)
    assert found.copper_loss == pytest.approx(0.04 * 100.0**2, rel=3e-4)


def test_fundamental_of_a_six_step_current():
    """Reference figures, per ampere of flat top: 1.10266 peak, 0.77970 rms; here by summing the steps."""
    angle = (np.arange(36000) + 0.5) * 2 * np.pi / 36000
    current = np.where(np.abs(np.cos(angle)) > 0.5, np.sign(np.cos(angle)), 0.0)
    summed = 2 * np.mean(current * np.cos(angle))
    assert summed == pytest.approx(FUNDAMENTAL, abs=1e-6)
    assert summed == pytest.approx(1.10266, abs=1e-5)
    assert summed / np.sqrt(2) == pytest.approx(0.77970, abs=1e-5)


@pytest.mark.parametrize(
    ("emf_constant", "sine"),
    [(0.13925 / np.sqrt(2), 0.17055), (0.0465, 0.0805), (0.0796, 0.138), (0.1070, 0.185)],
)
def test_only_the_fundamental_works(emf_constant, sine):
    """N·m per A rms of a sine, from six-step's torque over the rms of its fundamental. Rivas, Perreault and Keim 2004
    (6 pole pairs, star), then Sarafianos and others 2015 at 1, 2 and 5 A of field: both at second hand.
    """
    found = standing.torque_constant(emf_constant) / (FUNDAMENTAL / np.sqrt(2))
    assert found == pytest.approx(sine, rel=3e-3)


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


def test_the_current_that_starts_most_pulls_the_sensors_thirty_degrees() -> None:
    """I·cos(30° + δ), sin δ = s·I: its slope is nothing where cos(30° + 2δ) is, at a share of one half."""
    constant, inductance, pairs, seen = 0.1, 400e-6, 8, 0.6
    for latest, amps in ((0.0, 0.5), (0.0, 2.0)):
        share = float(armature.armature_ratio(constant, inductance, pairs, 1.0)) * seen
        whole = amps / share
        best = float(standing.start_current(whole, constant, inductance, pairs, seen, latest, 0.0, 0.0))
        assert best * share == pytest.approx(0.5, abs=amps / 32.0)
    assert best < 0.3 * whole
    bent = np.arcsin(np.linspace(0.01, 1.0, 400))
    torque = standing.edge_torque_worst(constant, np.sin(bent) / share, -bent, -bent)
    told = standing.edge_torque_worst(constant, best, -np.arcsin(best * share), -np.arcsin(best * share))
    assert told == pytest.approx(float(torque.max()), rel=0.01)


@given(st.floats(0.5, 3.0), st.floats(-0.4, 0.4), st.floats(0.0, 0.4))
def test_less_current_is_named_only_where_it_starts_more(most: float, late: float, delay: float) -> None:
    constant, pairs, seen, amps = 0.1, 8, 0.6, 100.0
    inductance = most / float(armature.armature_ratio(constant, 1.0, pairs, amps)) / seen
    best = float(standing.start_current(amps, constant, inductance, pairs, seen, late, delay, -delay))

    def worst(current: float) -> float:
        shift = np.arcsin(min(most * current / amps, 1.0))
        errors = (late + delay - shift, late - delay - shift)
        return float(standing.edge_torque_worst(constant, current, *errors))

    assert 0.0 < best <= amps and worst(best) >= worst(amps) - 1e-12
    if best < amps:
        assert worst(best) > 0.0


def test_sensors_that_never_pull_keep_all_of_the_current() -> None:
    assert standing.start_current(80.0, 0.1, 1e-4, 8, 0.6, np.pi, 0.0, 0.0) == 80.0
    many = standing.start_current(np.full(5, 80.0), 0.1, 1e-6, 8, 0.6, 0.0, 0.0, 0.0)
    assert np.array_equal(many, np.full(5, 80.0))
