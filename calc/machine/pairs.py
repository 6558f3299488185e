"""What three unequal resistances between leads tell: a bad joint, a broken phase or shorted turns.

A phase is a resistance; a star has them to a common point, a delta in a ring. One fault leaves two pairs alike and the
third apart, below them or above.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

PAIRS_APART = 0.03
"""Pairs of leads of a sound winding differ by less than this share (common practice, no source)."""
_ALIKE = 0.5  # the two that are alike differ by less than this share of the third's distance
OPEN = 1.9
"""From this many times the two others on, the high pair of a delta has an open phase: 2 of a dead break."""
_MOST = 2.1  # one pair high: 2 is the most that one fault makes


class Odd(NamedTuple):
    """The pair that stands apart from two that are alike: its row (1, 2, 3), whether it is above, how many times."""

    row: int
    above: bool
    times: float


def above_lowest(resistances: Sequence[float]) -> list[tuple[int, float]]:
    """Rows more than PAIRS_APART above the lowest, as (row number, share above it), largest first.

    Source: [method-machine] #resistance
    """
    lowest = min(resistances)
    apart = [(number, value / lowest - 1.0) for number, value in enumerate(resistances, 1)]
    return sorted((pair for pair in apart if pair[1] > PAIRS_APART), key=lambda pair: -pair[1])


def odd_one(resistances: Sequence[float]) -> Odd | None:
    """The pair that stands apart, of three; None where all agree or where no single fault makes such three.

    Source: [method-machine] #resistance
    """
    if len(resistances) != 3:
        return None
    rows = sorted(range(3), key=lambda n: resistances[n])
    low, middle, high = (resistances[n] for n in rows)
    below, above = middle - low, high - middle
    if high <= (1.0 + PAIRS_APART) * low:
        return None
    if above < _ALIKE * below and high < (1.0 + PAIRS_APART) * middle:
        return Odd(rows[0] + 1, False, low / middle)
    if below < _ALIKE * above and middle < (1.0 + PAIRS_APART) * low and high < _MOST * middle:
        return Odd(rows[2] + 1, True, high / middle)
    return None


def causes(odd: Odd, connection: str) -> str:
    """What makes this pattern in a star or a delta, in plain words.

    With a phase R and a share s of its turns shorted a star has (2 − s)·R twice and 2·R once, a delta
    2·(1 − s)/(3 − s)·R once and (2 − s)/(3 − s)·R twice. A bad joint in a lead is in two pairs, in a star's phase too;
    inside a delta's phase it raises one pair most and the two others alike by little.

    Source: [method-machine] #resistance
    """
    first, second = (row for row in (1, 2, 3) if row != odd.row)
    shared, own = (
        f"the lead that rows {first} and {second} share",
        f"the phase between the leads of row {odd.row}",
    )
    if connection == "star":
        return (
            f"shorted turns in the phase of {shared}"
            if odd.above
            else f"a bad joint in {shared}, or in its phase"
        )
    if not odd.above:
        return f"a bad joint in {shared}, or shorted turns in {own}"
    if odd.times > OPEN:
        return f"{own} is open: a broken wire or joint"
    return f"a bad joint or broken strands in {own}"
