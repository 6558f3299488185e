"""Small systems of linear equations, many at once.

numpy.linalg would do; but a page would load it for these alone, and it takes 70 ms of a start of 1200 (measured).
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Array

_LEAST_PIVOT = 1e-14


def solved(matrix: Array, right: Array) -> Array:
    """x of matrix · x = right, by elimination with the largest pivot of each column.

    `matrix` is (n, n, lanes) and `right` (n, lanes), in units in which the matrix is about 1. An unknown that no
    equation holds is 0.

    Source: [method] #elimination
    """
    count, rows = len(right), np.concatenate([matrix, right[:, None]], axis=1)
    lanes = np.arange(rows.shape[2])
    for k in range(count):
        best = k + np.abs(rows[k:, k]).argmax(0)
        top = rows[best, :, lanes].T
        rows[best, :, lanes] = rows[k].T
        pivot = top[k]
        held = np.abs(pivot) > _LEAST_PIVOT
        rows[k] = np.where(held, top / np.where(held, pivot, 1.0), 0.0)
        others = rows[:, k].copy()
        others[k] = 0.0
        rows -= others[:, None] * rows[k]
    x: Array = rows[:, count]
    return x
