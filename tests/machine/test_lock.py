"""The lock test read back from invented motors, the controller's table, and the wiring that follows from both."""

from __future__ import annotations

from itertools import permutations
from math import pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine import leads, lock, misread, switching

ONE = ("A-BC", "AB-C", "B-AC", "BC-A", "C-AB", "AC-B")
TWO = ("A-B", "A-C", "B-C", "B-A", "C-A", "C-B")
AXIS = {"A": 2 * pi / 3, "B": 4 * pi / 3, "C": 0.0}  # where each lead's EMF peaks in our convention
TABLE = tuple((code, "UVW"[high], "UVW"[low]) for code, (high, low) in leads.table_of("120").items())


def rest(feed, friction=0.0):
    """Where a rotor comes to rest, found by following its torque, not by the formula: rad."""
    into, out = feed.split("-")
    current = {x: 1 / len(into) for x in into} | {x: -1 / len(out) for x in out}
    angle = np.linspace(0, 2 * pi, 72001)[:-1]
    torque = sum(i * np.cos(angle - AXIS[x]) for x, i in current.items())
    falls = (torque > 0) & (np.roll(torque, -1) <= 0)
    return float(angle[falls][0]) + friction


def motor(error=0.0, order=(0, 1, 2), turned=0, spacing="120"):
    """Places of the sensors of a motor whose leads and sensors have been named in any order."""
    base = leads.edges((np.radians(error),) * 3, spacing)
    return tuple(float(base[k] + turned * pi / 3) % (2 * pi) for k in order)


def read(places, feeds=ONE, told=True, flick=8.0, friction=0.0):
    """What somebody writes down: lamps where the rotor stands; 'no' within `flick` degrees of an edge."""
    rows = []
    for feed in feeds:
        at = rest(feed, friction)
        lamps = "".join("1" if (at - p) % (2 * pi) < pi else "0" for p in places)
        near = min(abs((at - p + pi / 2) % pi - pi / 2) for p in places)
        rows.append((feed, lamps, ("no" if np.degrees(near) < flick else "yes") if told else None))
    return tuple(rows)


@pytest.mark.parametrize("feed", ONE + TWO)
def test_a_fed_rotor_stands_where_its_torque_falls_through_zero(feed):
    assert (misread.stands_at(feed) - rest(feed) + pi) % (2 * pi) - pi == pytest.approx(0, abs=2e-4)


def test_one_lead_against_two_is_mid_sector_and_two_leads_are_an_edge():
    assert all(round(np.degrees(misread.stands_at(f))) % 60 == 30 for f in ONE)
    assert all(round(np.degrees(misread.stands_at(f))) % 60 == 0 for f in TWO)


def test_current_for_a_lock_test():
    """Current ≥ 4.3 × friction torque / torque constant; checked by the torque that is left 15° away."""
    assert lock.lock_current(1.0, 1.0) == pytest.approx(4.3, abs=0.05)
    current = lock.lock_current(0.35, 0.142)
    peak = 0.142 * pi / 3  # line-line peak torque per ampere
    left = peak / np.sqrt(3) * current * 1.5 * sin(np.radians(15))  # phase A full, B and C half
    assert left == pytest.approx(0.35)


def test_the_larger_of_friction_and_breakaway_torque_sets_the_current():
    """By hand: 0.45 / (0.142 · π/3 · √3/2 · sin 15°) = 13.5 A, where friction of 0.35 alone gives 10.5 A."""
    assert lock.lock_current(0.35, 0.142, 0.45) == pytest.approx(13.5, abs=0.05)
    assert (
        lock.lock_current(0.35, 0.142, 0.2) == lock.lock_current(0.35, 0.142) == pytest.approx(10.5, abs=0.05)
    )


@pytest.mark.parametrize(
    ("slots", "pole_pairs", "degrees"), [(48, 8, 60), (36, 6, 60), (96, 8, 30), (9, 4, 20)]
)
def test_detents_repeat_where_slots_and_poles_meet_alike(slots, pole_pairs, degrees):
    """Brute force: the set of angles from every tooth to the nearest pole, either pole alike, comes back."""

    def seen(turned):
        gaps = (np.arange(slots) / slots + turned) % (1 / (2 * pole_pairs))
        return np.sort(np.round(gaps * 1e6).astype(int) % round(1e6 / (2 * pole_pairs)))

    assert np.degrees(lock.detent_angle(slots, pole_pairs)) == pytest.approx(degrees)
    turn = degrees / 360 / pole_pairs
    same = [k for k in range(1, 61) if np.abs(seen(turn * k / 60) - seen(0.0)).max() <= 2]
    assert same == [60]


def test_one_first_feed_in_twelve_is_held_where_it_balances():
    """At the least current, from anywhere: 30° of 360°, half a turn from rest, where friction is stronger."""
    start = (np.arange(3600) + 0.5) * 2 * pi / 3600
    current = lock.lock_current(0.35, 0.142)
    pull = 0.142 * pi / 3 * current * np.sqrt(3) / 2 * np.sin(rest("A-BC") - start)
    away = np.abs((start - rest("A-BC") + pi) % (2 * pi) - pi)
    assert np.mean((np.abs(pull) < 0.35) & (away > pi / 2)) == pytest.approx(1 / 12, abs=1e-3)


