"""The draws behind every chance: the same in the page and at the command line, to the last bit.

Each field has its own stratified sample, keyed by its name, so that a new field moves no other. The order comes
from integer arithmetic alone (FNV-1a of the key, then the splitmix64 sequence of Steele, Lea and Flood 2014;
constants from memory, pinned by a test); the sample itself takes one value from each of N equal slices.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

N = 2000
Array = np.ndarray[Any, np.dtype[np.float64]]


def _seed(key: str) -> int:
    value = 0xCBF29CE484222325
    for byte in key.encode():
        value = (value ^ byte) * 0x100000001B3 % 2**64
    return value


def uniform(key: str) -> Array:
    """N numbers in (0, 1), one in each of N equal slices, in an order that belongs to the field `key`."""
    return sliced(key, N)


@lru_cache(maxsize=2048)
def sliced(key: str, count: int) -> Array:
    """`count` numbers in (0, 1), one in each of as many equal slices, in an order that belongs to `key`."""
    with np.errstate(over="ignore"):
        z = np.uint64(_seed(key)) + np.arange(1, count + 1, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        z ^= z >> np.uint64(31)
    slices = np.empty(count)
    slices[np.argsort(z)] = np.arange(count)  # no two are alike, so every kind of sort gives one order
    sample: Array = (slices + 0.5) / count
    sample.setflags(write=False)
    return sample


def _triangle_cdf(x: float) -> float:
    x = min(max(x, -1.0), 1.0)
    return 0.5 * (1 + x) ** 2 if x < 0 else 1 - 0.5 * (1 - x) ** 2


def spread_out(
    key: str, value: float, spread: float, triangular: bool, low: float, high: float
) -> Array | float:
    """N draws about `value`, never further than `spread` from it, cut at the limits.

    Triangular for what was measured or read from a label, uniform for a guess. SI throughout.
    """
    if spread <= 0 or not low <= value <= high:
        return value
    bottom, top = max(low, value - spread), min(high, value + spread)
    u = uniform(key)
    if not triangular:
        return bottom + u * (top - bottom)
    start, end = _triangle_cdf((bottom - value) / spread), _triangle_cdf((top - value) / spread)
    u = start + u * (end - start)
    x = np.where(u < 0.5, np.sqrt(2 * u) - 1, 1 - np.sqrt(2 * np.maximum(1 - u, 0.0)))
    return value + spread * x


def whole(key: str, low: int, high: int) -> Array:
    """N whole numbers, low to high, each as likely as the next."""
    return np.floor(low + uniform(key) * (high - low + 1))
