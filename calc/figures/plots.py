"""Figure of the force at the wheel over speed."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.figures.svg import Curve, plot
from calc.quantities import Array, Real
from calc.units import from_si, show

SEEN = 2.0  # a line of grip higher than this many times the rest would flatten the drawing


def tractive_force(
    uid: str,
    v: Values,
    speed: Array,
    pull: Array,
    loads: tuple[Array, Array],
    grip: float,
) -> str:
    """Force at the wheel (N) over `speed` (m/s) at full throttle, against the road load on the slope and on the level,
    and what the driven tyres hold on the slope.
    """
    uphill, level = loads
    slope = show(v["slope"], "percent")
    drawn = [
        Curve(_pairs(speed, pull), "full throttle"),
        Curve(_pairs(speed, uphill), f"slope {slope}", 1),
        Curve(_pairs(speed, level), "level", 2),
    ]
    seen = grip < SEEN * float(max(pull.max(), uphill.max()))
    if seen:
        drawn.append(Curve(_pairs(speed, np.full_like(speed, grip)), "grip", 3))
    top = float(v["top_speed"])
    return plot(
        uid,
        "Force at the wheel",
        f"From {show(pull[0], 'N')} at standstill the force falls to meet the level road's load at "
        f"{show(top, 'km/h')}. The slope of {slope} asks {show(uphill[0], 'N')} at a crawl; there the driven tyres "
        f"hold {show(grip, 'N')}{'' if seen else ', which is above the drawing'}.",
        "speed, km/h",
        "force, N",
        drawn,
        [(float(from_si(top, "km/h")), float(np.interp(top, speed, level)), "top speed")] if top > 0 else [],
    )


def _pairs(speed: Real, force: Real) -> list[tuple[float, float]]:
    return list(
        zip(from_si(speed, "km/h").tolist(), np.broadcast_to(force, np.shape(speed)).tolist(), strict=True)
    )
