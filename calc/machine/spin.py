"""Rows of a spin test: what they are, and whether they can be of one machine."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.quantities import Array

Reading = tuple[float, float, float]
"""Speed in rad/s, field current in A, line-line rms volts."""
SAME_CURRENT = 0.02
"""Field currents that differ by less than this share of the highest count as one."""
_SAME_SPEED, _CONTRADICT, _FALL, _SPEEDS_DIFFER = 1.05, 1.10, 1.08, 1.35  # ratios


def points(emf_test: Sequence[Reading]) -> tuple[Array, Array, Array]:
    """Speeds, field currents and volts per speed of the readings.

    Source: [method-machine] #spin-test
    """
    speed, current, volts = np.array(emf_test, dtype=float).T
    return speed, current, volts / speed


def contradiction(emf_test: Sequence[Reading]) -> str:
    """Why these readings can't be of one machine, in plain words; '' when they can.

    Source: [method-machine] #spin-test
    """
    speeds, currents, constants = points(emf_test)
    top = float(currents.max())
    if top <= 0.0:
        return (
            "No reading of the spin test has any field current: that shows what is left in the iron, and nothing of "
            "the machine."
        )
    for row, (current, constant) in enumerate(zip(currents, constants, strict=True), 1):
        if current > 0.0 and constant <= 0.0:
            return (
                f"Spin test, row {row} shows no volts with {current:.3g} A of field: a broken lead, an open brush, or "
                "the meter on direct current."
            )
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
    apart = same_current & (currents[a] > 0.15 * top) & (ratio > _SPEEDS_DIFFER)
    least = np.where(same_speed, _FALL, np.where(currents[b] > 0.15 * top, _SPEEDS_DIFFER, np.inf))
    fall = ~same_current & (constants[a] > least * constants[b])
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
    ):
        if wrong.any():
            n = int(np.argmax(np.where(wrong, ratio, 0.0)))
            share = 1.0 - 1.0 / ratio[n] if wrong is fall else ratio[n] - 1.0
            rows = f"Spin test, rows {min(a[n], b[n]) + 1} and {max(a[n], b[n]) + 1}"
            return f"{rows}: {what.format(currents[a[n]], 100 * share)} {why}"
    return ""
