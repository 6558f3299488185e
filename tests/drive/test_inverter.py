"""The steady state in time: balances, limit cases and bad input. Against a general solver: test_solved.py."""

from __future__ import annotations

import json

import numpy as np
import pytest

from calc.drive import repeat, sector
from calc.drive.correction import corrected_torque, correction, kept, newest, remember
from calc.drive.inverter import steady_state
from calc.drive.standing import stall_current, torque_constant
from calc.drive.torque import torque_at_speed
from calc.errors import NoSolution

MACHINE = {
    "emf_constant": 0.0895,
    "line_resistance": 0.03,
    "line_inductance": 200e-6,
    "pole_pairs": 8,
    "open_voltage": 48.0,
    "source_resistance": 0.0,
    "phase_current_limit": 1e6,
    "bus_current_limit": 1e6,
    "alignment_error": 0.0,
}
SPEEDS = np.linspace(0.0, 520.0, 53)


def solve(motor_speed=SPEEDS, **changes):
    return steady_state(motor_speed, **{**MACHINE, **changes})


def stall_torque(**changes):
    given = {**MACHINE, **changes}
    names = ("phase_current_limit", "bus_current_limit")
    current = stall_current(given["line_resistance"], given["open_voltage"], *(given[n] for n in names))
    return torque_constant(given["emf_constant"]) * current


VARIED = {
    "free": {},
    "phase limit": {"phase_current_limit": 100.0},
    "both limits": {"phase_current_limit": 100.0, "bus_current_limit": 40.0},
    "sagging pack": {"phase_current_limit": 120.0, "bus_current_limit": 60.0, "source_resistance": 0.05},
    "early": {"alignment_error": np.radians(-30.0), "phase_current_limit": 90.0},
    "late": {"alignment_error": np.radians(30.0), "phase_current_limit": 90.0},
    "half throttle": {"throttle": 0.5},
    "uneven": {
        "sensor_errors": tuple(np.radians([5.0, -4.0, 3.0, -6.0, 2.0, 0.0])),
        "phase_current_limit": 90.0,
    },
    "harmonics": {"harmonics": ((5, 0.06, 0.4), (7, 0.03, 0.0)), "phase_current_limit": 90.0},
    "armature": {"armature_per_ampere": 0.004, "phase_current_limit": 90.0},
}


@pytest.mark.parametrize("changes", VARIED.values(), ids=VARIED)
def test_what_the_battery_gives_is_shaft_and_heat(changes):
    """Each is worked out apart from the others. To 0.1 % of the larger of the value and 2 % of stall."""
    found = solve(**changes)
    assert np.all(found.found)
    given = found.battery_current * found.bus_voltage
    floor = 0.02 * np.max(found.copper_loss)
    used = found.torque * SPEEDS + found.copper_loss
    assert given == pytest.approx(used, rel=1e-3, abs=1e-3 * floor)


def test_without_inductance_it_is_the_closed_form():
    """Two phases in series and a third that floats: the mean torque of DESIGN's limit case, worked by hand."""
    speed = np.linspace(20.0, 400.0, 20)
    peak = np.sqrt(2.0) * MACHINE["emf_constant"] * speed
    supply, resistance = MACHINE["open_voltage"], MACHINE["line_resistance"]
    by_hand = (supply * 3 / np.pi * peak - peak**2 * (0.5 + 3 * np.sqrt(3) / (4 * np.pi))) / (
        resistance * speed
    )
    below = np.sqrt(3) * peak / 2 < supply / 2 * np.sqrt(3)  # beyond, diodes conduct while a phase floats
    found = solve(speed, line_inductance=1e-9)
    floor = 0.02 * supply / resistance * MACHINE["emf_constant"]
    assert found.torque[below] == pytest.approx(by_hand[below], rel=5e-3, abs=5e-3 * floor)


def test_standstill_is_six_step_torque():
    for error in np.radians([-30.0, 0.0, 20.0, 50.0]):
        found = solve(0.0, phase_current_limit=80.0, alignment_error=error)
        assert found.torque == pytest.approx(torque_constant(0.0895) * 80.0 * np.cos(error), rel=1e-3)
        assert found.copper_loss == pytest.approx(80.0**2 * 0.03, rel=1e-3)
        assert found.battery_current * 48.0 == pytest.approx(80.0**2 * 0.03, rel=1e-3)


