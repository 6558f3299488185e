"""Rows of a spin test: what they are, and whether they can be of one machine."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.quantities import Array

Reading = tuple[float, float, float]
"""Speed in rad/s, field current in A, line-line rms volts."""
SAME_CURRENT = 0.02
"""Field currents that differ by less than this share of the highest count as one."""
FOOT = 0.15
"""Below this share of the highest field current remanence and the ammeter's last digit decide (common practice)."""
LONE = 3.0
"""A field current of more than so many times the next lower one is asked for again (common practice, no source)."""
PLAIN_FIELD, MOST_FIELD = 5.0, 10.0
"""Up to the first nothing is asked of a field current, beyond the second always, A (common practice, no source)."""
_SAME_SPEED, _CONTRADICT, _FALL, _SPEEDS_DIFFER = 1.05, 1.10, 1.08, 1.35  # ratios
_LAST_DIGIT = 0.01
"""The last digit of a bench supply's ammeter, A (common practice, no source)."""


def points(emf_test: Sequence[Reading]) -> tuple[Array, Array, Array]:
    """Speeds, field currents and volts per speed of the readings.

    Source: [method-machine] #spin-test
    """
    speed, current, volts = np.array(emf_test, dtype=float).T
    return speed, current, volts / speed


def unlikely_field(emf_test: Sequence[Reading]) -> int | None:
    """The row, counted from 1, whose field current stands far above all others or above what such coils take; None for
    none.

    Source: [method-machine] #spin-test
    """
    currents = [current for _, current, _ in emf_test]
    top = max(currents)
    below = [current for current in currents if 0.0 < current < (1.0 - SAME_CURRENT) * top]
    lone = bool(below) and top > max(LONE * max(below), PLAIN_FIELD)
    if lone or top > MOST_FIELD:
        return currents.index(top) + 1
    return None


def contradiction(emf_test: Sequence[Reading]) -> str:
    """Why these readings can't be of one machine, in plain words; '' when they can.

    Where leaving out one of the two rows ends every contradiction, and leaving out the other doesn't, it is named.

    Source: [method-machine] #spin-test
    """
    why, rows = _contradiction(emf_test)
    if len(emf_test) < 3:
        return why
    alone = [n for n in rows if not _contradiction([*emf_test[:n], *emf_test[n + 1 :]])[0]]
    return f"{why} Without row {alone[0] + 1} the others agree." if len(alone) == 1 else why


def _contradiction(emf_test: Sequence[Reading]) -> tuple[str, tuple[int, ...]]:
    """The worst contradiction in words and the two rows that make it, counted from 0; ('', ()) for none."""
    speeds, currents, constants = points(emf_test)
    top = float(currents.max())
    if top <= 0.0:
        return (
            "No reading of the spin test has any field current: that shows what is left in the iron, and nothing of "
            "the machine."
        ), ()
    for row, (current, constant) in enumerate(zip(currents, constants, strict=True), 1):
        if current > 0.0 and constant <= 0.0:
            return (
                f"Spin test, row {row} shows no volts with {current:.3g} A of field: a broken lead, an open brush, or "
                "the meter on direct current."
            ), ()
    # Every pair of rows, the one of less field first.
    order = np.lexsort((constants, currents))
    first, second = np.triu_indices(len(order), 1)
    a, b = order[first], order[second]
    same_speed = np.maximum(speeds[a], speeds[b]) < _SAME_SPEED * np.minimum(speeds[a], speeds[b])
    same_current = currents[b] - currents[a] < SAME_CURRENT * top
    ratio = constants[b] / np.maximum(constants[a], 1e-9)
    ratio = np.maximum(ratio, 1.0 / np.maximum(ratio, 1e-9))
    beyond = np.where(currents[a] > 0.0, currents[b] / np.maximum(currents[a], 1e-9), 1.0)
    differ = same_current & same_speed & (currents[a] > 0.0) & (ratio > _CONTRADICT * beyond)
    apart = same_current & (currents[a] > FOOT * top) & (ratio > _SPEEDS_DIFFER)
    least = np.where(same_speed, _FALL, np.where(currents[b] > FOOT * top, _SPEEDS_DIFFER, np.inf))
    fall = ~same_current & (constants[a] > least * constants[b])
    # Volts per speed never grow faster than the field current: iron only bends the line down.
    straight = currents[b] / np.maximum(currents[a] - _LAST_DIGIT, 1e-9)
    most = np.where(same_speed, _CONTRADICT, _SPEEDS_DIFFER) * straight
    growth = ~same_current & (currents[a] > _LAST_DIGIT) & (constants[b] > most * constants[a])
    for wrong, what, why in (
        (differ, "at {:.3g} A of field and the same speed the volts differ by {:.0f} %.", "One was misread."),
        (
            apart,
            "at {:.3g} A of field the volts per speed differ by {:.0f} %.",
            "A speed, a voltage or its unit is wrong.",
        ),
        (
            fall,
            "with more than {:.3g} A of field the volts per speed are less by {:.0f} %.",
            "More field never gives less: rows are mixed up, or the field current sank while the coil warmed.",
        ),
        (
            growth,
            "from {:.3g} A of field on the volts per speed grow {:.3g} times, and the field current {:.3g} times.",
            "Iron never gives more than in step with the current: a decimal point, a unit or a meter's range is wrong.",
        ),
    ):
        if wrong.any():
            n = int(np.argmax(np.where(wrong, ratio / (straight if wrong is growth else 1.0), 0.0)))
            told: tuple[float, ...] = (100.0 * (1.0 - 1.0 / ratio[n] if wrong is fall else ratio[n] - 1.0),)
            if wrong is growth:
                told = (ratio[n], currents[b[n]] / currents[a[n]])
            rows = f"Spin test, rows {min(a[n], b[n]) + 1} and {max(a[n], b[n]) + 1}"
            return f"{rows}: {what.format(currents[a[n]], *told)} {why}", (int(a[n]), int(b[n]))
    return "", ()
