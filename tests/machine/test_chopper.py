"""The field supply's chopper and its rating: ripple in time, the worst temperature, a coil as cold as the air."""

from __future__ import annotations

import numpy as np
import pytest

from calc.answer import Answer, evaluate
from calc.calculators.excitation import FIELD_SUPPLY
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.machine import excitation
from calc.machine.thermal_class import CLASS_LIMIT
from calc.sheet import Sheet


def answer(cart: Sheet | None = None, **texts: str) -> Answer:
    """The calculator's answer for entries typed over a sheet, or alone."""
    entries = parse_all(texts, FIELDS)
    return evaluate(
        FIELD_SUPPLY, [("given", entries), ("sheet", cart.entries)] if cart else [("sheet", entries)]
    )


def test_ripple_is_what_a_chopped_current_has() -> None:
    """Root mean square of a current that is I for the share D of the time, less its mean, summed by hand."""
    time = (np.arange(10000) + 0.5) / 10000
    for volts, pack in ((12.0, 48.0), (24.0, 48.0), (40.0, 48.0)):
        chopped = np.where(time < volts / pack, 4.0, 0.0)
        assert excitation.input_ripple(4.0, volts, volts, pack, pack) == pytest.approx(
            chopped.std(), rel=1e-3
        )
    # Anywhere between an empty and a full pack, half of the current is the most that there is.
    assert excitation.input_ripple(4.0, 12.0, 30.0, 40.0, 58.0) == pytest.approx(2.0)


def test_coil_ripple_at_the_frequency_named() -> None:
    """A chopper in time: on for D of a period with U_pack − U across L, off with −U."""
    amps, volts, pack, henry = 4.0, 13.0, 52.0, 0.25
    period = 1.0 / excitation.chopping_frequency(amps, volts, volts, pack, henry)
    rise = (pack - volts) / henry * period * volts / pack
    assert rise == pytest.approx(0.05 * amps)


def test_frequency_is_that_of_the_worst_temperature(cart: Sheet) -> None:
    """U·(1 − U/U_pack)/(L·ΔI) tried at every temperature from cold to the class's limit, held current and fixed volts.

    The worked example by hand: 16.52 V·(1 − 16.52/58.4)/(0.25 H·0.2 A) = 237 Hz in the hot coil, 179 Hz in a cold one.
    """
    tried = np.linspace(293.15, CLASS_LIMIT["F"], 2000)
    full = 58.4
    volts = excitation.field_voltage_needed(4.0, 0.6, 2.6, tried)
    held = answer(cart).results["chopping_frequency"]
    assert held == pytest.approx(float(np.max(volts * (1 - volts / full))) / (0.25 * 0.05 * 4.0))
    assert held == pytest.approx(237, abs=0.5)
    amps = excitation.field_current(13.0, 0.6, 2.6, tried)
    fixed = answer(cart, field_voltage="13 V").results["chopping_frequency"]
    assert fixed == pytest.approx(float(np.max(13 * (1 - 13 / full) / (0.25 * 0.05 * amps))))
    # A coil that passes half the pack's volts while it warms is worst there.
    between = excitation.chopping_frequency(4.0, 20.0, 40.0, 58.0, 0.25)
    assert between == pytest.approx(29 * 0.5 / (0.25 * 0.2))


def test_most_amperes_are_those_into_a_coil_as_cold_as_the_air() -> None:
    """−20 °C: 2.6 Ω·(1 − 0.00393·40) = 2.191 Ω; (12 − 0.6) V over it are 5.20 A, 62 W."""
    r = answer(
        field_voltage="12 V", brush_drop="0.6 V", field_resistance="2.6 Ω", ambient_temperature="-20 °C"
    ).results
    assert r["supply_current_most"] == pytest.approx(5.20, abs=0.005)
    assert r["supply_rating"] == pytest.approx(62.4, abs=0.1)
    assert r["supply"][0]["temperature"] == pytest.approx(253.15)
    warm = answer(
        field_voltage="12 V", brush_drop="0.6 V", field_resistance="2.6 Ω", ambient_temperature="40 °C"
    )
    assert warm.results["supply"][0]["temperature"] == pytest.approx(293.15)
