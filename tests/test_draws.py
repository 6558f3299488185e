"""The draws: the same everywhere, shaped as the basis says, never past a limit."""

from __future__ import annotations

import numpy as np
import pytest

from calc import draws
from calc.fields import FIELDS


def splitmix(seed: int, n: int) -> list[int]:
    """The generator once more in Python's whole numbers (Steele, Lea and Flood 2014; constants from memory)."""
    mask, out = 2**64 - 1, []
    for _ in range(n):
        seed = (seed + 0x9E3779B97F4A7C15) & mask
        z = seed
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & mask
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & mask
        out.append(z ^ (z >> 31))
    return out


def test_the_order_comes_from_whole_number_arithmetic_alone() -> None:
    keys = splitmix(draws._seed("rider_mass"), draws.N)
    order = sorted(range(draws.N), key=keys.__getitem__)
    expected = np.empty(draws.N)
    expected[order] = (np.arange(draws.N) + 0.5) / draws.N
    assert np.array_equal(draws.uniform("rider_mass"), expected)


def test_one_value_in_each_slice() -> None:
    assert np.array_equal(np.sort(draws.uniform("slope")), (np.arange(draws.N) + 0.5) / draws.N)


def test_fields_are_drawn_independently() -> None:
    sample = np.array([draws.uniform(key) for key in FIELDS])
    off = np.corrcoef(sample) - np.eye(len(sample))
    assert np.abs(off).max() < 0.1


def test_measured_is_triangular_and_guess_is_uniform() -> None:
    triangular = draws.spread_out("a", 10.0, 2.0, True, 0.0, 100.0)
    uniform = draws.spread_out("a", 10.0, 2.0, False, 0.0, 100.0)
    # Variance of a symmetric triangle of half width s is s²/6, of a uniform s²/3 (textbook).
    assert np.var(triangular) == pytest.approx(4 / 6, rel=1e-3)
    assert np.var(uniform) == pytest.approx(4 / 3, rel=1e-3)
    assert np.mean(triangular) == pytest.approx(10, abs=1e-3)


@pytest.mark.parametrize("triangular", [True, False])
def test_cut_at_the_hard_limits(triangular: bool) -> None:
    sample = np.asarray(draws.spread_out("b", 1.0, 5.0, triangular, 0.0, 2.0))
    assert sample.min() >= 0.0
    assert sample.max() <= 2.0
    assert np.std(sample) > 0.1


def test_no_spread_is_one_number() -> None:
    assert draws.spread_out("c", 3.0, 0.0, True, 0.0, 9.0) == 3.0


def test_counts_are_drawn_evenly() -> None:
    values, counts = np.unique(draws.whole("pole_pairs", 6, 8), return_counts=True)
    assert values.tolist() == [6, 7, 8]
    assert counts.max() - counts.min() <= 1
