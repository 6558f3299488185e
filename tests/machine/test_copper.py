"""Copper: published resistance ratios and the field of a measured machine."""

from __future__ import annotations

import numpy as np
import pytest

from calc.machine import copper


@pytest.mark.parametrize(("celsius", "ratio", "digits"), [(75, 1.21615, 5e-6), (100, 1.3144, 5e-5)])
def test_resistance_ratio(celsius, ratio, digits):
    """R(75)/R(20) and R(100)/R(20), worked by hand with .00393 per kelvin of NBS Handbook 100."""
    assert copper.hot_resistance(1.0, 273.15 + celsius) == pytest.approx(ratio, abs=digits)


def test_field_of_a_measured_machine():
    """Sarafianos and others 2015, at second hand: 1.90 ohm at 20 °C; 12 V drives 6.32 A cold, 4.81 A at 100 °C."""
    for celsius, amps in ((20, 6.32), (100, 4.81)):
        assert 12.0 / copper.hot_resistance(1.90, 273.15 + celsius) == pytest.approx(amps, abs=0.006)
        power = copper.field_power(amps, 1.90, 273.15 + celsius, 0.0)
        assert power == pytest.approx(12.0 * amps, rel=2e-3)


def test_arrays():
    currents, temperatures = np.array([1.0, 3.0]), np.array([300.0, 380.0])
    expected = [copper.field_power(i, 2.5, t, 0.6) for i, t in zip(currents, temperatures, strict=True)]
    assert copper.field_power(currents, 2.5, temperatures, 0.6) == pytest.approx(expected)
