"""Stopping distance over speed."""

from __future__ import annotations

import numpy as np

from calc.figures.svg import Curve, plot
from calc.units import from_si, show


def distances(uid: str, speed: float, reaction: float, slows: list[tuple[str, float]]) -> str:
    """Distance to standing over speed, for each (name, deceleration in m/s²) that stops at all; `speed` is marked."""
    speeds = np.linspace(0.0, 1.6 * speed, 33)

    def stops(at: float, slowing: float) -> float:
        return float(at * reaction + at * at / (2.0 * slowing))

    known = [(name, slowing) for name, slowing in slows if slowing > 0.05]
    curves = [
        Curve([(float(from_si(v, "km/h")), stops(float(v), slowing)) for v in speeds], name, number)
        for number, (name, slowing) in enumerate(known)
    ] or [Curve([(0.0, 0.0), (float(from_si(1.6 * speed, "km/h")), 0.0)], "it doesn't stop")]
    told = "; ".join(f"{name} {show(stops(speed, slowing), 'm')}" for name, slowing in known)
    never = ", ".join(name for name, slowing in slows if slowing <= 0.05)
    marked = [(float(from_si(speed, "km/h")), stops(speed, known[min(1, len(known) - 1)][1]), "wanted")]
    return plot(
        uid,
        "Stopping distance over speed",
        f"From {show(speed, 'km/h')}: {told or 'none'}." + (f" It doesn't stop: {never}." if never else ""),
        "road speed, km/h",
        "distance to standing, m",
        curves,
        marked if known else [],
    )
