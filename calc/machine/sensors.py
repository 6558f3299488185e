"""Rotor position sensors in stator slots: where they may sit, what they show, how well they time the current.

Slot 0 is the first sensor's; slots are numbered in the direction of forward rotation. A sensor is on while
a north pole faces it: half of each electrical turn. Positions are equal modulo one electrical turn, which is
one pole pair of the rotor.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import numpy as np

from calc.quantities import Number, Radian

TOLERANCE = np.radians(5.0)
"""How far each sixth of an electrical turn may be from 60° in a set that counts as usable (common practice,
no source): 5° at every edge costs 0.4 % of the torque."""
_TURN, _SIXTH = 2.0 * np.pi, np.pi / 3.0
Row = dict[str, Any]


def each(function: Callable[[int, int], float], slots: Number, pole_pairs: Number) -> Number:
    """`function` for every pair of counts; counts that vary between draws take few values."""
    if np.ndim(slots) == np.ndim(pole_pairs) == 0:
        return function(round(float(slots)), round(float(pole_pairs)))
    lanes = np.broadcast_arrays(np.rint(slots), np.rint(pole_pairs))
    pairs = np.stack([lane.ravel() for lane in lanes], axis=1)
    kinds, which = np.unique(pairs, axis=0, return_inverse=True)
    answers = np.array([function(int(a), int(b)) for a, b in kinds], dtype=float)
    return answers[which.ravel()].reshape(lanes[0].shape)


def sensor_pitch(pole_pairs: Number, sensor_spacing: str) -> Radian:
    """Mechanical angle between neighbouring sensors, rad: 120° (or 60°) divided by the pole pairs.

    Any sensor may be moved by whole electrical turns, 360°/pole_pairs. Count the pole pairs of the rotor; the
    stator's slots say nothing about them.

    Source: [hall-block] commutation with sensors 120 electrical degrees apart
    """
    return np.radians(float(sensor_spacing)) / pole_pairs


def positions(slots: int, pole_pairs: int, sensor_slots: Sequence[int]) -> list[float]:
    """Electrical positions from slot 0, 0 to 2π, exact multiples of 2π/slots.

    Source: [method] #star-of-slots
    """
    return [_TURN * (slot * pole_pairs % slots) / slots for slot in sensor_slots]


def _gaps(angles: Sequence[float], turn: float) -> list[float]:
    """Angles round a circle from each to the next."""
    ordered = sorted(angle % turn for angle in angles)
    return [b - a for a, b in zip(ordered, [*ordered[1:], ordered[0] + turn], strict=True)]


def _gaps_are_thirds(places: Sequence[float]) -> bool:
    return all(abs(gap - 2.0 * _SIXTH) < 2.0 * TOLERANCE + 1e-9 for gap in _gaps(places, _TURN))


def turned_over(slots: int, pole_pairs: int, sensor_slots: Sequence[int]) -> tuple[int, ...]:
    """Which sensors (from 0), each by itself, make the other kind of this even set when their lamp is reversed.

    A 60° set has one, the middle; in a 120° set each of the three would do.

    Source: [method] #sensor-slots
    """
    place = positions(slots, pole_pairs, sensor_slots)
    if _gaps_are_thirds(place):
        return (0, 1, 2)
    half = _TURN / 2.0
    return tuple(k for k in range(3) if _gaps_are_thirds([p + half * (i == k) for i, p in enumerate(place)]))


def sensors_reason(
    slots: Number, pole_pairs: Number, sensor_slots: Sequence[int], sensor_spacing: str
) -> str:
    """Why these slots can't serve a controller for `sensor_spacing`, in plain words; '' when they can.

    For single values of slots and pole pairs.

    Source: [method] #sensor-slots
    """
    slots, pole_pairs = round(float(slots)), round(float(pole_pairs))
    if len(sensor_slots) != 3:
        return f"Three sensors are needed, and {len(sensor_slots)} slot(s) are listed."
    for slot in sensor_slots:
        if not 0 <= slot < slots:
            return f"There is no slot {slot}: {slots} slots are numbered 0 to {slots - 1}."
    place = positions(slots, pole_pairs, sensor_slots)
    for a, b in ((0, 1), (0, 2), (1, 2)):
        apart = abs(sensor_slots[a] - sensor_slots[b])
        names = f"Sensors {a + 1} and {b + 1}"
        if apart == 0:
            return f"{names} sit in the same slot: their lamps switch together."
        if place[a] == place[b]:
            turns = apart * pole_pairs // slots
            how = "one electrical turn" if turns == 1 else f"{turns} electrical turns"
            return f"{names} sit {how} apart: their lamps switch together."
        if abs(abs(place[a] - place[b]) - np.pi) < 1e-9:
            return f"{names} sit half an electrical turn apart: one is on whenever the other is off."
    widths = _gaps(place, np.pi)
    if max(abs(width - _SIXTH) for width in widths) > TOLERANCE + 1e-9:
        listed = ", ".join(f"{np.degrees(width):.0f}°" for width in widths)
        return f"The six steps of a turn come out uneven: {listed}, and again. Each should be 60°."
    found = "120" if _gaps_are_thirds(place) else "60"
    if found != str(sensor_spacing):
        over = turned_over(slots, pole_pairs, sensor_slots)
        which = f"sensor {over[0] + 1}" if len(over) == 1 else "one sensor"
        return (
            f"These slots make a {found}° set, and the controller expects {sensor_spacing}°. "
            f"Turn {which} over, so that its lamp is reversed, or choose other slots."
        )
    return ""


def sensors_usable(
    slots: Number, pole_pairs: Number, sensor_slots: Sequence[int], sensor_spacing: str
) -> Number:
    """1 when these slots give six even steps of the kind that the controller expects, else 0.

    Each step may be 5° from 60°. In any order, and the first sensor need not be the first wire: the leads are
    matched later. Counts may be arrays.

    Source: [method] #sensor-slots
    """
    return each(lambda q, p: float(not sensors_reason(q, p, sensor_slots, sensor_spacing)), slots, pole_pairs)


def pattern(slots: int, pole_pairs: int, sensor_slots: Sequence[int], shorter: Radian = 0.0) -> list[Row]:
    """What three lamps show over one electrical turn, from the moment when the first sensor switches on.

    Rows of `angle` (where the row starts, rad electrical), `width` (rad), `sensor_1`, `sensor_2`, `sensor_3`
    (1 on, 0 off). Forward rotation; read the rows upwards for reverse. Assumes that both poles are as wide. shorter:
    by how much each lamp is on for less than half of the turn, rad, as unipolar sensors are.

    Source: [hall-block] truth table of three sensors, the same in the six-step teaching page
    """
    # In whole steps of half a slot's share of a turn, 2·slots to the turn, so that edges that coincide do.
    step = np.pi / slots
    place = [2 * (slot * pole_pairs % slots) for slot in sensor_slots]
    lit = slots - shorter / step if shorter else slots
    edges = sorted({(p + edge) % (2 * slots) for p in place for edge in (0, lit)})
    rows = []
    for start, end in zip(edges, [*edges[1:], edges[0] + 2 * slots], strict=True):
        middle = (start + end) / 2
        on = {f"sensor_{i}": int((middle - p) % (2 * slots) < lit) for i, p in enumerate(place, 1)}
        rows.append({"angle": start * step, "width": (end - start) * step, **on})
    return rows


@cache
def valid_sets(slots: int, pole_pairs: int, sensor_spacing: str) -> tuple[Row, ...]:
    """Every triple of slots, from slot 0, that makes a set of this spacing; the most compact first.

    Rows of `slot_1` (always 0), `slot_2`, `slot_3`, `order` ("forward" when they switch on in this order in
    forward rotation, else "reverse") and `error` (rad electrical, the furthest that one is from its place).
    In a 60° set slot_2 is the middle sensor's. Exact sets only where there are any, else those within 5°.

    Source: [method] #sensor-slots
    """
    place = positions(slots, pole_pairs, range(slots))

    def near(target: float) -> list[tuple[int, float]]:
        off = [abs((angle - target + np.pi) % _TURN - np.pi) for angle in place]
        return [(slot, 0.0 if e < 1e-9 else e) for slot, e in enumerate(off) if e <= TOLERANCE + 1e-9]

    rows: list[Row] = []
    for first, second in ((2.0, 4.0),) if sensor_spacing == "120" else ((1.0, 2.0), (-1.0, -2.0)):
        for a, error_a in near(first * _SIXTH):
            for b, error_b in near(second * _SIXTH):
                swap = sensor_spacing == "120" and a > b
                row: Row = {
                    "slot_1": 0,
                    "slot_2": min(a, b) if swap else a,
                    "slot_3": max(a, b) if swap else b,
                }
                row["order"] = "reverse" if swap or first < 0.0 else "forward"
                row["error"] = max(error_a, error_b)
                rows.append(row)
    least = min((row["error"] for row in rows), default=0.0)
    kept = [row for row in rows if row["error"] == 0.0]
    if least > 0.0:  # two slots that are each near enough may still make a step that isn't
        triples = [(row, (0, row["slot_2"], row["slot_3"])) for row in rows]
        kept = [row for row, three in triples if not sensors_reason(slots, pole_pairs, three, sensor_spacing)]
    return tuple(sorted(kept, key=lambda row: (_reach(slots, row), row["slot_2"], row["slot_3"])))


def _reach(slots: int, row: Row) -> int:
    """Slots from one end of a set to the other, the short way round."""
    ordered = sorted((0, row["slot_2"], row["slot_3"]))
    return slots - max(b - a for a, b in zip(ordered, [*ordered[1:], slots], strict=True))
