"""Stall torque by lever and scale at several currents: torque constant, and how far the current moves the sensors.

Two leads are fed, which makes the torque nearly a cosine over the rotor's angle. The sensors' code stands for 60° of
it. How far the two lamp changes that bound it have moved, against where they come without current, is the shift; the
pulls there tell the torque constant, and what else is in the torque: the rotor's own shape.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from calc.elimination import solved
from calc.errors import NoSolution
from calc.machine.armature import FUNDAMENTAL, armature_ratio
from calc.machine.scatter import spread_of_mean, student, variance
from calc.machine.stall_tape import StallRow, ends, fit, moves, widths
from calc.quantities import Array, EmfConstant, Fraction, Henry, Number, Radian, TorqueConstant, held, middle

FORCE_ERROR = 0.015
"""Error of a pull read off a scale on a lever (common practice, no source)."""
_TORQUES_APART = 1.5
"""Torque constants of two rows further apart than by this factor can't be of one machine."""
MOST_SENSED = 1.5
"""Most of the inductance that can move the sensors, as a share of it; the field has the same limit."""
_ROUNDS = 12
_FURTHEST_OUT = np.pi / 6.0
_START = np.radians(25.0)


class Torques(NamedTuple):
    """What the pulls tell. peaks: torque for each ampere at the best angle, row by row, N·m/A. lateness: how late the
    sensors sit without current, rad. shape: torque of the rotor's shape over the peak, for each ampere, 1/A; error: its
    ±."""

    peaks: tuple[float, ...]
    lateness: float
    shape: float
    error: float


@lru_cache(maxsize=64)
def torques(stall_test: tuple[StallRow, ...], pole_pairs: float) -> Torques:
    """What the pulls tell, once the tape tells where they were read.

    At the angle θ from the best one the torque is P·cos θ + S·sin 2θ, S the torque of the rotor's shape. P goes with
    the current, S with its square; θ is ∓ half the sector, plus what the sensors are late, less what the change moved.
    Least squares for P, S and the sensors' place. Validity: sensors less than 30° off their place.
    Raises NoSolution for rows whose torques can't be of one machine.

    Source: [method-drive] #stall-test
    """
    current, begin, end = np.array(ends(stall_test)).T
    first, last = np.array(moves(stall_test, pole_pairs)).T
    read = np.concatenate([begin / current, end / current])
    scale, load = float(read.mean()), np.tile(current / current.max(), 2)
    half = np.array(widths(stall_test, pole_pairs)) / 2.0
    without = np.concatenate([-half - first, half - last])
    # two places can look alike at first: each start is followed, and the one that fits best counts
    tried = [_followed(read / scale, load, without, start) for start in (-_START, 0.0, _START)]
    peak, shape, lateness, square, off = min(tried, key=lambda one: float((one[4] ** 2).sum()))
    inverse = solved(np.repeat(square, 3, axis=2), np.eye(3))
    spare = 2.0 * len(current) - 3.0
    error = (
        student(spare) * (variance(float((off**2).sum()), spare, FORCE_ERROR) * float(inverse[1, 1])) ** 0.5
    )
    angle = without + lateness
    own = (read / scale - shape * load * np.sin(2.0 * angle)) / np.cos(angle)
    peaks = own.reshape(2, -1).mean(axis=0) * scale
    _alike(peaks.tolist())
    each = float(peak * current.max())
    return Torques(tuple(peaks.tolist()), lateness, float(shape) / each, float(error) / each)


def _followed(
    read: Array, load: Array, without: Array, lateness: float
) -> tuple[float, float, float, Array, Array]:
    """Least squares from one start: peak, shape, lateness, the normal equations, and what is left of each torque."""
    peak, shape = 1.0, 0.0
    for _ in range(_ROUNDS):
        angle = without + lateness
        off = read - peak * np.cos(angle) - shape * load * np.sin(2.0 * angle)
        turning = 2.0 * shape * load * np.cos(2.0 * angle) - peak * np.sin(angle)
        slopes = np.array([np.cos(angle), load * np.sin(2.0 * angle), turning])
        square = (slopes @ slopes.T)[:, :, None]
        change = solved(square, (slopes @ off)[:, None])[:, 0]
        peak, shape = peak + float(change[0]), shape + float(change[1])
        lateness = float(np.clip(lateness + change[2], -_FURTHEST_OUT, _FURTHEST_OUT))
    angle = without + lateness
    return peak, shape, lateness, square, read - peak * np.cos(angle) - shape * load * np.sin(2.0 * angle)


