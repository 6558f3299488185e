"""What can be told while other entries are missing is told, and the rest is asked for."""

from __future__ import annotations

import math

import pytest

from calc.answer import Answer, evaluate
from calc.calculators import CALCULATORS, find
from calc.entries import parse_all
from calc.errors import InputError
from calc.fields import FIELDS

TYPED: dict[str, tuple[dict[str, str], str, float, str]] = {
    # Stop: v·t + v²/2a. Bus: three time constants. Cable: 1.21 Ω/km of 16 mm², class 5 of IEC 60228, 3 m, 60 A.
    "chain": (
        {"chain_size": "08B", "driver_teeth": "11", "driven_teeth": "60", "center_distance": "400 mm"},
        "links",
        100.0,
        "Total mass",
    ),
    "brakes": (
        {
            "road_speed": "12 km/h", "slope": "0 %", "deceleration": "2.5 m/s²", "reaction_time": "1 s",
            "braked_axle": "both", "grip": "0.8",
        },
        "stopping_distance",
        12 / 3.6 + (12 / 3.6) ** 2 / 5.0,
        "Total mass",
    ),
    "precharge": (
        {"supply_voltage": "58.4 V", "precharge_resistor": "100 ohm", "bus_capacitance": "1000 uF"},
        "time",
        -math.log(0.05) * 0.1,
        "Cells in series",
    ),
    "conductor": (
        {"current": "60 A", "loop_length": "3 m", "cross_section": "16 mm²", "conductor_temperature": "20 °C"},
        "drop",
        60 * 3 * 1.21e-3,
        "Cells in series",
    ),
    "overspeed": (
        {
            "emf_constant": "10 V/krpm", "gear_ratio": "6", "wheel_diameter": "400 mm", "descent_speed": "20 km/h",
            "cold_field": "no",
        },
        "emf_peak",
        0.0,
        "Cells in series",
    ),
}  # fmt: skip


def told(calculator: str, typed: dict[str, str]) -> Answer:
    known = {key: text for key, text in typed.items() if key in FIELDS}
    return evaluate(find(calculator), [("given", parse_all(known, FIELDS)), ("sheet", {})])


@pytest.mark.parametrize("calculator", TYPED)
def test_the_first_answer_comes_without_the_rest(calculator: str) -> None:
    typed, key, expected, waits = TYPED[calculator]
    found = told(calculator, typed)
    if expected:
        assert found.results[key] == pytest.approx(expected, rel=0.02)
    assert found.results[key] is not None and key in found.told
    asked = next(f for f in found.findings if f.text.startswith("Only this can be told yet"))
    assert asked.severity == "caution" and f"“{waits}" in asked.do
    untold = [k for k, value in found.results.items() if value is None]
    assert untold and not set(untold) & set(found.told)


@pytest.mark.parametrize("calculator", TYPED)
def test_where_even_the_first_waits_everything_is_asked_for(calculator: str) -> None:
    with pytest.raises(InputError):
        told(calculator, {})


def test_what_is_told_early_is_what_is_told_in_full() -> None:
    typed = TYPED["chain"][0]
    rest = {
        "slope": "8 %", "total_mass": "250 kg", "chemistry": "lfp", "series": "16", "pack_capacity": "100 Ah",
    }  # fmt: skip
    early, full = told("chain", typed), told("chain", typed | rest)
    for name in early.told:
        assert full.results[name] == pytest.approx(early.results[name]), name
    assert not any("Only this" in f.text for f in full.findings)


def test_a_stop_that_rests_on_what_was_entered_is_not_kept_back() -> None:
    """60 A through 1.5 mm² burns, whatever pack there is; so does a fuse of 200 A before 4 mm²."""
    thin = told("conductor", {"current": "60 A", "loop_length": "3 m", "cross_section": "1.5 mm²"})
    assert any(f.severity == "stop" and "Fire risk" in f.text for f in thin.findings)
    large = told(
        "fuse", {"current": "60 A", "fuse_kind": "gG", "fuse_rating": "200 A", "cross_section": "4 mm²"}
    )
    assert any(f.severity == "stop" and "Fire risk" in f.text for f in large.findings)
    touching = told("chain", {**TYPED["chain"][0], "center_distance": "60 mm"})
    assert any(f.severity == "stop" and "touch" in f.text for f in touching.findings)


def test_what_no_slope_allows_is_said_in_words() -> None:
    runs = told("brakes", {**TYPED["brakes"][0], "slope": "30 %", "deceleration": "1.5 m/s²"})
    assert runs.report.headline == "doesn't stop" and runs.results["stopping_distance"] is None


def test_a_heat_run_is_read_without_the_ride() -> None:
    sample = FIELDS["heat_run"].sample()
    found = told(
        "winding-heat", {"heat_run": sample, "heat_run_current": "30 A", "line_resistance": "36 mohm"}
    )
    assert found.results["run_end"] is not None and "heat run" in found.report.aside


def test_early_results_are_results_of_their_calculator() -> None:
    for c in CALCULATORS.values():
        assert set(c.early) <= {r.key for r in c.gives}, c.id
