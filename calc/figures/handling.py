"""Speed caps as bars, scales over blocks, and reach through openings."""

from __future__ import annotations

from collections.abc import Sequence

from calc.figures.svg import Curve, box, figure, line, plot, text
from calc.units import from_si, show


def caps(uid: str, rows: Sequence[tuple[str, float]], reached: float | None) -> str:
    """Speeds (m/s) as bars, the least of them filled; a dashed line where the machine's top speed is."""
    width, left, right = 480.0, 170.0, 84.0
    most = max([speed for _, speed in rows] + ([reached] if reached else []) + [1.0])
    scale, least = (width - left - right) / most, min(speed for _, speed in rows)
    base = 14.0 + 32.0 * len(rows)
    body = []
    for number, (name, speed) in enumerate(rows):
        y = 12.0 + 32.0 * number
        body += [
            text(8, y + 15, name),
            box(left, y, max(speed * scale, 1.5), 20, "f-fill" if speed <= least else "f-box"),
            text(width - 6, y + 15, show(speed, "km/h"), "end"),
        ]
    if reached:
        x = left + reached * scale
        body += [
            line(x, 6, x, base + 6, "f-line", "9 4"),
            text(x, base + 22, f"it reaches {show(reached, 'km/h')}", "end", "f-tag"),
        ]
    listed = "; ".join(f"{name} {show(speed, 'km/h')}" for name, speed in rows)
    after = f" The machine reaches {show(reached, 'km/h')}." if reached else ""
    return figure(uid, "What limits the speed", f"{listed}.{after}", width, base + 30, body)


def blocks(uid: str, rows: Sequence[tuple[float, float]], level: float, lean: float) -> str:
    """Share of the weight in front over the block's height: readings as rings, the line that the height found makes.

    rows: (block in m, share); `level` the share on the level, `lean` the share lost at the highest block.
    """
    top = max(block for block, _ in rows)
    end = float(from_si(top, "mm"))
    return plot(
        uid,
        "Weight in front over the block's height",
        f"{show(level, 'percent')} in front on the level, {show(level - lean, 'percent')} on {show(top, 'mm')}.",
        "block under the front, mm",
        "weight in front, %",
        [Curve([(0.0, 100.0 * level), (end, 100.0 * (level - lean))], "by the height found")],
        [(float(from_si(block, "mm")), 100.0 * share, "") for block, share in rows],
    )


def reach(uid: str, steps: Sequence[tuple[float, float]], opening: float, needed: float) -> str:
    """How far a hand reaches through openings up to a width, both mm, as stairs; yours is ringed."""
    stairs: list[tuple[float, float]] = []
    before = 0.0
    for width, far in steps:
        stairs += [(before, far), (width, far)]
        before = width
    return plot(
        uid,
        "Reach through openings",
        f"An opening of {opening:g} mm needs {needed:g} mm behind it.",
        "width of the opening, mm",
        "reach, mm",
        [Curve(stairs, "reach")],
        [(opening, needed, f"{needed:g} mm")],
    )
