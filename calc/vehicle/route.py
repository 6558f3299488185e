"""A route as stretches: from typed rows or from a track with heights; and as the few classes that draws can bear."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from calc import standards
from calc.errors import NoSolution
from calc.quantities import Array, Fraction, MetrePerSecond, Number, Second
from calc.vehicle.duty import Rows

if TYPE_CHECKING:
    from calc.vehicle.walk import Walk

SMOOTHED = 50.0
"""Length over which the heights of a track are smoothed, m (common practice, no source)."""
STEEPEST = 0.4
CLASSES = 11
"""Classes of pull that a route is reduced to, and one more for where nothing is pulled."""
_TURNS = 20

Surfaces = tuple[tuple[float, float, float], ...]
"""For each row: the share that is the sheet's own surface, and the sums of the tables' least and most for the rest."""


class Stretches(NamedTuple):
    """Stretches of steady going, one after the other. Arrays; m, m/s, slopes as fractions.

    own, least, most: as in `Surfaces`. start: distance from the beginning. heights: whether slopes came from heights.
    """

    start: Array
    length: Array
    slope: Array
    speed: Array
    own: Array
    least: Array
    most: Array
    heights: bool = False

    def rolling(self, rolling_coefficient: float, surface_share: float = 0.5) -> Array:
        """The rolling coefficient of each."""
        return self.own * rolling_coefficient + self.least + surface_share * (self.most - self.least)


def surface_ends(surface: str | None) -> tuple[float, float, float]:
    """(share of the sheet's own surface, least, most of the published tables) for a choice of surface.

    Source: [rolling-tables] Marks via Moyer, and a reference table
    """
    if surface in (None, "measured"):
        return 1.0, 0.0, 0.0
    row = next(row for row in standards.rows("surfaces") if row["surface"] == surface)
    return 0.0, float(row["least"]), float(row["most"])


def surface_share() -> Fraction:
    """Where a table's coefficient lies between its least and its most: in the middle.

    Source: [method-power] #route
    """
    return 0.5


def surface_spread() -> Fraction:
    """How far that may be off, as a share of it: anywhere between least and most.

    Source: [method-power] #route
    """
    return 1.0


def smoothed_slopes(distance: Array, height: Array) -> Array:
    """Slopes between the points of a track (m), its heights replaced by their mean over 50 m of the way.

    Beyond its ends a track goes on turned about them: a straight ramp keeps its slope, and the whole climb stays.
    Points further apart than that are hardly changed; a ramp shorter than that is flattened.

    Source: [method-power] #route
    """
    half = SMOOTHED / 2.0
    left = distance <= distance[0] + half + 1e-9
    right = distance >= distance[-1] - half - 1e-9
    s = np.concatenate(
        [2.0 * distance[0] - distance[left][:0:-1], distance, 2.0 * distance[-1] - distance[right][-2::-1]]
    )
    h = np.concatenate(
        [2.0 * height[0] - height[left][:0:-1], height, 2.0 * height[-1] - height[right][-2::-1]]
    )
    # A straight run on beyond them, for where the track is shorter than the window.
    for end, near in ((0, 1), (-1, -2)):
        slope = (h[end] - h[near]) / (s[end] - s[near])
        beyond = s[end] + (s[end] - s[near]) / abs(s[end] - s[near]) * SMOOTHED
        at = 0 if end == 0 else len(s)
        s, h = (
            np.insert(s, at, beyond),
            np.insert(h, at, h[end] + slope * (beyond - s[end if end == 0 else -1])),
        )
    area = np.concatenate([[0.0], np.cumsum(np.diff(s) * (h[1:] + h[:-1]) / 2.0)])

    def integral(x: Array) -> Array:
        k = np.clip(np.searchsorted(s, x, side="right") - 1, 0, len(s) - 2)
        run = x - s[k]
        slope = (h[k + 1] - h[k]) / (s[k + 1] - s[k])
        return area[k] + run * (h[k] + slope * run / 2.0)

    mean = (integral(distance + half) - integral(distance - half)) / SMOOTHED
    return np.diff(mean) / np.diff(distance)


def from_route(route: tuple[tuple[Any, ...], ...], road_speed: MetrePerSecond) -> Stretches:
    """The stretches of a route's rows (distance m, slope, surface, speed m/s, height m).

    Without heights a row is a stretch and `distance` its length; with heights it is a point, `distance` counts from the
    start, and its surface and speed hold for the way to it. Where no speed is given, `road_speed` is wanted.
    Raises NoSolution where heights make a slope beyond 40 %.

    Source: [method-power] #route
    """
    pointed = route[0][4] is not None
    rows = route[1:] if pointed else route
    speed = np.array([road_speed if row[3] is None else row[3] for row in rows], dtype=float)
    kinds = {row[2] for row in rows}
    ends = {kind: surface_ends(kind) for kind in kinds}
    own, least, most = np.array([ends[row[2]] for row in rows]).T
    if not pointed:
        length = np.array([row[0] for row in rows], dtype=float)
        slope = np.array([row[1] for row in rows], dtype=float)
        return Stretches(np.cumsum(length) - length, length, slope, speed, own, least, most)
    distance = np.array([row[0] for row in route], dtype=float)
    height = np.array([row[4] for row in route], dtype=float)
    length = np.diff(distance)
    moved = length > 0.0
    kept = np.concatenate([[True], moved])
    slope = smoothed_slopes(distance[kept], height[kept])
    if np.any(np.abs(slope) > STEEPEST):
        worst = int(np.argmax(np.abs(slope)))
        row = int(np.flatnonzero(kept)[worst + 1]) + 1
        raise NoSolution(
            f"The heights of the route make a slope of {slope[worst] * 100:.0f} % on the way to row {row}; no wheel "
            "climbs more than 40 %.",
            "Check distance and height in that row and the one before: the distance counts from the start.",
        )
    start = distance[:-1][moved] - distance[0]
    return Stretches(start, length[moved], slope, speed[moved], own[moved], least[moved], most[moved], True)


def from_duty(duty: Rows, ride_time: Second) -> Stretches:
    """The rows of `duty` as stretches one after the other, in the order given, that fill the time wanted.

    Source: [method-power] #route
    """
    speed, slope, share = (np.array(column, dtype=float) for column in zip(*duty, strict=True))
    length = speed * share / max(float(share.sum()), 1e-9) * ride_time
    none = np.zeros_like(speed)
    return Stretches(np.cumsum(length) - length, length, slope, speed, none + 1.0, none, none)


def _numbers(torque: Array, time: Array) -> Any:
    """The class of each stretch: 0 where nothing is pulled, else the nearest of the classes' mean torques.

    Means and classes are found in turn (Lloyd's rule), which makes the spread of torque within the classes least.
    """
    pulls = torque > 0.0
    top = max(float(torque.max()), 1e-9)
    means = (np.arange(CLASSES) + 0.5) / CLASSES * top
    for _ in range(_TURNS):
        number = np.searchsorted((means[1:] + means[:-1]) / 2.0, torque) + 1
        number[~pulls] = 0
        weight = np.bincount(number, time, CLASSES + 1)[1:]
        total = np.bincount(number, time * torque, CLASSES + 1)[1:]
        means = np.sort(np.where(weight > 0.0, total / np.maximum(weight, 1e-300), means))
    return number


class Classes(NamedTuple):
    """A route as rows (speed m/s, slope, share of the time), and the surfaces of each."""

    rows: Rows
    surfaces: Surfaces


def classes(walk: Walk) -> Classes:
    """A route's stretches put together by the torque that they ask of the machine, at most a dozen classes.

    Of each class time, distance, climb and rolling work are those of its stretches; what differs is the copper's loss
    by the spread of torque within a class, and the drag's by that of speed.

    Source: [method-power] #route
    """
    number = _numbers(walk.torque, walk.time)

    def sums(values: Array) -> Array:
        return np.asarray(np.bincount(number, values, CLASSES + 1), dtype=float)

    time, way = sums(walk.time), sums(walk.length)
    present = time > 0.0
    time, way = time[present], way[present]
    columns = (walk.slope, walk.own, walk.least, walk.most)
    slope, own, least, most = (sums(column * walk.length)[present] / way for column in columns)
    share = time / time.sum()
    rows = tuple(zip((way / time).tolist(), slope.tolist(), share.tolist(), strict=True))
    return Classes(rows, tuple(zip(own.tolist(), least.tolist(), most.tolist(), strict=True)))


def class_rows(classes: Classes) -> Rows:
    """The rows of a route's classes, as of a duty.

    Source: [method-power] #route
    """
    return classes.rows


def rolling_of(classes: Classes, rolling_coefficient: Number, surface_share: Fraction) -> tuple[Number, ...]:
    """The rolling coefficient of each class.

    Source: [method-power] #route
    """
    return tuple(
        own * rolling_coefficient + least + surface_share * (most - least)
        for own, least, most in classes.surfaces
    )


def hardest(walk: Walk, climb_speed: MetrePerSecond) -> Classes:
    """The stretches that decide whether a route can be ridden: the hardest pull, and the fastest way down.

    The pull is judged at the speed wanted there or at `climb_speed`, the lesser: slower than that nobody accepts.

    Source: [method-power] #route
    """
    pull = int(np.argmax(walk.slope + walk.rolling))
    picked = [(pull, min(float(walk.wanted[pull]), float(climb_speed)))]
    down = np.flatnonzero(walk.torque <= 0.0)
    if len(down):
        fastest = int(down[np.argmax(walk.wanted[down])])
        picked.append((fastest, float(walk.wanted[fastest])))
    rows = tuple((speed, float(walk.slope[k]), 0.0) for k, speed in picked)
    return Classes(
        rows, tuple((float(walk.own[k]), float(walk.least[k]), float(walk.most[k])) for k, _ in picked)
    )
