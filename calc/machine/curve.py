"""The saturation curve through the readings of a spin test: least squares, and how far it may be off.

Nothing here judges the readings; `emf` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import numpy as np

from calc.elimination import solved
from calc.machine.scatter import READING_ERROR, student, variance
from calc.machine.spin import FOOT, SAME_CURRENT, Reading, points
from calc.quantities import Array, Real

ONE_POINT_ERROR = 0.05
"""How far off the EMF constant may be when only one field current was tested (common practice, no source)."""
_EXPECTED = {"knee": (0.45, 1.0), "sharpness": (2.5, 0.4), "remanence": (0.0, 0.1)}
"""What is taken before any reading: the knee as a share of the highest current and the sharpness, each with the
spread of its logarithm; remanence as a share of the highest reading. About what [method-machine] #spin-test found."""
PLACES = 25


class Saturation(NamedTuple):
    """The curve k(i) = remanence + scale·i/(knee^s + i^s)^(1/s), V·s/rad, s = sharpness, for `low` ≤ i ≤ `high`.

    knee 0 is a constant. error: how far a value may be off, as a share, over the range; errors: the same at equally
    spaced currents from low to high. slowest, fastest: speeds of the readings, rad/s. constants: how many numbers the
    readings had to settle. fall: how much less volts per speed the fastest readings gave than the slowest, as a share.
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
    errors: tuple[float, ...] = ()
    fall: float = 0.0


def _shape(current: Real, knee: Real, sharpness: Real) -> Real:
    return current / (knee**sharpness + current**sharpness) ** (1.0 / sharpness)


@cache
def through(emf_test: tuple[Reading, ...]) -> tuple[Saturation, Array]:
    """The curve through readings that don't contradict each other, and the covariance of its constants.

    Source: [method-machine] #spin-test
    """
    speeds, currents, constants = points(emf_test)
    claimed = currents[currents > 0.0]
    low, high, top = float(claimed.min()), float(claimed.max()), float(constants.max())
    slowest, fastest = float(speeds.min()), float(speeds.max())
    if high - low < SAME_CURRENT * high:
        k = float(np.mean(constants[currents > 0.0]))
        one = Saturation(
            0.0, k, 0.0, 1.0, low, high, ONE_POINT_ERROR, slowest, fastest, 1, (ONE_POINT_ERROR,)
        )
        return one, np.zeros((0, 0))
    weight = 2.0 / (READING_ERROR * (constants + top))
    with_remanence = bool(currents.min() <= 0.1 * high)
    ln_knee = np.log(high) + np.linspace(np.log(0.06), np.log(4.0), 22)
    ln_sharp = np.linspace(0.0, np.log(8.0), 15)
    for _ in range(4):
        at, by, total, remanence, scale = _best(
            currents, constants, weight, with_remanence, ln_knee, ln_sharp, high
        )
        knee_step, sharp_step = ln_knee[1] - ln_knee[0], ln_sharp[1] - ln_sharp[0]
        knee, sharp = float(np.exp(ln_knee[by])), float(np.exp(ln_sharp[at]))
        ln_knee = np.log(knee) + np.linspace(-1.0, 1.0, 9) * knee_step
        ln_sharp = np.maximum(np.log(sharp) + np.linspace(-1.0, 1.0, 9) * sharp_step, 0.0)
    curve = Saturation(remanence, scale, knee, sharp, low, high, 0.0, slowest, fastest, 3 + with_remanence)
    slopes = slopes_at(curve, currents) * weight[:, None]
    known = np.diag(
        [
            1e-9,
            _EXPECTED["knee"][1] ** -2,
            _EXPECTED["sharpness"][1] ** -2,
            (_EXPECTED["remanence"][1] * top) ** -2,
        ]
    )
    count = curve.constants
    information = slopes.T @ slopes
    covariance = _inverse(information + known[:count, :count])
    spare = max(len(emf_test) - float(np.trace(covariance @ information)), 0.0)
    # From here on it is that of the furthest one would believe, not of one standard deviation.
    covariance = covariance * variance(total, spare, 1.0) * student(spare) ** 2
    fall = _fall(curve, speeds, currents, constants)
    places = np.linspace(low, high, PLACES)
    errors = np.minimum(
        np.sqrt(READING_ERROR**2 + (fall / 2.0) ** 2 + variance_of(curve, covariance, places)), 0.5
    )
    return curve._replace(
        error=float(np.sqrt(np.mean(errors**2))), errors=tuple(errors.tolist()), fall=fall
    ), covariance


def _inverse(matrix: Array) -> Array:
    """Of a matrix with a positive diagonal, brought to ones first: its units lie orders of magnitude apart."""
    scale = np.sqrt(np.diag(matrix))
    both = scale[:, None] * scale
    return solved(np.repeat((matrix / both)[:, :, None], len(matrix), axis=2), np.eye(len(matrix))) / both


def _best(
    currents: Array,
    constants: Array,
    weight: Array,
    with_remanence: bool,
    ln_knee: Array,
    ln_sharp: Array,
    high: float,
) -> tuple[int, int, float, float, float]:
    """Place of the best curve on a grid, its squared error in units of a reading's, remanence and scale."""
    shape = _shape(currents, np.exp(ln_knee)[None, :, None], np.exp(ln_sharp)[:, None, None]) * weight
    target = constants * weight
    aa, at = (shape * shape).sum(-1), (shape * target).sum(-1)
    scale, remanence = at / aa, np.zeros_like(aa)
    if with_remanence:
        ab, bb, bt = (shape * weight).sum(-1), float((weight * weight).sum()), float((weight * target).sum())
        det = aa * bb - ab * ab
        kept, beside = (aa * bt - ab * at) / det, (bb * at - ab * bt) / det
        good = (kept > 0.0) & (beside > 0.0)
        remanence, scale = np.where(good, kept, 0.0), np.where(good, beside, scale)
    off = target - remanence[..., None] * weight - scale[..., None] * shape
    total = (off * off).sum(-1)
    (knee, knee_by), (sharp, sharp_by) = _EXPECTED["knee"], _EXPECTED["sharpness"]
    held = ((ln_knee - np.log(knee * high)) / knee_by) ** 2 + (((ln_sharp - np.log(sharp)) / sharp_by) ** 2)[
        :, None
    ]
    i, j = np.unravel_index(int(np.argmin(total + held)), total.shape)
    return int(i), int(j), float(total[i, j]), float(remanence[i, j]), float(scale[i, j])


