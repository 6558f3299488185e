"""EMF of an open machine against field current: the spin test, and what it may claim.

A reading is (speed in rad/s, field current in A, line-line rms volts). Divided by speed it is a point of the
saturation curve. Nothing is claimed outside the field currents that were tested.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np

from calc.errors import NoSolution
from calc.machine.curve import PLACES, Saturation, counted, slopes_at, through, value
from calc.machine.scatter import READING_ERROR
from calc.machine.spin import Reading, contradiction, points
from calc.machine.suspect import Suspect, suspect
from calc.quantities import Ampere, Array, EmfConstant, Fraction, Number, Weber, held, middle

NO_CURVE = 0.2
"""Where a reading lies further off the curve than this share, no number is given (common practice, no source)."""


class NextReading(NamedTuple):
    """The reading that would help most: its field current, why, and the ± at the working current before and after."""

    field_current: float
    why: str
    before: float | None = None
    after: float | None = None


@cache
def saturation(emf_test: tuple[Reading, ...]) -> Saturation:
    """The saturation curve that fits the readings best, with how far it may be off.

    Least squares over a grid of knee and sharpness, refined; scale and remanence by solving. An error counts half
    against the reading and half against the highest one. Remanence only when a reading at a tenth of the highest
    current or less supports it. Knee and sharpness are held near what is usual as far as few readings leave them
    open. One field current gives a constant, true for that current alone.

    Raises NoSolution when the readings contradict each other, or one lies further than NO_CURVE off the curve.

    Source: [method-machine] #spin-test
    """
    return _fit(emf_test)[0]


@cache
def _fit(emf_test: tuple[Reading, ...]) -> tuple[Saturation, Array]:
    """The curve, and the covariance of its constants (scale, ln knee, ln sharpness, perhaps remanence)."""
    again = "Take these readings again, field warm, the ammeter read with the voltmeter."
    why = contradiction(emf_test)
    if why:
        raise NoSolution(why, again)
    curve, covariance = through(emf_test)
    off = counted(emf_test, curve)
    far = max(range(len(off)), key=lambda n: abs(off[n]))
    if abs(off[far]) > NO_CURVE + abs(curve.fall):
        odd = odd_row(emf_test)
        row, share = (odd.row, odd.off) if odd else (far + 1, off[far])
        raise NoSolution(
            f"Spin test, row {row} lies {100 * abs(share):.0f} % {'above' if share > 0 else 'below'} the curve through "
            f"{'the others' if odd else 'all rows, and no single row explains it'}: no number is worked out from that.",
            again,
        )
    return curve, covariance


def covers(saturation: Saturation, field_current: Ampere) -> bool:
    """Whether the readings reach a field current; of draws, their middle.

    Source: [method-machine] #spin-test
    """
    return bool(saturation.low * 0.999 <= middle(field_current) <= saturation.high * 1.001)


def emf_at(saturation: Saturation, field_current: Ampere) -> EmfConstant:
    """EMF constant at a field current, V·s/rad, line-line rms, on the curve of the readings.

    Validity: `saturation.low` to `saturation.high`; the middle of the currents asked must lie there, else NoSolution;
    draws about it are held at the ends.

    Source: [method-machine] #spin-test
    """
    if not covers(saturation, field_current):
        asked = middle(field_current)
        tested = f"from {saturation.low:.3g} A to {saturation.high:.3g} A"
        tested = f"at {saturation.high:.3g} A alone" if saturation.knee == 0.0 else tested
        raise NoSolution(
            f"The spin test was made {tested} of field; of {asked:.3g} A it tells nothing, because iron saturates.",
            f"Add a reading at {asked:.3g} A, or work with a field current that was tested.",
        )
    return value(saturation, held(field_current, saturation.low, saturation.high))


def emf_spread(saturation: Saturation, field_current: Ampere) -> Fraction:
    """How far the EMF constant may be off at a field current, as a share of it; of draws, at their middle.

    Source: [method-machine] #spin-test
    """
    places = np.linspace(saturation.low, saturation.high, len(saturation.errors))
    return float(np.interp(middle(field_current), places, saturation.errors))


@cache
def odd_row(emf_test: tuple[Reading, ...]) -> Suspect | None:
    """The one row that doesn't belong to the others, or None.

    Source: [method-machine] #spin-test
    """
    return suspect(emf_test, lambda fitted, asked: counted(asked, through(tuple(fitted))[0]))


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
    places = np.linspace(curve.low, curve.high, PLACES)
    goals = np.append(places, field_current)
    weight = np.append(np.full(PLACES, 1.0 / PLACES), 1.0)
    _, _, constants = points(emf_test)
    # As far as one would believe, like the covariance: twice the error of a reading, which is READING_ERROR of the
    # mean of it and the highest.
    noise = (READING_ERROR * (value(curve, places) + constants.max())) ** 2
    tried, aimed = slopes_at(curve, places), slopes_at(curve, goals)
    seen = (aimed @ covariance @ tried.T) / np.asarray(value(curve, goals))[:, None]
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
