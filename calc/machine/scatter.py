"""How far a value may be off that was worked out from a few readings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.quantities import Fraction

READING_ERROR = 0.01
"""What a meter, a tachometer or a clamp leaves open in each reading (common practice, no source)."""
PRIOR_READINGS = 4.0
"""How many readings READING_ERROR counts for beside the scatter that was seen."""
ROWS_APART = 0.15
"""Repeated readings further apart than this share are named (common practice, no source)."""
_STUDENT = (
    2.776,
    2.571,
    2.447,
    2.365,
    2.306,
    2.262,
    2.228,
    2.201,
    2.179,
    2.160,
    2.145,
    2.131,
    2.120,
    2.110,
    2.101,
)


def student(spare: float) -> float:
    """Student's factor for 95 %, with PRIOR_READINGS and `spare` further readings behind it: 2.78 down to 2.10.

    Source: [method-machine] #scatter
    """
    return float(np.interp(spare, range(len(_STUDENT)), _STUDENT))


def variance(squares: float, spare: float, reading_error: float = READING_ERROR) -> float:
    """Variance of one reading: the sum of squares that was seen, and what was expected of PRIOR_READINGS more.

    Source: [method-machine] #scatter
    """
    return (PRIOR_READINGS * reading_error**2 + squares) / (PRIOR_READINGS + spare)


def spread_of_mean(values: Sequence[float], reading_error: float = READING_ERROR) -> Fraction:
    """How far the mean of readings of one thing may be off, as a share of it, at most a half.

    reading_error: what is expected of one reading. What all readings share, a meter's scale, no repetition mends, so
    READING_ERROR stays however many there are.

    Source: [method-machine] #scatter
    """
    many = np.asarray(values, dtype=float) / float(np.mean(values))
    spare = many.size - 1
    mean_error = student(spare) * np.sqrt(
        variance(float(((many - 1.0) ** 2).sum()), spare, reading_error) / many.size
    )
    return float(min(np.hypot(mean_error, READING_ERROR), 0.5))