def slopes_at(curve: Saturation, current: Array) -> Array:
    """How the curve at each current answers to its constants: scale, ln knee, ln sharpness, remanence.

    Source: [method-machine] #spin-test
    """
    b, s = curve.knee, curve.sharpness
    i = np.maximum(current, 1e-9)
    shape = _shape(i, b, s)
    whole = b**s + i**s
    by_sharp = np.log(whole) / s - (b**s * np.log(b) + i**s * np.log(i)) / whole
    columns = [shape, -curve.scale * shape * b**s / whole, curve.scale * shape * by_sharp, np.ones_like(i)]
    return np.stack(columns[: curve.constants], -1)


def variance_of(curve: Saturation, covariance: Array, current: Array) -> Array:
    """Squared ± of the curve at each current, as a share.

    Source: [method-machine] #spin-test
    """
    slopes = slopes_at(curve, current)
    return ((slopes @ covariance) * slopes).sum(-1) / value(curve, current) ** 2


def _fall(curve: Saturation, speeds: Array, currents: Array, constants: Array) -> float:
    """How much less, as a share, the readings near the highest speed give than those near the lowest."""
    slow, fast = speeds < 1.2 * speeds.min(), speeds > speeds.max() / 1.2
    told = currents > FOOT * currents.max()
    if speeds.max() < 1.44 * speeds.min() or not (slow & told).any() or not (fast & told).any():
        return 0.0
    off = constants / value(curve, currents)
    return float(1.0 - off[fast & told].mean() / off[slow & told].mean())


def value(curve: Saturation, current: Real) -> Real:
    """The curve at a field current, V·s/rad, wherever that lies.

    Source: [method-machine] #spin-test
    """
    if curve.knee == 0.0:
        return curve.scale + 0.0 * current
    return curve.remanence + curve.scale * _shape(current, curve.knee, curve.sharpness)


def residuals(emf_test: Sequence[Reading], saturation: Saturation) -> list[float]:
    """How much more each reading gives than the curve, as a share of the curve; 0 where no field is on.

    Source: [method-machine] #spin-test
    """
    _, currents, constants = points(emf_test)
    on = currents > 0.0
    curve = np.where(on, value(saturation, np.maximum(currents, 1e-9)), 1.0)
    return np.where(on, constants / curve - 1.0, 0.0).tolist()


def counted(emf_test: Sequence[Reading], saturation: Saturation) -> list[float]:
    """As `residuals`, with 0 at the curve's foot, where remanence and the ammeter's last digit decide.

    Source: [method-machine] #spin-test
    """
    off = residuals(emf_test, saturation)
    return [x if i > FOOT * saturation.high else 0.0 for (_, i, _), x in zip(emf_test, off, strict=True)]
