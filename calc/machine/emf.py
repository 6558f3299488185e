"""EMF of an open machine against field current: the spin test, and the curve through its readings.

A reading is (speed in rad/s, field current in A, line-line rms volts). Divided by speed it is a point of the
saturation curve. Nothing is claimed outside the field currents that were tested.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import numpy as np

from calc.errors import NoSolution
from calc.machine.scatter import READING_ERROR, student, variance
from calc.machine.spin import SAME_CURRENT, Reading, contradiction, points
from calc.quantities import Ampere, Array, EmfConstant, Fraction, Number, Real, Weber

ONE_POINT_ERROR = 0.05
"""How far off the EMF constant may be when only one field current was tested (common practice, no source)."""
_EXPECTED = {"knee": (0.45, 1.0), "sharpness": (2.5, 0.4), "remanence": (0.0, 0.1)}
"""What is taken before any reading: the knee as a share of the highest current and the sharpness, each with the
spread of
its logarithm; remanence as a share of the highest reading. About what [method-machine] #spin-test found."""
_PLACES = 25


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


class NextReading(NamedTuple):
    """The reading that would help most: its field current, why, and the ± at the working current before and after."""

    field_current: float
    why: str
    before: float | None = None
    after: float | None = None


def _shape(current: Real, knee: Real, sharpness: Real) -> Real:
    return current / (knee**sharpness + current**sharpness) ** (1.0 / sharpness)


@cache
def saturation(emf_test: tuple[Reading, ...]) -> Saturation:
    """The saturation curve that fits the readings best, with how far it may be off.

    Least squares over a grid of knee and sharpness, refined; scale and remanence by solving. An error counts half
    against the reading and half against the highest one. Remanence only when a reading at a tenth of the highest
    current or less supports it. Knee and sharpness are held near what is usual as far as few readings leave them
    open. One field current gives a constant, true for that current alone.

    Raises NoSolution when the readings contradict each other.

    Source: [method-machine] #spin-test
    """
    return _fit(emf_test)[0]


@cache
def _fit(emf_test: tuple[Reading, ...]) -> tuple[Saturation, Array]:
    """The curve, and the covariance of its constants (scale, ln knee, ln sharpness, perhaps remanence)."""
    why = contradiction(emf_test)
    if why:
        raise NoSolution(why, "Take these readings again, field warm, the ammeter read with the voltmeter.")
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
    slopes = _slopes(curve, currents) * weight[:, None]
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
    covariance = np.linalg.inv(information + known[:count, :count])
    spare = max(len(emf_test) - float(np.trace(covariance @ information)), 0.0)
    # From here on it is that of the furthest one would believe, not of one standard deviation.
    covariance = covariance * variance(total, spare, 1.0) * student(spare) ** 2
    fall = _fall(curve, speeds, currents, constants)
    places = np.linspace(low, high, _PLACES)
    errors = np.minimum(
        np.sqrt(READING_ERROR**2 + (fall / 2.0) ** 2 + _variance(curve, covariance, places)), 0.5
    )
    return curve._replace(
        error=float(np.sqrt(np.mean(errors**2))), errors=tuple(errors.tolist()), fall=fall
    ), covariance


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


def _slopes(curve: Saturation, current: Array) -> Array:
    """How the curve at each current answers to its constants: scale, ln knee, ln sharpness, remanence."""
    b, s = curve.knee, curve.sharpness
    i = np.maximum(current, 1e-9)
    shape = _shape(i, b, s)
    whole = b**s + i**s
    by_sharp = np.log(whole) / s - (b**s * np.log(b) + i**s * np.log(i)) / whole
    columns = [shape, -curve.scale * shape * b**s / whole, curve.scale * shape * by_sharp, np.ones_like(i)]
    return np.stack(columns[: curve.constants], -1)


def _variance(curve: Saturation, covariance: Array, current: Array) -> Array:
    """Squared ± of the curve at each current, as a share."""
    slopes = _slopes(curve, current)
    return ((slopes @ covariance) * slopes).sum(-1) / _value(curve, current) ** 2


def _fall(curve: Saturation, speeds: Array, currents: Array, constants: Array) -> float:
    """How much less, as a share, the readings near the highest speed give than those near the lowest."""
    slow, fast = speeds < 1.2 * speeds.min(), speeds > speeds.max() / 1.2
    told = currents > 0.15 * currents.max()
    if speeds.max() < 1.44 * speeds.min() or not (slow & told).any() or not (fast & told).any():
        return 0.0
    off = constants / _value(curve, currents)
    return float(1.0 - off[fast & told].mean() / off[slow & told].mean())


