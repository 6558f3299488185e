"""The static lock test: from where a fed rotor stands and what the sensors then say to the motor's own map.

Direct current from some leads to the others makes a field that stands still, and the rotor turns onto it. One lead
against the two others, and two leads alone, give twelve directions, 30° apart. Angles as in `leads`.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import lcm, pi
from typing import NamedTuple

import numpy as np

from calc.machine.leads import TURN, reduced
from calc.machine.misread import (
    GRID,
    UNIT,
    Fault,
    Reading,
    expected,
    joined,
    leap,
    place_of,
    single,
    stands_at,
    stands_still,
    why,
)
from calc.quantities import Ampere, Array, Nm, Radian, TorqueConstant

FEEDS = (
    "A-BC", "A-B", "AC-B", "C-B", "C-AB", "C-A", "BC-A", "B-A", "B-AC", "B-C", "AB-C", "A-C",
)  # fmt: skip
MOST_UNEVEN = np.radians(25.0)
_TOLD = {"yes": True, "no": False}


class Motor(NamedTuple):
    """What the readings say of the motor.

    places: where each sensor switches on, rad, or () while it isn't known. spacing: '120', '60' or ''; middle: which
    sensor (from 0) is turned over in a 60° set, −1 for none. error: alignment, rad, −30° to 30°; reach: how far off
    that may be. mirrored: lamps follow each other against the leads' order. uneven: how far each sensor is from
    its place. next_feed: what to read next, '' when nothing is missing.
    """

    places: tuple[float, ...] = ()
    spacing: str = ""
    middle: int = -1
    error: float = 0.0
    reach: float = 0.0
    mirrored: bool = False
    uneven: tuple[float, ...] = ()
    next_feed: str = ""
    faults: tuple[Fault, ...] = ()


def lock_current(friction_torque: Nm, torque_constant: TorqueConstant, breakaway_torque: Nm = 0.0) -> Ampere:
    """Least direct current for a lock test that stands within 15° electrical, A: 4.26 · torque / torque constant.

    One lead against two gives √3/2 of the peak torque per ampere, 0.907 of the six-step constant, times the sine of the
    angle still to go. Two leads alone stand a little nearer. The mean of both turning senses cancels what is left.
    The larger torque counts: friction while turning, or what it took to break away, detents and sticking with it;
    0 where nobody pulled.

    Source: [method-machine] #lock-current
    """
    per_ampere = torque_constant * np.pi / 3.0 * np.sqrt(3.0) / 2.0
    return np.maximum(friction_torque, breakaway_torque) / (per_ampere * np.sin(np.pi / 12.0))


def detent_angle(slots: int, pole_pairs: int) -> Radian:
    """Electrical angle from one detent of an excited rotor to the next, rad: 2π · pole pairs / lcm(slots, poles).

    Iron is drawn to either pole alike, so the pull repeats with the poles and with the slots.

    Source: [method-machine] #lock-current
    """
    return TURN * pole_pairs / lcm(slots, 2 * pole_pairs)


def lamps_of(text: str) -> str:
    """'101' from what somebody typed for three lamps ('1 0 1', '1-0-1'), or '' when it can't be read.

    Source: [method-machine] #lock-test
    """
    bits = "".join(sign for sign in text if sign not in " -/|.")
    return bits if len(bits) == 3 and set(bits) <= {"0", "1"} else ""


def stood(rows: Sequence[tuple[str, str, str | None]]) -> list[tuple[str, float, str, bool | None]]:
    """Each reading as (feed, where the rotor stood in rad electrical, lamps, steady or not).

    Source: [method-machine] #lock-test
    """
    return [(feed, stands_at(feed), lamps_of(lamps), _TOLD.get(steady or "")) for feed, lamps, steady in rows]


@cache
def _even_sets() -> tuple[Array, list[tuple[int, int, int]]]:
    """Every even set on the grid: places (units) by set and sensor, and (first place, sense, sensor turned over)."""
    kinds = [(x, s, m) for x in range(GRID) for s in (1, -1) for m in (-1, 0, 1, 2)]
    return np.array([_set_at(*kind) for kind in kinds]), kinds


def _set_at(first: float, sense: int, over: int) -> list[float]:
    return [(first + sense * 8 * k + (GRID // 2 if k == over else 0)) % GRID for k in range(3)]


def _lamps(readings: list[Reading], places: Array) -> tuple[Array, Array]:
    """By reading, set and sensor: lamps that the set (sets, sensors) misses, and whether the rotor is at its edge."""
    stand = np.array([r.place for r in readings])[:, None, None]
    lit = np.array([[bit == "1" for bit in r.lamps] for r in readings])[:, None, :]
    after = (stand - places) % GRID
    edge = after % (GRID // 2) == 0
    return ~edge & ((after < GRID // 2) != lit), edge


def _cost(readings: list[Reading], missed: Array, edge: Array) -> Array:
    """How badly each set suits the readings: a wrong code counts most, then 'steady' on an edge."""
    on_edge = np.array([{True: 1.0, False: 0.0, None: 0.6}[r.steady] for r in readings])[:, None]
    off_edge = np.array([1.0 if r.steady is False else 0.0 for r in readings])[:, None]
    wrong, near = missed.any(axis=-1), edge.any(axis=-1)
    return np.where(wrong, 3.0, np.where(near, on_edge, off_edge)).sum(axis=0)


@cache
def motor_map(rows: tuple[tuple[str, str, str | None], ...]) -> Motor:
    """The motor's map of sensor codes from the readings (feed, lamps, steady), with everything wrong about them.

    Each even set of sensors (120° or with one turned over, either order, every 15°) is held against the readings;
    those that suit best remain. Where even they miss a code, three single sensors are looked for, then the rows
    that don't fit the rest.

    Source: [method-machine] #lock-test
    """
    unread = [
        Fault(
            f"Row {number}, {feed}: “{lamps}” can't be read as three lamps.",
            "Write a 1 for a lamp that is on and a 0 for one that is off, for example 101.",
        )
        for number, (feed, lamps, _) in enumerate(rows, 1)
        if not lamps_of(lamps)
    ]
    readings = [
        Reading(number, feed, place_of(feed), lamps_of(lamps), _TOLD.get(steady or ""))
        for number, (feed, lamps, steady) in enumerate(rows, 1)
        if lamps_of(lamps)
    ]
    if unread or not readings:
        return Motor(faults=tuple(unread))
    still = stands_still(readings)
    if still:
        return Motor(faults=(still,))
    places, kinds = _even_sets()
    missed, edge = _lamps(readings, places)
    cost = _cost(readings, missed, edge)
    fit = np.flatnonzero(cost <= cost.min() + 1e-9)
    wrong = missed[:, fit].any(axis=-1)
    if wrong.any():
        return _no_even_set(readings, places[fit], wrong, [kinds[k][2] >= 0 for k in fit])
    found = [kinds[k] for k in fit]
    first, sense, over = found[0]
    apart = [(x - first + GRID // 2) % GRID - GRID // 2 for x, *_ in found]
    next_feed = _next_feed(readings, places[fit])
    if {kind[1:] for kind in found} != {(sense, over)} or max(apart) - min(apart) > 4:
        return Motor(next_feed=next_feed, faults=() if next_feed else (_muddle(readings),))
    middle = first + (max(apart) + min(apart)) / 2.0
    return Motor(
        tuple(place * UNIT for place in _set_at(middle, sense, over)),
        "60" if over >= 0 else "120",
        over,
        reduced(middle * UNIT),
        ((max(apart) - min(apart)) / 2.0 + 1.0) * UNIT,
        # In a 60° set the middle sensor is the one turned over, and the order runs the other way round.
        sense < 0 if over < 0 else sense > 0,
        next_feed=next_feed,
    )


def _middle(places: list[int]) -> float:
    """Middle of neighbouring places on the ring, rad."""
    return float(np.angle(np.exp(1j * UNIT * np.array(places)).sum())) % TURN


def _no_even_set(readings: list[Reading], sets: Array, wrong: Array, over: list[bool]) -> Motor:
    """No even set fits: three uneven sensors, one reading that doesn't fit the others, or a muddle."""
    plain = [not turned for turned in over]
    if any(plain):  # a sensor turned over is rarer than a wrong reading
        sets, wrong = sets[plain], wrong[:, plain]
    singles = [single(readings, sensor) for sensor in range(3)]
    if all(singles) and len({r.place for r in readings}) >= 6:
        return _uneven(tuple(_middle(places) for places in singles))
    astray = [k for k in range(len(readings)) if wrong[k].all()]
    if 0 < len(astray) <= max(1, len(readings) // 4) and wrong.any(axis=1).sum() == len(astray):
        return Motor(faults=tuple(why(readings, k, sets) for k in astray))
    return Motor(faults=(_muddle(readings),))


def _muddle(readings: list[Reading]) -> Fault:
    return Fault(
        "The readings contradict each other: no three sensors give them. " + leap(readings),
        "Take the six readings of one form again, in order, each the same from both turning senses: field on, "
        "leads named once and marked, more current, and wait until the rotor stands.",
    )


def _uneven(where: tuple[float, ...]) -> Motor:
    """Three sensors that each make sense but don't sit evenly."""
    places, kinds = _even_sets()
    off = (np.array(where) - places * UNIT + pi) % TURN - pi
    own = off - off.mean(axis=-1, keepdims=True)
    best = int((np.abs(own).max(axis=-1) + 1e-6 * np.abs(off).max(axis=-1)).argmin())
    uneven = tuple(float(x) for x in own[best])
    for a, b in ((0, 1), (0, 2), (1, 2)):
        gap = abs((where[a] - where[b] + pi) % TURN - pi)
        if gap < UNIT * 0.7 or gap > pi - UNIT * 0.7:
            return Motor(faults=(joined(a, b, gap < UNIT),))
    if max(abs(x) for x in uneven) > MOST_UNEVEN:
        text = "The three sensors don't sit evenly: the steps differ by more than half of one."
        return Motor(
            uneven=uneven,
            faults=(
                Fault(text, "Read each feed once more. The same again: the sensors sit in wrong slots."),
            ),
        )
    first, sense, over = kinds[best]
    mirrored = sense < 0 if over < 0 else sense > 0
    error = reduced(first * UNIT + float(off[best].mean()))
    return Motor(where, "60" if over >= 0 else "120", over, error, UNIT, mirrored, uneven)


def _next_feed(readings: list[Reading], sets: Array) -> str:
    """The feed that tells most between the sets that remain, else the next of the steady form that is missing."""
    had = {r.feed for r in readings}
    flicker = [r for r in readings if r.steady is False]
    form = (
        2 if flicker and all(len(r.feed) == 4 for r in flicker) else 0
    )  # read the form that stands steadily
    wanted = [f for k, f in enumerate(FEEDS) if f not in had and (k % 2 == 1) == (form == 2)]
    if not wanted and len({r.place for r in readings}) < 6:
        wanted = [f for f in FEEDS if f not in had]
    if not wanted:
        return ""

    def worst(feed: str) -> int:
        codes = [expected(place_of(feed), one) for one in sets]
        return max(codes.count(code) for code in codes)

    return min(wanted, key=worst)
