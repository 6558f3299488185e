"""A route in profile: height, speed wanted and had, power, and where a limit binds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from calc.figures.svg import DASHES, box, figure, line, path, text, ticks
from calc.quantities import Array
from calc.units import from_si, show
from calc.vehicle.walk import Walk

WIDTH, LEFT, RIGHT = 480.0, 58.0, 14.0
POINTS = 180
PANEL, GAP, TOP = 76.0, 34.0, 34.0
STRIP = 20.0
MOST_KINDS = 5


def profile(uid: str, walk: Walk, placed: Sequence[dict[str, Any]]) -> str:
    """Height, speed and power along the way, one above the other, and below them the places where a limit binds."""
    whole = float(walk.length.sum())
    end = walk.start - walk.start[0] + walk.length
    at = (np.arange(POINTS) + 0.5) / POINTS * whole
    piece = np.minimum(np.searchsorted(end, at), len(end) - 1)
    height = np.interp(at, np.append(0.0, end), np.append(0.0, np.cumsum(walk.slope * walk.length)))
    speed, wanted = (from_si(values[piece], "km/h") for values in (walk.speed, walk.wanted))
    power = walk.power[piece]
    kinds = list(dict.fromkeys(row["limit"] for row in placed))[:MOST_KINDS]

    def across(metres: Any) -> Any:
        return LEFT + metres / whole * (WIDTH - LEFT - RIGHT)

    x = across(at)
    body: list[str] = []
    panels: tuple[tuple[str, list[tuple[Array, int]]], ...] = (
        ("height from the start, m", [(height, 0)]),
        ("speed, km/h: wanted dashed", [(wanted, 1), (speed, 0)]),
        ("power from the cells, W", [(power, 0)]),
    )
    y = TOP
    for name, curves in panels:
        body += _panel(x, y, name, curves)
        y += PANEL + GAP
    for step in ticks(0.0, whole / 1000.0):
        px = across(step * 1000.0)
        body += [line(px, TOP, px, y - GAP, "f-grid"), text(px, y - GAP + 16, f"{step:g}", "middle")]
    body.append(text(WIDTH - RIGHT, y - GAP + 32, "km", "end"))
    y += 20.0
    for kind in kinds:
        body.append(text(LEFT, y, kind))
        y += 6.0
        body.append(line(LEFT, y + 6, WIDTH - RIGHT, y + 6, "f-thin"))
        for row in placed:
            if row["limit"] == kind:
                start, stop = across(row["start"] - walk.start[0]), across(row["end"] - walk.start[0])
                body.append(box(start, y, max(stop - start, 2.0), 12, "f-fill"))
        y += STRIP + 12.0
    return figure(uid, "The route in profile", _words(walk, placed), WIDTH, y, body)


def _panel(x: Array, top: float, name: str, curves: Sequence[tuple[Array, int]]) -> list[str]:
    low = min(0.0, *(float(values.min()) for values, _ in curves))
    high = max(float(values.max()) for values, _ in curves)
    high = max(high, low + 1.0) + 0.05 * max(high - low, 1.0)

    def up(value: Any) -> Any:
        return top + PANEL - (value - low) / (high - low) * PANEL

    body = [text(8, top - 8, name), line(LEFT, top, LEFT, top + PANEL, "f-thin")]
    for value in ticks(low, high, 3):
        body += [
            line(LEFT, up(value), WIDTH - RIGHT, up(value), "f-grid"),
            text(LEFT - 6, up(value) + 4, f"{value:g}", "end"),
        ]
    for values, dash in curves:
        body.append(path(list(zip(x.tolist(), up(values).tolist(), strict=True)), "f-line", DASHES[dash]))
    return body


def _words(walk: Walk, placed: Sequence[dict[str, Any]]) -> str:
    climbs = np.cumsum(walk.slope * walk.length)
    bound = "; ".join(
        f"{row['limit']} from {show(row['start'], 'km')} to {show(row['end'], 'km')}" for row in placed[:12]
    )
    slowest, fastest = (show(float(x), "km/h") for x in (walk.speed.min(), walk.speed.max()))
    return (
        f"{show(float(walk.length.sum()), 'km')} long, from {show(min(float(climbs.min()), 0.0), 'm')} to "
        f"{show(max(float(climbs.max()), 0.0), 'm')} about the start. Speeds from {slowest} to "
        f"{fastest}; at most {show(float(walk.power.max()), 'W')} from the cells. "
        + (f"A limit binds: {bound}." if bound else "No limit binds.")
    )
