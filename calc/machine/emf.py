"""EMF of an open machine against field current: the spin test, and the curve through its readings.

A reading is (speed in rad/s, field current in A, line-line rms volts). Divided by speed it is a point of the
saturation curve. Nothing is claimed outside the field currents that were tested.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from calc.errors import NoSolution
from calc.quantities import Ampere, Array, EmfConstant, Fraction, Real

Reading = tuple[float, float, float]
_SHARPNESS = np.arange(1.0, 6.01, 0.25)
_KNEES = np.geomspace(0.06, 4.0, 70)  # as shares of the highest field current
_READING_ERROR = 0.01
"""What a meter and a tachometer leave open however well a curve fits (common practice, no source)."""
_APART = 1.15
"""Two readings at one field current that differ by more than this ratio contradict each other."""
_STUDENT = {1: 12.7, 2: 4.3, 3: 3.18, 4: 2.78, 5: 2.57, 6: 2.45, 7: 2.36, 8: 2.31, 9: 2.26, 10: 2.23}
"""Student's t for 95 %, by how many readings there are beyond the curve's constants."""


class Saturation(NamedTuple):
    """The curve k(i) = remanence + scale·i/(knee^s + i^s)^(1/s), V·s/rad, s = sharpness, for `low` ≤ i ≤ `high`.

    knee 0 is a constant, infinite knee a straight line. error: how far a value may be off, as a share. slowest,
    fastest: speeds of the readings, rad/s. constants: how many numbers the readings had to settle.
    """

    remanence: float
    scale: float
    knee: float
    sharpness: float
    low: float
    high: float
    error: float
    slowest: float
    fastest: float
    constants: int


def _shape(current: Real, knee: Real, sharpness: Real) -> Real:
    return current / (knee**sharpness + current**sharpness) ** (1.0 / sharpness)


def _points(emf_test: Sequence[Reading]) -> tuple[Array, Array]:
    currents = np.array([reading[1] for reading in emf_test])
    constants = np.array([volts / speed for speed, _, volts in emf_test])
    return currents, constants


def contradiction(emf_test: Sequence[Reading]) -> str:
    """Why these readings can't be of one machine, in plain words; '' when they can.

    Source: [method-machine] #spin-test
    """
    currents, constants = _points(emf_test)
    top = float(currents.max())
    if top <= 0.0:
        return "No reading has any field current: that shows what is left in the iron, and nothing of the machine."
    if float(constants[currents > 0.0].min()) <= 0.0:
        return "A reading shows no volts with field on: a broken lead, an open brush, or the meter on direct current."
    order = np.argsort(currents, kind="stable")
    for a, b in pairwise(order):
        near = currents[b] - currents[a] < 0.02 * top
        high, low = max(constants[a], constants[b]), min(constants[a], constants[b])
        if near and currents[a] > 0.0 and high > _APART * low:
            return (
                f"At {currents[a]:.3g} A of field two readings differ by {100 * (high / low - 1):.0f} % in volts per "
                "speed. One of speed, volts or field current was misread, or a reading has a wrong unit."
            )
        if not near and constants[b] < constants[a] / _APART:
            return (
                f"From {currents[a]:.3g} A to {currents[b]:.3g} A of field the volts per speed fall. More field never "
                "gives less: a row is mixed up, or the field current fell while the coil warmed."
            )
    return ""


@cache
def saturation(emf_test: tuple[Reading, ...]) -> Saturation:
    """The saturation curve that fits the readings best.

    Least squares, an error counted half against the reading and half against the highest one: knee and sharpness by
    trying a grid, remanence and scale by solving. Few readings settle few constants: one field current gives a
    constant; two or three a knee at sharpness 2 and no remanence; four and more everything. `error` is the scatter
    about the curve times Student's t for what is left over, never less than 1 %; where nothing is left over it is 5 %, with
    two field currents 10 %.

    Raises NoSolution when the readings contradict each other.

    Source: [method-machine] #spin-test
    """
    why = contradiction(emf_test)
    if why:
        raise NoSolution(why, "Take the readings again, field warm, one row at a time.")
    currents, constants = _points(emf_test)
    claimed = np.sort(currents[currents > 0.0])
    low, high = float(claimed[0]), float(claimed[-1])
    speeds = [reading[0] for reading in emf_test]
    kinds = 1 + int(np.count_nonzero(np.diff(claimed) > 0.02 * high))
    if kinds == 1:
        k = float(np.mean(constants[currents > 0.0]))
        return Saturation(0.0, k, 0.0, 1.0, low, high, 0.03, min(speeds), max(speeds), 1)
    weight = 2.0 / (constants + constants.max())
    sharpness = (_SHARPNESS if kinds > 3 else np.array([2.0]))[:, None, None]
    knee = (_KNEES * high)[None, :, None]
    shape = _shape(currents, knee, sharpness) * weight
    target = constants * weight
    remanence, scale = _solved(shape, weight, target, kinds > 3)
    off = target - remanence[..., None] * weight - scale[..., None] * shape
    total = (off * off).sum(-1)
    at, by = np.unravel_index(int(np.argmin(total)), total.shape)
    settled = 4 if kinds > 3 else 2
    spare = len(emf_test) - settled
    error = 0.05 if kinds > 2 else 0.10
    if spare > 0:
        error = max(_READING_ERROR, _STUDENT.get(spare, 2.0) * float(np.sqrt(total[at, by] / spare)))
    return Saturation(
        float(remanence[at, by]),
        float(scale[at, by]),
        float(knee[0, by, 0]),
        float(sharpness[at, 0, 0]),
        low,
        high,
        min(error, 0.3),
        min(speeds),
        max(speeds),
        settled,
    )


def _solved(shape: Array, weight: Array, target: Array, with_remanence: bool) -> tuple[Array, Array]:
    """Remanence (never below nothing) and scale for every curve of the grid, by the normal equations."""
    aa, ab, at = (shape * shape).sum(-1), (shape * weight).sum(-1), (shape * target).sum(-1)
    alone = at / aa
    if not with_remanence:
        return np.zeros_like(alone), alone
    bb, bt = float((weight * weight).sum()), float((weight * target).sum())
    det = aa * bb - ab * ab
    remanence = (aa * bt - ab * at) / det
    scale = (bb * at - ab * bt) / det
    good = (remanence > 0.0) & (scale > 0.0)
    return np.where(good, remanence, 0.0), np.where(good, scale, alone)


def emf_at(saturation: Saturation, field_current: Ampere) -> EmfConstant:
    """EMF constant at a field current, V·s/rad, line-line rms, on the curve of the readings.

    Validity: `saturation.low` to `saturation.high`; the middle of the currents asked must lie there, else NoSolution;
    draws about it are held at the ends.

    Source: [method-machine] #spin-test
    """
    asked = float(np.mean(field_current))
    if not saturation.low * 0.999 <= asked <= saturation.high * 1.001:
        raise NoSolution(
            f"The spin test went from {saturation.low:.3g} A to {saturation.high:.3g} A of field; at {asked:.3g} A it "
            "tells nothing, because iron saturates.",
            f"Add a reading at {asked:.3g} A or beyond, or use a field current that was tested.",
        )
    held = np.clip(field_current, saturation.low, saturation.high)
    if saturation.knee == 0.0:
        return saturation.scale + 0.0 * held
    return saturation.remanence + saturation.scale * _shape(held, saturation.knee, saturation.sharpness)


def emf_spread(saturation: Saturation) -> Fraction:
    """How far the EMF constant may be off, as a share of it.

    Source: [method-machine] #spin-test
    """
    return saturation.error


def next_reading(
    emf_test: Sequence[Reading], saturation: Saturation, field_current: float
) -> tuple[float, str]:
    """The field current at which one more reading helps most, A, and why.

    Beyond the range when the working current lies there; a second and a third current when there are fewer; else where
    the slope of the curve leaves the constants least settled: in the widest gap, gaps at the working current counted
    double.

    Source: [method-machine] #spin-test
    """
    if field_current > saturation.high * 1.001:
        return field_current, "your working current is above all that was tested"
    if field_current < saturation.low * 0.999:
        return field_current, "your working current is below all that was tested"
    currents = np.unique(np.round([0.0, *(reading[1] for reading in emf_test)], 6))
    best, where = 0.0, field_current
    for a, b in pairwise(currents):
        width = float(b - a) * (2.0 if a <= field_current <= b else 1.0)
        if width > best:
            best, where = width, float(a + b) / 2.0
    if len(emf_test) <= saturation.constants:
        return where, "there are too few readings to tell how well the curve fits"
    return where, "there the readings are furthest apart"


def flux_linkage(emf_constant: EmfConstant, pole_pairs: Real) -> Real:
    """Peak flux linkage of one phase of the equivalent star, Wb: √(2/3)·emf_constant/pole_pairs.

    Source: [method-machine] #spin-test
    """
    return np.sqrt(2.0 / 3.0) * emf_constant / pole_pairs
