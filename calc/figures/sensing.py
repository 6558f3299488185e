"""Figures of what moves the sensors' edges."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import Curve, plot
from calc.units import show


def edge_shift(
    uid: str, points: Sequence[tuple[float, float]], current: float, shift: float, delay: float
) -> str:
    """How early the sensors switch over the line current (A, rad), with the current of a start, A, marked.

    delay: how late their threshold makes them, rad, a level line to compare with.
    """
    line = [(amps, math.degrees(early)) for amps, early in points]
    end = line[-1][0]
    return plot(
        uid,
        "How early the current makes the sensors",
        f"At {show(current, 'A')} the machine's own field makes the edges {show(shift, 'deg')} early; their threshold "
        f"makes them {show(delay, 'deg')} late at any current.",
        "line current, A",
        "electrical degrees",
        [
            Curve(line, "early by the current"),
            Curve([(0.0, math.degrees(delay)), (end, math.degrees(delay))], "late by the threshold", 1),
        ],
        [(current, math.degrees(shift), "start")],
    )
