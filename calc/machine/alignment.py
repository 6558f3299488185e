"""How well sensors in slots time the current: error against the winding, and what is left of the torque."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import permutations

import numpy as np

from calc.machine import winding
from calc.machine.sensors import each, pattern, positions
from calc.quantities import Fraction, Number, Radian

_SIXTH = np.pi / 3.0
_STAR_SHIFT = np.pi / 6.0
_ALIKE = 1e-9
# Codes of sensors 120° apart in the order of forward rotation, one for each sixth of an electrical turn.
_SECTORS = ((1, 0, 1), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1))


def _reduced(angle: float) -> float:
    """An angle modulo 60°, between −30° (left out) and 30°: current changes leads every 60°."""
    return angle - _SIXTH * float(np.ceil((angle - _SIXTH / 2.0) / _SIXTH - _ALIKE))


@cache
def sensor_errors(
    slots: int,
    pole_pairs: int,
    coil_span: int,
    layers: int,
    connection: str,
    sensor_slots: tuple[int, ...],
) -> tuple[float, ...]:
    """How late each sensor switches, rad electrical, for the best slot that the first one can be put in.

    The right place is on the axis of a line-line EMF, modulo 60°: a phase's own axis in delta, 30° from it in
    star. Equal errors of either sign give the late one: choosing the next slot turns it into the early one.
    A winding that can't be wound has no axis: 30° stands for it.

    Source: [method] #sensor-timing
    """
    if winding.fault(slots, pole_pairs, coil_span, layers):
        return (_SIXTH / 2.0,) * len(sensor_slots)
    axis = winding.phase_axis(slots, pole_pairs, coil_span, layers)
    if connection == "star":
        axis += _STAR_SHIFT
    offsets = positions(slots, pole_pairs, sensor_slots)
    # What each sensor is off the first one's place, however many sixths of a turn away it sits.
    uneven = [_reduced(offset - offsets[0]) for offset in offsets]
    firsts = [_reduced(place - axis) for place in positions(slots, pole_pairs, range(slots))]
    best = min(firsts, key=lambda first: (round(max(abs(first + u) for u in uneven), 9), -first))
    return tuple(round(best + u, 12) for u in uneven)  # exact places give exact zeros


def alignment_error(
    slots: Number,
    pole_pairs: Number,
    coil_span: int,
    layers: int,
    connection: str,
    sensor_slots: Sequence[int],
) -> Radian:
    """Electrical angle by which the sensors switch late for forward rotation, rad, −30° to 30°.

    Mean of three sensors in the best slot that the first one can be put in (`sensor_errors`). Counts may be
    arrays. Validity: sensors at the middle of their slots; no shift by the current's own field.

    Source: [method] #sensor-timing
    """
    return each(
        lambda q, p: float(np.mean(sensor_errors(q, p, coil_span, layers, connection, tuple(sensor_slots)))),
        slots,
        pole_pairs,
    )


def places(slots: int, pole_pairs: int, coil_span: int, layers: int, connection: str) -> tuple[float, ...]:
    """Every alignment error that an even set can have, one for each kind of slot for the first sensor, rad, sorted.

    One value: all slots are alike. Early beats late at speed, so of two as near the early one is to be tried first.

    Source: [method] #sensor-timing
    """
    if winding.fault(slots, pole_pairs, coil_span, layers):
        return ()
    axis = winding.phase_axis(slots, pole_pairs, coil_span, layers)
    if connection == "star":
        axis += _STAR_SHIFT
    return tuple(sorted({round(_reduced(p - axis), 9) for p in positions(slots, pole_pairs, range(slots))}))


def torque_share(
    slots: Number,
    pole_pairs: Number,
    sensor_slots: Sequence[int],
    sensor_spacing: str,
    alignment_error: Radian,
) -> Fraction:
    """Mean torque over a turn as a share of the best, with these slots and the leads matched the best way.

    Each code drives the pair of leads that suits its sixth of a turn; torque follows the cosine about that
    sixth's middle, integrated exactly over the angle for which the code stands; a code that the controller
    does not know drives nothing. Sensors each d from their place give the mean of cos d. Validity: flat-top
    current; with unusable sensors it is what a turning rotor would feel, and it won't start everywhere.

    Source: [method] #sensor-timing
    """
    even = each(lambda q, p: _evenness(q, p, sensor_slots, sensor_spacing), slots, pole_pairs)
    return even * np.cos(alignment_error)


def _evenness(slots: int, pole_pairs: int, sensor_slots: Sequence[int], sensor_spacing: str) -> float:
    """Torque share when the set as a whole is aligned: 1 for an even set."""
    if len(sensor_slots) != 3:
        return 0.0
    rows = pattern(slots, pole_pairs, sensor_slots)
    best = 0.0
    for order in permutations(range(len(sensor_slots))):
        total = 0.0j
        for row in rows:
            lamps = [row[f"sensor_{sensor + 1}"] for sensor in order]
            if sensor_spacing == "60":
                lamps[1] = 1 - lamps[1]
            if tuple(lamps) in _SECTORS:
                middle = row["angle"] + row["width"] / 2.0 - _SIXTH * _SECTORS.index(tuple(lamps))
                total += 2.0 * np.sin(row["width"] / 2.0) * np.exp(1j * middle)
        best = max(best, abs(total) / 6.0)
    return best
