"""The 36 arrangements against the published count, closed forms and a brute force of its own."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise, permutations
from math import cos, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine import leads, signs

# Reference values section 3, "Lead matching" (brute force made before this code): sensors right, sensor order held or
# changed; mean and lowest torque in units of the line-line peak.
PUBLISHED = """
ABC 123 .9549 .8661; ABC 132 0 -.866; ABC 213 0 -.866; ABC 231 -.4775 -.866; ABC 312 -.4775 -.866; ABC 321 0 -.866
ACB 123 0 -1; ACB 132 .4775 0; ACB 213 .4775 0; ACB 231 0 -1; ACB 312 0 -1; ACB 321 -.9549 -1
BAC 123 0 -1; BAC 132 -.9549 -1; BAC 213 .4775 0; BAC 231 0 -1; BAC 312 0 -1; BAC 321 .4775 0
BCA 123 -.4775 -.866; BCA 132 0 -.866; BCA 213 0 -.866; BCA 231 .9549 .8661; BCA 312 -.4775 -.866; BCA 321 0 -.866
CAB 123 -.4775 -.866; CAB 132 0 -.866; CAB 213 0 -.866; CAB 231 -.4775 -.866; CAB 312 .9549 .8661; CAB 321 0 -.866
CBA 123 0 -1; CBA 132 .4775 0; CBA 213 -.9549 -1; CBA 231 0 -1; CBA 312 0 -1; CBA 321 .4775 0
"""


def all_36(degrees, spacing="120"):
    errors = degrees if isinstance(degrees, tuple) else (degrees,) * 3
    places = leads.edges(tuple(radians(d) for d in errors), spacing)
    return leads.arrangements(places, tuple(leads.table_of(spacing).items()))


def by_name(found):
    return {(a.phase_order, a.sensor_order): a for a in found}


def test_the_published_table_of_36():
    ours = by_name(all_36(0))
    rows = [row.split() for line in PUBLISHED.strip().splitlines() for row in line.split(";")]
    assert len(rows) == 36
    for phase, sensor, mean, least in rows:
        one = ours[(phase, sensor)]
        assert one.mean == pytest.approx(float(mean), abs=6e-5)
        assert one.least == pytest.approx(float(least), abs=2e-4)


def test_published_counts():
    """Reference values section 3: 3, 3, 12, 18; 30° out 6 at .827, 6 at −.827, 24 with none."""
    assert Counter(a.behaviour for a in all_36(0)) == {
        "right": 3, "right in reverse": 3, "weak forward": 6, "weak in reverse": 6, "dead": 18,
    }  # fmt: skip
    for out in (30, -30):
        means = [round(a.mean, 3) + 0.0 for a in all_36(out)]
        assert Counter(means) == {0.827: 6, -0.827: 6, 0.0: 24}
    held = [a for a in all_36(0) if a.sensors == (0, 1, 2)]
    assert Counter(a.behaviour for a in held) == {"right": 1, "weak in reverse": 2, "dead": 3}


@pytest.mark.parametrize("degrees", [0, 5, 10, 15, 20, 30, -5, -17, -30])
def test_closed_forms_of_the_right_one(degrees):
    """Reference values section 3: mean (3/π)·cos ε, lowest cos(30° + |ε|)."""
    one = by_name(all_36(degrees))[("ABC", "123")]
    assert one.mean == pytest.approx(3 / pi * cos(radians(degrees)), rel=1e-9)
    assert one.least == pytest.approx(cos(radians(30 + abs(degrees))), rel=1e-9)
    assert np.degrees(one.late) == pytest.approx(degrees, abs=1e-9)


def test_reversing_turns_late_into_early():
    """DESIGN 4: reversing flips the sign of the alignment error."""
    found = all_36(10)
    forward, reverse = leads.best(found)[0], leads.best(found, reverse=True)[0]
    assert np.degrees(leads.error_in_its_way(forward)) == pytest.approx(10)
    assert np.degrees(leads.error_in_its_way(reverse)) == pytest.approx(-10)


def test_early_is_taken_where_early_and_late_tie_at_stall():
    for out in (30, -30):
        for reverse in (False, True):
            chosen = leads.best(all_36(out), reverse)
            assert len(chosen) == 3
            assert {round(np.degrees(leads.error_in_its_way(a))) for a in chosen} == {-30}


def brute(places, phase, sensors, table):
    """Torque summed over 3600 positions, from phase EMFs that peak at 120°, 240° and 0°."""
    angle = (np.arange(3600) + 0.5) / 3600 * 2 * np.pi
    emf = [np.cos(angle - shift) / np.sqrt(3) for shift in (2 * np.pi / 3, 4 * np.pi / 3, 0.0)]
    lamps = [np.mod(angle - place, 2 * np.pi) < np.pi for place in places]
    torque = np.zeros_like(angle)
    for code, (high, low) in table.items():
        here = np.all([lamps[s] == (bit == "1") for s, bit in zip(sensors, code, strict=True)], axis=0)
        torque[here] = (emf[phase[high]] - emf[phase[low]])[here]
    return torque.mean(), torque.min(), torque.max()


ERROR = st.floats(-40, 40).map(radians)


@given(st.tuples(ERROR, ERROR, ERROR), st.sampled_from(["120", "60"]), st.integers(0, 35))
def test_uneven_sensors_against_a_sum_over_positions(errors, spacing, which):
    places = leads.edges(errors, spacing)
    table = leads.table_of(spacing)
    phase = list(permutations(range(3)))[which // 6]
    sensors = list(permutations(range(3)))[which % 6]
    one = leads.torque_of(places, table, phase, sensors)
    mean, least, most = brute(places, phase, sensors, table)
    assert one.mean == pytest.approx(mean, abs=1.5e-3)
    # A step shorter than a tenth of a degree may fall between the positions of the sum.
    assert one.least <= least + 1e-6 and one.most >= most - 1e-6
    starts = sorted(start for start, *_ in leads.steps(places))
    if min(b - a for a, b in pairwise(starts)) > 0.01:
        assert one.least == pytest.approx(least, abs=2e-3)
        assert one.most == pytest.approx(most, abs=2e-3)
    shown = [torque for _, torque in leads.over_turn(places, table, one, 10)]
    assert one.least - 1e-9 <= min(shown) and max(shown) <= one.most + 1e-9
    assert [min(shown), max(shown)] == pytest.approx([one.least, one.most], abs=0.02)


@given(st.floats(-179, 180))
def test_reduced_to_half_a_sector(degrees):
    found = np.degrees(leads.reduced(radians(degrees)))
    assert -30 - 1e-6 < found <= 30 + 1e-6
    assert (degrees - found) / 60 == pytest.approx(round((degrees - found) / 60), abs=1e-6)


def test_60_degree_set_is_a_120_degree_set_with_the_middle_one_turned_over():
    """Reference values section 3, Hall codes: inverting the middle sensor turns one set into the other."""
    turned = leads.edges((0, 0, 0), "60")
    middle_over = (turned[0], turned[1] + pi, turned[2])
    codes = {lamps for *_, lamps in leads.steps(middle_over)}
    assert codes == set(leads.CODES["120"])
    assert {lamps for *_, lamps in leads.steps(turned)} == set(leads.CODES["60"])
    # Only orders that leave the middle one in the middle run.
    good = {a.sensor_order for a in all_36(0, "60") if a.behaviour.startswith("right")}
    assert good == {"123", "321"}


def test_uneven_sensors_cost_torque_but_leave_a_right_one():
    even = leads.best(all_36(0))[0]
    uneven = leads.best(all_36((12, 0, -12)))[0]
    assert 0.9 < uneven.mean < even.mean
    assert uneven.least < even.least
    assert sum(row["count"] for row in signs.counts(all_36((12, 0, -12)))) == 36


def test_what_starts():
    assert Counter(leads.starts(a) for a in all_36(0)) == {"smooth": 6, "rough": 12, "locks": 18}
    assert Counter(leads.starts(a) for a in all_36(30)) == {"smooth": 12, "locks": 24}
