"""A vehicle that coasts past marks on the ground: what the times tell of rolling, air and slope.

M·dv/dt = −(c·m·g ± slope·m·g + ½·ρ·A·v²), M the mass with what turns. Solved exactly; the share c·m/M and the
drag k = ρ·A/(2·M) are fitted to the times, so that masses come in only afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from calc.elimination import solved
from calc.errors import NoSolution
from calc.machine.scatter import student, variance
from calc.quantities import (
    Array,
)

FILM = 0.02
"""What a film of 30 pictures a second leaves open of the time of passing a mark, s (common practice, no source)."""
TELLS = 0.5
"""Drag that is open by more than this share of itself counts as not told."""
_SOME_DRAG = 0.002  # 1/m, where the other end of the line of share over drag is fitted
_FASTER = 1.03  # a run whose end is faster than its start by this was not coasting freely

CoastRow = tuple[float, str, float, float]
"""Number of the run, its way, metres from the first mark, seconds since passing it."""


class Fit(NamedTuple):
    """Deceleration by rolling (m/s²), drag k (1/m), the way out's slope (m/s²); each one's error; what is left of each
    row's time (s).
    """

    rolling: float
    drag: float
    slope: float
    errors: tuple[float, float, float]
    left: tuple[float, ...]


class Coasted(NamedTuple):
    """What the rows tell. told: whether drag can be told from rolling. both_ways: whether the slope averages out.

    free: with the drag fitted. without: with no drag; per_drag: what each 1/m of drag takes off its deceleration.
    """

    told: bool
    both_ways: bool
    free: Fit | None
    without: Fit
    per_drag: float
    mean_speed: float


def checked(coast_runs: Sequence[CoastRow]) -> dict[int, list[CoastRow]]:
    """The rows, run by run. Raises NoSolution for rows that can't be of one coasting run.

    Source: [method] #coast-down
    """
    runs: dict[int, list[CoastRow]] = {}
    for number, row in enumerate(coast_runs, 1):
        before = runs.setdefault(int(row[0]), [])
        if before and before[-1][1] != row[1]:
            raise NoSolution(
                f"Row {number}: run {row[0]:.0f} goes {before[-1][1]} in one row and {row[1]} in another.",
                "Give each run its own number: 1 out, 2 back, 3 out and so on.",
            )
        if before and (row[2] <= before[-1][2] or row[3] <= before[-1][3]):
            raise NoSolution(
                f"Row {number}: {row[2]:.4g} m after {row[3]:.4g} s follows {before[-1][2]:.4g} m after "
                f"{before[-1][3]:.4g} s in run {row[0]:.0f}.",
                "Both count on from the first mark, so both grow. Enter the marks in the order they were passed.",
            )
        before.append(row)
    for name, rows in runs.items():
        if len(rows) < 2:
            raise NoSolution(
                f"Run {name} has one row; a single time can't tell how it slows down.",
                "Two marks beyond the first one at least, better four.",
            )
        first = rows[0][2] / rows[0][3]
        last = (rows[-1][2] - rows[-2][2]) / (rows[-1][3] - rows[-2][3])
        if last > _FASTER * first:
            raise NoSolution(
                f"Run {name} is faster at its end, {last * 3.6:.3g} km/h, than at its start, {first * 3.6:.3g} km/h.",
                "It has to slow down by itself. Flatter ground, no push after the first mark, no tail wind.",
            )
    return runs


def _speed(end: Array, slowing: Array, drag: float, ahead: Array) -> Array:
    """Speed (m/s) where `ahead` metres are left to the run's last mark, passed at speed `end`."""
    grown = 2.0 * ahead if abs(drag) < 1e-9 else np.expm1(2.0 * drag * ahead) / drag
    return np.sqrt(np.maximum(np.square(end) * (1.0 + drag * grown) + slowing * grown, 1e-9))


def time_between(start: Array, there: Array, slowing: Array, drag: float, distance: Array) -> Array:
    """Seconds from speed `start` to `there` (m/s) over a distance (m) under dv/dt = −(slowing + drag·v²).

    t = Δv/(a + k·v₀·v) · atan(u)/u with u² = k·a·(Δv/(a + k·v₀·v))²; with a below nothing atan becomes artanh.

    Source: [method] #coast-down
    """
    below = slowing + drag * start * there
    steady = np.abs(start - there) < 1e-6 * start
    base = np.where(steady, 2.0 * distance / (start + there), (start - there) / np.where(steady, 1.0, below))
    power = drag * slowing * np.square(base)
    size = np.sqrt(np.maximum(np.abs(power), 1e-12))
    bent = np.where(power > 0.0, np.arctan(size), np.arctanh(np.minimum(size, 0.999999))) / size
    return base * np.where(np.abs(power) < 1e-10, 1.0, bent)


class _Layout(NamedTuple):
    """The rows as arrays, the passing of the first mark among them: run's place, ±1 for its way, metres from the first
    mark, metres to the run's last, seconds.
    """

    run: Array
    way: Array
    distance: Array
    ahead: Array
    time: Array
    runs: int


def _laid_out(runs: dict[int, list[CoastRow]]) -> _Layout:
    rows = [
        (place, 1.0 if row[1] == "out" else -1.0, row[2], own[-1][2] - row[2], row[3])
        for place, (_, own) in enumerate(runs.items())
        for row in [(0.0, own[0][1], 0.0, 0.0), *own]
    ]
    run, way, distance, ahead, time = (np.array(column) for column in zip(*rows, strict=True))
    return _Layout(run.astype(int), way, distance, ahead, time, len(runs))