def test_the_fields_polarity_tells_only_with_sensors_on_a_magnet_of_their_own():
    """EMF turned over: the rotor stands half a turn on. Its own field turns the sensors' edges as far, a ring doesn't.

    By the integrals: mean 3/π = 0.9549 and least cos 30° = 0.8660, forward either way with the rotor's own field.
    """
    table = switching.controller_map(TABLE).table
    before = switching.wiring(lock.motor_map(read(motor(0))).places, table)[0][0]
    for own, sense in ((True, 1), (False, -1)):
        # A turned EMF with edges in place is the same as edges half a turn off with the EMF in place.
        places = motor(0) if own else tuple(place + pi for place in motor(0))
        now = leads.torque_of(places, dict(table), before.leads, before.sensors)
        worst = min(sense * now.least, sense * now.most)
        assert (sense * now.mean, worst) == pytest.approx((0.9549, 0.8660), abs=1e-4)
    fault = lock.motor_map(changed(read(motor(0)), "C-AB", "011")).faults[0]
    assert "polarity" not in fault.do and "by hand" in fault.do and "balances" in fault.text


@pytest.mark.parametrize("error", [0, 12, -12, 20, -20, 30])
@pytest.mark.parametrize("order", list(permutations(range(3))))
@pytest.mark.parametrize("turned", range(6))
def test_every_motor_is_found_and_wired_right(error, order, turned):
    """All twelve motors at several alignments: the wiring from readings is right by the motor's own integrals."""
    places = motor(error, order, turned)
    found = lock.motor_map(read(places, ONE + TWO))
    assert not found.faults and found.spacing == "120"
    assert abs(np.degrees(leads.reduced(found.error - np.radians(error)))) <= np.degrees(found.reach) + 1e-6
    sequence = list(np.argsort(places))
    forward_order = [(sequence.index(k) - sequence.index(0)) % 3 for k in range(3)]
    assert found.mirrored == (forward_order != [0, 1, 2])
    forward, reverse = switching.wiring(found.places, switching.controller_map(TABLE).table)
    assert len(forward) == len(reverse) == 3
    for sense, chosen in ((1, forward), (-1, reverse)):
        for one in chosen:
            true = leads.torque_of(places, leads.table_of("120"), one.leads, one.sensors)
            assert sense * true.mean > 0.95 * 3 / pi * np.cos(np.radians(min(abs(error), 30)))
    # With the sensors left as they are one of six orders of the leads is right in one way; 30° out none or two.
    assert sum(one.sensor_order == "123" for one in forward + reverse) in ((0, 2) if error == 30 else (1,))


def test_six_readings_of_one_form_do_and_which_form_reads_steadily_tells():
    aligned = lock.motor_map(read(motor(0)))
    assert not aligned.next_feed and aligned.error == pytest.approx(0)
    out = read(motor(30), TWO)
    assert {steady for *_, steady in out} == {"yes"}
    assert {steady for *_, steady in read(motor(30), ONE)} == {"no"}
    assert abs(np.degrees(lock.motor_map(out).error)) == pytest.approx(30)


@given(st.integers(-30, 30), st.integers(0, 5), st.permutations(range(3)), st.floats(-6, 6))
def test_friction_within_its_bounds_never_misleads(error, turned, order, friction):
    """Stopping up to 6° short, nothing said about steadiness: no fault is invented unless an edge is that near."""
    if min(abs(abs(error) - edge) for edge in (0, 30)) <= 7:
        return
    places = motor(error, tuple(order), turned)
    found = lock.motor_map(read(places, ONE + TWO, told=False, friction=np.radians(friction)))
    assert not found.faults
    assert abs(np.degrees(leads.reduced(found.error - np.radians(error)))) <= np.degrees(found.reach) + 7


@pytest.mark.parametrize("middle", range(3))
def test_a_60_degree_set_is_told_from_a_120_degree_one(middle):
    order = [0, 2]
    order.insert(middle, 1)
    found = lock.motor_map(read(motor(0, tuple(order), spacing="60")))
    assert (found.spacing, found.middle) == ("60", middle)
    table = switching.controller_map(TABLE).table
    assert switching.wiring(found.places, table) == ((), ())
    assert switching.turned_over(found.places, table) == middle


def test_too_few_readings_name_the_next_feed():
    rows = read(motor(0))
    for count in (1, 2):
        found = lock.motor_map(rows[:count])
        assert found.places == () and not found.faults
        assert found.next_feed in ONE and found.next_feed not in [feed for feed, *_ in rows[:count]]
    had = list(rows[:1])
    while not lock.motor_map(tuple(had)).places:
        had += [row for row in rows if row[0] == lock.motor_map(tuple(had)).next_feed]
    assert len(had) <= 4


def changed(rows, feed, lamps):
    return tuple((f, lamps if f == feed else was, steady) for f, was, steady in rows)