def test_above_no_load_speed_it_brakes_and_charges():
    found = solve(np.array([450.0, 520.0]))
    assert np.all(found.torque < 0.0) and np.all(found.battery_current < 0.0)


def test_limits_hold():
    found = solve(phase_current_limit=100.0, bus_current_limit=40.0)
    assert np.max(found.battery_current) == pytest.approx(40.0, rel=1e-6)
    assert np.min(found.duty) < 0.9
    low = solve(SPEEDS[:8], phase_current_limit=100.0)
    assert low.line_current == pytest.approx(100.0 * np.sqrt(2 / 3), rel=0.06)


def test_a_sagging_pack_is_one_resistor():
    found = solve(source_resistance=0.08, phase_current_limit=100.0, extra_current=3.0)
    assert found.bus_voltage == pytest.approx(48.0 - 0.08 * (found.battery_current + 3.0), rel=1e-6)


def test_inductance_is_what_the_direct_current_formula_leaves_out():
    """Away from the limits it promises 1.5 to 5 times the torque (DESIGN 6), and more with more inductance."""
    speed, constant = np.array([120.0, 200.0, 280.0]), torque_constant(0.0895)
    direct = constant * (48.0 - constant * speed) / 0.05
    little, usual, much = (
        direct / solve(speed, line_resistance=0.05, line_inductance=h).torque for h in (6e-5, 1.2e-4, 3e-4)
    )
    assert np.all((little > 1.5) & (usual < 5.5))
    assert np.all(little < usual) and np.all(usual < much)


def test_harmonics_that_three_divides_drive_nothing():
    plain, third = solve(), solve(harmonics=((3, 0.2, 0.3), (9, 0.1, 0.0)))
    assert np.array_equal(plain.torque, third.torque)


def test_even_edges_as_six_are_two():
    """The whole turn, when nothing is uneven, gives what a third of it gives."""
    six, two = solve(sensor_errors=(0.0,) * 6, phase_current_limit=90.0), solve(phase_current_limit=90.0)
    assert six.torque == pytest.approx(two.torque, rel=1e-6, abs=1e-6)


def test_the_armature_makes_early_what_was_late():
    shifted = solve(100.0, phase_current_limit=90.0, armature_per_ampere=0.004)
    same = solve(100.0, phase_current_limit=90.0, alignment_error=-float(shifted.armature_shift))
    assert shifted.armature_shift > np.radians(10.0)
    assert shifted.torque == pytest.approx(same.torque, rel=1e-6)


def test_tolerances_change_nothing(monkeypatch):
    base = solve(phase_current_limit=100.0, bus_current_limit=40.0)
    monkeypatch.setattr(repeat, "_CLOSE", 1e-10)
    monkeypatch.setattr(repeat, "_STEP", 1e-5)
    monkeypatch.setattr(sector, "_REFINED", 12)
    finer = solve(phase_current_limit=100.0, bus_current_limit=40.0)
    assert finer.torque == pytest.approx(base.torque, rel=1e-5, abs=1e-5)


def test_lanes_are_what_single_values_are():
    together = solve(phase_current_limit=100.0, bus_current_limit=40.0)
    apart = [
        float(solve(float(w), phase_current_limit=100.0, bus_current_limit=40.0).torque) for w in SPEEDS[::9]
    ]
    assert together.torque[::9] == pytest.approx(apart, rel=1e-7, abs=1e-7)


def test_invented_machines_find_their_steady_state():
    """Over what a bench may meet hardly any lane is left without an answer, and none has a wrong one."""
    rng, count = np.random.default_rng(11), 600

    def between(low, high):
        return np.exp(rng.uniform(np.log(low), np.log(high), count))

    supply = between(12.0, 100.0)
    constant = supply / 48.0 * between(0.05, 0.15)
    speed = rng.uniform(0.0, 1.3, count) * supply / (np.sqrt(2.0) * constant)
    found = steady_state(
        speed,
        constant,
        between(5e-3, 0.3),
        between(2e-5, 1e-3),
        rng.integers(4, 11, count),
        supply,
        rng.uniform(0.0, 0.06, count),
        between(20.0, 300.0),
        between(10.0, 200.0),
        rng.uniform(-0.55, 0.55, count),
    )
    assert np.count_nonzero(~found.found) <= 1
    lost = found.battery_current * found.bus_voltage - found.torque * speed - found.copper_loss
    assert np.nanmax(np.abs(lost) / (found.copper_loss + 0.01)) < 1e-4


