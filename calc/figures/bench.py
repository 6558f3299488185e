"""Figures of the machine on the bench: saturation, losses over field current, star and delta."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from calc.build import Values
from calc.figures.svg import Curve, circle, figure, line, path, plot, text
from calc.machine.emf import Saturation, covers, emf_at
from calc.machine.excitation import total_loss
from calc.quantities import Array
from calc.units import from_si, plain, show

POINTS = 41


def saturation(
    uid: str, curve: Saturation, readings: Sequence[tuple[float, float, float]], current: float
) -> str:
    """EMF constant over field current: readings, the curve where it claims something, and how far it may be off."""
    currents = np.linspace(curve.low, curve.high, POINTS)
    values = np.asarray(from_si(emf_at(curve, currents), "V/krpm"))
    off = values * np.interp(currents, np.linspace(curve.low, curve.high, len(curve.errors)), curve.errors)
    drawn, outline = _points(currents, values), _points(currents, values + off)
    outline += _points(currents[::-1], (values - off)[::-1])
    top, first = 1.15 * float((values + off).max()), values[0] / curve.low
    end = min(curve.high, top / first)
    curves = [
        Curve(drawn, "curve"),
        Curve([*outline, outline[0]], "its ±", 2),
        Curve([(0.0, 0.0), (end, end * first)], "straight", 1),
    ]
    marks = [(i, float(from_si(volts / speed, "V/krpm")), "") for speed, i, volts in readings]
    if covers(curve, current):
        marks.append((current, float(from_si(float(emf_at(curve, current)), "V/krpm")), show(current, "A")))
        yours = f"At your {show(current, 'A')} it is {plain(marks[-1][1], 4)} V."
    else:
        curves.append(Curve([(current, 0.0), (current, top)], "yours", 3))
        yours = f"Your {show(current, 'A')} lies outside, and no curve is drawn there."
    return plot(
        uid,
        "Volts for each 1,000 rpm over field current",
        f"From {plain(drawn[0][1])} V at {show(curve.low, 'A')} the curve bends to {plain(drawn[-1][1])} V at "
        f"{show(curve.high, 'A')}; it is drawn only where readings reach. Rings are the {len(readings)} readings. "
        f"{yours} A straight line from the lowest reading would go on far above.",
        "field current, A",
        "V for each 1,000 rpm",
        curves,
        marks,
    )


def _points(xs: Array, ys: Array) -> list[tuple[float, float]]:
    return list(zip(xs.tolist(), ys.tolist(), strict=True))


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
