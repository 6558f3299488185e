"""Figures of repeated readings: each row about the mean, and insulation against what is needed."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import Curve, circle, figure, line, plot, text
from calc.units import plain, show

WIDTH, HEIGHT = 480.0, 150.0
LEFT, RIGHT, BASE = 24.0, 24.0, 104.0
LOWEST, HIGHEST = 2.0, 10.0  # powers of ten, ohm


def rows_about_mean(
    uid: str, what: str, unit: str, values: Sequence[float], mean: float, spread: float
) -> str:
    """Each row's distance from the mean in per cent, and the ± of the mean."""
    off = [100.0 * (value / mean - 1.0) for value in values]
    end, share = len(values) + 1.0, 100.0 * spread
    listed = ", ".join(f"{plain(x, 2)} %" for x in off)
    return plot(
        uid,
        f"{what}: rows about their mean",
        f"The mean is {show(mean, unit)}, ± {plain(share, 2)} %. Row by row the readings lie {listed} from it.",
        "row",
        "off the mean, %",
        [
            Curve([(0.0, 0.0), (end, 0.0)], "mean"),
            Curve([(0.0, share), (end, share), (end, -share), (0.0, -share), (0.0, share)], "its ±", 2),
        ],
        [(float(number), x, "") for number, x in enumerate(off, 1)],
    )


def insulation(uid: str, values: Sequence[float], good: float, needed: float | None) -> str:
    """Insulation on a scale of powers of ten: the readings, the least for the pack, and what is usual."""

    def at(ohms: float) -> float:
        share = (math.log10(max(ohms, 1.0)) - LOWEST) / (HIGHEST - LOWEST)
        return LEFT + min(max(share, 0.0), 1.0) * (WIDTH - LEFT - RIGHT)

    body = [line(LEFT, BASE, WIDTH - RIGHT, BASE, "f-thin")]
    for power in range(int(LOWEST), int(HIGHEST) + 1):
        x = at(10.0**power)
        body.append(line(x, BASE, x, BASE + 6, "f-thin"))
        if power % 2 == 0:
            name = {2: "100 Ω", 4: "10 kΩ", 6: "1 MΩ", 8: "100 MΩ", 10: "10 GΩ"}[power]
            body.append(
                text(x, BASE + 22, name, "start" if power == 2 else "end" if power == 10 else "middle")
            )
    marks = [(good, "good, 1 MΩ")] + ([(needed, f"least, {show(needed, 'kohm')}")] if needed else [])
    for row, (ohms, name) in enumerate(marks):
        y = 18.0 + 20.0 * row
        body += [line(at(ohms), y - 10, at(ohms), BASE, "f-line", "9 4"), text(at(ohms) + 6, y, name)]
    for ohms in values:
        body.append(circle(at(ohms), BASE - 16, 6, "f-ring"))
    listed = ", ".join(show(ohms, "Mohm") for ohms in values)
    least = f"The least for the pack is {show(needed, 'kohm')}, " if needed else ""
    return figure(
        uid,
        "Insulation to the case",
        f"Rings: {listed}. {least}{'g' if needed else 'G'}ood is 1 MΩ.",
        WIDTH,
        HEIGHT,
        body,
    )
