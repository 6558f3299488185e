"""Three-phase windings by the star of slots: which coil belongs to which phase, where a phase's EMF points.

Slots are numbered from 0 in the direction of forward rotation; angles are electrical. A coil is a phase
(0, 1, 2), a sense (1 or −1) and the two slots that hold its sides. Everything here is one winding at a time:
counts and choices don't vary between draws.
"""

from __future__ import annotations

import cmath
from collections.abc import Sequence
from functools import cache
from math import gcd

import numpy as np

from calc.quantities import Number, Radian

Coil = tuple[int, int, int, int]
# Six belts of 60°, in order of the slots' electrical position: (phase, sense).
_BELTS = ((0, 1), (2, -1), (1, 1), (0, -1), (2, 1), (1, -1))


def slot_angle(slots: Number, pole_pairs: Number) -> Radian:
    """Electrical angle from one slot to the next, rad: 2π·pole_pairs/slots; may pass a turn.

    Source: [method] #star-of-slots
    """
    return 2.0 * np.pi * pole_pairs / slots


def slots_per_pole_per_phase(slots: Number, pole_pairs: Number) -> Number:
    """q of a three-phase winding.

    Source: [method] #star-of-slots
    """
    return slots / (6.0 * pole_pairs)


def can_be_balanced(slots: int, pole_pairs: int) -> bool:
    """True when a symmetric three-phase winding exists: slots / (3·gcd(slots, pole_pairs)) is whole.

    Source: [swat-em] theory, condition for symmetry; the same rule in Acta Polytechnica 59(2), 2019
    """
    return slots % (3 * gcd(slots, pole_pairs)) == 0


def usual_layers(slots: Number, pole_pairs: Number, coil_span: Number) -> Number:
    """Coil sides in each slot where nobody counted: one for full pitch of an odd span, else two.

    Vehicle generators with one slot per pole and phase have one.

    Source: [method-machine] #winding
    """
    one = (np.rint(coil_span) % 2 == 1) & (2.0 * pole_pairs * coil_span == slots)
    return np.where(one, 1, 2)


