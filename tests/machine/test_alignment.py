"""Timing of sensors in slots against windings drawn by hand and all 36 ways to connect the leads."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine import alignment, winding

# Slots of two poles as a winder would draw them: one letter a coil side, small for the return; layer by layer.
FULL_PITCH = {1: ("AcBaCb",), 2: ("AAccBBaaCCbb",)}
CHORDED_5_6 = {2: ("AAccBBaaCCbb", "AccBBaaCCbbA")}
ANGLE = np.radians(np.arange(0.0, 360.0, 0.25))
TABLE = {(1, 0, 1): 0, (1, 0, 0): 1, (1, 1, 0): 2, (0, 1, 0): 3, (0, 1, 1): 4, (0, 0, 1): 5}
PAIRS = [(2, 1), (0, 1), (0, 2), (1, 2), (1, 0), (2, 0)]  # a controller's table: lead to plus, lead to minus


def phase_emf(layers):
    """EMF of phases A, B, C over the rotor's angle: a north pole over slot k at angle k·(slot angle)."""
    emf = np.zeros((3, ANGLE.size))
    for layer in layers:
        for slot, side in enumerate(layer):
            wave = np.cos(ANGLE - 2 * np.pi * slot / len(layer))
            emf["ABC".index(side.upper())] += wave if side.isupper() else -wave
    return emf


def leads_emf(layers, connection):
    """Potential of each lead against the mean of the three, so that any pair's EMF is a difference."""
    phases = phase_emf(layers)
    if connection == "star":
        return phases
    # Delta: phase A lies between leads 0 and 1, B between 1 and 2, C between 2 and 0.
    potential = np.zeros_like(phases)
    potential[1] = -phases[0]
    potential[2] = -phases[0] - phases[1]
    return potential - potential.mean(0)


def mean_torques(layers, connection, places):
    """Mean torque of all 36 arrangements, in units of peak line-line EMF constant times current."""
    leads = leads_emf(layers, connection)
    peak = np.abs(leads[0] - leads[1]).max()
    slots = len(layers[0])
    lamps = [(np.cos(ANGLE + 1e-9 - 2 * np.pi * place / slots) > 0).astype(int) for place in places]
    found = []
    for order in permutations(range(3)):
        which = [TABLE.get(code) for code in zip(*(lamps[sensor] for sensor in order), strict=True)]
        for phases in permutations(range(3)):
            total = 0.0
            for index, sector in enumerate(which):
                if sector is not None:
                    plus, minus = PAIRS[sector]
                    total += leads[phases[plus], index] - leads[phases[minus], index]
            found.append(total / peak / ANGLE.size)
    return np.array(found)


# Design note 6: right in a slot for delta, 30° out for star; 15° for both; chorded right for both.
CASES = [
    (FULL_PITCH[1], 3, 1, "delta", 0.0),
    (FULL_PITCH[1], 3, 1, "star", 30.0),
    (FULL_PITCH[2], 6, 1, "delta", 15.0),
    (FULL_PITCH[2], 6, 1, "star", 15.0),
    (CHORDED_5_6[2], 5, 2, "delta", 0.0),
    (CHORDED_5_6[2], 5, 2, "star", 0.0),
]


