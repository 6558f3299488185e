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
