"""Gathering speed at full throttle: what the tyres let through, and how long and how far to each speed."""

from __future__ import annotations

import numpy as np

from calc.drive import launch
from calc.quantities import (
    Array,
    Fraction,
    Kilogram,
    KilogramSquareMetre,
    Metre,
    MetrePerSecond,
    Newton,
    Number,
)
from calc.vehicle.road import GRAVITY

NEARLY = 0.95
"""Share of the top speed up to which a run is told: the last of it takes for ever."""


def run_mass(moved_mass: Kilogram, wheel_inertia: KilogramSquareMetre, wheel_diameter: Metre) -> Kilogram:
    """Mass that has to be sped up, kg, the wheels' own turning counted too: + 4·J/d².

    Source: [method] #run
    """
    return moved_mass + 4.0 * wheel_inertia / np.square(wheel_diameter)


def held_force(
    load: Newton,
    run_mass: Kilogram,
    total_mass: Kilogram,
    slope: Fraction,
    grip: Number,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    driven_axle: str,
    driven_wheels: str,
) -> Newton:
    """Greatest force that the driven tyres pass on while it gathers speed against `load` (N), N.

    Speeding up moves weight from the front axle to the rear one, m·a·h/w with a = (F − load)/run_mass; so F = grip ·
    (load at a crawl ± m·h/w·(F − load)/run_mass), solved for F. Never more than grip on the whole weight.
    `total_mass` is the vehicle's own, kg. Validity: as for the load on the axles at a crawl.

    Source: [method] #run
    """
    crawl = launch.driven_share(slope, wheelbase, cog_from_axle, cog_height, driven_axle, driven_wheels)
    wheels = 0.5 if driven_wheels == "one" else 1.0
    moved = wheels * grip * cog_height / wheelbase * total_mass / run_mass
    moved = -moved if driven_axle == "front" else moved
    whole = wheels * grip * total_mass * GRAVITY / np.sqrt(1.0 + np.square(slope))
    held = (grip * total_mass * GRAVITY * crawl - moved * np.asarray(load)) / np.maximum(1.0 - moved, 1e-6)
    return np.clip(held, 0.0, whole)


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
