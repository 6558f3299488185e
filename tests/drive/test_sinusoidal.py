"""Sinusoidal drive: balances, limit cases, an independent search, and a published torque constant."""

from __future__ import annotations

import numpy as np
import pytest

from calc.drive.sinusoidal import sinusoidal_state

MACHINE = {
    "emf_constant": 0.0895,
    "line_resistance": 0.03,
    "line_inductance": 200e-6,
    "pole_pairs": 8,
    "open_voltage": 48.0,
    "source_resistance": 0.0,
    "phase_current_limit": 100.0,
    "bus_current_limit": 60.0,
    "alignment_error": 0.0,
}


def solve(motor_speed, **changes):
    return sinusoidal_state(motor_speed, **{**MACHINE, **changes})


def test_torque_constant_of_a_published_machine():
    """Claw-pole machine at 5 A (reference values 2.1): 0.1070 V·s/rad line rms, 0.185 N·m per A rms of the line."""
    found = solve(1.0, emf_constant=0.1070)
    assert found.torque / found.line_current == pytest.approx(0.185, rel=2e-3)
    assert found.torque / found.line_current == pytest.approx(np.sqrt(3) * 0.1070, rel=1e-9)


@pytest.mark.parametrize(
    "changes", [{}, {"source_resistance": 0.05}, {"alignment_error": 0.4}, {"alignment_error": -0.4}]
)
def test_battery_is_shaft_and_heat(changes):
    speed = np.linspace(0.0, 500.0, 51)
    found = solve(speed, **changes)
    given = found.battery_current * found.bus_voltage
    assert given == pytest.approx(found.torque * speed + found.copper_loss, rel=1e-9, abs=1e-9)
    assert np.max(found.battery_current) <= 60.0 * (1 + 1e-9)


def test_without_resistance_the_circle_ends_where_emf_meets_it():
    """Sensors right: I = √(Vm² − E²)/X, none once E passes Vm = U/√3."""
    speed = np.array([100.0, 250.0, 370.0, 400.0])
    found = solve(speed, line_resistance=1e-9, phase_current_limit=1e9, bus_current_limit=1e9)
    emf, most = np.sqrt(2 / 3) * 0.0895 * speed, 48.0 / np.sqrt(3)
    by_hand = np.sqrt(np.maximum(most**2 - emf**2, 0.0)) / (8 * speed * 100e-6)
    assert found.peak_current == pytest.approx(by_hand, rel=1e-4, abs=1e-3)


def test_against_a_search_over_currents():
    """The largest current in its direction that keeps voltage, phase and battery limit, by trying them all."""
    rng = np.random.default_rng(5)
    for _ in range(12):
        speed, late = rng.uniform(5.0, 350.0), rng.uniform(-0.5, 0.5)
        limit, battery = rng.uniform(20.0, 300.0), rng.uniform(10.0, 80.0)
        found = solve(speed, phase_current_limit=limit, bus_current_limit=battery, alignment_error=late)
        i = np.linspace(0.0, limit, 100_001)
        emf = np.sqrt(2 / 3) * 0.0895 * speed
        volts = np.abs(emf + (0.015 + 1j * 8 * speed * 100e-6) * i * np.exp(-1j * late))
        taken = 1.5 * (emf * i * np.cos(late) + 0.015 * i**2)
        good = (volts <= 48.0 / np.sqrt(3)) & (taken <= 48.0 * battery)
        run = i[: int(np.argmin(good))] if not good.all() else i
        assert float(found.peak_current) == pytest.approx(
            run[-1] if len(run) else 0.0, abs=limit / 5e4 + 1e-6
        )


def test_early_switching_reaches_further():
    """Advance turns the voltage of the inductance against the EMF: more speed."""
    late, right, early = (solve(360.0, alignment_error=e).torque for e in (0.3, 0.0, -0.3))
    assert late < right < early


def test_the_armature_makes_it_early():
    found = solve(20.0, armature_per_ampere=0.004)
    assert float(found.armature_shift) == pytest.approx(np.arcsin(0.4 / 1.1027), rel=1e-3)
    assert found.torque < solve(20.0).torque