def _value(curve: Saturation, current: Real) -> Real:
    if curve.knee == 0.0:
        return curve.scale + 0.0 * current
    return curve.remanence + curve.scale * _shape(current, curve.knee, curve.sharpness)


def covers(saturation: Saturation, field_current: Ampere) -> bool:
    """Whether the readings reach a field current; of draws, their middle.

    Source: [method-machine] #spin-test
    """
    return bool(saturation.low * 0.999 <= float(np.mean(field_current)) <= saturation.high * 1.001)


def emf_at(saturation: Saturation, field_current: Ampere) -> EmfConstant:
    """EMF constant at a field current, V·s/rad, line-line rms, on the curve of the readings.

    Validity: `saturation.low` to `saturation.high`; the middle of the currents asked must lie there, else NoSolution;
    draws about it are held at the ends.

    Source: [method-machine] #spin-test
    """
    if not covers(saturation, field_current):
        asked = float(np.mean(field_current))
        tested = f"from {saturation.low:.3g} A to {saturation.high:.3g} A"
        tested = f"at {saturation.high:.3g} A alone" if saturation.knee == 0.0 else tested
        raise NoSolution(
            f"The spin test was made {tested} of field; of {asked:.3g} A it tells nothing, because iron saturates.",
            f"Add a reading at {asked:.3g} A, or work with a field current that was tested.",
        )
    return _value(saturation, np.clip(field_current, saturation.low, saturation.high))


def emf_spread(saturation: Saturation, field_current: Ampere) -> Fraction:
    """How far the EMF constant may be off at a field current, as a share of it; of draws, at their middle.

    Source: [method-machine] #spin-test
    """
    places = np.linspace(saturation.low, saturation.high, len(saturation.errors))
    return float(np.interp(float(np.mean(field_current)), places, saturation.errors))


def residuals(emf_test: Sequence[Reading], saturation: Saturation) -> list[float]:
    """How much more each reading gives than the curve, as a share of the curve; 0 where no field is on.

    Source: [method-machine] #spin-test
    """
    _, currents, constants = points(emf_test)
    on = currents > 0.0
    curve = np.where(on, _value(saturation, np.maximum(currents, 1e-9)), 1.0)
    return np.where(on, constants / curve - 1.0, 0.0).tolist()


def next_reading(emf_test: tuple[Reading, ...], field_current: float) -> NextReading:
    """The one further reading that would help most.

    The working current when the readings don't reach it; half of it when only one current was tested; else the
    current at which a reading lessens most the variance at the working current plus the mean over the range.

    Source: [method-machine] #spin-test
    """
    curve, covariance = _fit(emf_test)
    if not covers(curve, field_current):
        side = "above" if field_current > curve.high else "below"
        return NextReading(field_current, f"your working current is {side} all that was tested")
    before = float(emf_spread(curve, field_current))
    if curve.knee == 0.0:
        return NextReading(field_current / 2.0, "one field current shows no saturation", before)
    places = np.linspace(curve.low, curve.high, _PLACES)
    goals = np.append(places, field_current)
    weight = np.append(np.full(_PLACES, 1.0 / _PLACES), 1.0)
    _, _, constants = points(emf_test)
    # As far as one would believe, like the covariance: twice the error of a reading, which is READING_ERROR of the
    # mean of it and the highest.
    noise = (READING_ERROR * (_value(curve, places) + constants.max())) ** 2
    tried, aimed = _slopes(curve, places), _slopes(curve, goals)
    seen = (aimed @ covariance @ tried.T) / np.asarray(_value(curve, goals))[:, None]
    gain = seen**2 / (noise + ((tried @ covariance) * tried).sum(-1))
    best = int(np.argmax((weight[:, None] * gain).sum(0)))
    where = min(max(float(f"{places[best]:.2g}"), curve.low), curve.high)
    after = float(np.sqrt(max(before**2 - float(gain[-1, best]), READING_ERROR**2)))
    return NextReading(where, "there it narrows the curve most", before, after)


def flux_linkage(emf_constant: EmfConstant, pole_pairs: Number) -> Weber:
    """Peak flux linkage of one phase of the equivalent star, Wb: √(2/3)·emf_constant/pole_pairs.

    Source: [method-machine] #spin-test
    """
    return np.sqrt(2.0 / 3.0) * emf_constant / pole_pairs
