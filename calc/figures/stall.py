"""Figure of a stall test: how early the sensors' edges come over the current."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import Curve, plot
from calc.units import show


def earliness(uid: str, rows: Sequence[tuple[float, float]], per_ampere: float, limit: float) -> str:
    """Rows (A, rad early) as rings about the curve that fits them, asin(per_ampere · current), up to `limit` (A)."""
    drawn = [
        (limit * k / 40.0, math.degrees(math.asin(min(per_ampere * limit * k / 40.0, 1.0))))
        for k in range(41)
    ]
    listed = ", ".join(f"{show(early, 'deg')} at {show(current, 'A')}" for current, early in rows)
    return plot(
        uid,
        "How early the sensors switch over the current",
        f"The readings: {listed} early. The curve through them reaches {show(math.radians(drawn[-1][1]), 'deg')} at "
        f"{show(limit, 'A')}.",
        "current in the leads, A",
        "early, electrical degrees",
        [Curve(drawn, "fits the readings")],
        [(current, math.degrees(early), "") for current, early in rows],
    )
