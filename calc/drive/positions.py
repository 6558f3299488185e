"""Standstill torque at each rotor position: six arches, and where each begins and ends."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from calc.quantities import Ampere, Array, EmfConstant, Nm, Radian

_SIXTH = np.pi / 3.0


class Sector(NamedTuple):
    """One of the six sectors: where its code begins and ends (rad electrical, 0 where sector 0 belongs), the torque at
    both ends (N·m) and the least in it; a sector that the edges have swallowed has no width and no torque."""

    begin: Radian
    end: Radian
    first: Nm
    last: Nm

    @property
    def least(self) -> Nm:
        """The least torque of an arch is at one of its ends."""
        return min(self.first, self.last)


def sectors(emf_constant: EmfConstant, current: Ampere, edge_errors: Sequence[float]) -> list[Sector]:
    """The six sectors of an electrical turn for edges that are late by `edge_errors` (rad, the first that where sector
    0 begins). Torque in sector k is √2·emf_constant·current·cos(θ − 30° − 60°·k).

    Source: [method] #six-step-torque
    """
    peak = float(np.sqrt(2.0) * emf_constant * current)
    edges = [k * _SIXTH + float(error) for k, error in enumerate(edge_errors)]
    edges.append(edges[0] + 2.0 * np.pi)

    def torque(k: int, angle: float) -> float:
        return peak * float(np.cos(angle - (k + 0.5) * _SIXTH)) if edges[k + 1] > edges[k] else 0.0

    return [Sector(edges[k], edges[k + 1], torque(k, edges[k]), torque(k, edges[k + 1])) for k in range(6)]


def along_turn(
    emf_constant: EmfConstant, current: Ampere, edge_errors: Sequence[float], points: int = 24
) -> tuple[Array, Nm]:
    """Rotor angles (rad) over one electrical turn and the torque there (N·m), each sector from end to end.

    Source: [method] #six-step-torque
    """
    peak = float(np.sqrt(2.0) * emf_constant * current)
    angles, torques = [], []
    for k, sector in enumerate(sectors(emf_constant, current, edge_errors)):
        here = np.linspace(sector.begin, max(sector.end, sector.begin), points)
        angles.append(here)
        torques.append(peak * np.cos(here - (k + 0.5) * _SIXTH))
    return np.concatenate(angles), np.concatenate(torques)
