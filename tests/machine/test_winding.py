"""Windings against swat-em 0.6.3, an independent package, and closed forms worked by hand.

The symmetry rule and its counter-case are in that package's documentation, read there.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.answer import evaluate
from calc.calculators import find
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.figures.winding import winding_strip
from calc.machine import winding

# slots, poles, layers, coil span, winding factor as swat-em 0.6.3 gives it (genwdg, then fundamental).
SWAT_EM = [
    (6, 2, 1, 3, 1.0), (18, 2, 1, 9, 0.959795), (24, 2, 1, 12, 0.957662), (30, 2, 1, 15, 0.956677),
    (36, 2, 1, 18, 0.956143), (12, 4, 1, 3, 1.0), (24, 4, 2, 5, 0.933013), (36, 4, 2, 8, 0.945214),
    (48, 4, 2, 10, 0.925031), (42, 14, 1, 3, 1.0), (48, 16, 1, 3, 1.0), (54, 18, 1, 3, 1.0),
    (84, 14, 1, 6, 0.965926), (96, 16, 1, 6, 0.965926), (3, 2, 2, 1, 0.866025), (6, 4, 2, 1, 0.866025),
    (9, 6, 2, 1, 0.866025), (9, 10, 2, 1, 0.945214), (12, 14, 2, 1, 0.933013), (12, 10, 1, 1, 0.965926),
    (12, 14, 1, 1, 0.965926), (12, 16, 2, 1, 0.866025), (18, 16, 2, 1, 0.945214), (18, 20, 2, 1, 0.945214),
    (24, 20, 2, 1, 0.933013), (24, 22, 2, 1, 0.949469), (24, 26, 2, 1, 0.949469), (27, 24, 2, 1, 0.945214),
    (27, 30, 2, 1, 0.945214), (36, 30, 2, 1, 0.933013), (36, 42, 2, 1, 0.933013), (51, 46, 2, 1, 0.943778),
]  # fmt: skip


@pytest.mark.parametrize(("slots", "poles", "layers", "span", "factor"), SWAT_EM)
def test_winding_factor(slots, poles, layers, span, factor):
    assert winding.winding_factor(slots, poles // 2, span, layers) == pytest.approx(factor, abs=2e-6)
    assert winding.fault(slots, poles // 2, span, layers) == ""


@pytest.mark.parametrize(
    ("span", "layers", "factors"),
    [
        (6, 1, (0.9659, 0.7071, 0.2588, 0.2588, 0.7071, 0.9659)),
        (5, 2, (0.933, 0.500, 0.067, 0.067, 0.500, 0.933)),
    ],
)
def test_harmonics_of_two_slots_per_pole_and_phase(span, layers, factors):
    """72 slots, 12 poles, orders 1 to 11: full pitch, and chorded 5/6, which all but kills 5 and 7."""
    found = [winding.winding_factor(72, 6, span, layers, order) for order in (1, 3, 5, 7, 9, 11)]
    assert found == pytest.approx(factors, abs=5e-4)


def test_distribution_factor_tends_to_three_over_pi():
    """60° belts, q = 1 to 8, and the limit."""
    published = (1, 0.96593, 0.95980, 0.95766, 0.95668, 0.95614, 0.95582, 0.95561)
    found = [winding.winding_factor(6 * q, 1, 3 * q, 2) for q in range(1, 9)]
    assert found == pytest.approx(published, abs=5e-6)
    assert winding.winding_factor(6 * 60, 1, 3 * 60, 2) == pytest.approx(3 / np.pi, abs=2e-5)


@pytest.mark.parametrize(
    ("slots", "poles", "degrees"),
    [(36, 12, 60), (42, 14, 60), (48, 16, 60), (54, 18, 60), (72, 12, 30), (84, 14, 30), (96, 16, 30)],
)
def test_slot_angle(slots, poles, degrees):
    assert np.degrees(winding.slot_angle(slots, poles / 2)) == pytest.approx(degrees)
    assert winding.slots_per_pole_per_phase(slots, poles / 2) == pytest.approx(60 / degrees)


def test_coil_sides_of_one_slot_per_pole_and_phase():
    """36 slots, 12 poles, single layer: A +1 −4 +7 −10; B +3 −6 +9 …; C +5 −8 +11 … (slots counted from 1)."""
    sides = {phase: [] for phase in range(3)}
    for phase, sense, start, end in winding.coils(36, 6, 3, 1):
        sides[phase] += [(start + 1, sense), (end + 1, -sense)]
    assert sorted(sides[0])[:4] == [(1, 1), (4, -1), (7, 1), (10, -1)]
    assert sorted(sides[1])[:3] == [(3, 1), (6, -1), (9, 1)]
    assert sorted(sides[2])[:4] == [(2, -1), (5, 1), (8, -1), (11, 1)]


def test_coil_sides_of_twelve_slots_ten_poles():
    """Phase A, first layer: 1, 6, −7, −12."""
    found = {(start + 1) * sense for phase, sense, start, _ in winding.coils(12, 5, 1, 2) if phase == 0}
    assert found == {1, 6, -7, -12}


@pytest.mark.parametrize(("slots", "pole_pairs", "possible"), [(48, 8, True), (10, 4, False), (42, 6, False)])
def test_symmetry(slots, pole_pairs, possible):
    """Slots / (3·gcd) whole. 10 slots with 8 poles is the published case that fails."""
    assert winding.can_be_balanced(slots, pole_pairs) is possible
    assert (winding.fault(slots, pole_pairs, 3, 2) == "") is possible


def test_a_sample_of_windings_of_an_independent_library():
    """swat-em 0.6.3, 60 windings drawn by scripts/make_winding_fixture.py: integer, fractional, tooth coils."""
    sample = json.loads(Path(__file__).with_name("windings_swat_em.json").read_text("utf-8"))["windings"]
    assert len(sample) == 60
    for row in sample:
        counts = (row["slots"], row["pole_pairs"], row["coil_span"], row["layers"])
        assert winding.fault(*counts) == "", counts
        for order, factor in row["factors"].items():
            assert winding.winding_factor(*counts, int(order)) == pytest.approx(factor, abs=2e-6), counts
            parts = winding.distribution_factor(*counts, int(order)) * winding.pitch_factor(
                *counts[:3], int(order)
            )
            assert parts == pytest.approx(factor, abs=2e-6), counts


def test_coil_sides_of_the_same_sample():
    """Slots and senses of swat-em's phase A, layer by layer, are one of our phases', up to where counting begins."""
    sample = json.loads(Path(__file__).with_name("windings_swat_em.json").read_text("utf-8"))["windings"]
    for row in sample:
        slots = row["slots"]
        theirs = [{(abs(side) - 1, side > 0) for side in layer} for layer in row["sides_of_phase_a"] if layer]
        assert len(theirs) == row["layers"]
        sides = winding.coil_sides(slots, row["pole_pairs"], row["coil_span"], row["layers"])

        def turned(phase, turn, plus, sides=sides, slots=slots, layers=row["layers"]):
            return [
                {
                    ((side["slot"] + turn) % slots, (side["sense"] == "+") is plus)
                    for side in sides
                    if side["phase"] == phase and side["layer"] == layer
                }
                for layer in range(1, layers + 1)
            ]

        ways = ((phase, turn, plus) for phase in "ABC" for turn in range(slots) for plus in (True, False))
        assert any(turned(*way) == theirs for way in ways), row


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((40, 8, 3, 2), "divided by 3"),
        ((42, 6, 3, 2), "three equal phases"),
        ((48, 8, 6, 2), "whole electrical turn"),
        ((48, 8, 48, 2), "can't span"),
        ((48, 8, 49, 2), "can't span"),
        ((27, 4, 3, 1), "a coil has two sides"),
        ((9, 4, 1, 1), "a coil has two sides"),
    ],
)
def test_a_winding_that_cannot_be_is_refused_with_the_reason(counts, words):
    assert words in winding.fault(*counts)
    assert winding.fault(*counts).count(str(counts[0])) or str(counts[2]) in winding.fault(*counts)


def test_tooth_coils_in_one_layer_alternate_about_every_other_tooth():
    """12 slots, 10 poles, a coil about every other tooth: A, A reversed a half-turn on; kw 0.9659 (swat-em 0.6.3)."""
    starts = sorted(start for _, _, start, _ in winding.coils(12, 5, 1, 1))
    assert starts == [0, 2, 4, 6, 8, 10]
    own = {(start, sense) for phase, sense, start, _ in winding.coils(12, 5, 1, 1) if phase == 0}
    assert own == {(0, 1), (6, -1)}


def test_two_phases_that_cancel_and_a_dead_third_are_not_three_equal_phases():
    for slots in range(6, 60, 6):
        for pole_pairs in range(1, 12):
            for span in range(1, slots):
                for layers in (1, 2):
                    if winding.fault(slots, pole_pairs, span, layers):
                        continue
                    sizes = [
                        abs(winding.phasor(slots, pole_pairs, span, layers, phase)) for phase in range(3)
                    ]
                    assert sizes == pytest.approx([sizes[0]] * 3, rel=1e-6)


def test_the_strip_shows_every_coil_side():
    """99 slots of a fractional winding: each slot's two sides, in both layers."""
    sides = winding.coil_sides(99, 4, 12, 2)
    drawn = winding_strip("w", sides, 99)
    assert drawn.count("<rect") == 198
    assert all(drawn.count(f">{phase}{sense}<") > 20 for phase in "ABC" for sense in "+−")


