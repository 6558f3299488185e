"""Stall test by lever and scale: made from a machine whose values are known, and given back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import calculators
from calc.answer import Answer, evaluate
from calc.build import Build
from calc.entries import parse, parse_all
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.machine import stall
from calc.sheet import Sheet
from calc.verdict import judge


def field_at_sensor(
    theta: float, current: float, gap_inductance: float, linkage: float, sensor: float
) -> float:
    """What a sensor on the axis `sensor` sees at rotor angle `theta` with one pair fed, linkages, first principles.

    The rotor's linkage lies along theta; the pair's current vector, 2/√3·I long, a
    quarter turn further. No formula of the package is used.
    """
    pair = (
        np.pi / 2.0
    )  # torque is greatest with the rotor at 0, so the current stands a quarter turn ahead of it
    seen = linkage * np.exp(1j * theta) + gap_inductance * 2.0 / np.sqrt(3.0) * current * np.exp(1j * pair)
    return float((seen * np.exp(-1j * sensor)).real)


def lamp_change(about: float, current: float, gap_inductance: float, linkage: float) -> float:
    """Rotor angle at which the sensor that would change at `about` without current does change (bisection)."""
    sensor = about + np.pi / 2.0
    low, high = about - 1.5, about + 1.5
    sign = field_at_sensor(low, current, gap_inductance, linkage, sensor) > 0
    for _ in range(60):
        middle = (low + high) / 2.0
        if (field_at_sensor(middle, current, gap_inductance, linkage, sensor) > 0) == sign:
            low = middle
        else:
            high = middle
    return low


def row(current: float, constant: float, gap_inductance: float, pairs: float, late: float = 0.0) -> tuple:
    """A row as a lever would read it: torque √2·E/ω·I·cos(angle) at the two lamp changes."""
    linkage = np.sqrt(2.0 / 3.0) * constant / pairs
    peak = np.sqrt(2.0) * constant * current
    ends = (lamp_change(x + late, current, gap_inductance, linkage) for x in (-np.pi / 6, np.pi / 6))
    return (current, *(peak * float(np.cos(angle)) / 0.4 for angle in ends), 0.4)


@given(st.floats(0.04, 0.2), st.floats(0.0, 0.8), st.integers(4, 9), st.floats(1.6, 5.0))
def test_an_invented_machine_is_given_back(constant: float, most: float, pairs: int, factor: float) -> None:
    """Edges found by the sum of both fields at each sensor: torque constant, place of the sensors, shift."""
    amps = 100.0
    gap = most * np.sqrt(2.0 / 3.0) * constant / pairs / amps  # sin of the shift at 100 A is `most`
    test = tuple(row(current, constant, gap, pairs) for current in (amps / factor, amps))
    assert stall.stall_torque_constant(test) == pytest.approx(3 / np.pi * np.sqrt(2) * constant, rel=1e-6)
    share, start, _ = stall.fit(test)
    assert start == pytest.approx(0.0, abs=1e-6)
    assert share * amps == pytest.approx(most, abs=1e-6)


@given(st.floats(0.0, 0.5), st.floats(-0.26, 0.26))
def test_sensors_off_their_place_are_told_too(most: float, late: float) -> None:
    """Up to 15° out the two edges no longer shift alike, which one common shift leaves out."""
    constant, pairs, amps = 0.1, 8, 100.0
    gap = most * np.sqrt(2.0 / 3.0) * constant / pairs / amps
    test = tuple(row(current, constant, gap, pairs, late) for current in (amps / 4, amps))
    assert stall.stall_torque_constant(test) == pytest.approx(3 / np.pi * np.sqrt(2) * constant, rel=0.04)
    share, start, _ = stall.fit(test)
    assert start == pytest.approx(late, abs=0.03)
    assert share * amps == pytest.approx(most, rel=0.25, abs=1e-6)


def test_leakage_is_what_the_shift_leaves_of_the_inductance() -> None:
    """240 µH between leads, 10.5 V/krpm, 6 pairs: at 60 A the whole star inductance would make I₁·L/λ by hand."""
    constant, pairs, line = 0.1, 6, 240e-6
    linkage = np.sqrt(2 / 3) * constant / pairs
    whole = 1.10266 * 60 * line / 2 / linkage
    for leakage in (0.1, 0.4, 0.8):
        gap = (1 - leakage) * whole * linkage / 60
        test = tuple(row(current, constant, gap, pairs) for current in (20.0, 60.0))
        assert stall.leakage_share(test, constant, line, pairs) == pytest.approx(leakage, abs=1e-4)
    many = stall.leakage_share(test, np.full(3, constant), line, pairs)
    assert many == pytest.approx(np.full(3, 0.8), abs=1e-4)


def test_more_rows_and_currents_further_apart_are_trusted_more() -> None:
    def off(*currents: float) -> float:
        return stall.fit(tuple(row(current, 0.1, 5e-5, 8) for current in currents))[2]

    assert off(60, 100) > off(20, 100) > off(20, 20, 20, 100, 100, 100)


def test_scatter_widens_the_spread() -> None:
    neat = [row(current, 0.1, 5e-5, 8) for current in (30, 30, 30, 100, 100, 100)]
    rough = [
        (i, b * (1 + k), e * (1 - k), r)
        for (i, b, e, r), k in zip(neat, (0.05, -0.05, 0.05) * 2, strict=True)
    ]
    assert stall.fit(tuple(rough))[2] > 1.5 * stall.fit(tuple(neat))[2]


GOOD = tuple(row(current, 0.1, 5e-5, 8) for current in (30.0, 100.0))
WRONG = {
    "one row": (GOOD[:1], "1 row at about one current"),
    "one current": ((GOOD[1], GOOD[1]), "2 rows at about one current"),
    "kilograms as newtons": ((GOOD[0], (100.0, GOOD[1][1] / 9.81, GOOD[1][2] / 9.81, 0.4)), "Rows 1 and 2"),
    "swapped": (tuple((i, e, b, r) for i, b, e, r in GOOD), "makes the sensors late"),
    "no pull": (((30.0, 0.0, 0.0, 0.4), GOOD[1]), "Row 1 of the stall test has no pull"),
    "too far": (((30.0, 14.0, 14.0, 0.4), (100.0, 0.0, 47.0, 0.4)), ""),
}


@pytest.mark.parametrize("case", WRONG)
def test_readings_that_contradict_are_named(case: str) -> None:
    test, said = WRONG[case]
    with pytest.raises(NoSolution) as none:
        stall.leakage_share(test, 0.1, 100e-6, 8)
    assert said in none.value.text and none.value.do


def told(**texts: str) -> Answer:
    entries = {key: parse(FIELDS[key], text) for key, text in texts.items()}
    return evaluate(calculators.find("stall-test"), [("given", entries)])


MACHINE = {"pole_pairs": "8", "emf_constant": "0.1 V·s/rad, measured", "line_inductance": "125 µH, measured"}
TEXT = "; ".join(f"{i:g} A, {b:.3f} N, {e:.3f} N, {r:g} m" for i, b, e, r in GOOD)


def test_lever_and_spin_test_are_compared() -> None:
    agree = told(stall_test=TEXT, **MACHINE)
    first = agree.findings[0]
    assert first.severity == "ok" and "0.135 N·m/A" in first.text and "agree" in first.text
    differ = told(stall_test=TEXT, **{**MACHINE, "emf_constant": "0.13 V·s/rad, measured"})
    assert differ.findings[0].severity == "caution" and "differ" in differ.findings[0].text


def test_sensors_far_off_their_place_are_to_be_mended_first() -> None:
    rows = (row(current, 0.1, 5e-5, 8, 0.3) for current in (30.0, 100.0))
    text = "; ".join(f"{i:g} A, {b:.3f} N, {e:.3f} N, {r:g} m" for i, b, e, r in rows)
    assert any(
        "out of place" in f.text and f.severity == "caution"
        for f in told(stall_test=text, **MACHINE).findings
    )


def test_without_a_spin_test_the_lever_gives_the_emf_constant() -> None:
    """0.1 V·s/rad is 10.47 V for each 1,000 turns a minute (2π·1000/60 · 0.1)."""
    alone = told(stall_test=TEXT, pole_pairs="8", line_inductance="125 µH, measured")
    assert alone.results["emf_constant"] == pytest.approx(0.1, rel=1e-4)
    assert "10.5 V/krpm" in alone.findings[0].do
    known = told(stall_test=TEXT, **MACHINE)
    assert alone.results["spread"] > 1.2 * known.results["spread"]


def test_a_single_reading_is_refused_with_what_to_add() -> None:
    one = told(stall_test=TEXT.split(";")[0], **MACHINE)
    assert one.results["leakage_share"] is None
    assert one.findings[0].severity == "stop" and "one current" in one.findings[0].text
    assert "1.5 times" in one.findings[0].do


def test_a_scale_may_show_kilograms() -> None:
    """9.80665 N for each kilogram that a scale shows: standard gravity."""
    newtons = parse(FIELDS["stall_test"], "50 A, 19.6133 N, 9.80665 N, 0.5 m").value
    for words in (
        "50 A, 2 kg, 1 kg, 0.5 m",
        "50 A, 2 kgf, 1 kgf, 500 mm",
        "50 A, 4.409245 lb, 2.204623 lb, 50 cm",
    ):
        assert parse(FIELDS["stall_test"], words).value[0] == pytest.approx(newtons[0], rel=1e-6)
    kilograms = "; ".join(
        f"{i:g} A, {b / 9.80665:.6f} kg, {e / 9.80665:.6f} kg, {r:g} m" for i, b, e, r in GOOD
    )
    assert told(stall_test=kilograms, **MACHINE).results["leakage_share"] == pytest.approx(
        told(stall_test=TEXT, **MACHINE).results["leakage_share"], abs=1e-4
    )


def test_seconds_per_reading_fall_with_the_square_of_the_current() -> None:
    rows = told(stall_test=TEXT, **MACHINE).results["rows"]
    assert rows[0]["seconds"] / rows[1]["seconds"] == pytest.approx((100 / 30) ** 2)


def test_the_build_draws_what_the_lever_leaves_open(cart: Sheet) -> None:
    drawn = np.asarray(Build.of([("sheet", cart.entries)]).drawn()["leakage_share"])
    assert drawn.mean() == pytest.approx(0.4, abs=0.02) and 0.01 < drawn.std() < 0.06


def test_a_contradictory_stall_test_stops_the_start_and_says_why(cart: Sheet) -> None:
    wrong = Sheet(
        {**cart.entries, **parse_all({"stall_test": "50 A, 20 N, 20 N, 0.5 m"}, FIELDS)}, cart.document
    )
    start = next(j for j in judge(wrong).checks if j.check.id == "start")
    assert start.severity == "stop" and "one current" in start.text
