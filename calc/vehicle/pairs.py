"""Which pair of sprockets: every pair of a stock, ranked by what is in hand for start, slope and top speed together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from calc.quantities import Array, Number

FEWEST = 11
"""Teeth of a small sprocket: with fewer the chain's speed wavers by 5 % or more within each tooth (common practice, no
source, that this is rough)."""
USUAL_MOTOR = (9, 10, 11, 12, 13, 14, 15, 16, 17)
USUAL_AXLE = (28, 32, 36, 40, 44, 48, 52, 56, 60, 64, 68, 72, 76, 80, 85, 90)
"""What is sold for light chain (common practice, no source)."""

Pair = tuple[int, int]


class InHand(NamedTuple):
    """What each pair has over what is asked, as shares of it: below 0 it is short."""

    start: Array
    slope: Array
    speed: Array


def every(motor: Sequence[int], axle: Sequence[int], present: Pair | None) -> list[Pair]:
    """Every pair (teeth on the motor, teeth on the axle) of the stock, once each, and the present one.

    Source: [method] #pairs
    """
    pairs = {(a, b) for a in motor for b in axle}
    return sorted(pairs | ({present} if present else set()))


def in_hand(given: Number, asked: Number) -> Array:
    """How much more than what is asked is given, as a share of it: −1 for nothing.

    Source: [method] #pairs
    """
    share: Array = (np.asarray(given) - asked) / np.maximum(np.asarray(asked), 1e-9)
    return share


def ranked(pairs: Sequence[Pair], margins: InHand) -> list[int]:
    """Which pair is first, second and so on.

    Pairs that meet all three come first, of those the ones that run smoothly, and of those the one whose least margin
    is largest. Of the others the one whose worst lack is smallest, then whose lacks add up to least; nothing at all
    is the most that can lack.

    Source: [method] #pairs
    """
    capped = np.maximum(np.array([margins.start, margins.slope, margins.speed]), -1.0)
    least, lacking = np.round(capped.min(0), 9), np.round(np.minimum(capped, 0.0).sum(0), 9)
    meets = least >= 0.0

    def place(k: int) -> tuple[bool, bool, float, float, int]:
        return not meets[k], pairs[k][0] < FEWEST, -least[k], -lacking[k], -pairs[k][0]

    return sorted(range(len(pairs)), key=place)
