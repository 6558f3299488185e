"""Bench tests: readings to values of the machine, against published ones and first principles; what is refused."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import calculators
from calc.answer import Answer, evaluate
from calc.entries import parse
from calc.errors import InputError, NoSolution
from calc.fields import FIELDS
from calc.machine import bench, insulation, scatter

RPM = math.pi / 30
PAGES = Path(__file__).parents[2] / "docs" / "convert"


def answer(calculator: str, **entries: str) -> Answer:
    """The answer to what somebody types, with no build behind it."""
    given_ = {key: parse(FIELDS[key], text) for key, text in entries.items()}
    return evaluate(calculators.find(calculator), [("given", given_), ("sheet", {})])


def severities(told: Answer) -> set[str]:
    return {f.severity for f in told.findings}


# Short circuit


def test_short_circuit_gives_the_published_inductance() -> None:
    """Rivas, Perreault and Keim 2004, through automotive-ems: star, 6 pole pairs, 37 mΩ and 120 µH a phase, at 180 Hz
    18.56 V between leads. Its short-circuit current is phase EMF over phase impedance (reactance 0.1357 Ω)."""
    amps = 18.56 / math.sqrt(3) / math.hypot(0.037, 2 * math.pi * 180 * 120e-6)
    assert amps == pytest.approx(76.2, abs=0.1)
    told = answer(
        "short-circuit-test",
        short_circuit_test=f"1800 rpm, 18.56 V, {amps:.4f} A",
        pole_pairs="6",
        line_resistance="74 mΩ ± 1 mΩ, measured",
    )
    assert told.results["spun_inductance"] == pytest.approx(240e-6, rel=1e-4)
    assert any("isn't noted" in f.text for f in told.findings)


def test_the_current_of_a_short_circuit_hardly_knows_the_speed() -> None:
    """Twice the speed is twice the EMF on twice the reactance: the same inductance from the same amps."""
    slow = bench.spun_inductance(((1000 * RPM, 10.0, 60.0, None),), 8, 0.0)
    fast = bench.spun_inductance(((2000 * RPM, 20.0, 60.0, None),), 8, 0.0)
    assert slow == pytest.approx(fast)


def test_where_resistance_decides_the_spread_grows_and_then_nothing_is_told() -> None:
    rows = ((800 * RPM, 6.35, 79.0, None),)
    assert bench.inductance_spread(rows, 0.080) > 2 * bench.inductance_spread(rows, 0.010)
    with pytest.raises(NoSolution) as none:
        bench.spun_inductance(rows, 8, 0.1)
    assert "Row 1" in none.value.text and "100 mΩ" in none.value.text and "faster" in none.value.do
    told = answer(
        "short-circuit-test",
        short_circuit_test="800 rpm, 6.35 V, 79 A",
        pole_pairs="8",
        line_resistance="60 mΩ",
    )
    assert any("resistance alone" in f.text and f.severity == "caution" for f in told.findings)


@pytest.mark.parametrize(("amps", "severity"), [("1.8 A", None), ("2.4 A", "caution"), ("4 A", "stop")])
def test_a_short_circuit_that_contradicts_the_spin_test_is_named(amps: str, severity: str | None) -> None:
    """The demo's curve says 7.95 V between leads at 1,000 rpm and 2 A; 11 V at 4 A."""
    rows = f"1000 rpm, 7.95 V, 64.3 A, {amps}"
    spun = "1500 rpm, 1 A, 6.9 V; 1500 rpm, 2 A, 11.9 V; 1500 rpm, 3 A, 15 V; 1500 rpm, 4 A, 16.6 V"
    told = answer(
        "short-circuit-test", short_circuit_test=rows, emf_test=spun, field_current="4 A", pole_pairs="8"
    )
    said = [f.severity for f in told.findings if "contradict" in f.text]
    assert said == ([severity] if severity else [])


