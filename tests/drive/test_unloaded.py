"""How fast early and late sensors let the machine run by itself, against the solution in time."""

from __future__ import annotations

import numpy as np
import pytest

from calc.drive.unloaded import early_and_late, unloaded_speed, unloaded_torque
from tests.drive.sixstep_in_time import Cases, steady

KE = 11.0 / (1000 * 2 * np.pi / 60)
RESISTANCE, INDUCTANCE, SUPPLY, POLE_PAIRS, FRICTION = 0.043, 130e-6, 51.0, 8, 0.35


def in_time(speed, degrees):
    """Mean torque of the solution in time, N·m, by lane."""
    one = np.ones_like(speed)
    power, _, miss = steady(
        Cases(
            np.sqrt(2 / 3) * KE * speed,
            RESISTANCE / 2 * one,
            POLE_PAIRS * speed * INDUCTANCE / 2,
            SUPPLY * one,
            np.radians(degrees) * one,
            np.inf * one,
        )
    )
    assert miss.max() < 0.5
    return power / speed


@pytest.mark.parametrize(("degrees", "near"), [(-30, 0.07), (0, 0.02), (30, 0.03)])
def test_speed_by_itself_against_the_solution_in_time(degrees, near):
    speed = np.linspace(250.0, 480.0, 47)
    torque = in_time(speed, degrees)
    past = int(np.argmax(torque < FRICTION))
    true = np.interp(FRICTION, torque[[past, past - 1]], speed[[past, past - 1]])
    found = unloaded_speed(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, SUPPLY, FRICTION, np.radians(degrees))
    assert found == pytest.approx(true, rel=near)


def test_equal_at_stall_but_early_is_far_better_at_speed():
    """Reference values section 3: at stall two arrangements look alike, the early one has the higher no-load speed."""

    def torque(rpm, degrees):
        speed = rpm * 2 * np.pi / 60
        return unloaded_torque(speed, KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, SUPPLY, np.radians(degrees))

    assert torque(1, -30) == pytest.approx(torque(1, 30), rel=0.01)
    assert torque(2500, -30) > 5 * torque(2500, 30)
    early, late = early_and_late(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, SUPPLY, FRICTION)
    assert early > 1.2 * late


def test_scalars_and_arrays_agree_and_friction_beyond_its_strength_stops_it():
    both = early_and_late(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, np.array([24.0, 51.0]), FRICTION)
    assert both.shape == (2, 2)
    assert both[0, 1] == pytest.approx(
        float(unloaded_speed(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, SUPPLY, FRICTION, -np.pi / 6))
    )
    lanes = unloaded_speed(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, np.array([24.0, 51.0]), FRICTION, -0.5)
    assert lanes[1] == pytest.approx(
        float(unloaded_speed(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, 51.0, FRICTION, -0.5))
    )
    weak = unloaded_speed(KE, RESISTANCE, INDUCTANCE, POLE_PAIRS, SUPPLY, 1e6, 0.0)
    assert weak < 5.0