@pytest.mark.parametrize(("layers", "span", "sides", "connection", "degrees"), CASES)
@pytest.mark.parametrize("pole_pairs", [6, 7, 8, 9])
def test_error_in_the_best_slot(layers, span, sides, connection, degrees, pole_pairs):
    slots = len(layers[0]) * pole_pairs
    places = (0, slots // pole_pairs // 3, 2 * slots // pole_pairs // 3)
    found = alignment.alignment_error(slots, pole_pairs, span, sides, connection, places)
    assert np.degrees(found) == pytest.approx(degrees, abs=1e-9)
    shown = [
        float(np.degrees(place)) for place in alignment.places(slots, pole_pairs, span, sides, connection)
    ]
    assert min(abs(place) for place in shown) == pytest.approx(degrees, abs=1e-6)
    # Two slots to a pole and phase and full pitch: late or early by choice; one slot: all slots alike.
    assert len(shown) == len(layers[0]) // 6


@pytest.mark.parametrize(("layers", "span", "sides", "connection", "degrees"), CASES)
def test_torque_of_the_best_arrangement_in_the_best_slot(layers, span, sides, connection, degrees):
    """All slots for the first sensor, all 36 arrangements, torque summed over a turn."""
    slots = len(layers[0])
    third = slots // 3
    best = max(
        mean_torques(layers, connection, [(first + k * third) % slots for k in range(3)]).max()
        for first in range(slots)
    )
    share = alignment.torque_share(slots, 1, (0, third, 2 * third), "120", np.radians(degrees))
    assert best == pytest.approx(3 / np.pi * float(share), abs=2e-3)


def test_counts_of_arrangements():
    """An independent count made before this code: 3 right, 3 reversed, 12 weak, 18 dead; 30° out 6, 6, 24."""
    right = mean_torques(FULL_PITCH[1], "delta", (0, 2, 4))
    levels = (0.955, -0.955, 0.4775, -0.4775, 0)
    assert [int((np.abs(right - level) < 0.01).sum()) for level in levels] == [3, 3, 6, 6, 18]
    out = mean_torques(FULL_PITCH[1], "star", (0, 2, 4))
    assert [int((np.abs(out - level) < 0.01).sum()) for level in (0.827, -0.827, 0)] == [6, 6, 24]


@pytest.mark.parametrize(("layers", "span", "sides", "connection", "degrees"), CASES)
def test_positive_is_late(layers, span, sides, connection, degrees):
    """Where the sensors switch against where a line-line EMF passes zero, forward rotation."""
    leads = leads_emf(layers, connection)
    zeros = []
    for a, b in ((0, 1), (1, 2), (2, 0)):
        emf = leads[a] - leads[b]
        zeros += [
            np.degrees(ANGLE[k]) for k in range(ANGLE.size) if emf[k - 1] * emf[k] <= 0 and abs(emf[k]) < 0.05
        ]
    slots = len(layers[0])
    found = set()
    for first in range(slots):
        edge = 360.0 * first / slots + 90.0  # a pole's edge is 90° from its middle
        late = [(edge - zero + 180) % 360 - 180 for zero in zeros]
        found.add(round(min(late, key=abs)))
    assert round(degrees) in found or -round(degrees) in found
    assert min(abs(x) for x in found) == pytest.approx(degrees, abs=1)


def test_uneven_sensors_share_the_mean_of_the_cosines():
    """Hand-worked: two edges a turn and sensor, each late by d, give the mean of cos d (docs/method.md)."""
    # 360 slots and one pole pair: one degree to the slot.
    for d2, d3 in ((4, 0), (-6, 3), (5, -5)):
        places = (0, 120 + d2, 240 + d3)
        mean = (d2 + d3) / 3
        share = alignment.torque_share(360, 1, places, "120", 0.0)
        hand = np.mean(np.cos(np.radians([0 - mean, d2 - mean, d3 - mean])))
        assert share == pytest.approx(hand, abs=2e-4)


def test_sixty_degree_set_serves_its_own_controller():
    assert alignment.torque_share(48, 8, (0, 1, 2), "60", 0.0) == pytest.approx(1.0)
    assert alignment.torque_share(48, 8, (0, 1, 2), "120", 0.0) < 0.7
    assert alignment.torque_share(48, 8, (0, 1), "120", 0.0) == 0.0


COUNTS = st.tuples(st.integers(3, 120), st.integers(1, 20), st.integers(1, 20), st.integers(1, 2))


@given(COUNTS, st.sampled_from(["star", "delta"]), st.lists(st.integers(0, 119), min_size=3, max_size=3))
def test_finite_and_in_range(counts, connection, places):
    error = alignment.alignment_error(*counts, connection, places)
    assert -np.pi / 3 <= error <= np.pi / 3
    share = alignment.torque_share(*counts[:2], places, "120", error)
    assert 0.0 <= share <= 1.0 + 1e-9
    if winding.fault(*counts):
        assert error == pytest.approx(np.pi / 6)


def test_counts_may_be_arrays():
    lanes = np.array([7.0, 8.0])
    found = alignment.alignment_error(np.array([42.0, 48.0]), lanes, 3, 1, "star", (0, 2, 4))
    assert np.degrees(found) == pytest.approx([30.0, 30.0])


@pytest.mark.parametrize("connection", ["star", "delta"])
def test_one_layer_of_coils_about_teeth(connection):
    """12 slots, 10 poles, worked by hand: coils about teeth 0, 4, 8 have axes 75°, −45°, −165°.

    A pair's EMF passes zero at 105° in star and 75° in delta; a sensor at φ switches at φ + 90°: 0° or 30° modulo 60°,
    15° early or late.
    """
    errors = alignment.places(12, 5, 1, 1, connection)
    assert np.degrees(errors) == pytest.approx([-15.0, 15.0])
    axis = {"star": 105.0, "delta": 75.0}[connection]
    by_hand = {round((150.0 * slot + 90.0 - axis + 30.0) % 60.0 - 30.0) for slot in range(12)}
    assert by_hand == {-15, 15}
