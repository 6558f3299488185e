"""Star and delta: invariants of reconnecting, the ring's current, and which one a build needs."""

from __future__ import annotations

import json

import numpy as np
import pytest

from calc.calculators.connection import STAR_DELTA
from calc.cli import main
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.machine import connection
from calc.sheet import Sheet
from calc.spec import Answer, evaluate


def answer(cart: Sheet | None = None, **texts: str) -> Answer:
    entries = parse_all(texts, FIELDS)
    return evaluate(
        STAR_DELTA, [("given", entries), ("sheet", cart.entries)] if cart else [("sheet", entries)]
    )


def words(a: Answer) -> str:
    return " ".join(f"{f.severity}: {f.text} {f.do}" for f in a.findings)


MACHINE = {
    "emf_constant": "18 V/krpm",
    "line_resistance": "90 mΩ",
    "line_inductance": "300 µH",
    "connection": "star",
}


def test_reconnecting_keeps_what_it_must(cart: Sheet) -> None:
    """Identities of the same coils: Ke, Kt by 1/√3, R and L by 1/3, current and no-load speed by √3, Kt/√R the same."""
    star, delta = answer(cart, **MACHINE).results["both"]
    root = np.sqrt(3)
    for key in ("emf_constant", "torque_constant"):
        assert delta[key] == pytest.approx(star[key] / root, rel=1e-12)
    for key in ("line_resistance", "line_inductance"):
        assert delta[key] == pytest.approx(star[key] / 3, rel=1e-12)
    for key in ("current", "no_load_speed"):
        assert delta[key] == pytest.approx(star[key] * root, rel=1e-12)
    assert delta["copper_loss"] == pytest.approx(star["copper_loss"], rel=1e-12)
    ratios = [row["torque_constant"] / np.sqrt(row["line_resistance"]) for row in (star, delta)]
    assert ratios[0] == pytest.approx(ratios[1], rel=1e-12)


def test_resistances_of_coils_joined_by_hand() -> None:
    """Three coils of 30 mΩ (Sarafianos and others 2015): a delta shows 20 mΩ between leads, a star 60 mΩ."""
    coil = 0.030
    delta = 1 / (1 / coil + 1 / (2 * coil))
    assert delta == pytest.approx(0.020)
    ratio = connection.IMPEDANCE_RATIO
    assert connection.in_connection(2 * coil, ratio, "star", "delta") == pytest.approx(delta)
    assert connection.in_connection(delta, ratio, "delta", "star") == pytest.approx(2 * coil)


def test_hottest_coil_by_current_division() -> None:
    """Stalled in one sector: a star's two coils in series, a delta's one beside two."""
    current, coil = 60.0, 0.030
    direct, round_ = current * 2 / 3, current / 3
    whole = coil * (direct**2 + 2 * round_**2)
    assert coil * direct**2 / whole == pytest.approx(connection.HOTTEST_COIL["delta"])
    assert connection.HOTTEST_COIL["star"] == 0.5


def test_ring_current_by_summing_three_coils() -> None:
    """An open corner shows three third-harmonic volts in step; closed, they meet three coils in series."""
    coil_resistance, speed, pairs, leakage, inductance = 0.030, 200.0, 8, 0.4, 130e-6
    v3 = 0.5
    z = 3 * complex(coil_resistance, 3 * pairs * speed * leakage * 1.5 * inductance)
    between = coil_resistance / 1.5
    current = connection.circulating_current(3 * v3, speed, pairs, between, inductance, leakage)
    assert current == pytest.approx(abs(3 * v3 / z))
    assert connection.circulating_loss(current, between) == pytest.approx(3 * current**2 * coil_resistance)


def test_star_has_nothing_in_a_ring_and_delta_only_what_was_measured(cart: Sheet) -> None:
    star, delta = answer(cart).results["both"]
    assert star["circulating_current"] == 0
    assert delta["circulating_current"] > 0
    a = answer(**MACHINE)
    assert a.results["circulating_current"] is None
    assert "open one corner" in words(a)