def test_leads_of_a_star_peak_where_the_table_says():
    """A to C of a star: the difference of two phases' EMFs, worked from the phasors themselves."""
    given_ = parse_all(
        {"slots": "72", "pole_pairs": "6", "coil_span": "5", "layers": "2", "connection": "star"}, FIELDS
    )
    rows = evaluate(find("winding"), [("given", given_)]).results["phase_axes"]
    phases = {name: winding.phasor(72, 6, 5, 2, number) for number, name in enumerate("ABC")}
    for row in rows:
        first, last = row["leads"].split(" to ")
        between = np.angle(phases[first] - phases[last]) % (2 * np.pi)
        assert np.cos(between - row["star"]) == pytest.approx(1.0, abs=1e-9), row


@pytest.mark.parametrize(
    ("ratio", "factor"),
    [(14 / 15, 0.99452), (8 / 9, 0.98481), (5 / 6, 0.96593), (7 / 9, 0.93969), (2 / 3, 0.86603)],
)
def test_pitch_factor(ratio, factor):
    """Span over pole pitch, closed form of every textbook."""
    assert winding.pitch_factor(180, 1, round(90 * ratio)) == pytest.approx(factor, abs=2e-5)


def test_deshpande_example_of_eighteen_slots_two_poles():
    """Deshpande, example 13.3, at second hand: distribution factor 0.9598."""
    assert winding.distribution_factor(18, 1, 9, 2) == pytest.approx(0.9598, abs=1e-4)


