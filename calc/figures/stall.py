"""Figure of a stall test: how late the sensors' edges come over the current."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import Curve, plot
from calc.units import show


def lateness(
    uid: str, rows: Sequence[tuple[float, float, float]], per_ampere: float, start: float, limit: float
) -> str:
    """Rows (A, N·m, rad late) as rings about the curve that fits them: start − asin(per_ampere · current).

    limit: the current (A) up to which the curve is drawn.
    """
    end = max(limit, *(current for current, _, _ in rows))
    drawn = [
        (
            end * k / 40.0,
            math.degrees(math.asin(min(per_ampere * end * k / 40.0, 1.0)) - start),
        )
        for k in range(41)
    ]
    rings = [(current, -math.degrees(late), "") for current, _, late in rows]
    level = min(0.0, *(y for _, y in drawn), *(y for _, y, _ in rings))
    listed = ", ".join(f"{show(-late, 'deg')} at {show(current, 'A')}" for current, _, late in rows)
    return plot(
        uid,
        "How early the sensors switch over the current",
        f"The readings: {listed} early. The curve through them starts at {show(-start, 'deg')} without current and "
        f"reaches {show(math.radians(drawn[-1][1]), 'deg')} at {show(end, 'A')}.",
        "current in the leads, A",
        "early, electrical degrees",
        [
            Curve(drawn, "fits the readings"),
            Curve([(0.0, min(level, -math.degrees(start))), (0.0, 0.0)], "", 2),
        ]
        if level < 0.0
        else [Curve(drawn, "fits the readings")],
        rings,
    )
