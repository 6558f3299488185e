"""What can be wrong with the readings of a lock test, in words.

A place is where the rotor stands or a sensor switches on, in units of 15° electrical round a turn.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import NamedTuple

import numpy as np

from calc.machine.leads import TURN
from calc.quantities import Array

GRID = 24  # places for a switching edge in a turn: every 15°, between the feeds' directions and on them
UNIT = TURN / GRID
_AXES = {"A": 8, "B": 16, "C": 0}  # where each lead's EMF peaks, in units of 15°


class Reading(NamedTuple):
    """One row that can be read: its number, the feed, where the rotor stands (units of 15°), lamps, steady or not."""

    row: int
    feed: str
    place: int
    lamps: str
    steady: bool | None


class Fault(NamedTuple):
    """Something wrong with the readings: what, and what to do."""

    text: str
    do: str


def stands_at(feed: str) -> float:
    """Angle at which the rotor comes to rest, rad electrical: a quarter turn after the fed leads' EMF peaks.

    `feed` as in A-BC: in at A, out at B and C. Middle of a sector for one lead against two, edge of one for two
    leads alone, when sensors are aligned.

    Source: [method-machine] #lock-test
    """
    return place_of(feed) * UNIT


@cache
def place_of(feed: str) -> int:
    """The same as a place, a whole multiple of 15°.

    Source: [method-machine] #lock-test
    """
    into, _, out = feed.partition("-")
    turn = 1j * TURN / GRID
    field = sum(np.exp(turn * _AXES[x]) for x in into) / len(into) - sum(
        np.exp(turn * _AXES[x]) for x in out
    ) / len(out)
    return (round(float(np.angle(field)) / UNIT) + GRID // 4) % GRID


def single(readings: list[Reading], sensor: int) -> list[int]:
    """Where one sensor may switch on, units between the feeds' directions: what suits all its steady lamps.

    Source: [method-machine] #lock-test
    """
    certain = [r for r in readings if r.steady is not False]
    return [
        k
        for k in range(1, GRID, 2)
        if all(((r.place - k) % GRID < GRID // 2) == (r.lamps[sensor] == "1") for r in certain)
    ]


def stands_still(readings: list[Reading]) -> Fault | None:
    """The fault when the lamps never change though the feeds go round, one lamp never does, or two are one.

    Source: [method-machine] #lock-test
    """
    around = len({r.place for r in readings})
    if around >= 3 and len({r.lamps for r in readings}) == 1:
        return Fault(
            f"The lamps show {readings[0].lamps} for every feed: the rotor didn't move, or the sensors see nothing.",
            "Field on first, sensors supplied. Then more current, belt and chain off; the shaft must be seen to turn.",
        )
    for sensor in range(3):
        seen = {r.lamps[sensor] for r in readings}
        if len(seen) == 1 and not single(readings, sensor):
            state = "on" if seen == {"1"} else "off"
            return Fault(
                f"Lamp {sensor + 1} stays {state} all the way round: that sensor is dead, has no pull-up, or faces no "
                "field.",
                "Check its supply and its pull-up; bring a magnet near, one pole, then the other.",
            )
    certain = [r for r in readings if r.steady is not False]
    if len({r.place for r in certain}) >= 6:
        for a, b in combinations(range(3), 2):
            alike = {r.lamps[a] == r.lamps[b] for r in certain}
            if len(alike) == 1:
                return joined(a, b, alike == {True})
    return None


def joined(a: int, b: int, together: bool) -> Fault:
    """The fault of two sensors that sit whole or half electrical turns apart.

    Source: [method-machine] #lock-test
    """
    how, turns = ("together", "whole") if together else ("opposite to each other", "half")
    return Fault(
        f"Sensors {a + 1} and {b + 1} switch {how}: they sit {turns} electrical turns apart.",
        "Take a set that works; the sensor slots page lists them.",
    )


def leap(readings: list[Reading]) -> str:
    """Where two lamps change between feeds whose directions are neighbours, or where none does; '' if nowhere.

    Source: [method-machine] #lock-test
    """
    ordered = sorted({r.place: r for r in readings}.values(), key=lambda r: r.place)
    for a, b in zip(ordered, [*ordered[1:], ordered[0]], strict=True):
        changed = sum(x != y for x, y in zip(a.lamps, b.lamps, strict=True))
        where = f"Between {a.feed} (row {a.row}) and {b.feed} (row {b.row})"
        if (b.place - a.place) % GRID <= 4 and changed > 1:
            return f"{where} {changed} lamps change at once."
        if (b.place - a.place) % GRID == 4 and changed == 0:
            return f"{where} no lamp changes: the rotor didn't move."
    return ""


def expected(place: int, one: Array) -> str:
    """The lamps of sensors that switch on at `one`, with the rotor at `place`.

    Source: [method-machine] #lock-test
    """
    return "".join("1" if (place - x) % GRID < GRID // 2 else "0" for x in one)


def why(readings: list[Reading], index: int, sets: Array) -> Fault:
    """What may be wrong with the one reading that doesn't fit the others; sets: places that suit those.

    Source: [method-machine] #lock-test
    """
    r, one = readings[index], sets[0]
    start = f"Row {r.row}, {r.feed}: {r.lamps} doesn't fit the other readings, which ask for {expected(r.place, one)}."
    swapped = [
        f"{x} and {y}"
        for x, y in (("B", "C"), ("A", "C"), ("A", "B"))
        if r.lamps == expected(place_of(_sorted(r.feed.translate(str.maketrans(x + y, y + x)))), one)
    ]
    if r.lamps == expected((r.place + GRID // 2) % GRID, one):
        return Fault(
            f"{start} It is what the opposite feed gives: plus and minus were swapped, or friction held the rotor "
            "half a turn (electrical) off, where it balances.",
            "Supply off, turn the shaft a little by hand, hands off, and feed it again, plus at the leads named first.",
        )
    if index and r.lamps == readings[index - 1].lamps:
        return Fault(
            f"{start} It is the code of the row before: the rotor didn't move.",
            "More current: friction held it. Come from both turning senses.",
        )
    if r.lamps in _never(one):
        return Fault(
            f"{start} That code never occurs with these sensors.",
            "A loose sensor lead or a missing pull-up: wiggle the plug and read again.",
        )
    if swapped:
        return Fault(
            f"{start} It is what swapping leads {swapped[0]} gives.", "Check the clips, then read again."
        )
    return Fault(start, "Read that feed again: the rotor stopped short, or a lamp was misread.")


def _sorted(feed: str) -> str:
    into, _, out = feed.partition("-")
    return f"{''.join(sorted(into))}-{''.join(sorted(out))}"


def _never(one: Array) -> set[str]:
    """The two codes that sensors at these places never give."""
    return {f"{n:03b}" for n in range(8)} - {expected(p, one) for p in range(GRID)}
