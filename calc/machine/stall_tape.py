"""What the tape of a stall test tells: how far the current moves the sensors' sector, and what that is of the field.

The pulls that were read there are `calc.machine.stall`.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from calc.errors import NoSolution
from calc.machine.scatter import READING_ERROR, student, variance
from calc.quantities import Array, Metre, Newton, Nm

StallRow = tuple[float, float, float, float, float, float, float | None]
"""Current, pull where the sector begins, pull where it ends, length of the lever, how far the lever's end stood back at
each of the two lamp changes, against where it comes without current, and how far apart those two marks are (None: a
sixth of an electrical turn)."""
CURRENTS_APART = 1.5
"""The highest current is at least so many times the lowest, or they count as one (common practice, no source)."""
_EDGE_ERROR = 0.009
"""Error of the place where a lamp changes, rad electrical: half a degree (common practice, no source)."""
_TAPE_ERROR = 0.0005
"""Error of a mark on the tape along the lever's end, m (common practice, no source)."""
FURTHEST = np.radians(75.0)
"""A lamp change further off than this, electrical, is another one: a sector is 60° wide."""
NARROWEST, WIDEST = np.radians(10.0), np.radians(110.0)
"""Between these a sector can be: sensors that answer to one pole make wide and narrow ones in turn."""
SIXTH = np.pi / 3.0
"""Width of a sector of sensors that answer to both poles, rad electrical."""
_STEPS = 50
_STEP = 1e-4


def pull_torque(pull: Newton, lever: Metre) -> Nm:
    """Torque of a pull square to a lever, N·m.

    Source: [method-drive] #stall-test
    """
    return pull * lever


@lru_cache(maxsize=64)
def ends(stall_test: tuple[StallRow, ...]) -> tuple[tuple[float, float, float], ...]:
    """Row by row: current (A), torque where the sector begins and where it ends (N·m).

    Raises NoSolution for a row without torque and for a single current.

    Source: [method-drive] #stall-test
    """
    found = [
        (current, float(pull_torque(begin, lever)), float(pull_torque(end, lever)))
        for current, begin, end, lever, *_ in stall_test
    ]
    for number, (_, begin, end) in enumerate(found, 1):
        if begin + end <= 0.0:
            raise NoSolution(
                f"Row {number} of the stall test has no pull at either end of its sector.",
                "Field on? Read between the two lamp changes on either side of the strongest pull.",
            )
    currents = [current for current, *_ in found]
    if max(currents) < CURRENTS_APART * min(currents):
        raise NoSolution(
            f"The stall test has {len(found)} {'row' if len(found) == 1 else 'rows'} at about one current "
            f"({max(currents):.3g} A). What the current does to sensors and torque shows only between two.",
            f"Add rows at a current {CURRENTS_APART:g} times as high or as low, better three times.",
        )
    return tuple(found)


@lru_cache(maxsize=64)
def moves(stall_test: tuple[StallRow, ...], pole_pairs: float) -> tuple[tuple[float, float], ...]:
    """How much earlier the sector begins and ends than without current, rad electrical, row by row.

    Raises NoSolution for a change that lies further off than the sector is wide.

    Source: [method-drive] #stall-test
    """
    found = []
    for number, (_, _, _, lever, *moved, _) in enumerate(stall_test, 1):
        begin, end = (pole_pairs * one / lever for one in moved)
        furthest = max(abs(begin), abs(end))
        if furthest > FURTHEST:
            raise NoSolution(
                f"Row {number} of the stall test has a lamp change {np.degrees(furthest):.0f}° electrical from where "
                "it comes without current: further than a sector is wide, so it is another change.",
                "Check pole pairs, the lever's length and the unit (a bare number is millimetres at the lever's end). "
                "Mark the same two changes each time.",
            )
        found.append((begin, end))
    return tuple(found)


