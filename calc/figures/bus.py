"""The bus over time while it fills, and two packs while they come level."""

from __future__ import annotations

import numpy as np

from calc.figures.svg import Curve, plot
from calc.power.joining import Levelling
from calc.units import show

_SHOWN = np.linspace(0.0, 1.0, 60)


def filling(uid: str, volts: float, constant: float, closes: float) -> str:
    """Voltage of the bus through a resistor of that time constant (s), and where the main switch closes."""
    end = max(6.0 * constant, 1.1 * closes)
    there = [(float(t), float(volts * -np.expm1(-t / constant))) for t in _SHOWN * end]
    at = float(volts * -np.expm1(-closes / constant))
    return plot(
        uid,
        "The bus fills through the resistor",
        f"{show(0.63 * volts, 'V')} after {show(constant, 's')}, {show(at, 'V')} of {show(volts, 'V')} when the main "
        f"switch closes after {show(closes, 's')}.",
        "time, s",
        "bus, V",
        [Curve(there, "bus"), Curve([(0.0, volts), (end, volts)], "pack", 1)],
        [(closes, at, "switch closes")],
    )


def coming_level(uid: str, course: Levelling, allowed: float) -> str:
    """Current from the fuller pack to the emptier over hours."""
    hours = course.time / 3600.0
    chosen = np.unique(np.linspace(0, len(hours) - 1, 80).astype(int))
    there = [(float(hours[k]), float(course.current[k])) for k in chosen]
    curves = [
        Curve(there, "between the packs"),
        Curve([(there[0][0], allowed), (there[-1][0], allowed)], "allowed", 1),
    ]
    return plot(
        uid,
        "Two packs coming level",
        f"It begins with {show(float(course.current[0]), 'A')}, level after {show(float(course.time[-1]), 'hour')}.",
        "time, hours",
        "current, A",
        curves,
    )
