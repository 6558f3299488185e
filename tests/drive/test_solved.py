"""The inverter and machine in time against a general solver that shares nothing with them.

solved_in_time.py switches every switch explicitly; solved_in_time.csv holds what came of it. Torque and currents agree
within 0.5 % of the larger of the value and 2 % of what standing still gives.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from calc.drive.inverter import steady_state
from tests.drive import solved_in_time
from tests.drive.solved_cases import GIVEN, TEXTS, cases, rows
from tests.drive.solved_in_time import RESULTS, Drive, edges_of, harmonics_of, solve

ROWS = rows()
CLOSE, FLOOR = 0.005, 0.02
CHOPPED_PEAK = 0.015
"""A single highest current is as uncertain as the ripple of explicit chopping is high."""


def named(row):
    return " ".join(f"{name}={row[name]}" for name in GIVEN if row[name] not in ("", np.inf))


def by_calc(row, **changes):
    """calc's steady state of a row, at its throttle unless changed."""
    return steady_state(
        row["speed"],
        row["constant"],
        row["resistance"],
        row["inductance"],
        row["pairs"],
        row["supply"],
        row["source"],
        row["limit"],
        changes.get("battery", np.inf),
        math.radians(row["late"]),
        throttle=changes.get("throttle", row["duty"]),
        sensor_errors=tuple(math.radians(x) for x in edges_of(row)),
        harmonics=harmonics_of(row),
    )


def standing(row):
    """What RESULTS are at standstill, roughly: the scale for what is small at speed. The bus voltage has none."""
    current = min(row["limit"], row["duty"] * row["supply"] / row["resistance"])
    torque = 3.0 / math.pi * math.sqrt(2.0) * row["constant"] * current
    return dict(
        zip(RESULTS, (torque, current, current, current, 0.0, current**2 * row["resistance"]), strict=True)
    )


def test_table_holds_the_cases():
    for row, case in zip(ROWS, cases(), strict=True):
        assert {k: row[k] if k in TEXTS else float(row[k]) for k in GIVEN} == case


def test_table_covers_what_it_should():
    assert len(ROWS) >= 40
    assert sum(row["duty"] < 1 or np.isfinite(row["limit"]) for row in ROWS) >= 20
    assert sum(row["torque"] < 0 for row in ROWS) >= 3
    times = [row["inductance"] / row["resistance"] for row in ROWS]
    assert min(times) <= 0.05e-3 and max(times) >= 20e-3


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_the_reference_keeps_its_energy(row):
    """Battery = shaft + copper, to 0.1 % of the largest of them."""
    powers = (row["battery_current"] * row["bus_voltage"], row["torque"] * row["speed"], row["copper_loss"])
    assert powers[0] == pytest.approx(powers[1] + powers[2], abs=1e-3 * max(abs(p) for p in powers))


@pytest.mark.parametrize("speed", [15.0, 100.0, 250.0, 330.0])
def test_the_reference_without_inductance_is_the_hand_worked_formula(speed):
    """[V·(3/π)·E − E²·(1/2 + 3√3/(4π))]/(2Rω), R per phase, E line-line peak (docs/method.md)."""
    constant, resistance, pairs, supply = 0.09, 0.04, 8, 48.0
    inductance = 0.002 * resistance / (pairs * speed)
    found = Drive(speed, constant, resistance, inductance, pairs, supply, math.inf, 1.0, (0.0, 0.0)).steady()
    peak = math.sqrt(2.0) * constant * speed
    by_hand = supply * 3 / math.pi * peak - peak**2 * (0.5 + 3 * math.sqrt(3) / (4 * math.pi))
    assert found[0] == pytest.approx(by_hand / (resistance * speed), rel=2e-3)


def test_the_reference_close_to_standstill_at_the_limit_is_the_torque_constant():
    """(3/π)·√2·E/ω for each ampere; handing the current over takes a little of each sector."""
    row = next(row for row in ROWS if row["speed"] == 2.0 and np.isfinite(row["limit"]))
    assert row["torque"] == pytest.approx(standing(row)["torque"], rel=0.01)


@pytest.mark.parametrize(
    "which",
    [
        {"speed": 330.0, "edges": "8 -2 -7 4 0 -3"},
        {"speed": 250.0, "source": 0.05},
        {"speed": 100.0, "duty": 0.7},
        {"speed": 260.0, "limit": 60.0},
    ],
    ids=str,
)
def test_solved_again_with_fewer_pulses_and_looser(which, monkeypatch):
    """The table repeats, and depends on neither how often is switched nor how closely is stepped."""
    row = next(row for row in ROWS if all(row[key] == value for key, value in which.items()))
    monkeypatch.setattr(solved_in_time, "PULSES", 64)
    monkeypatch.setattr(solved_in_time, "CLOSE", {"rtol": 1e-8, "atol": 1e-7, "max_step": 0.05})
    again = dict(zip(RESULTS, solve(row), strict=True))
    for name in ("torque", "line_current", "battery_current", "bus_voltage"):
        assert again[name] == pytest.approx(row[name], rel=3e-3 if np.isfinite(row["limit"]) else 1e-3)


@pytest.mark.parametrize("limit", [math.inf, 150.0, 20.0])
def test_calc_at_standstill_is_the_torque_constant(limit):
    """Where the reference can't go: (3/π)·√2·E/ω for each ampere that limit or resistance lets through."""
    found = steady_state(0.0, 0.09, 0.03, 200e-6, 8, 48.0, 0.0, limit, math.inf, 0.0)
    current = min(limit, 48.0 / 0.03)
    assert float(found.torque) == pytest.approx(3.0 / math.pi * math.sqrt(2.0) * 0.09 * current, rel=CLOSE)
    assert float(found.copper_loss) == pytest.approx(current**2 * 0.03, rel=CLOSE)


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_calc_agrees(row):
    found, scale = by_calc(row), standing(row)
    assert found.found
    for name in RESULTS:
        close = CHOPPED_PEAK if name == "peak_current" and np.isfinite(row["limit"]) else CLOSE
        within = close * max(abs(row[name]), FLOOR * scale[name])
        assert float(getattr(found, name)) == pytest.approx(row[name], abs=within), name


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["duty"] < 1 and row["battery_current"] > 0], ids=named
)
def test_battery_limit_asks_for_the_duty_that_was_pulsed(row):
    """Given the bus current of explicit pulses as the limit, full throttle comes down to their duty and torque."""
    found = by_calc(row, throttle=1.0, battery=row["battery_current"])
    assert float(found.battery_current) == pytest.approx(row["battery_current"], rel=1e-3)
    assert float(found.duty) == pytest.approx(row["duty"], rel=CLOSE)
    assert float(found.torque) == pytest.approx(row["torque"], rel=CLOSE)