@lru_cache(maxsize=64)
def widths(stall_test: tuple[StallRow, ...], pole_pairs: float) -> tuple[float, ...]:
    """How wide the sector is without current, rad electrical, row by row.

    Sensors that answer to one pole make wide and narrow ones in turn. Raises NoSolution for a width no sector has.

    Source: [method-drive] #stall-test
    """
    found = []
    for number, (_, _, _, lever, _, _, between) in enumerate(stall_test, 1):
        wide = SIXTH if between is None else pole_pairs * between / lever
        if not NARROWEST <= wide <= WIDEST:
            raise NoSolution(
                f"Row {number} of the stall test has marks {np.degrees(wide):.0f}° electrical apart; a sector is 60°, "
                f"with sensors that answer to one pole {np.degrees(NARROWEST):.0f} to {np.degrees(WIDEST):.0f}°.",
                "Check pole pairs, the lever's length and the unit (a bare number is millimetres at the lever's end). "
                "Mark two lamp changes that follow each other.",
            )
        found.append(wide)
    return tuple(found)


def shifts(stall_test: tuple[StallRow, ...], pole_pairs: float) -> tuple[float, ...]:
    """How much earlier the lamps change than without current, rad electrical, row by row: the mean of both ends.

    Source: [method-drive] #stall-test
    """
    return tuple((begin + end) / 2.0 for begin, end in moves(stall_test, pole_pairs))


@lru_cache(maxsize=64)
def fit(stall_test: tuple[StallRow, ...], pole_pairs: float) -> tuple[float, float]:
    """What moves the sensors: the armature's share of the working field for each ampere, and its ± as a share of it.

    The rows' shift is that of s·I (`_early`): s where current and what is left of the shifts no longer go together
    (bisection).
    Raises NoSolution when the current makes the sensors late, or moves them by more than a quarter of a turn.

    Source: [method-drive] #stall-test
    """
    current = np.array([row[0] for row in ends(stall_test)])
    shift = np.array(shifts(stall_test, pole_pairs))
    wider = np.array(widths(stall_test, pole_pairs)) / 2.0 - SIXTH / 2.0
    lever = float(np.mean([row[3] for row in stall_test]))
    expected = float(np.hypot(_EDGE_ERROR, pole_pairs * _TAPE_ERROR / lever))
    length = float(np.sqrt((current**2).sum()))
    spare = len(current) - 1.0

    def left(share: float) -> float:
        return float((current * (shift - _early(share * current, wider))).sum())

    low, high = 0.0, 1.0 / float(current.max())
    if left(low) < -student(spare) * expected * length:
        raise NoSolution(
            "The stall test says that current makes the sensors late. It can only make them early: with current the "
            "lamps change before the lever has come to the mark made without.",
            "Forward is the way the machine pulls. Enter how far short of the mark the lever stood.",
        )
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if left(middle) > 0.0 else (low, middle)
    share = (low + high) / 2.0
    away = shift - _early(share * current, wider)
    error = variance(float((away**2).sum()), spare, expected) ** 0.5
    grown = _early(share * current + _STEP, wider) - _early(share * current - _STEP, wider)
    slope = float((current**2 * grown / (2.0 * _STEP)).sum())
    off = student(spare) * error * length / slope
    if share < off:  # tape and lamps tell no more than that it lies between nothing and both together
        share = (share + off) / 2.0
        return share, 0.95
    return share, float(min(np.hypot(off / max(share, 1e-9), READING_ERROR), 0.95))


def _early(share: Array, wider: Array) -> Array:
    """How much earlier a sector comes, rad, where the armature's field is that share of the working one.

    A sensor changes at its threshold, the sine of what the sector is wider by at that end, and the armature moves both
    ends across it: the mean of the two. With a sector of a sixth of a turn that is asin(share).
    """
    threshold = np.sin(wider)
    later, earlier = (np.arcsin(np.clip(threshold + sign * share, -1.0, 1.0)) for sign in (1.0, -1.0))
    return (later - earlier) / 2.0
