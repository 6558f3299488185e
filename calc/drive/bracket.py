"""Where a falling function crosses zero, for many lanes at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from calc.quantities import Real


def crossing(function: Callable[[Real], Real], low: Real, high: Real, steps: int) -> Real:
    """Zero of a falling `function` between `low` and `high`, by `steps` steps of bracketed false position.

    Gives `low` where the function is not above zero there, else `high` where it has not fallen to zero there.
    The end that stays twice running has its value halved (the Illinois rule), so that both ends close in.

    Source: [method] #crossing
    """
    at_low, at_high = function(low), function(high)
    ends = np.where(np.asarray(at_low) <= 0.0, low, high)
    inside = (np.asarray(at_low) > 0.0) & (np.asarray(at_high) < 0.0)
    lower, upper = low + 0.0 * ends, high + 0.0 * ends
    side = 0.0 * ends
    middle = ends
    for _ in range(steps):
        middle = np.clip(
            lower - at_low * (upper - lower) / np.minimum(at_high - at_low, -1e-300), lower, upper
        )
        value = function(middle)
        now = np.where(np.asarray(value) < 0.0, 1.0, -1.0)
        above = now > 0.0
        at_low = np.where(above, np.where(side == now, 0.5 * at_low, at_low), value)
        at_high = np.where(above, value, np.where(side == now, 0.5 * at_high, at_high))
        lower, upper, side = np.where(above, lower, middle), np.where(above, middle, upper), now
    return np.where(inside, middle, ends)


def first_crossing(function: Callable[[Real], Real], low: Real, high: Real, points: int = 25) -> Real:
    """The first zero of `function` between `low` and `high`, each lane on a grid that is laid twice.

    The second grid divides the step of the first in which the sign changes; a straight line gives the rest. Costs
    two calls of `function` with a leading axis, which for single values is far less than a search step by step.
    Gives `low` where the function is not above zero there, `high` where it never falls to zero.

    Source: [method] #crossing
    """
    start, end = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    for _ in range(2):
        shape = (points,) + (1,) * np.broadcast(start, end).ndim
        at = start + np.linspace(0.0, 1.0, points).reshape(shape) * (end - start)
        value = np.asarray(function(at), dtype=float)
        at = np.broadcast_to(at, value.shape)
        below = value <= 0.0
        past = np.where(below.any(axis=0), below.argmax(axis=0), points - 1)[None]
        before = np.maximum(past - 1, 0)
        start, end = (np.take_along_axis(at, index, 0)[0] for index in (before, past))
        above, under = (np.take_along_axis(value, index, 0)[0] for index in (before, past))
    share = np.clip(above / np.maximum(above - under, 1e-300), 0.0, 1.0)
    return np.where(under > 0.0, end, start + share * (end - start))
