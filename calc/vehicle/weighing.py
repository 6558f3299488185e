"""Centre of gravity by bathroom scales: under both axles level, then with the front wheels on a block.

A row is (height of the block in m, kg under the front, kg under the rear); the block of the level rows is 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np

from calc.errors import NoSolution
from calc.quantities import Fraction, Kilogram, Metre

Rows: TypeAlias = Sequence[Sequence[Any]]
LEVEL = 0.005
"""Blocks lower than this count as level ground, m."""
LOW_BLOCK = 0.05
"""A block lower than this shifts too little to be weighed, or is in centimetres, m (common practice, no source)."""
HIGHEST = 2.5
"""No centre of gravity of a small vehicle lies higher, m."""
SLENDER = 1.5
"""Nor by more than so many times the wheelbase (common practice, no source)."""
SAME_WEIGHT = 0.03
"""Rows whose sums differ by more than this share were not weighed with the same load (common practice, no source)."""


def level_rows(rows: Rows) -> list[tuple[float, float, float]]:
    """The rows without a block.

    Source: [method-vehicle] #weighing
    """
    return [(float(b), float(f), float(r)) for b, f, r in rows if b < LEVEL]


def raised_rows(rows: Rows) -> list[tuple[float, float, float]]:
    """The rows with the front on a block.

    Source: [method-vehicle] #weighing
    """
    return [(float(b), float(f), float(r)) for b, f, r in rows if b >= LEVEL]


def weighed_mass(cog_weighing: Rows) -> Kilogram:
    """Mass that stood on the scales, kg: the mean of the rows' sums.

    Source: [method-vehicle] #weighing
    """
    return float(np.mean([front + rear for _, front, rear in cog_weighing]))


def _front(rows: list[tuple[float, float, float]]) -> list[float]:
    """Share of the weight that each row has in front."""
    return [front / (front + rear) for _, front, rear in rows]


def cog_from_axle(cog_weighing: Rows, wheelbase: Metre) -> Metre:
    """Centre of gravity in front of the rear axle, m: wheelbase · front reading / both, level; the mean of the rows.

    Source: [method-vehicle] #weighing
    """
    return wheelbase * float(np.mean(_front(level_rows(cog_weighing))))


def _raised(rows: Rows, wheelbase: Metre) -> list[Metre]:
    """How far the centre of gravity is above the axles by each raised row, m."""
    level = float(np.mean(_front(level_rows(rows))))
    raised = raised_rows(rows)
    return [
        wheelbase * (level - share) * np.sqrt(np.maximum(np.square(wheelbase) - block**2, 1e-6)) / block
        for share, (block, _, _) in zip(_front(raised), raised, strict=True)
    ]


def cog_height(cog_weighing: Rows, wheelbase: Metre, wheel_diameter: Metre) -> Metre:
    """Height of the centre of gravity, m: r + w·(share lost in front)·√(w² − H²)/H, H the block, r the wheel's radius.

    Validity: wheels of one size, free to roll, springs blocked, the load can't shift; never under a centimetre.
    Raises NoSolution when it comes out higher than the vehicle.

    Source: [method-vehicle] #weighing
    """
    above = sum(_raised(cog_weighing, wheelbase)) / len(raised_rows(cog_weighing))
    height = np.maximum(wheel_diameter / 2.0 + above, 0.01)
    if float(np.mean(height)) > min(HIGHEST, SLENDER * float(np.mean(wheelbase))):
        low = min(block for block, _, _ in raised_rows(cog_weighing))
        raise NoSolution(
            f"By these scales the centre of gravity lies {float(np.mean(height)):.2g} m high, which is higher than the "
            f"cart. The lowest block is entered as {1000.0 * low:.3g} mm.",
            "Is the block in millimetres? 20 cm is 200. Then read the scales again: brakes off, springs blocked.",
        )
    return height


def cog_axle_spread(cog_weighing: Rows, scale_error: Kilogram) -> Fraction:
    """How far the distance by weighing may be off, as a share of it: the scales' error in both readings, or the rows'
    own scatter if that is more.

    Source: [method-vehicle] #weighing-spread
    """
    shares = _front(level_rows(cog_weighing))
    level = float(np.mean(shares))
    read = scale_error * np.hypot(level, 1.0 - level) / weighed_mass(cog_weighing)
    return np.clip(np.maximum(read, (max(shares) - min(shares)) / 2.0) / level, 0.0, 0.9)


def cog_height_spread(
    cog_weighing: Rows, wheelbase: Metre, wheel_diameter: Metre, scale_error: Kilogram
) -> Fraction:
    """How far the height by weighing may be off, as a share of it: two readings' error in the share that was lost in
    front, times w·√(w² − H²)/H of the highest block; or the raised rows' scatter if that is more.

    Source: [method-vehicle] #weighing-spread
    """
    block = max(row[0] for row in raised_rows(cog_weighing))
    arm = wheelbase * np.sqrt(np.maximum(np.square(wheelbase) - block**2, 1e-6)) / block
    read = np.sqrt(2.0) * scale_error / weighed_mass(cog_weighing) * arm
    heights = np.stack(np.broadcast_arrays(*_raised(cog_weighing, wheelbase)))
    scatter = (heights.max(axis=0) - heights.min(axis=0)) / 2.0
    return np.clip(np.maximum(read, scatter) / cog_height(cog_weighing, wheelbase, wheel_diameter), 0.0, 0.9)