def test_rows_of_a_short_circuit_that_differ_are_told() -> None:
    told = answer(
        "short-circuit-test", short_circuit_test="1000 rpm, 8 V, 80 A; 1000 rpm, 8 V, 60 A", pole_pairs="8"
    )
    assert any("apart" in f.text for f in told.findings)


# Resistance


def test_four_wires_brought_to_20_degrees() -> None:
    """Copper at 20 °C: 0.00393 per kelvin (NBS Handbook 100, second hand); 0.0376 Ω at 84.6 °C is 0.030 Ω at 20 °C, by
    the K = 235 rule of IEC 60034-1 as well (within 0.2 %)."""
    warm = ((0.376, 10.0, 273.15 + 84.6),)
    assert bench.line_resistance(warm) == pytest.approx(0.0300, rel=2e-3)
    assert bench.line_resistance(((0.150, 5.0, None),)) == pytest.approx(0.030)


def test_pairs_that_differ_are_named_with_what_it_means() -> None:
    told = answer("resistance-test", resistance_test="180 mV, 5 A; 181 mV, 5 A; 200 mV, 5 A")
    odd = next(f for f in told.findings if f.severity == "caution")
    assert "row 3 is 11 % above" in odd.text  # 200/180
    for cause in ("clips", "joint", "shorted turns"):
        assert cause in odd.do
    sound = answer(
        "resistance-test", resistance_test="180 mV, 5 A, 20 °C; 181 mV, 5 A, 20 °C; 182 mV, 5 A, 20 °C"
    )
    assert severities(sound) <= {"ok"}
    assert told.results["spread"] > 2 * sound.results["spread"]


def test_one_pair_is_too_few_to_see_a_fault() -> None:
    told = answer("resistance-test", resistance_test="180 mV, 5 A")
    assert told.results["line_resistance"] == pytest.approx(0.036)
    assert any("three pairs" in f.text for f in told.findings)


# Friction


def test_coast_down_is_inertia_times_deceleration() -> None:
    """First principles: 0.0035 kg·m² that loses 20 rpm about 1,000 rpm in 20.94 ms is held by 0.35 N·m."""
    told = answer(
        "friction-test",
        coast_down_test="1010 rpm, 990 rpm, 0.05 s",
        rotor_inertia="0.0035 kg·m² ± 0, measured",
    )
    assert told.results["friction_torque"] == pytest.approx(0.0035 * 20 * RPM / 0.05, rel=1e-3)


@pytest.mark.parametrize("iron", [0.3, 0.5, 0.7])
def test_a_coast_down_followed_in_time_gives_the_friction_at_1000_rpm(iron: float) -> None:
    """A rotor slowed by the law of docs/method-drive.md, Losses, stepped in time; another iron share than the half
    that is counted moves it by a few per cent."""
    friction, inertia, speed, time, step = 0.35, 0.0035, 2000 * RPM, 0.0, 1e-4
    while speed > 500 * RPM:
        n = speed / RPM / 1000
        torque = friction * (iron * (0.5 + 0.5 * n) + (1 - iron) * (0.9 + 0.1 * n * n))
        speed, time = speed - torque / inertia * step, time + step
    found = bench.friction_torque(((2000 * RPM, 500 * RPM, time),), inertia)
    assert found == pytest.approx(friction, rel=2e-3 if iron == 0.5 else 0.04)


def test_a_long_fall_and_many_rows_are_trusted_more() -> None:
    short = bench.friction_spread(((100.0, 50.0, 0.5),))
    long = bench.friction_spread(((200.0, 50.0, 3.0),))
    many = bench.friction_spread(((200.0, 50.0, 3.0),) * 4)
    assert short > 2 * long > 2 * many


