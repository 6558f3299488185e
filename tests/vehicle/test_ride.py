"""Ride and top speed: hand-worked power, balances, and the whole range of the fields."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.drive.correction import Correction
from calc.drive.torque import no_load_speed, torque_at_speed
from calc.vehicle import gearing, ride, road

CART = {
    "total_mass": 180.0,
    "slope": 0.0,
    "rolling_coefficient": 0.015,
    "drag_area": 0.7,
    "gear_ratio": 6.0,
    "wheel_diameter": 0.5,
    "drive_efficiency": 0.95,
    "friction_torque": 0.3,
    "iron_share": 0.5,
    "emf_constant": 0.1,
    "line_resistance": 0.04,
    "line_inductance": 200e-6,
    "pole_pairs": 8,
    "supply_voltage": 50.0,
    "phase_current_limit": 150.0,
    "bus_current_limit": 60.0,
    "alignment_error": 0.0,
}
NONE = Correction(np.array([0.0, 1.0]), np.zeros(2))
RANGES = {
    "total_mass": st.floats(10.0, 3000.0),
    "slope": st.floats(-0.4, 0.4),
    "rolling_coefficient": st.floats(0.001, 0.5),
    "drag_area": st.floats(0.05, 5.0),
    "gear_ratio": st.floats(0.2, 100.0),
    "wheel_diameter": st.floats(0.05, 1.5),
    "drive_efficiency": st.floats(0.3, 1.0),
    "friction_torque": st.floats(0.01, 5.0),
    "iron_share": st.floats(0.0, 0.95),
    "emf_constant": st.floats(0.004, 0.6),
    "line_resistance": st.floats(0.001, 5.0),
    "line_inductance": st.floats(5e-6, 0.02),
    "pole_pairs": st.integers(1, 40),
    "supply_voltage": st.floats(0.0, 500.0),
    "phase_current_limit": st.floats(1.0, 2000.0),
    "bus_current_limit": st.floats(1.0, 1000.0),
    "alignment_error": st.floats(-np.pi, np.pi),
}


def test_power_up_a_slope_by_hand():
    """The 187.836 N at 25 km/h of test_road, carried back to the pack by hand.

    187.836 N · 0.25 m / (6 · 0.95) = 8.2384 N·m, and 0.3 of friction: 8.5384 N·m. At 6.9444/0.25 · 6 = 166.67 rad/s
    that is 1423.07 W. K = 3/pi · 1.41421 · 0.1 = 0.135047 N·m/A: 63.226 A, 159.90 W in 0.04 ohm.
    (1423.07 + 159.90)/0.95 + 30 + 8 = 1704.28 W.
    """
    torque = ride.machine_torque(187.836, 6.0, 0.5, 0.95, 0.3)
    assert torque == pytest.approx(8.5384, abs=5e-5)
    assert ride.line_current(torque, 0.1, 0.0) == pytest.approx(63.226, abs=2e-3)
    power = ride.electrical_power(torque, 166.6667, 0.1, 0.04, 0.95, 30.0, 8.0, 0.0)
    assert power == pytest.approx(1704.28, abs=0.05)


def test_a_descent_still_costs_field_and_electronics():
    torque = ride.machine_torque(-500.0, 6.0, 0.5, 0.95, 0.3)
    assert torque == 0.0
    assert ride.electrical_power(torque, 100.0, 0.1, 0.04, 0.95, 30.0, 8.0, 0.0) == pytest.approx(38.0)


def test_a_gentle_descent_helps_against_friction():
    level = ride.machine_torque(0.0, 6.0, 0.5, 0.95, 0.3)
    assert level == pytest.approx(0.3)
    assert 0.0 < ride.machine_torque(-2.0, 6.0, 0.5, 0.95, 0.3) < level


def test_sensors_out_of_place_cost_copper():
    current = ride.line_current(10.0, 0.1, np.radians(30.0)) / ride.line_current(10.0, 0.1, 0.0)
    assert current == pytest.approx(1 / np.cos(np.radians(30.0)))


def test_time_range_and_shares():
    """Hand-worked: 4 kWh at 500 W is 8 h; at 3 m/s 86.4 km and 166.7 J/m; a field of 50 W takes a tenth."""
    seconds = ride.run_time(4 * 3.6e6, 500.0)
    assert seconds == pytest.approx(8 * 3600.0)
    assert ride.ride_range(seconds, 3.0) == pytest.approx(86_400.0)
    assert ride.energy_per_distance(500.0, 3.0) == pytest.approx(166.667, abs=1e-3)
    assert ride.field_share(50.0, 500.0) == pytest.approx(0.1)
    assert np.isfinite(ride.energy_per_distance(500.0, 0.0)) and np.isfinite(ride.run_time(1e6, 0.0))


def test_at_top_speed_torque_holds_the_load():
    """Bound from physics, not from the search: surplus below, none a little above."""
    for slope in (0.0, 0.05):
        inputs = {**CART, "slope": slope}
        top = ride.top_speed(**inputs, correction=NONE)

        def surplus(speed, inputs=inputs):
            machine = {key: inputs[key] for key in list(inputs)[9:]}
            motor = gearing.motor_speed_at(speed, inputs["gear_ratio"], inputs["wheel_diameter"])
            n = motor * 30 / np.pi / 1000  # half of 0.3 N·m is the iron's: 0.5 + 0.5·n; the rest 0.9 + 0.1·n²
            drag = 0.15 * (0.5 + 0.5 * n) + 0.15 * (0.9 + 0.1 * n * n)
            driven = gearing.wheel_force(torque_at_speed(motor, **machine) - drag, 6.0, 0.5, 0.95)
            return driven - road.road_load(180.0, inputs["slope"], 0.015, 0.7, speed)

        assert surplus(0.998 * top) > 0 > surplus(1.002 * top)
    assert ride.top_speed(**{**CART, "slope": 0.05}, correction=NONE) < ride.top_speed(
        **CART, correction=NONE
    )


def test_top_speed_stays_under_no_load_speed():
    fastest = gearing.road_speed(no_load_speed(0.1, 50.0), 6.0, 0.5)
    assert 0.4 * fastest < ride.top_speed(**CART, correction=NONE) < fastest


def test_zero_when_it_cannot_move():
    assert ride.top_speed(**{**CART, "slope": 0.4, "total_mass": 1000.0}, correction=NONE) == 0.0
    assert ride.top_speed(**{**CART, "alignment_error": np.radians(120.0)}, correction=NONE) == 0.0


@given(st.fixed_dictionaries(RANGES))
def test_top_speed_is_finite(inputs):
    top = ride.top_speed(**inputs, correction=NONE)
    assert np.isfinite(top) and top >= 0.0


@given(st.lists(st.fixed_dictionaries(RANGES), min_size=2, max_size=4))
def test_arrays_give_what_scalars_give(lanes):
    together = ride.top_speed(
        **{key: np.array([lane[key] for lane in lanes]) for key in RANGES}, correction=NONE
    )
    assert together == pytest.approx(
        [float(ride.top_speed(**lane, correction=NONE)) for lane in lanes], rel=1e-9, abs=1e-9
    )


@given(st.floats(-3000.0, 3000.0), st.floats(0.0, 500.0), st.floats(0.004, 0.6), st.floats(-np.pi, np.pi))
def test_power_is_finite_and_never_negative(force, speed, constant, error):
    torque = ride.machine_torque(force, 6.0, 0.5, 0.95, 0.3)
    assert torque >= 0.0
    power = ride.electrical_power(torque, speed, constant, 0.04, 0.95, 30.0, 8.0, error)
    assert np.isfinite(power) and power >= 38.0 * (1 - 1e-12)
