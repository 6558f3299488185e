"""Which row of a spin test to take again: the one without which the others make a curve."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from calc.machine.spin import Reading

Rows = Sequence[Reading]
_TRIED = 8  # rows that are left out in turn, the furthest off first
_CLEARLY = 0.5  # what leaving out the suspect leaves over, as a share of what leaving out any other does


class Suspect(NamedTuple):
    """A row that doesn't belong: its number, how far it lies from the curve through the others, and how far the
    furthest of those does; both as shares of the curve."""

    row: int
    off: float
    others: float


def suspect(emf_test: Rows, against: Callable[[Rows, Rows], Sequence[float]]) -> Suspect | None:
    """The row without which the others agree best, or None when no row stands out or there are fewer than four.

    A wild row pulls the curve to itself, so that good rows lie off it; left out, it can't. against(fitted, asked) gives
    how far the rows `asked` lie off the curve through the rows `fitted`, as shares.

    Source: [method-machine] #spin-test
    """
    if len(emf_test) < 4:
        return None
    off = against(emf_test, emf_test)
    tried = sorted(range(len(emf_test)), key=lambda n: -abs(off[n]))[:_TRIED]
    found = []
    for n in tried:
        kept = [*emf_test[:n], *emf_test[n + 1 :]]
        if not any(current > 0.0 for _, current, _ in kept):
            return None
        found.append(
            Suspect(n + 1, against(kept, emf_test[n : n + 1])[0], max(map(abs, against(kept, kept))))
        )
    first, second = sorted(found, key=lambda s: s.others)[:2]
    return first if first.others < _CLEARLY * second.others else None
