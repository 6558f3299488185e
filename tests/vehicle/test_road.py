"""Road load against figures worked out from the textbook forces by a separate script."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.vehicle import road

# 180 kg, .015, CdA .7 m², 25 km/h, 8 %: 26.394 + 140.766 + 20.677 = 187.836 N, 1304.4 W.
LIGHT = {
    "total_mass": 180.0,
    "slope": 0.08,
    "rolling_coefficient": 0.015,
    "drag_area": 0.7,
    "road_speed": 25 / 3.6,
}
RANGES = {
    "total_mass": st.floats(10.0, 3000.0),
    "slope": st.floats(-0.4, 0.4),
    "rolling_coefficient": st.floats(0.001, 0.5),
    "drag_area": st.floats(0.05, 5.0),
    "road_speed": st.floats(0.0, 56.0),
}


def test_light_vehicle():
    assert road.rolling_force(180.0, 0.08, 0.015) == pytest.approx(26.394, abs=5e-4)
    assert road.grade_force(180.0, 0.08) == pytest.approx(140.766, abs=5e-4)
    assert road.drag_force(0.7, 25 / 3.6) == pytest.approx(20.677, abs=5e-4)
    assert road.road_load(**LIGHT) == pytest.approx(187.836, abs=1e-3)
    assert road.road_load(**LIGHT) * 25 / 3.6 == pytest.approx(1304.4, abs=0.05)


def test_constants():
    """Standard gravity (BIPM); air at sea level 1.2250 kg/m³ (two atmosphere libraries agree)."""
    assert road.GRAVITY == 9.80665
    assert pytest.approx(1.2250, abs=5e-5) == road.AIR_DENSITY


def test_weight_and_forces_make_a_right_triangle():
    """On any slope the weight is the hypotenuse of what pulls along the road and what presses on it."""
    along, pressing = road.grade_force(100.0, 0.3), road.rolling_force(100.0, 0.3, 1.0)
    assert np.hypot(along, pressing) == pytest.approx(100.0 * road.GRAVITY)
    assert along / pressing == pytest.approx(0.3)


def test_total_mass():
    assert road.total_mass(110.0, 75.0, 80.0) == 265.0


@given(st.fixed_dictionaries(RANGES))
def test_finite(inputs):
    assert np.isfinite(road.road_load(**inputs))


@given(st.lists(st.fixed_dictionaries(RANGES), min_size=2, max_size=4))
def test_arrays_give_what_scalars_give(lanes):
    together = road.road_load(**{key: np.array([lane[key] for lane in lanes]) for key in RANGES})
    assert together == pytest.approx([road.road_load(**lane) for lane in lanes])
