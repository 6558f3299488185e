"""Figures of the machine on the bench: the saturation curve."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.figures.svg import Curve, plot
from calc.machine.curve import Saturation
from calc.machine.emf import covers, emf_at
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
        "Volts for each 1000 rpm over field current",
        f"From {plain(drawn[0][1])} V at {show(curve.low, 'A')} the curve bends to {plain(drawn[-1][1])} V at "
        f"{show(curve.high, 'A')}; it is drawn only where readings reach. Rings are the {len(readings)} readings. "
        f"{yours} A straight line from the lowest reading would go on far above.",
        "field current, A",
        "V for each 1000 rpm",
        curves,
        marks,
    )


def _points(xs: Array, ys: Array) -> list[tuple[float, float]]:
    return list(zip(xs.tolist(), ys.tolist(), strict=True))
