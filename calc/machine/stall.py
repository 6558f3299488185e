"""Stall torque by lever and scale at several currents: torque constant, and how far the current moves the sensors.

Two leads are fed, which makes the torque a cosine over the rotor's angle. Read at the two ends of the 60° for which
the sensors' code stands, it gives its own size and how late that window lies.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from calc.errors import NoSolution
from calc.machine.armature import armature_ratio
from calc.machine.scatter import READING_ERROR, spread_of_mean, student, variance
from calc.quantities import EmfConstant, Fraction, Henry, Metre, Newton, Nm, Number, Radian, TorqueConstant

StallRow = tuple[float, float, float, float]
"""Current, pull where the sector begins, pull where it ends, length of the lever."""
CURRENTS_APART = 1.5
"""The highest current is at least so many times the lowest, or they count as one (common practice, no source)."""
FORCE_ERROR = 0.015
"""Error of a pull read off a scale on a lever (common practice, no source)."""
_EDGE_ERROR = 0.009
"""Error of the place where a lamp changes, rad electrical: half a degree (common practice, no source)."""
ANGLE_ERROR = float(np.hypot(FORCE_ERROR, _EDGE_ERROR))
"""Error of one row's lateness, rad. The two pulls' errors weigh by their sines about as a radian each."""
_TORQUES_APART = 1.5
"""Torque constants of two rows further apart than by this factor can't be of one machine."""
_MOST = 0.95
"""Most of the inductance that leakage can be; the field has the same limit."""
_HALF = np.pi / 6.0
_STEPS = 50


def _per_ampere(row: tuple[float, float, float]) -> float:
    return row[1] / row[0]


def pull_torque(pull: Newton, lever: Metre) -> Nm:
    """Torque of a pull square to a lever, N·m.

    Source: [method-drive] #stall-test
    """
    return pull * lever


def arch(begin: Nm, end: Nm) -> tuple[Nm, Radian]:
    """Peak of the cosine (N·m) and how late the sector lies on it (rad, early negative), from the torques at both ends.

    begin = P·cos(30° − ε), end = P·cos(30° + ε): half their sum over cos 30° is P·cos ε, half their difference over
    sin 30° is P·sin ε. Validity: sinusoidal EMF; the current the same for both.

    Source: [method-drive] #stall-test
    """
    along, across = (begin + end) / (2.0 * np.cos(_HALF)), (begin - end) / (2.0 * np.sin(_HALF))
    return np.hypot(along, across), np.arctan2(across, along)


@lru_cache(maxsize=64)
def arches(stall_test: tuple[StallRow, ...]) -> tuple[tuple[float, float, float], ...]:
    """Row by row: current (A), peak torque (N·m), lateness (rad).

    Raises NoSolution for a row without torque, for a single current, and for torques that can't be of one machine.

    Source: [method-drive] #stall-test
    """
    found = []
    for number, (current, begin, end, lever) in enumerate(stall_test, 1):
        peak, late = arch(pull_torque(begin, lever), pull_torque(end, lever))
        if peak <= 0.0:
            raise NoSolution(
                f"Row {number} of the stall test has no pull at either end of its sector.",
                "Field on? Read between the two lamp changes on either side of the strongest pull.",
            )
        found.append((current, float(peak), float(late)))
    currents = [current for current, _, _ in found]
    if max(currents) < CURRENTS_APART * min(currents):
        raise NoSolution(
            f"The stall test has {len(found)} {'row' if len(found) == 1 else 'rows'} at about one current "
            f"({max(currents):.3g} A). How far the current moves the sensors shows only between two.",
            f"Add rows at a current {CURRENTS_APART:g} times as high or as low, better three times.",
        )
    low, high = min(found, key=_per_ampere), max(found, key=_per_ampere)
    if high[1] / high[0] > _TORQUES_APART * low[1] / low[0]:
        rows = sorted((found.index(low) + 1, found.index(high) + 1))
        raise NoSolution(
            f"Rows {rows[0]} and {rows[1]} of the stall test contradict each other: {low[1] / low[0]:.3g} and "
            f"{high[1] / high[0]:.3g} N·m for each ampere are not of one machine at one field current.",
            "Check field current, lever and the scale's unit (a bare number is newtons; write kg for kilograms). "
            "Zero the scale with the current off.",
        )
    return tuple(found)


