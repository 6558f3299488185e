"""Cable sizes against current, and a fuse's times against ride and short."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from calc.figures.svg import Curve, plot
from calc.power import fuse
from calc.units import from_si, show


def cable_sizes(uid: str, rows: list[dict[str, Any]], current: float) -> str:
    """What the sizes carry, over their section, against the current asked."""
    carries = [(float(from_si(row["section"], "mm**2")), row["carries"]) for row in rows]
    ends = (carries[0][0], carries[-1][0])
    return plot(
        uid,
        "What each size carries for good",
        f"From {show(rows[0]['carries'], 'A')} in {show(rows[0]['section'], 'mm**2')} to "
        f"{show(rows[-1]['carries'], 'A')} in {show(rows[-1]['section'], 'mm**2')}; {show(current, 'A')} are asked.",
        "copper section, mm²",
        "current, A",
        [Curve(carries, "carries"), Curve([(x, current) for x in ends], "asked", 1)],
    )


def fuse_gates(uid: str, kind: str, rating: float, currents: list[tuple[str, float, float | None]]) -> str:
    """Least and most opening times over current; currents are marked, at the foot or at the seconds named with them."""
    table = fuse.gate(kind, rating)
    sure, told = np.isfinite(table.most), table.least > 0.0

    def points(which: Any, seconds: Any) -> list[tuple[float, float]]:
        return [
            (math.log10(m * rating), math.log10(s))
            for m, s in zip(table.multiple[which], seconds[which], strict=True)
        ]

    most = points(sure, table.most)
    end = max(most[-1][0], *(math.log10(amps) for _, amps, _ in currents if amps > 0.0))
    curves = [Curve([*most, (end, most[-1][1])], "opens by")]  # beyond the last gate its time counts
    if told.sum() > 1:
        curves.append(Curve(points(told, table.least), "holds for", 1))
    lowest = min(y for curve in curves for _, y in curve.points)
    marks = [
        (math.log10(amps), lowest if seconds is None else math.log10(seconds), name)
        for name, amps, seconds in currents
        if amps > 0.0
    ]
    words = "; ".join(
        f"{name} {show(amps, 'A')}" + ("" if seconds is None else f" in {show(seconds, 's')}")
        for name, amps, seconds in currents
    )
    return plot(
        uid,
        "Opening time over current",
        f"A {kind} fuse of {show(rating, 'A')}: the published gates of its kind. {words}.",
        "current, A",
        "time, s",
        curves,
        marks,
        decades=True,
    )
