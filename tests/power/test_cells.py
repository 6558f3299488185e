"""Cells against PyBaMM 26.10.1.1 (open-circuit voltage, simulated discharge) and makers' sheets (windows)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.power import cells


@pytest.mark.parametrize(
    ("charge", "volts"),
    [
        (0.1, 2.978), (0.2, 3.169), (0.3, 3.206), (0.5, 3.266), (0.7, 3.274), (0.8, 3.310), (0.9, 3.314),
        (0.95, 3.316), (1.0, 3.600),
    ],
)  # fmt: skip
def test_lfp_open_circuit_voltage(charge, volts):
    """PyBaMM 26.10.1.1, Prada2013; given to 10 mV."""
    assert cells.open_circuit_voltage("lfp", charge) == pytest.approx(volts, abs=0.001)


def test_lfp_is_no_fuel_gauge():
    """From 50 % to 90 % an LFP cell moves 48 mV (20 %); NMC moves ten times that."""
    rise = [
        cells.open_circuit_voltage(kind, 0.9) - cells.open_circuit_voltage(kind, 0.5)
        for kind in cells.CHEMISTRIES
    ]
    assert rise[0] == pytest.approx(0.048, rel=0.2)
    assert rise[1] > 5 * rise[0]


@pytest.mark.parametrize(("kind", "limits"), [("lfp", (2.5, 3.2, 3.65)), ("nmc", (2.5, 3.6, 4.2))])
def test_window(kind, limits):
    """LFP 2.5 to 3.65 V, nominal 3.2; lithium-ion 4.20 V, cut-off from 2.5 V, nominal from 3.6 V."""
    assert cells.window(kind) == limits


@pytest.mark.parametrize(("kind", "mean"), [("lfp", 3.184), ("nmc", 3.696)])
def test_energy_against_a_simulated_discharge(kind, mean):
    """Mean voltage of a discharge at C/10 (PyBaMM, SPMe, same parameter sets): a little under the rested one."""
    assert 0.0 < cells.voltage_above(kind, 0.0) / mean - 1 < 0.01


@given(st.sampled_from(cells.CHEMISTRIES), st.floats(0.0, 1.0))
def test_area_is_the_integral(kind, reserve):
    charge = np.linspace(reserve, 1.0, 20001)
    area = np.trapezoid(cells.open_circuit_voltage(kind, charge), charge)
    assert cells.voltage_above(kind, reserve) == pytest.approx(area, abs=1e-6)


@given(st.sampled_from(cells.CHEMISTRIES), st.floats(-0.5, 1.5))
def test_finite_beyond_full_and_empty(kind, charge):
    least, _, full = cells.window(kind)
    assert min(least, 2.0) <= cells.open_circuit_voltage(kind, charge) <= full
    assert np.isfinite(cells.voltage_above(kind, charge))


def test_arrays_give_what_scalars_give():
    charge = np.array([0.0, 0.13, 0.5, 1.0])
    for function in (cells.open_circuit_voltage, cells.voltage_above):
        assert function("lfp", charge) == pytest.approx([function("lfp", c) for c in charge])