@lru_cache(maxsize=64)
def fit(stall_test: tuple[StallRow, ...]) -> tuple[float, Radian, float]:
    """What moves the sensors: (armature's share of the working field for each ampere, lateness without current, rad,
    ± of the first as a share of it).

    ε = ε₀ − asin(s·I): s is where the rows' ε + asin(s·I) no longer goes with the current (bisection).
    Raises NoSolution when the sector moves the wrong way or further than any current can move it.

    Source: [method-drive] #stall-test
    """
    rows = np.array(arches(stall_test))
    current, late = rows[:, 0], rows[:, 2]
    weight = current - current.mean()

    def left(share: float) -> float:
        return float((weight * (late + np.arcsin(np.minimum(share * current, 1.0)))).sum())

    low, high = 0.0, 1.0 / float(current.max())
    noise = student(len(rows) - 2.0) * ANGLE_ERROR * float(np.sqrt((weight**2).sum()))
    if left(0.0) > noise:
        raise NoSolution(
            "The stall test says that current makes the sensors late. It can only make them early: with more current "
            "the pull where the sector begins sinks against the pull where it ends.",
            "Forward is the way the machine pulls. Swap the two pulls if the lever was turned the other way.",
        )
    if left(high) < 0.0:
        raise NoSolution(
            "The stall test says that the current moves the sensors by more than a quarter of an electrical turn.",
            "Read the two pulls at the two ends of one sector, with the same pair of leads fed.",
        )
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if left(middle) < 0.0 else (low, middle)
    share = (low + high) / 2.0
    shift = np.arcsin(np.minimum(share * current, 1.0))
    start = float((late + shift).mean())
    spare = len(rows) - 2.0
    error = variance(float(((late + shift - start) ** 2).sum()), spare, ANGLE_ERROR) ** 0.5
    slope = float((weight * current / np.sqrt(np.maximum(1.0 - (share * current) ** 2, 0.05))).sum())
    off = student(spare) * error * float(np.sqrt((weight**2).sum())) / slope
    return share, start, float(min(np.hypot(off / max(share, 1e-9), READING_ERROR), _MOST))


def stall_torque_constant(stall_test: tuple[StallRow, ...]) -> TorqueConstant:
    """Mean six-step torque per ampere of line current, N·m/A, by the lever: 3/π of the arches' peak, mean of the rows.

    Source: [method-drive] #stall-test
    """
    rows = arches(stall_test)
    return 3.0 / np.pi * sum(peak / current for current, peak, _ in rows) / len(rows)


def stall_torque_spread(stall_test: tuple[StallRow, ...]) -> Fraction:
    """How far that torque constant may be off, as a share.

    Source: [method-drive] #stall-test
    """
    return spread_of_mean([peak / current for current, peak, _ in arches(stall_test)], FORCE_ERROR)


def stall_lateness(stall_test: tuple[StallRow, ...]) -> Radian:
    """How late the sensors sit without current, rad electrical, by the lever; hysteresis cancels between both senses.

    Source: [method-drive] #stall-test
    """
    return fit(stall_test)[1]


def leakage_share(
    stall_test: tuple[StallRow, ...], emf_constant: EmfConstant, line_inductance: Henry, pole_pairs: Number
) -> Fraction:
    """Share of the inductance that is leakage: what is left of it once the shift that was measured is explained.

    Between 0 and 0.95. Raises NoSolution when the shift asks for clearly more than the whole inductance.

    Source: [method-drive] #stall-test
    """
    share, _, spread = fit(stall_test)
    whole = armature_ratio(emf_constant, line_inductance, pole_pairs, 1.0)
    if share * (1.0 - spread) > 1.2 * float(np.mean(whole)):
        raise NoSolution(
            f"The stall test moves the sensors {share / float(np.mean(whole)):.2g} times as far as the whole "
            f"inductance of {float(np.mean(line_inductance)) * 1e6:.3g} µH between two leads could.",
            "Check line_inductance and pole_pairs, and that the field current was the working one. Read the two pulls "
            "exactly where the lamps change.",
        )
    return np.clip(1.0 - share / whole, 0.0, _MOST)


def leakage_spread(
    stall_test: tuple[StallRow, ...], emf_constant: EmfConstant, line_inductance: Henry, pole_pairs: Number
) -> Fraction:
    """How far the leakage may be off for the readings, as a share of it. What is known better is 1 − leakage.

    Source: [method-drive] #stall-test
    """
    _, _, spread = fit(stall_test)
    leakage = max(
        float(np.mean(leakage_share(stall_test, emf_constant, line_inductance, pole_pairs))), 1.0 - _MOST
    )
    return min(spread * (1.0 - leakage) / leakage, _MOST)


def apart(stall_test: Sequence[StallRow]) -> Fraction:
    """How far the highest torque per ampere is above the lowest, as a share.

    Source: [method-drive] #stall-test
    """
    each = [peak / current for current, peak, _ in arches(tuple(stall_test))]
    return max(each) / min(each) - 1.0
