"""Stopping distance over speed."""

from __future__ import annotations

import numpy as np

from calc.figures.svg import Curve, plot
from calc.units import from_si, show
from calc.vehicle.brakes import stopping_distance


def distances(uid: str, speed: float, reaction: float, slows: list[tuple[str, float, float]]) -> str:
    """Distance to standing over speed, for each (name, deceleration, pull of the slope in m/s²) that stops at all;
    `speed` is marked."""
    speeds = np.linspace(0.0, 1.6 * speed, 33)

    def stops(at: float, slowing: float, pull: float) -> float:
        return float(stopping_distance(at, reaction, slowing, pull))

    known = [one for one in slows if one[1] > 0.05]
    curves = [
        Curve([(float(from_si(v, "km/h")), stops(float(v), *ways)) for v in speeds], name, number)
        for number, (name, *ways) in enumerate(known)
    ] or [Curve([(0.0, 0.0), (float(from_si(1.6 * speed, "km/h")), 0.0)], "it doesn't stop")]
    told = "; ".join(f"{name} {show(stops(speed, *ways), 'm')}" for name, *ways in known)
    never = ", ".join(name for name, slowing, _ in slows if slowing <= 0.05)
    marked = [(float(from_si(speed, "km/h")), stops(speed, *known[min(1, len(known) - 1)][1:]), "wanted")]
    return plot(
        uid,
        "Stopping distance over speed",
        f"From {show(speed, 'km/h')}: {told or 'none'}." + (f" It doesn't stop: {never}." if never else ""),
        "road speed, km/h",
        "distance to standing, m",
        curves,
        marked if known else [],
    )