def test_the_ways_to_friction() -> None:
    """50 V and 0.8 A at 1,000 rpm through a controller of 95 %: 38 W over 104.7 rad/s, 0.363 N·m."""
    driven = answer("friction-test", no_load_test="1000 rpm, 50 V, 0.8 A", controller_efficiency="95 %")
    assert driven.results["friction_torque"] is None
    assert driven.results["friction_by_drive"] == pytest.approx(0.95 * 40 / (1000 * RPM))
    both = {"no_load_test": "1000 rpm, 50 V, 0.8 A", "rotor_inertia": "0.0035 kg·m², measured"}
    agree = answer("friction-test", coast_down_test="2000 rpm, 500 rpm, 1.57 s", **both)
    assert any("the two agree" in f.text for f in agree.findings)
    differ = answer("friction-test", coast_down_test="2000 rpm, 500 rpm, 5 s", **both)
    assert any("the two differ" in f.text and f.severity == "caution" for f in differ.findings)
    with pytest.raises(InputError) as nothing:
        answer("friction-test")
    assert "Run-down" in str(nothing.value)


def test_a_coast_down_that_gains_speed_is_refused() -> None:
    told = answer("friction-test", coast_down_test="1000 rpm, 500 rpm, 0.5 s; 500 rpm, 1000 rpm, 0.5 s")
    assert told.results["friction_torque"] is None
    assert "Row 2" in told.findings[0].text and told.findings[0].severity == "stop"


# Insulation


@given(st.floats(1e3, 1e9), st.floats(1e5, 1e8), st.floats(6, 100))
def test_insulation_undoes_the_divider(ohms: float, meter: float, supply: float) -> None:
    """First principles: supply, insulation and meter in series; the meter shows its share."""
    shown = supply * meter / (meter + ohms)
    if shown > supply / 1000:
        assert insulation.insulation_resistance(((supply, shown, supply),), meter) == pytest.approx(
            ohms, rel=1e-4
        )
    else:
        assert insulation.insulation_resistance(((supply, shown, supply),), meter) <= ohms


def test_the_worst_winding_counts() -> None:
    assert insulation.insulation_resistance(((48.0, 0.1, 48.0), (48.0, 4.0, 48.0)), 1e7) == pytest.approx(
        1e7 * 11
    )


@pytest.mark.parametrize(("volts", "least"), [(42.0, 21e3), (58.4, 29.2e3), (60.0, 30e3)])
def test_least_insulation(volts: float, least: float) -> None:
    """UN Regulation No. 100: 500 Ω for each volt where an alternating circuit is joined to the pack; 100 Ω, a fifth of
    it, is for direct current alone. 58.4 V: 29.2 kΩ."""
    assert insulation.insulation_needed(volts) == pytest.approx(least)


PACK = {"chemistry": "lfp", "series": "16"}


def test_a_reading_of_nothing_says_more_than() -> None:
    told = answer(
        "insulation-test",
        insulation_test="48 V, 0 V, 48 V; 48 V, 0 V, 48 V",
        meter_resistance="10 MΩ, rated",
        **PACK,
    )
    assert told.report.headline == "more than 9990 MΩ"
    assert severities(told) == {"ok"}
    assert all(row["told"] == "at least" for row in told.results["rows"])


def test_too_little_insulation_stops() -> None:
    tester = answer("insulation-test", insulation_resistance="3 kΩ, measured", **PACK)
    assert tester.findings[0].severity == "stop"
    assert "29.2 kΩ" in tester.findings[0].text and "Don't connect a pack" in tester.findings[0].do
    between = answer("insulation-test", insulation_resistance="20 kΩ, measured", **PACK)
    assert between.findings[0].severity == "stop"  # more than 100 Ω/V, less than 500
    near = answer("insulation-test", insulation_resistance="30 kΩ ± 2 kΩ, measured", **PACK)
    assert near.findings[0].severity == "stop" and "believable" in near.findings[0].text
    dirty = answer("insulation-test", insulation_resistance="500 kΩ, measured", **PACK)
    assert dirty.findings[0].severity == "caution" and "1 MΩ" in dirty.findings[0].text


