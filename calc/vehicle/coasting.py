"""A vehicle that coasts past marks on the ground: its rolling coefficient and drag area from the times.

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
from calc.machine.losses import drag_torque
from calc.machine.scatter import student, variance
from calc.quantities import (
    Array,
    Fraction,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    KilogramSquareMetre,
    Metre,
    Nm,
    Number,
    SquareMetre,
)
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.road import GRAVITY

FILM = 0.02
"""What a film of 30 pictures a second leaves open of the time of passing a mark, s (common practice, no source)."""
TAPE = 0.005
"""What a tape laid on the ground leaves open, as a share (common practice, no source)."""
UNLEVEL = 0.005
"""Slope that the eye takes for level, rise over run (common practice, no source)."""
TELLS = 0.5
"""Drag that is open by more than this share of itself counts as not told."""
LEAST, MOST = 0.001, 0.5
"""Between these a rolling coefficient can be believed; the field rolling_coefficient has the same limits."""
LEAST_DRAG, MOST_DRAG = 0.05, 5.0
"""The same of the drag area, m²."""
EARTH_RADIUS = 6356766.0
"""Radius of the Earth that the standard atmosphere counts with, m. Source: [isa]"""
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


def coast_moved(coast_mass: Kilogram, wheel_inertia: KilogramSquareMetre, wheel_diameter: Metre) -> Kilogram:
    """Mass that slows down, kg: the vehicle's, and its wheels' turning, 4·J/d². Chain off.

    Source: [method] #coast-down
    """
    return coast_mass + 4.0 * wheel_inertia / np.square(wheel_diameter)


def dragged_moved(
    coast_mass: Kilogram,
    wheel_inertia: KilogramSquareMetre,
    wheel_diameter: Metre,
    coast_chain: str,
    rotor_inertia: KilogramSquareMetre,
    gear_ratio: Number,
) -> Kilogram:
    """The same with the rotor dragged along where the chain stayed on, kg.

    Source: [method] #coast-down
    """
    rotor = np.square(2.0 * gear_ratio / wheel_diameter) * rotor_inertia
    return coast_moved(coast_mass, wheel_inertia, wheel_diameter) + (rotor if coast_chain == "on" else 0.0)


def no_machine() -> Number:
    """What the machine adds to the rolling coefficient with the chain off.

    Source: [method] #coast-down
    """
    return 0.0


def machine_share(
    coasted: Coasted,
    coast_chain: str,
    coast_mass: Kilogram,
    wheel_diameter: Metre,
    gear_ratio: Number,
    drive_efficiency: Fraction,
    friction_torque: Nm,
    iron_share: Fraction,
) -> Number:
    """What a machine that is dragged along, its field off, adds to the rolling coefficient at the test's mean speed.

    Source: [method] #coast-down
    """
    speed = motor_speed_at(coasted.mean_speed, gear_ratio, wheel_diameter)
    drag = drag_torque(friction_torque, iron_share, speed, 0.0)
    force = drag * 2.0 * gear_ratio / (wheel_diameter * drive_efficiency)
    return force / (coast_mass * GRAVITY) * (1.0 if coast_chain == "on" else 0.0)


def rolling_coefficient(
    coasted: Coasted,
    coast_moved: Kilogram,
    coast_mass: Kilogram,
    air_density: KilogramPerCubicMetre,
    drag_area: SquareMetre,
    machine_share: Number,
) -> Number:
    """Rolling coefficient by the times: with the drag fitted too where it can be told, else with `drag_area`.

    Raises NoSolution where it can't be believed.

    Source: [method] #coast-down
    """
    if coasted.told and coasted.free:
        slowing: Number = coasted.free.rolling
    else:
        slowing = coasted.without.rolling - coasted.per_drag * air_density * drag_area / (2.0 * coast_moved)
    found = slowing * coast_moved / (coast_mass * GRAVITY) - machine_share
    middle = float(np.mean(found))
    if not LEAST <= middle <= MOST:
        raise NoSolution(
            f"The times come to a rolling coefficient of {middle:.3g}; {LEAST:g} to {MOST:g} can be believed.",
            "Look for a slip in distances (metres from the first mark) or times (seconds since it). Flatter ground.",
        )
    return np.clip(found, LEAST, MOST)


def rolling_spread(coasted: Coasted) -> Fraction:
    """How far that may be off for film, tape and ground, as a share of it, at most 0.9.

    One way alone: a slope that the eye takes for level counts in full.

    Source: [method] #coast-down
    """
    fit = coasted.free if coasted.told and coasted.free else coasted.without
    ground = 0.0 if coasted.both_ways else UNLEVEL * GRAVITY
    return float(min(np.hypot(np.hypot(fit.errors[0], ground) / fit.rolling, TAPE), 0.9))


def drag_area(
    coasted: Coasted,
    coast_moved: Kilogram,
    air_density: KilogramPerCubicMetre,
    stated_low: SquareMetre,
    stated_high: SquareMetre,
) -> SquareMetre:
    """Drag area by the times, m²; where they can't tell it, the middle of its usual range.

    Source: [method] #coast-down
    """
    if not coasted.told or not coasted.free:
        return (stated_low + stated_high) / 2.0
    return np.clip(2.0 * coasted.free.drag * coast_moved / air_density, LEAST_DRAG, MOST_DRAG)


def drag_spread(coasted: Coasted, stated_low: SquareMetre, stated_high: SquareMetre) -> Fraction:
    """How far that may be off, as a share of it.

    Source: [method] #coast-down
    """
    if not coasted.told or not coasted.free:
        return float((stated_high - stated_low) / (stated_high + stated_low))
    return float(min(np.hypot(coasted.free.errors[1] / coasted.free.drag, 2.0 * TAPE), 0.9))


def air_density(altitude: Metre, coast_temperature: Kelvin) -> KilogramPerCubicMetre:
    """Density of the air, kg/m³: pressure of the standard atmosphere at that height, and the air's own temperature.

    p = 101 325 Pa·(1 − 0.0065·h/288.15)^5.25588, h less the little by which gravity falls, and ρ = p/(287.053·T).
    Validity: to 11 km; weather moves p by some 3 %.

    Source: [isa] pressure over height; gas constant of air
    """
    level = altitude / (1.0 + altitude / EARTH_RADIUS)
    pressure = 101325.0 * np.power(1.0 - 0.0065 * level / 288.15, 5.25588)
    return pressure / (287.053 * coast_temperature)
