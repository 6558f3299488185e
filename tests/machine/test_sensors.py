"""Sensors in slots: published codes and spacings, valid sets, and why a set fails."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine import sensors

# The cycle in a simulation environment's Hall block help (2021) and in a six-step teaching page (applied-ee.github.io).
CODES_120 = ["101", "100", "110", "010", "011", "001"]
# Sensors 60° apart: worked by hand, by inverting the middle one.
CODES_60 = ["100", "110", "111", "011", "001", "000"]


def codes(rows):
    return [f"{row['sensor_1']}{row['sensor_2']}{row['sensor_3']}" for row in rows]


@pytest.mark.parametrize(("pole_pairs", "degrees"), [(6, 20.0), (7, 17.143), (8, 15.0), (9, 13.333)])
def test_spacing(pole_pairs, degrees):
    """120°/p in mechanical degrees: the rule of the same two sources, figures worked by hand."""
    assert np.degrees(sensors.sensor_pitch(pole_pairs, "120")) == pytest.approx(degrees, abs=5e-4)


@pytest.mark.parametrize(
    ("slots", "pole_pairs", "places", "cycle"),
    [
        (48, 8, (0, 2, 4), CODES_120),
        (42, 7, (0, 2, 4), CODES_120),
        (96, 8, (0, 4, 8), CODES_120),
        (48, 8, (0, 8, 16), CODES_120),
        (48, 8, (0, 1, 2), CODES_60),
    ],
)
def test_codes_over_a_turn(slots, pole_pairs, places, cycle):
    rows = sensors.pattern(slots, pole_pairs, places)
    assert codes(rows) == cycle
    assert [np.degrees(row["angle"]) for row in rows] == pytest.approx([0, 60, 120, 180, 240, 300])
    assert [np.degrees(row["width"]) for row in rows] == pytest.approx([60] * 6)


def test_slots_repeat_after_an_electrical_turn():
    """48 slots, 8 pole pairs: slots 0, 6, 12 are one place, and three sensors there show two codes."""
    assert codes(sensors.pattern(48, 8, (0, 6, 12))) == ["111", "000"]
    reason = sensors.sensors_reason(48, 8, (0, 6, 12), "120")
    assert reason == "Sensors 1 and 2 sit one electrical turn apart: their lamps switch together."


@pytest.mark.parametrize(
    ("slots", "pole_pairs", "places", "spacing", "says"),
    [
        (48, 8, (0, 2, 4), "120", ""),
        (48, 8, (0, 4, 2), "120", ""),
        (48, 8, (0, 14, 28), "120", ""),
        (48, 8, (0, 1, 2), "60", ""),
        (48, 8, (0, 2, 14), "120", "2 electrical turns apart"),
        (48, 8, (0, 3, 4), "120", "half an electrical turn"),
        (48, 8, (0, 1, 2), "120", "make a 60° set"),
        (48, 8, (0, 2, 4), "60", "make a 120° set"),
        (42, 6, (0, 2, 4), "120", "uneven: 26°, 77°, 77°"),
        (48, 8, (0, 2, 48), "120", "no slot 48"),
        (48, 8, (0, 2, 2), "120", "same slot"),
        (48, 8, (0, 2), "120", "Three sensors"),
    ],
)
def test_reason(slots, pole_pairs, places, spacing, says):
    reason = sensors.sensors_reason(slots, pole_pairs, places, spacing)
    assert says in reason if says else reason == ""
    assert sensors.sensors_usable(slots, pole_pairs, places, spacing) == (0.0 if says else 1.0)


def test_turning_the_middle_sensor_over_makes_the_other_set():
    """Worked by hand: inverting the middle sensor turns one set into the other."""
    flipped = [f"{code[0]}{1 - int(code[1])}{code[2]}" for code in codes(sensors.pattern(48, 8, (0, 1, 2)))]
    cycle = CODES_120[::-1]  # sensors 1, 2, 3 now follow each other in reverse
    at = cycle.index(flipped[0])
    assert flipped == cycle[at:] + cycle[:at]


def test_valid_sets_of_a_usual_generator():
    rows = sensors.valid_sets(48, 8, "120")
    # Eight pole pairs: each of two further sensors has eight slots to choose from.
    assert len(rows) == 64
    assert (rows[0]["slot_1"], rows[0]["slot_2"], rows[0]["slot_3"], rows[0]["order"]) == (0, 2, 4, "forward")
    assert sensors.valid_sets(42, 7, "120")[0]["slot_3"] == 4
    assert {(row["slot_2"], row["slot_3"]) for row in sensors.valid_sets(48, 8, "60")} >= {(1, 2), (47, 46)}


def test_a_miscounted_rotor_has_other_sets():
    """42 slots with 6 pole pairs: no set near slot 0, 2, 4; the only one there is goes right round."""
    rows = sensors.valid_sets(42, 6, "120")
    assert all(row["error"] > 0 for row in rows) or all(row["slot_3"] > 12 for row in rows)


COUNTS = st.tuples(st.integers(3, 120), st.integers(1, 20))


@given(COUNTS, st.sampled_from(["120", "60"]))
def test_every_valid_set_is_usable_and_shows_six_codes(counts, spacing):
    slots, pole_pairs = counts
    for row in sensors.valid_sets(slots, pole_pairs, spacing)[:8]:
        places = (row["slot_1"], row["slot_2"], row["slot_3"])
        if row["error"] == 0.0:
            assert sensors.sensors_reason(slots, pole_pairs, places, spacing) == ""
            cycle = CODES_120 if spacing == "120" else CODES_60
            assert set(codes(sensors.pattern(slots, pole_pairs, places))) == set(cycle)


@given(COUNTS, st.lists(st.integers(0, 130), min_size=3, max_size=3))
def test_any_triple_gets_an_answer(counts, places):
    slots, pole_pairs = counts
    usable = sensors.sensors_usable(slots, pole_pairs, places, "120")
    assert usable == float(sensors.sensors_reason(slots, pole_pairs, places, "120") == "")
    rows = sensors.pattern(slots, pole_pairs, places)
    assert sum(row["width"] for row in rows) == pytest.approx(2 * np.pi)
    assert all(row["width"] > 0 for row in rows)
    if usable:
        assert len(set(codes(rows))) == 6


def test_counts_may_be_arrays():
    lanes = np.array([6.0, 7.0, 8.0, 8.0])
    expected = [sensors.sensors_usable(48, p, (0, 2, 4), "120") for p in (6, 7, 8, 8)]
    assert list(sensors.sensors_usable(48, lanes, (0, 2, 4), "120")) == expected == [0.0, 0.0, 1.0, 1.0]


@pytest.mark.parametrize("spacing", ["120", "60"])
def test_every_set_that_is_listed_is_usable(spacing):
    """Every count of slots and pole pairs that could be met or miscounted."""
    for pole_pairs in range(1, 11):
        for slots in range(6, 73):
            for row in sensors.valid_sets(slots, pole_pairs, spacing)[:12]:
                chosen = (row["slot_1"], row["slot_2"], row["slot_3"])
                why = sensors.sensors_reason(slots, pole_pairs, chosen, spacing)
                assert why == "", (slots, pole_pairs, chosen)