def test_a_harmonic_that_is_cancelled_is_nothing_at_all():
    """Two sides 2/3 of a pole apart: the third harmonic's are 3 · 120° = a whole turn apart, sin 180° = 0 by hand.

    So are the ninth's. Two slots of 30° for each pole and phase: even harmonics of the belts, sense by sense, cancel.
    Full pitch and one slot for each pole and phase keep every odd one whole: |sin(90° · odd)| = 1.
    """
    for order in (3, 9):
        assert winding.pitch_factor(48, 8, 2, order) == 0.0
        assert winding.winding_factor(48, 8, 2, 2, order) == 0.0
    assert winding.distribution_factor(72, 6, 6, 2, 2) == 0.0
    assert [winding.winding_factor(48, 8, 3, 1, order) for order in (1, 3, 5, 7, 9, 11)] == [1.0] * 6


def test_one_slot_is_not_slots():
    """Coils about single teeth span one slot; three slots for each pole and phase are three."""
    given = {"slots": "36", "pole_pairs": "15", "coil_span": "1", "layers": "2"}
    told = evaluate(find("winding"), [("given", parse_all(given, FIELDS))])
    assert "Coils span 1 slot, " in told.report.why
    assert winding.counted(1.5, "slot") == "1.5 slots"


@pytest.mark.parametrize("slots", [40, 47, 49])
def test_slots_that_three_phases_cannot_share_are_named(slots):
    assert "divided by 3" in winding.fault(slots, 8, 3, 2)


def test_every_slot_holds_what_its_layers_say():
    for slots, pole_pairs, span, layers in ((48, 8, 3, 1), (72, 6, 5, 2), (72, 6, 6, 1), (12, 5, 1, 2)):
        sides = winding.coil_sides(slots, pole_pairs, span, layers)
        held = sorted((side["slot"], side["layer"]) for side in sides)
        assert held == [(slot, layer) for slot in range(slots) for layer in range(1, layers + 1)]


def test_the_answer_as_a_user_asks_it():
    """72 slots, 6 pole pairs, chorded 5/6 (check values): q = 2, kw 0.933; 40 slots are refused with reason."""
    answer = evaluate(
        find("winding"),
        [
            (
                "given",
                parse_all(
                    {"slots": "72", "pole_pairs": "6", "coil_span": "5", "layers": "2", "connection": "star"},
                    FIELDS,
                ),
            )
        ],
    )
    results = answer.results
    assert results["slots_per_pole_per_phase"] == 2
    assert results["winding_factor"] == pytest.approx(0.933013, abs=1e-6)
    assert results["balanced"] is True
    assert [row["order"] for row in results["harmonics"]] == [1, 3, 5, 7, 9, 11]
    assert len(results["coil_sides"]) == 144
    bad = evaluate(find("winding"), [("given", parse_all({"slots": "40", "pole_pairs": "8"}, FIELDS))])
    assert bad.results["balanced"] is False and bad.results["winding_factor"] is None
    assert bad.findings[0].severity == "stop" and "divided by 3" in bad.findings[0].text


@given(st.integers(3, 120), st.integers(1, 20), st.integers(1, 30), st.integers(1, 2))
def test_every_count_gives_a_factor_or_a_reason(slots, pole_pairs, span, layers):
    factor = winding.winding_factor(slots, pole_pairs, span, layers)
    assert 0.0 <= factor <= 1.0 + 1e-9
    reason = winding.fault(slots, pole_pairs, span, layers)
    if not reason:
        axes = [np.angle(winding.phasor(slots, pole_pairs, span, layers, phase)) for phase in range(3)]
        turns = [np.degrees(axis - axes[0]) % 360 for axis in axes[1:]]
        assert sorted(turns) == pytest.approx([120, 240], abs=1e-6)
