"""Figures of the machine on the bench: saturation, losses over field current, star and delta."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from calc.build import Values
from calc.figures.svg import Curve, circle, figure, line, path, plot, text
from calc.machine.emf import Saturation, emf_at
from calc.machine.excitation import total_loss
from calc.units import from_si, plain, show

POINTS = 41


def saturation(
    uid: str, curve: Saturation, readings: Sequence[tuple[float, float, float]], current: float
) -> str:
    """EMF constant over field current: the readings, the curve through them where it claims something."""
    currents = np.linspace(curve.low, curve.high, POINTS) if curve.high > curve.low else [curve.low]
    drawn = [(float(i), float(from_si(float(emf_at(curve, float(i))), "V/krpm"))) for i in currents]
    first = drawn[0][1] / drawn[0][0]
    straight = [
        (0.0, 0.0),
        (min(curve.high, 1.3 * drawn[-1][1] / first), min(curve.high * first, 1.3 * drawn[-1][1])),
    ]
    marks = [(i, float(from_si(volts / speed, "V/krpm")), "") for speed, i, volts in readings]
    return plot(
        uid,
        "Volts for each 1,000 rpm over field current",
        f"From {plain(drawn[0][1])} V at {show(curve.low, 'A')} the curve bends to {plain(drawn[-1][1])} V at "
        f"{show(curve.high, 'A')}. Rings are the {len(readings)} readings; a straight line from the first would "
        "go on far "
        "above.",
        "field current, A",
        "V for each 1,000 rpm",
        [Curve(drawn, "curve"), Curve(straight, "no saturation", 2)],
        marks,
    )


def field_losses(uid: str, v: Values) -> str:
    """Watts lost for the build's start over field current: field, stator, and both."""
    curve = v["saturation"]
    currents = np.linspace(curve.low, curve.high, POINTS)
    parts = (
        "field_resistance",
        "field_temperature",
        "brush_drop",
        "field_supply_efficiency",
        "hot_line_resistance",
    )
    given = [v[part] for part in parts]
    both = total_loss(currents, v["torque_needed"], curve, *given)
    field = total_loss(currents, 0.0, curve, *given)
    top = 3.0 * float(both.min())

    def drawn(watts: np.ndarray) -> list[tuple[float, float]]:
        return [(float(i), float(w)) for i, w in zip(currents, watts, strict=True) if w <= top]

    best = float(v["best_field"])
    least = float(both.min())
    return plot(
        uid,
        "Watts lost for the start over field current",
        f"Loss in the stator falls with field current, loss in the field rises; both together are least, "
        f"{show(least, 'W')}, at {show(best, 'A')}.",
        "field current, A",
        "W",
        [
            Curve(drawn(both), "both"),
            Curve(drawn(field), "field", 1),
            Curve(drawn(both - field), "stator", 2),
        ],
        [(best, least, "least")],
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


def star_delta(uid: str, now: str) -> str:
    """The same three coils in star and in delta, with their leads."""
    body = []
    for left, name in ((110.0, "star"), (360.0, "delta")):
        corners = [
            (left + 82 * math.sin(k * math.tau / 3), 118 - 82 * math.cos(k * math.tau / 3)) for k in range(3)
        ]
        for k, (x, y) in enumerate(corners):
            if name == "star":
                body.append(_coil(left, 118, x, y))
            else:
                body.append(_coil(x, y, *corners[(k + 1) % 3]))
            out = 1.22
            ox, oy = left + (x - left) * out, 118 + (y - 118) * out
            body += [line(x, y, ox, oy, "f-line"), circle(ox, oy, 3, "f-ring")]
            body.append(text(left + (x - left) * 1.4, 118 + (y - 118) * 1.4 + 4, "ABC"[k], "middle"))
        if name == "star":
            body.append(circle(left, 118, 4, "f-mark"))
        mine = " (this machine)" if name == now else ""
        body.append(text(left, 224, name + mine, "middle", "f-tag"))
    return figure(
        uid,
        "Star and delta",
        "Star: one end of each coil joined in one point, the other ends are the leads. Delta: the coils in a "
        "ring, a lead at "
        "each corner.",
        480,
        236,
        body,
    )
