"""Figures of the field coil and of star and delta."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from calc.figures.svg import Curve, circle, figure, line, path, plot, text
from calc.machine.curve import Saturation
from calc.quantities import Array
from calc.units import show

POINTS = 41


def field_losses(
    uid: str, curve: Saturation, losses: Callable[[Array, float], Array], best: float, now: float
) -> str:
    """Watts lost for the build's start over field current: field, stator, and both.

    losses: watts at field currents, with a share of the torque (1 the start's, 0 none). best, now: field currents, A.
    """
    currents = np.linspace(curve.low, curve.high, POINTS)
    both, field = losses(currents, 1.0), losses(currents, 0.0)
    least = float(losses(np.array([best]), 1.0)[0])
    top = max(3.0 * float(both.min()), 1.1 * least)

    def drawn(watts: Array) -> list[tuple[float, float]]:
        return [(float(i), float(w)) for i, w in zip(currents, watts, strict=True) if w <= top]

    marks = [(best, least, "least")]
    words = ""
    if curve.low <= now <= curve.high and abs(now - best) > 0.05 * (curve.high - curve.low):
        watts = float(losses(np.array([now]), 1.0)[0])
        marks += [(now, watts, "now")] if watts <= top else []
        words = f" At the present {show(now, 'A')} they are {show(watts, 'W')}."
    return plot(
        uid,
        "Watts lost for the start over field current",
        f"Loss in the stator falls with field current, loss in the field rises; both together are least, "
        f"{show(least, 'W')}, at {show(best, 'A')}.{words}",
        "field current, A",
        "W",
        [
            Curve(drawn(both), "both"),
            Curve(drawn(field), "field", 1),
            Curve(drawn(both - field), "stator", 2),
        ],
        marks,
    )


def _coil(x1: float, y1: float, x2: float, y2: float) -> str:
    """A coil as a zigzag between two points."""
    length = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    points = [(x1, y1)]
    for k in range(9):
        along = length * (0.22 + 0.56 * k / 8)
        side = 0.0 if k in (0, 8) else (7.0 if k % 2 else -7.0)
        points.append((x1 + ux * along - uy * side, y1 + uy * along + ux * side))
    return path([*points, (x2, y2)])


def _beside(x1: float, y1: float, x2: float, y2: float, middle: tuple[float, float], word: str) -> str:
    """A word beside a line, on the side away from `middle` (or to the right where it runs through it)."""
    x, y = (x1 + x2) / 2, (y1 + y2) / 2
    nx, ny = y2 - y1, x1 - x2
    if nx * (x - middle[0]) + ny * (y - middle[1]) < 0:
        nx, ny = -nx, -ny
    length = math.hypot(nx, ny)
    return text(x + 19 * nx / length, y + 19 * ny / length + 4, word, "middle", "f-tag")


def star_delta(uid: str, now: str) -> str:
    """The same three coils in star and in delta, with their leads."""
    body = []
    for left, name in ((110.0, "star"), (360.0, "delta")):
        middle = (left, 122.0)
        corners = [
            (left + 82 * math.sin(k * math.tau / 3), 122 - 82 * math.cos(k * math.tau / 3)) for k in range(3)
        ]
        for k, (x, y) in enumerate(corners):
            ends = (*middle, x, y) if name == "star" else (x, y, *corners[(k + 1) % 3])
            body += [_coil(*ends), _beside(*ends, middle, f"{k + 1}")]
            ox, oy = left + (x - left) * 1.22, 122 + (y - 122) * 1.22
            body += [line(x, y, ox, oy, "f-line"), circle(ox, oy, 3, "f-ring")]
            body.append(text(left + (x - left) * 1.4, 122 + (y - 122) * 1.38 + 5, "ABC"[k], "middle"))
        if name == "star":
            body.append(circle(*middle, 4, "f-mark"))
        mine = " (this machine)" if name == now else ""
        body.append(text(left, 228, name + mine, "middle", "f-tag"))
    return figure(
        uid,
        "Star and delta",
        "Star: one end of each coil joined in one point, the other ends are the leads A, B and C. Delta: the coils "
        f"in a ring, a lead at each corner. This machine is a {now}.",
        480,
        240,
        body,
    )