def test_a_short_to_the_case_is_never_told_apart_by_two_readings() -> None:
    """A dead short shows the supply itself; a meter that is 1 % off makes that look like 100 kΩ, above the limit."""
    for shown in ("47.6 V", "48 V", "48.3 V"):
        for pack in (PACK, {}):
            told = answer(
                "insulation-test", insulation_test=f"48 V, {shown}, 48 V; 48 V, 0.1 V, 48 V", **pack
            )
            assert told.findings[0].severity == "stop", (shown, pack)


def test_more_than_the_supply_is_refused() -> None:
    told = answer("insulation-test", insulation_test="48 V, 53 V, 53 V")
    assert told.results["insulation_resistance"] is None
    assert "Row 1" in told.findings[0].text and "53 V" in told.findings[0].text


def test_without_a_pack_the_limit_waits_but_the_value_is_told() -> None:
    told = answer(
        "insulation-test", insulation_test="48 V, 0.4 V, 48 V; 48 V, 0.2 V, 48 V", meter_resistance="10 MΩ"
    )
    assert told.results["insulation_resistance"] == pytest.approx(1.19e9)
    assert told.results["insulation_needed"] is None


# Words that keep people whole


def test_no_test_without_field_relies_on_a_diode() -> None:
    """A diode closes the field coil for one polarity; changing stator currents drive both (transformer)."""
    for key in ("line_resistance", "resistance_test"):
        assert "bolted together" in FIELDS[key].how_to_measure and "diode" not in FIELDS[key].how_to_measure
    page = (PAGES / "bench-tests.md").read_text()
    resistance = page[page.index("{#resistance}") : page.index("{#short-circuit}")]
    assert "bolted together" in resistance and "diode" not in resistance


def test_a_coast_down_lets_go_by_itself() -> None:
    """Nobody is told to throw a turning belt off or to open a chuck."""
    page = (PAGES / "bench-tests.md").read_text()
    steps = page[page.index("<!-- calc: friction-test -->") :]
    assert "freewheel" in steps and "lever" in steps and "behind the guard" in steps
    assert "throw" not in steps and "chuck" not in steps
    hint = FIELDS["coast_down_test"].how_to_measure
    assert "freewheel" in hint and "never throw a belt off" in hint


# Scatter


@pytest.mark.parametrize("count", [2, 3, 5])
def test_the_spread_of_a_mean_holds_the_truth(count: int) -> None:
    """Readings off by 1 %, normally spread: the truth lies within the ± of their mean 19 times in 20 or more."""
    rng = np.random.default_rng(3)
    many = 100 * (1 + 0.01 * rng.normal(size=(500, count)))
    held = sum(abs(row.mean() - 100) <= 100 * scatter.spread_of_mean(row.tolist()) for row in many)
    assert held >= 0.95 * 500


def test_agreement_of_few_proves_little() -> None:
    assert (
        scatter.spread_of_mean([5.0])
        > scatter.spread_of_mean([5.0, 5.0])
        > scatter.spread_of_mean([5.0] * 9)
        > 0.01
    )
    assert scatter.spread_of_mean([1.0, 9.0]) == 0.5


def test_a_circuit_that_was_never_closed_proves_nothing() -> None:
    """A slipped clip shows 0 V as well: with winding and case joined the meter must show the supply."""
    told = answer("insulation-test", insulation_test="12 V, 0 V, 0 V; 12 V, 0 V, 12 V")
    assert told.results["insulation_resistance"] is None
    assert told.findings[0].severity == "stop" and "isn't proved" in told.findings[0].text


def test_a_meter_that_shows_the_whole_supply_tells_no_number() -> None:
    """A winding on the case reads the same as anything under what the meter can tell."""
    for rows in ("12 V, 12 V, 12 V", "12 V, 11.95 V, 12 V"):
        assert (
            answer("insulation-test", insulation_test=rows).report.headline == "Nearly nothing: on the case"
        )
    damp = answer("insulation-test", insulation_test="12 V, 10.9 V, 12 V")
    assert damp.report.headline == "1.01 MΩ"
