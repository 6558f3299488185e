"""The closed form of six-step torque against a solution in time; bounds as docs/method.md states them."""

from __future__ import annotations

import numpy as np
import pytest

from calc.drive.sixstep import full_duty
from calc.drive.standing import torque_constant
from calc.drive.torque import torque_at_speed, torque_by_battery_limit
from tests.drive.sixstep_in_time import Cases, steady

POLE_PAIRS, NEVER, COUNT = 8, 1e6, 1500


def machines(count: int, seed: int):
    """Invented generators like the measured ones of docs/method.md, at 2 to 95 % of the speed where EMF is supply."""
    rng = np.random.default_rng(seed)
    supply = rng.uniform(24, 72, count)
    constant = supply / 48 * rng.uniform(6, 14, count) * 30 / np.pi / 1000
    share = rng.uniform(0.02, 0.95, count)
    return {
        "supply_voltage": supply,
        "emf_constant": constant,
        "share": share,
        "motor_speed": share * supply / (np.sqrt(2) * constant),
        "line_resistance": 10 ** rng.uniform(-2, -1, count),
        "line_inductance": 10 ** rng.uniform(-4.5, -3.2, count),
        "late": rng.choice([-30, -15, 0, 15, 30], count),
        "limit": rng.uniform(30, 250, count),
    }


def in_time(m, limit):
    """Mean torque (N·m) and copper loss (W) of the solution in time."""
    reactance = POLE_PAIRS * m["motor_speed"] * m["line_inductance"] / 2
    power, copper, miss = steady(
        Cases(
            np.sqrt(2 / 3) * m["emf_constant"] * m["motor_speed"],
            m["line_resistance"] / 2,
            reactance,
            m["supply_voltage"],
            np.radians(m["late"]),
            limit,
        )
    )
    assert miss.max() < 1e-3
    return power / m["motor_speed"], copper


@pytest.fixture(scope="module")
def sample():
    """Machines with their torque in time, without and with the current limit."""
    m = machines(COUNT, 5)
    free, _ = in_time(m, np.full(COUNT, np.inf))
    held, copper = in_time(m, m["limit"])
    return m, free, held, copper


def arguments(m):
    return (
        m["motor_speed"],
        m["emf_constant"],
        m["line_resistance"],
        m["line_inductance"],
        POLE_PAIRS,
        m["supply_voltage"],
    )


def test_without_inductance_it_is_the_hand_worked_formula():
    """Two phases in series and a third that floats, integrated by hand over a sector (docs/method.md)."""
    speed = np.linspace(20.0, 400.0, 6)
    constant, resistance, supply = 0.095, 0.04, 48.0
    peak = np.sqrt(2) * constant * speed
    by_hand = (supply * 3 / np.pi * peak - peak**2 * (0.5 + 3 * np.sqrt(3) / (4 * np.pi))) / (
        resistance * speed
    )
    current, lag, share = full_duty(speed, constant, resistance, 0.0, POLE_PAIRS, supply, 0.0)
    torque = torque_constant(constant) * current * np.cos(lag)
    assert torque == pytest.approx(by_hand, rel=1e-4)
    assert np.all(np.asarray(share) < 1e-4)


def test_solution_in_time_agrees_with_the_hand_worked_formula():
    """The reference itself, with little inductance: X/R of 0.05."""
    speed, constant, resistance, supply = np.array([100.0, 250.0]), 0.095, 0.04, 48.0
    peak = np.sqrt(2) * constant * speed
    by_hand = (supply * 3 / np.pi * peak - peak**2 * (0.5 + 3 * np.sqrt(3) / (4 * np.pi))) / resistance
    same = np.ones(2)
    half = resistance / 2 * same
    power, _, _ = steady(Cases(peak / np.sqrt(3), half, 0.05 * half, supply * same, 0 * same, np.inf * same))
    assert power == pytest.approx(by_hand, rel=0.03)


@pytest.mark.parametrize(
    ("late", "slowest", "fastest", "low", "high"),
    [
        ((-30, -15, 0, 15, 30), 0.0, 0.6, -0.01, 0.002),
        ((-30, -15, 0, 15), 0.6, 0.8, -0.02, 0.01),
        ((-30, -15, 0), 0.8, 0.95, -0.06, 0.04),
        ((15,), 0.8, 0.95, -0.01, 0.08),
    ],
)
def test_full_duty(sample, late, slowest, fastest, low, high):
    m, free, _, _ = sample
    current, lag, _ = full_duty(*arguments(m), np.radians(m["late"]))
    error = torque_constant(m["emf_constant"]) * current * np.cos(lag) / free - 1
    of = np.isin(m["late"], late) & (m["share"] > slowest) & (m["share"] <= fastest)
    assert of.sum() > 20
    assert low < error[of].min() and error[of].max() < high


@pytest.mark.parametrize(
    ("late", "fastest", "low", "high"),
    [
        ((-30, -15, 0), 0.95, -0.12, 0.10),
        ((15,), 0.8, -0.12, 0.11),
        ((15,), 0.95, -0.12, 0.25),
        ((30,), 0.8, -0.78, 0.15),
    ],
)
def test_torque_under_a_current_limit(sample, late, fastest, low, high):
    m, _, held, _ = sample
    late_rad = np.radians(m["late"])
    error = torque_at_speed(*arguments(m), m["limit"], NEVER, late_rad) / held - 1
    of = np.isin(m["late"], late) & (m["share"] <= fastest)
    assert of.sum() > 50
    assert low < error[of].min() and error[of].max() < high
    assert abs(np.median(error[of])) < 0.03


def test_torque_under_both_limits(sample):
    """The mean bus current of the solution in time, given as battery limit beside the phase limit."""
    m, _, held, copper = sample
    bus = (held * m["motor_speed"] + copper) / m["supply_voltage"]
    error = torque_at_speed(*arguments(m), m["limit"], bus, np.radians(m["late"])) / held - 1
    early = m["late"] <= 0
    assert error[early].min() > -0.16 and error[early].max() < 0.05
    aligned = m["late"] == 0
    assert error[aligned].min() > -0.08 and error[aligned].max() < 0.04
    assert abs(np.median(error[aligned])) < 0.01


def test_battery_limit_alone(sample):
    """Where neither voltage nor commutation holds torque back, power does: U·I_b = T·ω + I²·R."""
    m, _, held, copper = sample
    bus = (held * m["motor_speed"] + copper) / m["supply_voltage"]
    speed, constant, resistance, _, _, supply = arguments(m)
    torque = torque_by_battery_limit(speed, constant, resistance, supply, bus, np.radians(m["late"]))
    plain = (m["late"] == 0) & (held > 0.98 * torque_constant(constant) * m["limit"])
    assert plain.sum() > 50
    assert torque[plain] / held[plain] == pytest.approx(1.0, abs=0.04)
    assert np.median(torque[plain] / held[plain]) == pytest.approx(1.0, abs=0.005)


def test_the_direct_current_formula_overstates():
    """Why inductance is in it: away from the limit, (U − E)/R times K is several times the truth."""
    m = machines(400, 6)
    m["late"] = np.zeros(400)
    free, _ = in_time(m, np.full(400, np.inf))
    typical = (m["line_inductance"] > 1e-4) & (m["share"] > 0.3) & (m["share"] < 0.8)
    constant = torque_constant(m["emf_constant"])
    naive = constant * (m["supply_voltage"] - constant * m["motor_speed"]) / m["line_resistance"]
    assert np.percentile((naive / free)[typical], 10) > 1.5
