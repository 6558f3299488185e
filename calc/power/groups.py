"""Groups of cells in series: which is lowest and highest, and what their difference means."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.power import cells
from calc.quantities import Array

GOOD, FAR = 0.02, 0.3
"""Volts between the lowest and the highest group at rest: up to the first is good, from the second on the pack isn't
charged (common practice, no source)."""


class Groups(NamedTuple):
    """Volts of the groups, the numbers (from 1, at the minus) of the lowest and the highest, and each one's state."""

    volts: Array
    lowest: int
    highest: int
    states: Array

    @property
    def spread(self) -> float:
        return float(self.volts.max() - self.volts.min())

    @property
    def lost(self) -> float:
        """Share of the capacity between the emptiest and the fullest group: what the pack can't give."""
        return float(self.states.max() - self.states.min())


def groups(chemistry: str, group_voltages: tuple[tuple[float, ...], ...]) -> Groups:
    """The groups by their rested volts, V.

    Validity: at rest for an hour. On the flat part of LFP the states are rough: 20 mV are 10 to 40 % of the charge.

    Source: [method-power] #charge-groups
    """
    volts = np.array([float(row[0]) for row in group_voltages])
    knots = np.linspace(0.0, 1.0, 201)
    curve = np.maximum.accumulate(np.asarray(cells.open_circuit_voltage(chemistry, knots)))
    return Groups(volts, int(volts.argmin()) + 1, int(volts.argmax()) + 1, np.interp(volts, curve, knots))