STATED = {
    "emf_constant": 0.0895,
    "line_resistance": 0.03,
    "line_inductance": 200e-6,
    "pole_pairs": 8.0,
    "supply_voltage": 48.0,
    "phase_current_limit": 100.0,
    "bus_current_limit": 40.0,
    "alignment_error": 0.1,
}


def test_the_corrected_closed_form_is_the_solution_in_time():
    """Between the speeds at which the two were compared, within 2 % of the standstill torque."""
    given = correction(**STATED, armature_per_ampere=0.002)
    speed = np.linspace(1.0, 400.0, 97)
    changes = {key: value for key, value in STATED.items() if key != "supply_voltage"}
    exact = solve(speed, **changes, armature_per_ampere=0.002).torque
    put_right = corrected_torque(speed, **STATED, correction=given)
    unit = stall_torque(**changes)
    assert np.max(np.abs(put_right - exact)) < 0.02 * unit
    assert np.max(np.abs(torque_at_speed(speed, **STATED) - exact)) > 0.04 * unit


def test_over_draws_it_is_nearer_than_the_closed_form():
    """The figures of docs/method-drive.md, on other machines."""
    rng, count = np.random.default_rng(3), 120
    right, plain = [], []
    for _ in range(8):
        supply = rng.uniform(24.0, 72.0)
        stated = {
            "emf_constant": supply / 48 * rng.uniform(6, 14) * 30 / np.pi / 1000,
            "line_resistance": 10 ** rng.uniform(-2, -1),
            "line_inductance": 10 ** rng.uniform(-4.5, -3.2),
            "pole_pairs": 8.0,
            "supply_voltage": supply,
            "phase_current_limit": rng.uniform(30, 250),
            "bus_current_limit": rng.uniform(20, 100),
            "alignment_error": np.radians(rng.choice([-30, -15, 0, 15])),
        }
        spread = {
            "emf_constant": 0.1,
            "line_resistance": 0.2,
            "line_inductance": 0.25,
            "supply_voltage": 0.03,
        }
        drawn = {k: v * (1 + spread.get(k, 0.0) * rng.uniform(-1, 1, count)) for k, v in stated.items()}
        speed = rng.uniform(0.05, 0.95, count) * supply / (np.sqrt(2) * stated["emf_constant"])
        volts = {"open_voltage": drawn["supply_voltage"], "source_resistance": 0.0}
        exact = steady_state(speed, **{k: v for k, v in drawn.items() if k != "supply_voltage"}, **volts)
        names = ("line_resistance", "supply_voltage", "phase_current_limit", "bus_current_limit")
        unit = torque_constant(drawn["emf_constant"]) * stall_current(*(drawn[n] for n in names))
        given = correction(**stated, armature_per_ampere=0.0)
        right.append((corrected_torque(speed, **drawn, correction=given) - exact.torque) / unit)
        plain.append((torque_at_speed(speed, **drawn) - exact.torque) / unit)
    off, closed = (np.abs(np.concatenate(side)) for side in (right, plain))
    assert np.quantile(off, 0.95) < 0.04 and np.quantile(off, 0.99) < 0.09
    assert np.quantile(off, 0.95) < 0.5 * np.quantile(closed, 0.95)


def test_a_drive_that_never_repeats_is_named(monkeypatch):
    monkeypatch.setattr(repeat, "_ROUNDS", 1)
    monkeypatch.setattr("calc.drive.correction._kept", {})
    with pytest.raises(NoSolution, match="No periodic solution"):
        correction(**STATED, armature_per_ampere=0.0)


def test_a_build_solved_before_is_not_solved_again(monkeypatch):
    """By plain values that go through JSON, as a page keeps them; another build is solved all the same."""
    monkeypatch.setattr("calc.drive.correction._kept", {})
    found = correction(**STATED, armature_per_ampere=0.0)
    told = json.loads(json.dumps(kept()))
    assert len(told) == 1 and newest() is not None
    monkeypatch.setattr("calc.drive.correction._kept", {})
    remember(told)
    monkeypatch.setattr(repeat, "_ROUNDS", 0)  # nothing can be solved any more
    again = correction(**STATED, armature_per_ampere=0.0)
    assert np.array_equal(again.speed, found.speed) and np.array_equal(again.torque, found.torque)
    with pytest.raises(NoSolution):
        correction(**STATED, armature_per_ampere=0.001)