@pytest.mark.parametrize(
    ("feed", "lamps", "word"),
    [
        ("C-AB", "011", "plus and minus"),
        ("AB-C", "010", "didn't move"),
        ("B-AC", "111", "never occurs"),
        ("B-AC", "100", "swapping leads B and C"),
    ],
)
def test_one_reading_that_contradicts_the_others_is_named_and_explained(feed, lamps, word):
    found = lock.motor_map(changed(read(motor(0)), feed, lamps))
    assert len(found.faults) == 1
    assert feed in found.faults[0].text and lamps in found.faults[0].text
    assert word in found.faults[0].text and found.faults[0].do


@pytest.mark.parametrize(
    ("rows", "word"),
    [
        (tuple((f, "101", "yes") for f in ONE), "didn't move"),
        (tuple((f, "1" + lamps[1:], s) for f, lamps, s in read(motor(0))), "Lamp 1 stays on"),
        (tuple((f, lamps[0] + lamps[0] + lamps[2], s) for f, lamps, s in read(motor(0))), "together"),
        (tuple((f, lamps[0] + "10"[int(lamps[0])] + lamps[2], s) for f, lamps, s in read(motor(0))), "opposite"),
        ((*read(motor(0))[:5], ("AC-B", "10", "yes")), "can't be read"),
        (tuple(zip(ONE, ("010", "101", "001", "110", "100", "011"), ("yes",) * 6, strict=True)), "contradict"),
    ],
)  # fmt: skip
def test_sensors_that_cannot_work_and_muddled_readings(rows, word):
    found = lock.motor_map(rows)
    assert found.places == ()
    assert word in " ".join(fault.text for fault in found.faults)
    assert all(fault.do for fault in found.faults)


def test_uneven_sensors_are_found_and_still_wired():
    """One sensor 35° from where the other two say it should be."""
    base = motor(-15)
    places = (base[0], (base[1] + np.radians(35)) % (2 * pi), base[2])
    found = lock.motor_map(read(places, ONE + TWO))
    assert not found.faults and found.uneven
    assert np.argmax(np.abs(found.uneven)) == 1
    forward, _ = switching.wiring(found.places, switching.controller_map(TABLE).table)
    true = leads.torque_of(places, leads.table_of("120"), forward[0].leads, forward[0].sensors)
    assert true.mean > 0.88


ROWS = st.lists(
    st.tuples(
        st.sampled_from(ONE + TWO),
        st.text("01 x", max_size=4),
        st.sampled_from(["yes", "no", None]),
    ),
    min_size=1,
    max_size=14,
)


@given(ROWS)
def test_any_readings_get_an_answer(rows):
    found = lock.motor_map(tuple(rows))
    assert found.places or found.faults or found.next_feed
    assert all(np.isfinite(found.places))


@pytest.mark.parametrize("spacing", ["120", "60"])
def test_a_good_controller_table(spacing):
    rows = tuple((code, "UVW"[high], "UVW"[low]) for code, (high, low) in leads.table_of(spacing).items())
    found = switching.controller_map(rows)
    assert found.spacing == spacing and len(found.table) == 6 and not found.faults
    assert switching.controller_map(rows[:4]).missing == leads.CODES[spacing][4:]
    assert switching.controller_map(rows[::-1]).table


def test_every_fault_of_a_controller_table_is_named():
    def faults(rows):
        return " ".join(fault.text for fault in switching.controller_map(tuple(rows)).faults)

    t = list(TABLE)
    assert "can't be high and low" in faults([("101", "U", "U"), *t[1:]])
    assert "can't be read" in faults([("2", "U", "V"), *t[1:]])
    assert "same pair as row 1" in faults([t[0], (t[1][0], *t[0][1:]), *t[2:]])
    assert "another pair for the same code" in faults([*t, ("101", "U", "W")])
    assert "look swapped" in faults([(t[0][0], *t[3][1:]), *t[1:3], (t[3][0], *t[0][1:]), *t[4:]])
    assert "look exchanged" in faults([(t[0][0], *t[1][1:]), (t[1][0], *t[0][1:]), *t[2:]])
    assert "neither" in faults([("000", "U", "V"), ("101", "V", "U")])
    jumps = [(code, *t[k][1:]) for (code, *_), k in zip(t, (0, 2, 4, 1, 3, 5), strict=True)]
    assert "pairs jump" in faults(jumps)


def test_the_controllers_own_letters_do_not_matter():
    """The same motor with every six-step table there is: one arrangement each way, right by its own integrals."""
    places = motor(7, (2, 0, 1), 3)
    for names in permutations("UVW"):
        for shift in range(6):
            for sense in (1, -1):
                rows = tuple(
                    (
                        code,
                        names[leads.PAIRS[(shift + sense * k) % 6][0]],
                        names[leads.PAIRS[(shift + sense * k) % 6][1]],
                    )
                    for k, code in enumerate(leads.CODES["120"])
                )
                table = switching.controller_map(rows).table
                forward, reverse = switching.wiring(places, table)
                for way, one in ((1, forward[0]), (-1, reverse[0])):
                    true = leads.torque_of(places, dict(table), one.leads, one.sensors)
                    assert way * true.mean == pytest.approx(3 / pi * np.cos(np.radians(7)))