def test_a_turned_coil_is_told_by_its_open_corner(cart: Sheet) -> None:
    """One of three equal phasors reversed: the sum is twice a coil's volts."""
    phasors = np.exp(2j * np.pi * np.arange(3) / 3) * np.array([1, 1, -1])
    assert abs(phasors.sum()) == pytest.approx(2.0)
    volts = 2 * 11.02 * 1.5
    assert "turned over" in words(answer(cart, corner_test=f"1500 rpm, {volts:.1f} V"))
    assert "turned over" not in words(answer(cart, corner_test="1500 rpm, 3 V"))
    assert "differ by" in words(answer(cart, corner_test="1500 rpm, 3 V; 1500 rpm, 1 V"))


def test_chorded_winding_has_no_third_harmonic(cart: Sheet) -> None:
    """Pitch 2/3 kills the third harmonic: 48 slots, 16 poles, span 2, two layers."""
    assert "cancels the third harmonic" in words(answer(cart, coil_span="2", layers="2"))


def test_sensors_move_by_30_degrees(cart: Sheet) -> None:
    """One slot per pole and phase, full pitch: right in a slot for delta, 30° out for star."""
    star, delta = answer(cart).results["both"]
    assert delta["alignment_error"] == pytest.approx(0, abs=1e-9)
    assert abs(star["alignment_error"]) == pytest.approx(np.pi / 6)
    star, delta = answer(cart, alignment_error="10 deg").results["both"]
    assert delta["alignment_error"] == pytest.approx(np.radians(10))
    assert star["alignment_error"] == pytest.approx(np.radians(-20))


def test_two_slots_per_pole_and_phase_are_15_degrees_out_both_ways(cart: Sheet) -> None:
    rows = answer(cart, slots="96", coil_span="6", layers="1", sensor_slots="0, 4, 8").results["both"]
    assert [abs(row["alignment_error"]) for row in rows] == pytest.approx([np.pi / 12] * 2)


@pytest.mark.parametrize(
    ("texts", "headline", "verdicts"),
    [
        ({}, "stay with delta", ["suits", "suits"]),
        ({"phase_current_limit": "40 A"}, "change to star", ["suits", "too weak"]),
        ({"phase_current_limit": "20 A"}, "neither", None),
        ({"road_speed": "20 km/h"}, "stay with delta", ["too slow", "suits"]),
        (
            {"road_speed": "20 km/h", "connection": "star", "emf_constant": "19 V/krpm"},
            "change to delta",
            None,
        ),
        ({"road_speed": "20 km/h", "phase_current_limit": "40 A"}, "neither", ["too slow", "too weak"]),
    ],
)
def test_choice_by_current_limit_and_speed(
    cart: Sheet, texts: dict[str, str], headline: str, verdicts: list[str] | None
) -> None:
    a = answer(cart, **texts)
    assert a.report.headline == headline
    if verdicts:
        assert [row["suits"] for row in a.results["suits"]] == verdicts


def test_without_a_load_no_choice_is_claimed() -> None:
    a = answer(**MACHINE)
    assert a.results["suits"] is None
    assert a.report.headline == "star"


def test_winding_that_cannot_be_wound_gives_no_timing(cart: Sheet) -> None:
    rows = answer(cart, slots="50", alignment_error="0 deg").results["both"]
    assert rows[0]["alignment_error"] is not None
    assert answer(slots="50", pole_pairs="8", **MACHINE).results["both"][0]["alignment_error"] is None


def test_command_line_gives_both_in_one_table(capsys: pytest.CaptureFixture[str]) -> None:
    line = [
        "run",
        "star-delta",
        "emf_constant=18 V/krpm",
        "line_resistance=90 mohm",
        "connection=star",
        "--json",
    ]
    assert main(line) == 0
    both = json.loads(capsys.readouterr().out)["results"]["both"]
    assert [row["connection"] for row in both["value"]] == ["star", "delta"]
    assert both["value"][1]["emf_constant"] == pytest.approx(18 / np.sqrt(3))
    assert both["columns"]["line_resistance"] == "mohm"