@cache
def coils(slots: int, pole_pairs: int, coil_span: int, layers: int) -> tuple[Coil, ...]:
    """All coils of the winding, or none when this span and number of layers can't be wound.

    Two layers: a coil starts in each slot. One layer: each slot holds one side, so that half of the slots start a coil;
    of three ways to choose them (every other slot; the slots of the three positive belts; as many slots in a row as
    the span, then as many without) the one with three equal phases and most volts is taken. `coil_span` in slots, 1 for
    coils about single teeth.

    Source: [method] #star-of-slots
    """
    belt = [6 * (slot * pole_pairs % slots) // slots for slot in range(slots)]
    every = range(slots)
    ways: list[Sequence[int]] = [every]
    if layers == 1:
        ways = [
            range(0, slots, 2),
            [slot for slot in every if belt[slot] % 2 == 0],
            [slot for slot in every if slot // coil_span % 2 == 0],
        ]
    held = sorted(list(every) * layers)
    best: tuple[Coil, ...] = ()
    most = -1.0
    for starts in ways:
        found = tuple((*_BELTS[belt[slot]], slot, (slot + coil_span) % slots) for slot in starts)
        if coil_span % slots == 0 or sorted(slot for *_, a, b in found for slot in (a, b)) != held:
            continue
        phases = [_sum(found, phase, float(slot_angle(slots, pole_pairs))) for phase in range(3)]
        size = abs(phases[0]) if _equal(found, phases) else 0.0
        if size > most + 1e-9:
            best, most = found, size
    return best


def _equal(coils_: Sequence[Coil], phases: Sequence[complex]) -> bool:
    """True when three phases have as many coils and equal EMFs a third of a turn apart; two that cancel are not."""
    owned = [sum(owner == phase for owner, *_ in coils_) for phase in range(3)]
    size = max(abs(phase) for phase in phases)
    return (
        len(set(owned)) == 1
        and abs(sum(phases)) <= 1e-6 * size
        and all(abs(abs(phase) - size) <= 1e-6 * size for phase in phases)
    )


def _factor(value: float) -> float:
    """A winding factor without the last bits of rounding, so that none is exactly 0 and all exactly 1."""
    return round(value, 12)


def _sum(coils_: Sequence[Coil], phase: int, turn: float) -> complex:
    """EMF of one phase of these coils as a phasor; `turn` is the angle from slot to slot, times the order."""
    return complex(
        sum(
            sense * (cmath.exp(1j * turn * start) - cmath.exp(1j * turn * end))
            for owner, sense, start, end in coils_
            if owner == phase
        )
    )


@cache
def phasor(slots: int, pole_pairs: int, coil_span: int, layers: int, phase: int, order: int = 1) -> complex:
    """EMF of one phase as a phasor, each coil side counting 1; `order` is the harmonic.

    Its angle is the position of a pole's centre at which the phase's EMF peaks, as if by one coil side there.

    Source: [method] #star-of-slots
    """
    turn = order * float(slot_angle(slots, pole_pairs))
    return _sum(coils(slots, pole_pairs, coil_span, layers), phase, turn)


def winding_factor(slots: int, pole_pairs: int, coil_span: int, layers: int, order: int = 1) -> float:
    """Winding factor of the harmonic `order`, 0 to 1; 0 for a winding that can't be wound.

    Source: [method] #star-of-slots
    """
    sides = 2 * sum(owner == 0 for owner, *_ in coils(slots, pole_pairs, coil_span, layers))
    return _factor(abs(phasor(slots, pole_pairs, coil_span, layers, 0, order)) / max(sides, 1))


def pitch_factor(slots: int, pole_pairs: int, coil_span: int, order: int = 1) -> float:
    """What is left of two sides' EMF by their distance, 0 to 1: |sin(order · span · slot angle / 2)|.

    Source: [method-machine] #winding
    """
    return _factor(abs(float(np.sin(order * coil_span * slot_angle(slots, pole_pairs) / 2.0))))


def distribution_factor(slots: int, pole_pairs: int, coil_span: int, layers: int, order: int = 1) -> float:
    """What is left of a phase's coils by their places, 0 to 1; winding factor = distribution · pitch factor.

    Source: [method-machine] #winding
    """
    turn = 1j * order * float(slot_angle(slots, pole_pairs))
    own = [coil for coil in coils(slots, pole_pairs, coil_span, layers) if coil[0] == 0]
    return _factor(
        abs(complex(sum(sense * cmath.exp(turn * start) for _, sense, start, _ in own))) / max(len(own), 1)
    )


def coil_sides(slots: int, pole_pairs: int, coil_span: int, layers: int) -> list[dict[str, object]]:
    """Which phase each slot holds: rows of slot (from 0), layer, phase (A, B, C) and sense (+ or −), by slot.

    With two layers a coil's first side lies in layer 1, its second in layer 2.

    Source: [method] #star-of-slots
    """
    rows: list[dict[str, object]] = []
    for phase, sense, start, end in coils(slots, pole_pairs, coil_span, layers):
        for slot, layer, sign in ((start, 1, sense), (end, layers, -sense)):
            rows.append(
                {"slot": slot, "layer": layer, "phase": "ABC"[phase], "sense": "+" if sign > 0 else "−"}
            )
    return sorted(rows, key=lambda row: (row["slot"], row["layer"]))


def phase_axis(slots: int, pole_pairs: int, coil_span: int, layers: int, phase: int = 0) -> float:
    """Electrical position of a phase's axis measured from slot 0, rad, −π to π.

    With a pole's centre there the EMF of the phase peaks. In a slot for a full-pitch winding with one slot
    per pole and phase.

    Source: [method] #star-of-slots
    """
    return float(np.angle(phasor(slots, pole_pairs, coil_span, layers, phase)))


def counted(number: float, word: str) -> str:
    """'1 slot', '3 slots', '1.5 slots'.

    Source: [method-machine] #winding
    """
    return f"{number:.3g} {word}{'' if number == 1 else 's'}"


@cache
def fault(slots: int, pole_pairs: int, coil_span: int, layers: int) -> str:
    """Why there is no such three-phase winding, in plain words; '' when there is one.

    Source: [method] #star-of-slots
    """
    if slots % 3:
        return (
            f"{slots} slots can't be shared by three phases: {slots} divided by 3 leaves {slots % 3}. "
            "Count the slots again, with a chalk mark."
        )
    if not can_be_balanced(slots, pole_pairs):
        return (
            f"{slots} slots and {counted(pole_pairs, 'pole pair')} can't make three equal phases. "
            "Count both again: pole pairs on the rotor, slots in the stator."
        )
    if coil_span >= slots:
        return f"A coil can't span {coil_span} of {slots} slots. Count the span again, from slot to slot."
    if coil_span * pole_pairs % slots == 0:
        return (
            f"With {counted(pole_pairs, 'pole pair')}, slots {coil_span} apart lie a whole electrical turn apart, so a "
            f"coil's two sides cancel. Full pitch is {counted(slots / (2 * pole_pairs), 'slot')}. Count the span and "
            "the poles again."
        )
    if layers == 1 and slots % 2:
        return (
            f"{slots} slots with one coil side in each don't make whole coils: a coil has two sides. "
            "Look into a slot again for a second side, or count the slots again."
        )
    found = coils(slots, pole_pairs, coil_span, layers)
    if not found:
        return (
            f"Coils of span {coil_span} don't fill {slots} slots with one coil side in each. "
            "Count the span again, or look into a slot for a second side."
        )
    phases = [phasor(slots, pole_pairs, coil_span, layers, phase) for phase in range(3)]
    if abs(phases[0]) < 1e-6 or not _equal(found, phases):
        return (
            f"Coils of span {coil_span} in {slots} slots, {'one side' if layers == 1 else 'two sides'} in each, give "
            f"three phases that are not equal, or no voltage, with {counted(pole_pairs, 'pole pair')}. Count the span "
            "again, and the coil sides in a slot."
        )
    return ""
