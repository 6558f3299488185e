"""Lamps: every triple of slots against a rotor turned step by step, and mistakes found again from what they show."""

from __future__ import annotations

import contextlib
import io
import json
from itertools import combinations

import numpy as np
import pytest

from calc import cli
from calc.fields.sensed import PATTERNS
from calc.machine import causes, lamps, sensors

MACHINES = [(36, 6), (42, 7), (48, 8), (54, 9), (72, 6), (12, 5), (27, 3), (42, 6), (24, 8)]
WORDS = [word for word, _ in PATTERNS]


def watched(slots: int, pole_pairs: int, three: tuple[int, ...], turned: int = -1) -> set[str]:
    """What somebody writes down who turns the rotor through a whole turn and misses nothing."""
    count = 2 * slots * pole_pairs  # an edge can only be where one of this many marks of the shaft is
    angle = (np.arange(count) + 0.5) * 2.0 * np.pi / count
    lit = np.array([np.sin(pole_pairs * (angle - 2.0 * np.pi * slot / slots)) > 0.0 for slot in three])
    if turned >= 0:
        lit[turned] = ~lit[turned]
    pairs = [(0, 1), (0, 2), (1, 2)]
    if all((lit[a] == lit[b]).all() for a, b in pairs):
        return {"all-together"}
    said = set()
    if any((lit[a] == lit[b]).all() for a, b in pairs):
        said.add("two-together")
    if any((lit[a] != lit[b]).all() for a, b in pairs):
        said.add("opposite")
    changes = lit != np.roll(lit, 1, axis=1)
    if (changes.sum(axis=0) > 1).any():
        said.add("two-at-once")
    if said:
        return said
    at = np.flatnonzero(changes.any(axis=0))
    widths = np.diff(np.append(at, at[0] + count)) * 360.0 * pole_pairs / count
    return {"six-codes"} if np.abs(widths - 60.0).max() <= 5.0 + 1e-6 else {"uneven"}


@pytest.mark.parametrize(("slots", "pole_pairs"), MACHINES)
def test_every_set_of_slots_against_a_rotor_turned_step_by_step(slots, pole_pairs):
    counted = dict.fromkeys(WORDS, 0)
    for second, third in combinations(range(1, slots), 2):
        said = watched(slots, pole_pairs, (0, second, third))
        told = lamps.shows(slots, pole_pairs, (0, second, third))
        assert told[0] in said, (second, third)
        assert said <= set(told), (second, third)
        counted[told[0]] += 1
    rows = lamps.census(slots, pole_pairs)
    assert {row["pattern"]: row["sets"] for row in rows} == {w: n for w, n in counted.items() if n}
    assert sum(row["share"] for row in rows) == pytest.approx(1.0)
    for row in rows:
        three = (row["slot_1"], row["slot_2"], row["slot_3"])
        assert row["pattern"] in watched(slots, pole_pairs, three)


@pytest.mark.parametrize("turned", [0, 1, 2])
def test_a_sensor_turned_over_against_a_rotor_turned_step_by_step(turned):
    for second, third in combinations(range(1, 14), 2):
        said = watched(48, 8, (0, second, third), turned)
        told = lamps.shows(48, 8, (0, second, third), turned)
        assert told[0] in said and said <= set(told)


def test_what_the_eye_takes_for_one_edge():
    """72 slots, 7 pole pairs: a slot is 35°; two places 5° apart are told as one, and are not one."""
    near = next(
        (0, a, b)
        for a, b in combinations(range(1, 72), 2)
        if lamps.shows(72, 7, (0, a, b))[0] == "uneven" and "two-together" in lamps.shows(72, 7, (0, a, b))
    )
    assert watched(72, 7, near) == {"uneven"}
    place = sorted(np.degrees(p) for p in sensors.positions(72, 7, near))
    assert min(b - a for a, b in zip(place, [*place[1:], place[0] + 360.0], strict=True)) <= 15.0


@pytest.mark.parametrize(("slots", "pole_pairs"), MACHINES)
@pytest.mark.parametrize("pattern", WORDS)
def test_every_listed_placement_shows_what_was_reported(slots, pole_pairs, pattern):
    for three in lamps.placements(slots, pole_pairs, pattern, 1000):
        assert pattern in lamps.shows(slots, pole_pairs, three)
    shown = {row["pattern"] for row in lamps.census(slots, pole_pairs)}
    assert bool(lamps.placements(slots, pole_pairs, pattern, 1000)) >= (pattern in shown)


VEHICLE = [(36, 6), (42, 7), (48, 8), (54, 9), (72, 6), (96, 8)]


@pytest.mark.parametrize("spacing", ["120", "60"])
@pytest.mark.parametrize(("slots", "pole_pairs"), VEHICLE)
def test_a_mistake_is_found_again_from_the_lamps_it_makes(slots, pole_pairs, spacing):
    made = causes.mistakes(slots, pole_pairs, spacing)
    assert len(made) >= 4
    for three, how, _ in made:
        for pattern in lamps.shows(slots, pole_pairs, three):
            rows = causes.diagnose(slots, pole_pairs, three, spacing, "latching", pattern)
            assert rows[0]["fits"] == "yes" and how[0].split(",")[0] in rows[0]["cause"], (three, pattern)
        blind = causes.diagnose(
            slots, pole_pairs, None, spacing, "latching", lamps.shows(slots, pole_pairs, three)[0]
        )
        first = " ".join(row["cause"] for row in blind[:4])
        listed = f"{three[0]}, {three[1]} and {three[2]}"
        assert listed in first or "a slot off" in first, (three, first)


