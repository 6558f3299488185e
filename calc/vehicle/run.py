"""Gathering speed at full throttle: how long and how far to each speed."""

from __future__ import annotations

import numpy as np

from calc.drive import launch
from calc.quantities import (
    Array,
    Kilogram,
    KilogramSquareMetre,
    Metre,
    MetrePerSecond,
)

NEARLY = 0.95
"""Share of the top speed up to which a run is told: the last of it takes for ever."""


def run_mass(moved_mass: Kilogram, wheel_inertia: KilogramSquareMetre, wheel_diameter: Metre) -> Kilogram:
    """Mass that has to be sped up, kg, the wheels' own turning counted too: + 4·J/d².

    Source: [method] #run
    """
    return moved_mass + 4.0 * wheel_inertia / np.square(wheel_diameter)


def times(speeds: Array, forces: Array, mass: Kilogram) -> tuple[list[float], list[float]]:
    """Time (s) and distance (m) from standstill to each of `speeds` (m/s), the first of them 0, under the net `forces`
    there (N); as far as they are above nothing.

    Source: [method] #run
    """
    stuck = np.flatnonzero(forces <= 0.0)
    reached = int(stuck[0]) if stuck.size else len(speeds)
    if not reached:
        return [], []
    seconds, metres = launch.on_the_way(speeds[:reached], forces[:reached], mass)
    return seconds.tolist(), metres.tolist()


def grid(top: MetrePerSecond, marks: list[float], points: int = 120) -> Array:
    """Speeds from standstill to nearly the `top`, m/s, the `marks` among them.

    Source: [method] #run
    """
    inside = [mark for mark in marks if 0.0 < mark <= top * NEARLY]
    speeds: Array = np.unique(np.concatenate([np.linspace(0.0, top * NEARLY, points), inside]))
    return speeds
