"""What three lamps do when the sensors sit in given slots: one word for it, exactly, from the slots.

Places are counted in half slots of an electrical turn, 2·slots to the turn, so that edges that coincide do. A
sensor is on for half a turn; two sensors change at once when they are in one place, or half a turn apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import gcd
from typing import Any

import numpy as np

from calc.machine.sensors import TOLERANCE

EYE = np.radians(15.0)
"""Edges nearer than this, electrical, look like one to somebody who turns a rotor by hand (common practice, no
source): 2° of shaft with 8 pole pairs."""
Row = dict[str, Any]
Slots = tuple[int, int, int]


def _holds(slots: int, places: tuple[Any, Any, Any]) -> dict[str, Any]:
    """Which patterns places (whole half slots, arrays) show: on a leading axis exactly, then as the eye takes it."""
    near = (np.array([0.0, EYE]) * slots / np.pi + 1e-6).reshape((2,) + (1,) * np.ndim(places[1]))

    def apart(i: int, j: int) -> Any:
        off = np.abs(places[i] - places[j]) % (2 * slots)
        return np.minimum(off, 2 * slots - off)

    gaps = [apart(0, 1), apart(0, 2), apart(1, 2)]
    same = [gap <= near for gap in gaps]
    opposite = [gap >= slots - near for gap in gaps]
    together, inverse = same[0] | same[1] | same[2], opposite[0] | opposite[1] | opposite[2]
    every = same[0] & same[1] & same[2]
    steps = np.sort(np.stack(np.broadcast_arrays(*(place % slots for place in places))), axis=0)
    widths = np.stack([steps[1] - steps[0], steps[2] - steps[1], slots - steps[2] + steps[0]])
    uneven = np.max(np.abs(widths * np.pi / slots - np.pi / 3.0), axis=0) > TOLERANCE + 1e-9
    return {
        "all-together": every,
        "two-together": together & ~every,
        "opposite": inverse,
        "two-at-once": (together | inverse) & ~every,
        "uneven": uneven & ~together & ~inverse,
        "six-codes": np.stack([~uneven, ~uneven]),
    }


def _places(
    slots: int, pole_pairs: int, sensor_slots: Sequence[int], turned: int = -1
) -> tuple[int, int, int]:
    """Places in half slots; `turned` is the sensor (from 0) whose lamp is reversed, −1 for none."""
    first, second, third = (
        (2 * (slot * pole_pairs % slots) + (slots if k == turned else 0)) % (2 * slots)
        for k, slot in enumerate(sensor_slots)
    )
    return first, second, third


@cache
def shows(slots: int, pole_pairs: int, sensor_slots: Slots, turned: int = -1) -> tuple[str, ...]:
    """Every word for what the lamps do with sensors in these slots, the exact one first.

    Keys of `calc.fields.sensed.PATTERNS`. Two lamps that always agree also change at once; edges nearer than 15°
    may be told as one, so a set that is exactly "uneven" can be told as "two together". turned: a sensor whose
    lamp is reversed, from 0; −1 for none.

    Source: [method-machine] #lamps
    """
    places = _places(slots, pole_pairs, sensor_slots, turned)
    holds = _holds(slots, places)
    return tuple(dict.fromkeys(word for way in (0, 1) for word, true in holds.items() if true[way]))


def _pairs(slots: int, pole_pairs: int) -> tuple[Any, Any, Any, dict[str, Any]]:
    """For each pair of places that two further slots can have: the most compact two, how many such two there are,
    and which patterns they show with slot 0.
    """
    place = 2 * (np.arange(slots) * pole_pairs % slots)
    kinds, first, count = np.unique(place[1:], return_index=True, return_counts=True)
    first, again = first + 1, first + 1 + slots // gcd(slots, pole_pairs)
    i, j = np.triu_indices(len(kinds))
    second = np.minimum(first[i], first[j])
    third = np.where(i == j, again[i], np.maximum(first[i], first[j]))
    times = np.where(i == j, count[i] * (count[i] - 1) // 2, count[i] * count[j])
    second, third, i, j = (side[times > 0] for side in (second, third, i, j))
    return second, third, times[times > 0], _holds(slots, (np.zeros_like(second), kinds[i], kinds[j]))


@cache
def census(slots: int, pole_pairs: int) -> tuple[Row, ...]:
    """What all sets of three slots show, the first in slot 0: rows of `pattern`, `sets`, `share` and an example.

    Each set of two other slots counts once, by the exact word; the example is the most compact.

    Source: [method-machine] #lamps
    """
    if slots < 3:
        return ()
    second, third, times, holds = _pairs(slots, pole_pairs)
    left = np.ones(second.shape, dtype=bool)
    rows = []
    for word, true in holds.items():
        mine = true[0] & left
        left &= ~mine
        if mine.any():
            best = int(np.argmin(np.where(mine, third * slots + second, slots * slots)))
            rows.append(
                {
                    "pattern": word,
                    "sets": int(times[mine].sum()),
                    "share": float(times[mine].sum() / times.sum()),
                    "slot_1": 0,
                    "slot_2": int(second[best]),
                    "slot_3": int(third[best]),
                }
            )
    return tuple(sorted(rows, key=lambda row: -row["sets"]))


@cache
def placements(slots: int, pole_pairs: int, pattern: str, most: int) -> tuple[Slots, ...]:
    """Where three sensors may sit when their lamps do this: one set, the most compact, for each pair of places.

    By the exact word first, then what the eye may take for it; the first `most` of them. Slot 0 is the first
    sensor's.

    Source: [method-machine] #lamps
    """
    if slots < 3:
        return ()
    second, third, _, holds = _pairs(slots, pole_pairs)
    exact, by_eye = holds.get(pattern, np.zeros((2, *second.shape), dtype=bool))
    found = exact | by_eye
    second, third, exact = second[found], third[found], exact[found]
    order = np.lexsort((second, third, ~exact))[:most]
    return tuple((0, int(second[at]), int(third[at])) for at in order)


def expected(slots: int, pole_pairs: int, sensor_slots: Sequence[int]) -> str:
    """What the lamps of these slots should do, the exact word; "none" for a list that isn't three of the slots.

    For single values of slots and pole pairs.

    Source: [method-machine] #lamps
    """
    count, pairs = round(float(slots)), round(float(pole_pairs))
    if len(sensor_slots) != 3 or max(sensor_slots) >= count:
        return "none"
    first, second, third = (int(slot) for slot in sensor_slots)
    return shows(count, pairs, (first, second, third))[0]
