"""Packs: published arithmetic, energy, sag."""

from __future__ import annotations

import io
import re
from contextlib import redirect_stdout

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.cli import main
from calc.power import pack

AMP_HOUR, KILOWATT_HOUR = 3600.0, 3.6e6


@pytest.mark.parametrize(
    ("series", "least", "nominal", "full"),
    [(10, 25, 36, 42), (13, 32.5, 46.8, 54.6), (14, 35, 50.4, 58.8)],
)
def test_windows_of_nmc_packs(series, least, nominal, full):
    """10S, 13S and 14S, worked by hand from the cell sheets' 2.5, 3.6 and 4.2 V."""
    assert pack.voltage_min("nmc", series) == pytest.approx(least)
    assert pack.voltage_nominal("nmc", series) == pytest.approx(nominal)
    assert pack.voltage_full("nmc", series) == pytest.approx(full)


def test_a_sixteen_series_lfp_pack():
    """Hand-worked: 16 x 3.2 V x 100 Ah = 5.12 kWh by the label; open-circuit voltage gives it within 2 %."""
    capacity = pack.pack_capacity(50 * AMP_HOUR, 2)
    assert capacity == pytest.approx(100 * AMP_HOUR)
    assert pack.pack_energy("lfp", 16, capacity) == pytest.approx(5.12 * KILOWATT_HOUR, rel=0.02)
    assert pack.usable_energy("lfp", 16, capacity, 0.0) == pack.pack_energy("lfp", 16, capacity)
    assert pack.usable_energy("lfp", 16, capacity, 1.0) == 0.0
    # The last 15 % of the charge hold less than 15 % of the energy: their voltage is lower.
    left = pack.usable_energy("lfp", 16, capacity, 0.15) / pack.pack_energy("lfp", 16, capacity)
    assert 0.85 < left < 0.87
    assert pack.pack_resistance(16, 2, 0.002, 0.01) == pytest.approx(0.026)
    assert pack.pack_mass(16, 2, 1.0) == pytest.approx(32.0)


def test_two_packs_joined():
    """From PyBaMM's Prada2013: 16S LFP at 80 % and 30 % are 1.662 V apart, 22.5 A in a loop of 74 mohm (3 %)."""
    apart = pack.open_circuit_voltage("lfp", 16, 0.8) - pack.open_circuit_voltage("lfp", 16, 0.3)
    assert apart == pytest.approx(1.662, abs=0.005)
    assert apart / 0.074 == pytest.approx(22.5, rel=0.03)


@given(st.floats(0.0, 5e4), st.floats(3.0, 500.0), st.floats(0.0, 1.0))
def test_current_gives_the_power_or_all_there_is(power, volts, resistance):
    current = pack.battery_current(power, volts, resistance)
    terminal = pack.loaded_voltage(volts, current, resistance)
    assert np.isfinite(current) and current >= 0.0
    most = volts**2 / (4 * resistance) if resistance > 1e-6 else np.inf
    assert terminal * current == pytest.approx(min(power, most), rel=1e-6, abs=1e-6)


def test_sag_never_passes_zero():
    assert pack.loaded_voltage(48.0, 60.0, 0.05) == pytest.approx(45.0)
    assert pack.loaded_voltage(48.0, 1e5, 0.05) == 0.0


def test_arrays_give_what_scalars_give():
    power, volts = np.array([0.0, 800.0, 1e6]), np.array([48.0, 50.0, 52.0])
    expected = [pack.battery_current(p, v, 0.03) for p, v in zip(power, volts, strict=True)]
    assert pack.battery_current(power, volts, 0.03) == pytest.approx(expected)


def test_the_sag_told_is_the_current_times_the_resistance_told() -> None:
    """Ohm's law on the sentence that somebody reads: cold cells' resistance, not that at 25 °C."""
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(["run", "pack", "coldest_day=-5 degC"]) == 0
    told = re.search(
        r"asks ([\d.]+) A, and the pack loses ([\d.]+) V in its ([\d.]+) mΩ, (.*?) \(", out.getvalue()
    )
    assert told and "−5 °C" in told[4]
    amps, volts, milliohm = (float(x) for x in told.groups()[:3])
    assert volts == pytest.approx(amps * milliohm / 1000.0, rel=0.01)