def _alike(peaks: list[float]) -> None:
    """Raises NoSolution where two rows can't be of one machine."""
    low, high = int(np.argmin(peaks)), int(np.argmax(peaks))
    if peaks[low] <= 0.0 or peaks[high] > _TORQUES_APART * peaks[low]:
        rows = sorted((low + 1, high + 1))
        raise NoSolution(
            f"Rows {rows[0]} and {rows[1]} of the stall test contradict each other: {peaks[low]:.3g} and "
            f"{peaks[high]:.3g} N·m for each ampere are not of one machine at one field current.",
            "Check field current, lever and the scale's unit (a bare number is newtons; write kg for kilograms). "
            "Zero the scale with the current off.",
        )


def _pairs(pole_pairs: Number) -> float:
    """A table never varies between draws, nor does what is read off it."""
    return middle(pole_pairs)


def stall_torque_constant(stall_test: tuple[StallRow, ...], pole_pairs: Number) -> TorqueConstant:
    """Mean six-step torque per ampere of line current, N·m/A, by the lever: 3/π of the peak, mean of the rows.

    Source: [method-drive] #stall-test
    """
    return 3.0 / np.pi * float(np.mean(torques(stall_test, _pairs(pole_pairs)).peaks))


def stall_torque_spread(stall_test: tuple[StallRow, ...], pole_pairs: Number) -> Fraction:
    """How far that torque constant may be off, as a share.

    Source: [method-drive] #stall-test
    """
    return spread_of_mean(torques(stall_test, _pairs(pole_pairs)).peaks, FORCE_ERROR)


def stall_lateness(stall_test: tuple[StallRow, ...], pole_pairs: Number) -> Radian:
    """How late the sensors sit without current, rad electrical, by the lever; hysteresis cancels between both senses.

    Source: [method-drive] #stall-test
    """
    return torques(stall_test, _pairs(pole_pairs)).lateness


def sensed_share(
    stall_test: tuple[StallRow, ...], emf_constant: EmfConstant, line_inductance: Henry, pole_pairs: Number
) -> Fraction:
    """Share of the inductance that moves the sensors: the shift that was read over what all of it would make.

    Raises NoSolution when the shift asks for clearly more than the inductance.

    Source: [method-drive] #stall-test
    """
    torques(stall_test, _pairs(pole_pairs))  # rows that contradict each other tell no shift either
    share, spread = fit(stall_test, _pairs(pole_pairs))
    whole = armature_ratio(emf_constant, line_inductance, pole_pairs, 1.0)
    if share * (1.0 - spread) > MOST_SENSED * middle(whole):
        raise NoSolution(
            f"The stall test moves the sensors {share / middle(whole):.2g} times as far as the whole "
            f"inductance of {middle(line_inductance) * 1e6:.3g} µH between two leads could.",
            "Check inductance and pole pairs, and that the field current was the working one. Mark the lever's "
            "place exactly where the lamps change.",
        )
    return held(share / whole, 0.0, MOST_SENSED)


def sensed_spread(stall_test: tuple[StallRow, ...], pole_pairs: Number) -> Fraction:
    """How far that share may be off for the readings, as a share of it.

    Source: [method-drive] #stall-test
    """
    return fit(stall_test, _pairs(pole_pairs))[1]


def cross_share(
    stall_test: tuple[StallRow, ...], emf_constant: EmfConstant, line_inductance: Henry, pole_pairs: Number
) -> tuple[Fraction, Fraction]:
    """Inductance across the poles as a share of that along them, and the ± of that share, by the pulls.

    `line_inductance` lies along the poles, as a short-circuit spin reads it. 1 − share = 2·S/P·λ/(2/√3·L·I).

    Source: [method-drive] #stall-test
    """
    found = torques(stall_test, _pairs(pole_pairs))
    whole = armature_ratio(emf_constant, line_inductance, pole_pairs, 1.0) / FUNDAMENTAL * 2.0 / 3.0**0.5
    return 1.0 - 2.0 * found.shape / whole, 2.0 * found.error / whole


def apart(stall_test: tuple[StallRow, ...], pole_pairs: Number) -> Fraction:
    """How far the highest torque per ampere is above the lowest, as a share.

    Source: [method-drive] #stall-test
    """
    each = torques(stall_test, _pairs(pole_pairs)).peaks
    return max(each) / min(each) - 1.0
