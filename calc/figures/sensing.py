"""Figures of what moves the sensors' edges."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import Curve, plot
from calc.units import show


def edge_shift(
    uid: str,
    points: Sequence[tuple[float, float]],
    current: float,
    shift: float,
    delays: tuple[float, float],
) -> str:
    """How early the sensors switch over the line current (A, rad), with the current of a start, A, marked.

    delays: how late their threshold makes the on and the off edges, rad, level lines to compare with.
    """
    line = [(amps, math.degrees(early)) for amps, early in points]
    end = line[-1][0]
    on, off = delays
    told = (
        f"makes them {show(on, 'deg')} late"
        if on == off
        else f"makes on edges {show(on, 'deg')} late and off edges {show(-off, 'deg')} early"
    )
    levels = [("late by the threshold", on)] if on == off else [("on late", on), ("off early", -off)]
    return plot(
        uid,
        "How early the current makes the sensors",
        f"At {show(current, 'A')} the machine's own field makes the edges {show(shift, 'deg')} early; their threshold "
        f"{told} at any current.",
        "line current, A",
        "electrical degrees",
        [
            Curve(line, "early by the current"),
            *(
                Curve([(0.0, math.degrees(level)), (end, math.degrees(level))], name, number)
                for number, (name, level) in enumerate(levels, 1)
            ),
        ],
        [(current, math.degrees(shift), "start")],
    )
