"""Stall test by lever and scale: made from a machine whose values are known, and given back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

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
from calc.machine import stall, stall_tape
from calc.sheet import Sheet
from calc.verdict import judge


class Rotor(NamedTuple):
    """A machine by first principles, star-equivalent, SI: inductances along and across its poles, and the parts of them
    whose field the sensors see."""

    linkage: float
    pairs: int
    along: float
    across: float
    seen_along: float
    seen_across: float

    def currents(self, theta: float, amps: float) -> complex:
        """The current as the rotor at `theta` sees it (along + j·across): 2/√3·I long, a quarter turn from angle 0."""
        return 2.0 / np.sqrt(3.0) * amps * np.exp(1j * (np.pi / 2.0 - theta))

    def at_sensor(self, theta: float, amps: float, sensor: float) -> float:
        """What a sensor on the axis `sensor` sees, linkages."""
        own = self.currents(theta, amps)
        seen = self.linkage + self.seen_along * own.real + 1j * self.seen_across * own.imag
        return float((seen * np.exp(1j * (theta - sensor))).real)

    def lamp_change(self, about: float, amps: float, threshold: float = 0.0) -> float:
        """Rotor angle at which the sensor that would change at `about` without current does change (bisection).

        threshold: the linkage at which it changes; 0 for a sensor that answers to both poles alike.
        """
        sensor = about + np.pi / 2.0
        low, high = about - 1.2, about + 1.2
        sign = self.at_sensor(low, amps, sensor) > threshold
        for _ in range(60):
            middle = (low + high) / 2.0
            if (self.at_sensor(middle, amps, sensor) > threshold) == sign:
                low = middle
            else:
                high = middle
        return low

    def torque(self, theta: float, amps: float) -> float:
        own = self.currents(theta, amps)
        return 1.5 * self.pairs * (self.linkage + (self.along - self.across) * own.real) * own.imag


LEVER = 0.4


def machine(constant: float, pairs: int, along: float, seen: float, across: float = 1.0) -> Rotor:
    """seen: part of the inductance whose field the sensors see; across: inductance across over that along."""
    linkage = np.sqrt(2.0 / 3.0) * constant / pairs
    return Rotor(linkage, pairs, along, across * along, seen * along, seen * across * along)


def row(current: float, rotor: Rotor, late: float = 0.0, wider: float | None = None) -> tuple:
    """A row as lever, scale and tape would read it at the two lamp changes.

    wider: by how much each end lies outside its place, for sensors that answer to one pole; None: the two marks'
    distance isn't noted.
    """
    threshold = rotor.linkage * np.sin(wider or 0.0)
    ends = [(side * np.pi / 6 + late, side * threshold) for side in (-1, 1)]
    marks = [rotor.lamp_change(about, 0.0, at) for about, at in ends]
    changes = [rotor.lamp_change(about, current, at) for about, at in ends]
    pulls = (rotor.torque(angle, current) / LEVER for angle in changes)
    moved = ((m - c) / rotor.pairs * LEVER for m, c in zip(marks, changes, strict=True))
    between = None if wider is None else (marks[1] - marks[0]) / rotor.pairs * LEVER
    return (current, *pulls, LEVER, *moved, between)


def constant_of(test: tuple, pairs: int) -> float:
    return stall.stall_torque_constant(test, pairs) / (3 / np.pi * np.sqrt(2))


@given(st.floats(0.04, 0.2), st.floats(0.1, 0.8), st.integers(4, 9), st.floats(1.6, 5.0))
def test_an_invented_machine_is_given_back(constant: float, most: float, pairs: int, factor: float) -> None:
    """Edges found by the sum of both fields at each sensor: torque constant, place of the sensors, shift."""
    amps = 100.0
    rotor = machine(constant, pairs, most * np.sqrt(2.0 / 3.0) * constant / pairs / amps, 1.0)
    test = tuple(row(current, rotor) for current in (amps / factor, amps))
    assert constant_of(test, pairs) == pytest.approx(constant, rel=1e-6)
    assert stall.stall_lateness(test, pairs) == pytest.approx(0.0, abs=1e-6)
    assert stall_tape.fit(test, float(pairs))[0] * amps == pytest.approx(most, abs=1e-6)
    assert stall.cross_share(test, constant, 2 * rotor.along, pairs)[0] == pytest.approx(1.0, abs=1e-4)


@given(st.floats(0.1, 0.7), st.floats(0.6, 1.2), st.floats(-0.1, 0.1))
def test_torque_of_the_rotors_shape_is_no_shift_of_the_sensors(
    most: float, across: float, late: float
) -> None:
    """The shift is read off the tape: another inductance across the poles changes the pulls, and leaves it alone."""
    constant, pairs, amps = 0.1, 8, 100.0
    plain = machine(constant, pairs, most / 0.7 * np.sqrt(2 / 3) * constant / pairs / amps, 0.7)
    shaped = plain._replace(across=across * plain.along)
    one, other = (tuple(row(i, rotor, late) for i in (amps / 3, amps)) for rotor in (plain, shaped))
    assert stall_tape.fit(other, 8.0)[0] == pytest.approx(stall_tape.fit(one, 8.0)[0], rel=1e-9)
    assert constant_of(other, pairs) == pytest.approx(constant, rel=0.02)
    assert stall.stall_lateness(other, pairs) == pytest.approx(late, abs=0.03)
    assert stall.cross_share(other, constant, 2 * plain.along, pairs)[0] == pytest.approx(across, abs=0.1)


@given(st.floats(0.2, 0.6), st.floats(0.6, 1.2))
def test_where_the_sensors_see_the_shape_too_its_own_values_still_come_out(
    most: float, across: float
) -> None:
    constant, pairs, amps = 0.1, 8, 100.0
    rotor = machine(constant, pairs, most / 0.7 * np.sqrt(2 / 3) * constant / pairs / amps, 0.7, across)
    test = tuple(row(i, rotor) for i in (amps / 3, amps))
    assert constant_of(test, pairs) == pytest.approx(constant, rel=0.03)
    assert stall.cross_share(test, constant, 2 * rotor.along, pairs)[0] == pytest.approx(across, abs=0.15)


@given(st.floats(0.1, 0.5), st.floats(-0.26, 0.26))
def test_sensors_off_their_place_are_told_too(most: float, late: float) -> None:
    """Up to 15° out the two edges no longer shift alike, which one common shift leaves out."""
    constant, pairs, amps = 0.1, 8, 100.0
    rotor = machine(constant, pairs, most * np.sqrt(2.0 / 3.0) * constant / pairs / amps, 1.0)
    test = tuple(row(current, rotor, late) for current in (amps / 4, amps))
    assert constant_of(test, pairs) == pytest.approx(constant, rel=0.04)
    assert stall.stall_lateness(test, pairs) == pytest.approx(late, abs=0.03)
    assert stall_tape.fit(test, 8.0)[0] * amps == pytest.approx(most, rel=0.25, abs=1e-6)


@pytest.mark.parametrize("late", [-0.45, 0.44])
@pytest.mark.parametrize("across", [0.7, 1.25])
def test_no_false_place_is_taken_for_the_sensors(late: float, across: float) -> None:
    """Sensors 25° out: a place near 0 fits nearly as well, with thrice the inductance across; the best one counts, and
    no sound row is called a contradiction."""
    constant, pairs, amps = 0.1, 5, 60.0
    rotor = machine(constant, pairs, 0.5 / 0.7 * np.sqrt(2 / 3) * constant / pairs / amps, 0.7, across)
    test = tuple(row(i, rotor, late) for i in (amps / 2.5, amps))
    assert constant_of(test, pairs) == pytest.approx(constant, rel=1e-4)
    assert stall.stall_lateness(test, pairs) == pytest.approx(late, abs=1e-3)
    assert stall.cross_share(test, constant, 2 * rotor.along, pairs)[0] == pytest.approx(across, abs=1e-2)


@given(st.floats(0.1, 0.6), st.floats(-0.35, 0.35), st.floats(0.7, 1.2))
def test_with_the_marks_distance_wide_and_narrow_sectors_tell_the_same(
    most: float, wider: float, across: float
) -> None:
    """Sensors that answer to one pole: sectors of 20° to 100° in turn."""
    constant, pairs, amps = 0.1, 8, 100.0
    rotor = machine(constant, pairs, most / 0.7 * np.sqrt(2 / 3) * constant / pairs / amps, 0.7)
    test = tuple(row(i, rotor, 0.0, wider) for i in (amps / 3, amps))
    assert np.degrees(stall_tape.widths(test, 8.0)[0]) == pytest.approx(60 + 2 * np.degrees(wider), abs=1e-6)
    assert stall_tape.fit(test, 8.0)[0] * amps == pytest.approx(most, abs=1e-6)
    shaped = rotor._replace(across=across * rotor.along)
    test = tuple(row(i, shaped, 0.0, wider) for i in (amps / 3, amps))
    assert constant_of(test, pairs) == pytest.approx(constant, rel=1e-6)
    assert stall.stall_lateness(test, pairs) == pytest.approx(0.0, abs=1e-5)
    assert stall.cross_share(test, constant, 2 * rotor.along, pairs)[0] == pytest.approx(across, abs=1e-4)


def test_what_the_sensors_see_is_the_shift_over_what_all_of_the_inductance_would_make() -> None:
    """240 µH between leads, 10.5 V/krpm, 6 pairs. sin of the shift is seen part · L·I/λ, and all of it would make
    L·1.103·I/λ by the estimate for running: the share is the seen part over 1.103 (2√3/π)."""
    constant, pairs, line = 0.1, 6, 240e-6
    for seen in (0.2, 0.6, 0.9):
        test = tuple(row(current, machine(constant, pairs, line / 2, seen)) for current in (20.0, 60.0))
        share = stall.sensed_share(test, constant, line, pairs)
        assert share == pytest.approx(seen * np.pi / (2 * np.sqrt(3)), abs=1e-4)
    many = stall.sensed_share(test, np.full(3, constant), line, pairs)
    assert many == pytest.approx(np.full(3, share))


ROTOR = machine(0.1, 8, 63e-6, 0.8)  # 126 µH between leads


def test_more_rows_and_more_current_are_trusted_more() -> None:
    def off(*currents: float) -> float:
        return stall_tape.fit(tuple(row(current, ROTOR) for current in currents), 8.0)[1]

    assert off(20, 60) > off(20, 100) > off(20, 20, 20, 100, 100, 100)


def test_scatter_widens_the_spread() -> None:
    neat = [row(current, ROTOR) for current in (30, 30, 30, 100, 100, 100)]
    rough = [
        (*r[:4], r[4] * (1 + k), r[5] * (1 + k), None)
        for r, k in zip(neat, (0.15, -0.15, 0.15) * 2, strict=True)
    ]
    assert stall_tape.fit(tuple(rough), 8.0)[1] > 1.5 * stall_tape.fit(tuple(neat), 8.0)[1]


def test_marks_that_do_not_move_tell_no_more_than_tape_and_lamps_do() -> None:
    """0 mm everywhere is no proof of nothing: what tape and lamps leave open is the most it may be."""
    still = tuple((*row(current, ROTOR)[:4], 0.0, 0.0, None) for current in (30.0, 100.0))
    share, off = stall_tape.fit(still, 8.0)
    assert off == 0.95 and 0.2 < np.degrees(np.arcsin(share * 100.0)) < 2.0


GOOD = tuple(row(current, ROTOR) for current in (30.0, 100.0))
WRONG = {
    "one row": (GOOD[:1], "1 row at about one current"),
    "one current": ((GOOD[1], GOOD[1]), "2 rows at about one current"),
    "kilograms as newtons": (
        (GOOD[0], (100.0, GOOD[1][1] / 9.81, GOOD[1][2] / 9.81, *GOOD[1][3:])),
        "Rows 1 and 2",
    ),
    "the wrong way": (tuple((*r[:4], -r[4], -r[5], None) for r in GOOD), "makes the sensors late"),
    "no pull": (((30.0, 0.0, 0.0, *GOOD[0][3:]), GOOD[1]), "Row 1 of the stall test has no pull"),
    "another lamp change": (
        (GOOD[0], (*GOOD[1][:4], 0.08, 0.08, None)),
        "Row 2 of the stall test has a lamp change",
    ),
    "marks that are no sector": (
        (GOOD[0], (*GOOD[1][:6], 0.2)),
        "Row 2 of the stall test has marks 229° electrical apart",
    ),
    "more than the inductance": (
        ((30.0, 14.0, 14.0, 0.4, 0.008, 0.008, None), (100.0, 40.0, 40.0, 0.4, 0.028, 0.028, None)),
        "times as far as the whole inductance of 30 µH",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_readings_that_contradict_are_named(case: str) -> None:
    test, said = WRONG[case]
    with pytest.raises(NoSolution) as none:
        stall.sensed_share(test, 0.1, 30e-6 if case == "more than the inductance" else 130e-6, 8)
    assert said in none.value.text and none.value.do


def told(**texts: str) -> Answer:
    entries = {key: parse(FIELDS[key], text) for key, text in texts.items()}
    return evaluate(calculators.find("stall-test"), [("given", entries)])


MACHINE = {"pole_pairs": "8", "emf_constant": "0.1 V·s/rad, measured", "line_inductance": "125 µH, measured"}


def typed(rows: Iterable[tuple], force: float = 1.0, unit: str = "N") -> str:
    return "; ".join(
        f"{i:g} A, {b / force:.6f} {unit}, {e / force:.6f} {unit}, {r:g} m, {1000 * x:.3f} mm, {1000 * y:.3f} mm"
        + ("" if apart is None else f", {1000 * apart:.3f} mm")
        for i, b, e, r, x, y, apart in rows
    )


TEXT = typed(GOOD)


def test_lever_and_spin_test_are_compared() -> None:
    agree = told(stall_test=TEXT, **MACHINE)
    first = agree.findings[0]
    assert first.severity == "ok" and "0.135 N·m/A" in first.text and "agree" in first.text
    differ = told(stall_test=TEXT, **{**MACHINE, "emf_constant": "0.13 V·s/rad, measured"})
    assert differ.findings[0].severity == "caution" and "differ" in differ.findings[0].text


def test_sensors_far_off_their_place_are_to_be_mended_first() -> None:
    text = typed(row(current, ROTOR, 0.3) for current in (30.0, 100.0))
    assert any(
        "out of place" in f.text and f.severity == "caution"
        for f in told(stall_test=text, **MACHINE).findings
    )


def test_unipolar_sensors_want_the_marks_distance() -> None:
    """40° at 8 pole pairs and 0.4 m are 34.9 mm; without it the torque constant comes out a tenth off."""
    without = told(stall_test=TEXT, sensor_kind="unipolar", **MACHINE)
    assert any("Unipolar" in f.text and f.severity == "caution" for f in without.findings)
    assert not any("isn't used" in f.text for f in without.findings)
    rows = [row(current, ROTOR, 0.0, np.radians(-10.0)) for current in (30.0, 100.0)]
    assert rows[0][6] == pytest.approx(0.0349, abs=1e-4)
    noted = told(stall_test=typed(rows), sensor_kind="unipolar", **MACHINE)
    assert not any("Unipolar" in f.text or "wide" in f.text for f in noted.findings)
    assert "agree" in noted.findings[0].text and noted.findings[0].severity == "ok"
    left_out = told(stall_test=typed((*r[:6], None) for r in rows), sensor_kind="unipolar", **MACHINE)
    assert left_out.results["torque_constant"] / noted.results["torque_constant"] > 1.05


def test_a_sector_that_is_no_sixth_of_a_turn_is_named() -> None:
    rows = typed(row(current, ROTOR, 0.0, np.radians(-10.0)) for current in (30.0, 100.0))
    assert any("40° wide" in f.text for f in told(stall_test=rows, **MACHINE).findings)
    even = typed(row(current, ROTOR, 0.0, 0.0) for current in (30.0, 100.0))
    assert not any("wide" in f.text for f in told(stall_test=even, **MACHINE).findings)


def test_without_a_spin_test_the_lever_gives_the_emf_constant() -> None:
    """0.1 V·s/rad is 10.47 V for each 1,000 turns a minute (2π·1000/60 · 0.1)."""
    alone = told(stall_test=TEXT, pole_pairs="8", line_inductance="125 µH, measured")
    assert alone.results["emf_constant"] == pytest.approx(0.1, rel=1e-4)
    assert "10.5 V/krpm" in alone.findings[0].do
    known = told(stall_test=TEXT, **MACHINE)
    assert alone.results["spread"] > 1.2 * known.results["spread"]


def test_a_single_reading_is_refused_with_what_to_add() -> None:
    one = told(stall_test=TEXT.split(";")[0], **MACHINE)
    assert one.results["sensed_share"] is None
    assert one.findings[0].severity == "stop" and "one current" in one.findings[0].text
    assert "1.5 times" in one.findings[0].do


def test_a_scale_may_show_kilograms() -> None:
    """9.80665 N for each kilogram that a scale shows: standard gravity."""
    newtons = parse(FIELDS["stall_test"], "50 A, 19.6133 N, 9.80665 N, 0.5 m, 5 mm, 6 mm").value
    for words in (
        "50 A, 2 kg, 1 kg, 0.5 m, 5, 6",
        "50 A, 2 kgf, 1 kgf, 500 mm, 0.5 cm, 6 mm",
        "50 A, 4.409245 lb, 2.204623 lb, 50 cm, 5 mm, 6 mm",
    ):
        assert parse(FIELDS["stall_test"], words).value[0][:6] == pytest.approx(newtons[0][:6], rel=1e-6)
    kilograms = typed(GOOD, 9.80665, "kg")
    assert told(stall_test=kilograms, **MACHINE).results["torque_constant"] == pytest.approx(
        told(stall_test=TEXT, **MACHINE).results["torque_constant"], rel=1e-5
    )


def test_seconds_per_reading_fall_with_the_square_of_the_current() -> None:
    rows = told(stall_test=TEXT, **MACHINE).results["rows"]
    assert rows[0]["seconds"] / rows[1]["seconds"] == pytest.approx((100 / 30) ** 2)


def test_the_build_draws_what_the_lever_leaves_open(cart: Sheet) -> None:
    drawn = np.asarray(Build.of([("sheet", cart.entries)]).drawn()["sensed_share"])
    assert drawn.mean() == pytest.approx(0.61, abs=0.02) and 0.005 < drawn.std() < 0.03


def test_a_contradictory_stall_test_stops_the_start_and_says_why(cart: Sheet) -> None:
    wrong = Sheet(
        {**cart.entries, **parse_all({"stall_test": "50 A, 20 N, 20 N, 0.5 m, 9 mm, 9 mm"}, FIELDS)},
        cart.document,
    )
    start = next(j for j in judge(wrong).checks if j.check.id == "start")
    assert start.severity == "stop" and "one current" in start.text


def test_kilograms_typed_as_newtons_in_every_row_are_a_stop_and_never_an_emf_constant() -> None:
    """A tenth of everything: rows agree among themselves, so only what such machines have tells it. Ten times as much
    is told the other way round."""
    tenth, tenfold = typed(GOOD, 9.80665), typed(GOOD, 1.0 / 9.80665)
    without = {key: text for key, text in MACHINE.items() if key != "emf_constant"}
    alone = told(stall_test=tenth, **without).findings[0]
    assert alone.severity == "stop" and "Write kg" in alone.do and "Don't enter" in alone.do
    assert "Until then enter" not in alone.do
    beside = told(stall_test=tenth, **MACHINE).findings[0]
    assert beside.severity == "stop" and "Less by the lever: kilograms entered as newtons" in beside.do
    heavy = told(stall_test=tenfold, **without).findings[0]
    assert heavy.severity == "stop" and "Newtons entered as kilograms" in heavy.do
