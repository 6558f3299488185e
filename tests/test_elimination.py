"""Small linear systems against numpy's LAPACK."""

from __future__ import annotations

import numpy as np
import pytest

from calc.elimination import solved


@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_solutions_are_those_of_lapack(count):
    drawn = np.random.default_rng(count)
    matrix, right = drawn.normal(size=(count, count, 300)), drawn.normal(size=(count, 300))
    theirs = np.linalg.solve(matrix.transpose(2, 0, 1), right.T[:, :, None])[:, :, 0].T
    assert solved(matrix, right) == pytest.approx(theirs, rel=1e-9, abs=1e-9)


def test_a_pivot_of_nought_is_passed_over():
    """The first equation says nothing of the first unknown."""
    matrix = np.array([[0.0, 2.0], [1.0, 1.0]])[:, :, None]
    assert solved(matrix, np.array([[4.0], [5.0]]))[:, 0] == pytest.approx([3.0, 2.0])


def test_what_no_equation_holds_is_nought():
    matrix = np.array([[1.0, 0.0], [0.0, 0.0]])[:, :, None]
    assert solved(matrix, np.array([[3.0], [0.0]]))[:, 0] == pytest.approx([3.0, 0.0])