def _left(layout: _Layout, values: Array, both_ways: bool, fixed: float | None) -> Array:
    """What the fit leaves of each time, the mean of each run taken off: its clock starts anywhere."""
    slope = values[1] if both_ways else 0.0
    drag = values[2] if fixed is None else fixed
    slowing, end = values[0] + layout.way * slope, values[3:][layout.run]
    start = _speed(end, slowing, float(drag), layout.ahead + layout.distance)
    there = _speed(end, slowing, float(drag), layout.ahead)
    off = time_between(start, there, slowing, float(drag), layout.distance) - layout.time
    mean = np.bincount(layout.run, off) / np.bincount(layout.run)
    left: Array = off - mean[layout.run]
    return left


def _slopes(layout: _Layout, values: Array, both_ways: bool, fixed: float | None, base: Array) -> Array:
    """Change of what is left for each value; all runs' last speeds at once, for each touches its own rows alone."""
    columns = np.zeros((len(base), len(values)))
    for k, step in enumerate((1e-5, 1e-5, 1e-7)):
        moved = values.copy()
        moved[k] += step
        columns[:, k] = (_left(layout, moved, both_ways, fixed) - base) / step
    moved = values.copy()
    moved[3:] += 1e-5
    columns[np.arange(len(base)), 3 + layout.run] = (_left(layout, moved, both_ways, fixed) - base) / 1e-5
    return columns


def _equations(columns: Array, damped: float) -> tuple[Array, Array]:
    """Normal equations in units in which their diagonal is 1, and those units; a value that no row feels stays put."""
    size = np.sqrt(np.square(columns).sum(0))
    size = np.where(size > 1e-12, size, 1.0)
    scaled = columns / size
    return scaled.T @ scaled + damped * np.eye(len(size)), size


def _guess(runs: dict[int, list[CoastRow]], drag: float) -> Array:
    """A first guess: deceleration from the first and last stretch of each run, and the speed at its last mark."""
    slowings, ends = [], []
    for rows in runs.values():
        (_, _, near, early), (_, _, before, soon), (_, _, far, late) = rows[0], rows[-2], rows[-1]
        first, last = near / early, (far - before) / (late - soon)
        slowing = max((first - last) / ((late + soon - early) / 2.0), 0.01)
        slowings.append(max(slowing - drag * (far / late) ** 2, 0.01))
        ends.append(max(last - slowing * (late - soon) / 2.0, 0.2))
    return np.array([float(np.mean(slowings)), 0.0, 0.0, *ends])


def fitted(runs: dict[int, list[CoastRow]], fixed: float | None = None) -> Fit:
    """Least squares over the times, by damped steps, with the drag `fixed` (1/m) or fitted.

    The clock of each run starts anywhere, so its first mark is a reading like the others. Errors are for 95 %, from the
    scatter that is left and from what a film leaves open.

    Source: [method] #coast-down
    """
    layout = _laid_out(runs)
    both_ways = len(set(layout.way.tolist())) > 1
    values, damped = _guess(runs, fixed or 0.0), 1e-3
    left = _left(layout, values, both_ways, fixed)
    for _ in range(80):
        columns = _slopes(layout, values, both_ways, fixed, left)
        matrix, size = _equations(columns, damped)
        change = -solved(matrix[:, :, None], (columns / size).T @ left[:, None])[:, 0] / size
        tried = _left(layout, values + change, both_ways, fixed)
        gained = float(left @ left - tried @ tried)
        if gained > 0.0:
            values, left, damped = values + change, tried, max(damped / 10.0, 1e-12)
            if gained < 1e-12 * float(left @ left) + 1e-18:
                break
        else:
            damped *= 10.0
            if damped > 1e8:
                break
    fitted_values = 1 + int(both_ways) + int(fixed is None)
    spare = len(left) - 2 * layout.runs - fitted_values
    matrix, size = _equations(_slopes(layout, values, both_ways, fixed, left), 1e-12)
    many = len(size)
    inverse = solved(np.repeat(matrix[:, :, None], many, axis=2), np.eye(many))
    per = student(max(spare, 0)) * variance(float(left @ left), max(spare, 0), FILM) ** 0.5
    errors = per * np.sqrt(np.maximum(np.diag(inverse), 0.0)) / size
    return Fit(
        float(values[0]),
        float(values[2]) if fixed is None else fixed,
        float(values[1]) if both_ways else 0.0,
        (float(errors[0]), float(errors[2]), float(errors[1])),
        tuple(float(x) for x in left[layout.distance > 0.0]),
    )


@lru_cache(maxsize=8)
def coasted(coast_runs: tuple[CoastRow, ...]) -> Coasted:
    """What the rows tell of rolling and drag. Raises NoSolution where they tell nothing.

    Source: [method] #coast-down
    """
    runs = checked(coast_runs)
    both_ways = len({row[1] for row in coast_runs}) > 1
    spare = len(coast_runs) - len(runs) - 1 - int(both_ways)
    if spare < 2:
        raise NoSolution(
            f"{len(coast_runs)} rows in {len(runs)} runs are too few to tell anything and how far it may be off.",
            "Two runs each way with four marks beyond the first: 16 rows.",
        )
    without, some = fitted(runs, 0.0), fitted(runs, _SOME_DRAG)
    if without.rolling <= 0.0:
        raise NoSolution(
            "No rolling coefficient fits these times: on the whole it doesn't slow down.",
            "Look for a slip in distances or times. Flatter ground, no wind.",
        )
    free = fitted(runs) if spare > 2 else None
    told = free is not None and free.rolling > 0.0 and free.drag > 0.0 and free.errors[1] < TELLS * free.drag
    ways = [(rows[-1][2], rows[-1][3]) for rows in runs.values()]
    speed = sum(way for way, _ in ways) / sum(time for _, time in ways)
    return Coasted(
        told, both_ways, free, without, (without.rolling - some.rolling) / _SOME_DRAG, float(speed)
    )