@pytest.mark.parametrize(
    ("slots", "pole_pairs", "three", "pattern", "says"),
    [
        (48, 8, (0, 3, 6), "two-together", "one pole pitch apart"),  # docs/examples/first-attempt.toml
        (48, 8, (0, 6, 12), "all-together", "a whole electrical turn"),
        (36, 6, (0, 12, 24), "all-together", "a third of the whole mechanical turn"),
        (48, 8, (0, 1, 2), "six-codes", "counted with poles in place of pole pairs"),
        (48, 8, (0, 2, 5), "opposite", "a slot off"),
        (48, 8, (0, 2, 9), "opposite", "half an electrical turn"),  # nobody's usual mistake
    ],
)
def test_named_mistakes(slots, pole_pairs, three, pattern, says):
    assert pattern in watched(slots, pole_pairs, three)
    assert says in causes.diagnose(slots, pole_pairs, three, "120", "latching", pattern)[0]["cause"]


def test_a_third_of_the_turn_is_right_where_pole_pairs_are_no_multiple_of_three():
    """48 slots, 8 pole pairs: slots 0, 16, 32 are 240° electrical apart, a set that works, and no cause."""
    assert sensors.sensors_reason(48, 8, (0, 16, 32), "120") == ""
    assert all(three != (0, 16, 32) for three, *_ in causes.mistakes(48, 8, "120"))


@pytest.mark.parametrize(
    ("pattern", "says"),
    [
        ("one-fixed", "no supply, a broken lead"),
        ("none", "field is off"),
        ("six-codes", "Nothing"),
        ("two-together", "touch"),
        ("opposite", "a slot off"),
    ],
)
def test_with_right_slots_a_fault_comes_first_or_the_slots_are_doubted(pattern, says):
    rows = causes.diagnose(48, 8, (0, 2, 4), "120", "latching", pattern)
    assert any(says in row["cause"] for row in rows[:4])
    if pattern in ("one-fixed", "none", "six-codes"):
        assert says in rows[0]["cause"]


def test_two_in_one_place_with_one_turned_over():
    """48 slots, 8 pole pairs, slots 0, 2, 8: sensors 2 and 3 share a place; turned over, they are opposite."""
    rows = causes.diagnose(48, 8, (0, 2, 8), "120", "latching", "opposite")
    assert "opposite" in watched(48, 8, (0, 2, 8), 2)
    assert any("turned over" in row["cause"] for row in rows[:3])


def test_a_miscounted_rotor_explains_right_slots_with_wrong_lamps():
    """Slots 0, 2, 4 of 48 with 12 pole pairs: half an electrical turn apart."""
    rows = causes.diagnose(48, 6, (0, 8, 16), "120", "latching", "all-together")
    assert rows[0]["fits"] == "yes"
    rows = causes.diagnose(48, 8, (0, 2, 4), "120", "latching", "uneven")
    assert any("pole pairs and not 8" in row["cause"] for row in rows)


@pytest.mark.parametrize("kind", ["latching", "unipolar"])
@pytest.mark.parametrize("pattern", WORDS)
@pytest.mark.parametrize(("slots", "pole_pairs"), MACHINES)
def test_every_cause_has_a_test_and_a_mend(slots, pole_pairs, pattern, kind):
    for entered in (None, (0, 2, 4), (0, 1, 5)):
        rows = causes.diagnose(slots, pole_pairs, entered, "120", kind, pattern)
        assert len({row["cause"] for row in rows}) == len(rows)
        for row in rows:
            assert row["test"] and row["mend"]
            assert row["fits"] in ("yes", "no", "not told")


def test_the_sensor_to_turn_over():
    """Worked by hand: reversing the middle one of a 60° set makes a 120° set, and no other does."""
    for slots, pole_pairs in ((36, 6), (48, 8), (96, 8)):
        for row in sensors.valid_sets(slots, pole_pairs, "60")[:12]:
            three = (0, row["slot_2"], row["slot_3"])
            assert sensors.turned_over(slots, pole_pairs, three) == (1,)
            assert "Turn sensor 2 over" in sensors.sensors_reason(slots, pole_pairs, three, "120")
    assert sensors.turned_over(48, 8, (0, 2, 1)) == (2,)
    assert sensors.turned_over(48, 8, (0, 2, 4)) == (0, 1, 2)


def run(*words: str) -> dict:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", "lamp-pattern", *words, "--json"]) == 0
    return json.loads(out.getvalue())


def test_from_the_lamps_to_the_mend_on_the_command_line():
    data = run("slots=36", "pole_pairs=6", "sensor_slots=0, 12, 24", "lamp_pattern=all-together")
    first = data["results"]["causes"]["value"][0]
    assert (
        "a third of the whole mechanical turn" in first["cause"] and first["mend"] == "Take slots 0, 2 and 4."
    )
    assert data["findings"][0]["severity"] == "stop"
    assert run("sensor_slots=0, 2, 4")["findings"][0]["severity"] == "note"  # nothing was reported yet


@pytest.mark.parametrize("listed", ["0, 2", "0, 2, 99", "0, 2, 4, 6"])
def test_slots_that_cannot_be_meant_are_left_out_and_said(listed):
    data = run(f"sensor_slots={listed}", "lamp_pattern=two-together")
    left = next(f for f in data["findings"] if "left out" in f["text"])
    assert left["severity"] == "caution"
    assert data["results"]["causes"]["value"]
