"""What no sheet tells of a build, over the lanes of a simulation: the ranges stand in one table."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import NamedTuple

import numpy as np

from calc.quantities import Array
from calc.standards import rows

LANES = 1000
"""Builds that are simulated beside each other for each cause; fewer where there are many rows."""

Uniform = Callable[[str, int], Array]
"""(name, count): so many numbers between 0 and 1, one in each of as many equal slices, in the name's own order."""


class Range(NamedTuple):
    """From where to where, and whether evenly in the logarithm."""

    low: float
    high: float
    logarithmic: bool


@cache
def ranges() -> dict[str, Range]:
    """The table of ranges by key."""
    return {
        row["key"]: Range(float(row["low"]), float(row["high"]), row["scale"] == "log")
        for row in rows("cut_out_ranges")
    }


def fixed(key: str) -> float:
    """A number of the table that stands as it is."""
    return ranges()[key].low


class Hidden:
    """The hidden things of the lanes: those of the build the same in each row, those of one time drawn for each."""

    def __init__(self, uniform: Uniform, lanes: int = LANES, row: int = 0) -> None:
        self._uniform, self.lanes, self.row = uniform, lanes, row

    def share(self, name: str, again: bool = False) -> Array:
        """Numbers between 0 and 1. again: new ones for this row."""
        return self._uniform(f"cut-out {name} {self.row if again else ''}", self.lanes)

    def __getitem__(self, key: str) -> Array:
        return self._spread(key, self.share(key))

    def now(self, key: str) -> Array:
        """A thing that is another one each time."""
        return self._spread(key, self.share(key, again=True))

    def having(self, key: str) -> Array:
        """Which lanes have what so large a share of builds has: 1 or 0."""
        return np.where(self.share(key) < fixed(key), 1.0, 0.0)

    def next_time(self) -> Hidden:
        """The same builds another time."""
        return Hidden(self._uniform, self.lanes, self.row + 1)

    @staticmethod
    def _spread(key: str, share: Array) -> Array:
        low, high, logarithmic = ranges()[key]
        if logarithmic:
            return np.exp(np.log(low) + share * (np.log(high) - np.log(low)))
        return low + share * (high - low)
