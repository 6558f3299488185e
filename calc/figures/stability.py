"""Seen from above, to scale: wheels, the edges it tips about, and the centre of gravity."""

from __future__ import annotations

import math

from calc.figures.svg import box, circle, figure, line, path, text
from calc.units import show


def _foot(corners: list[tuple[float, float]], cog: float) -> tuple[float, float]:
    """The nearest point of the edges to the centre of gravity."""
    near = []
    for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], corners[0]], strict=True):
        dx, dy = x2 - x1, y2 - y1
        share = min(max(((cog - x1) * dx - y1 * dy) / (dx * dx + dy * dy), 0.0), 1.0)
        x, y = x1 + share * dx, y1 + share * dy
        near.append((math.hypot(cog - x, y), x, y))
    return min(near)[1:]


def footprint(
    uid: str, wheels: str, single_wheel: str, wheelbase: float, track: float, cog: float, distance: float
) -> str:
    """Front to the right; `cog` in front of the rear axle and `distance` to the nearest edge, m."""
    width, top = 480.0, 30.0
    scale = min(300.0 / wheelbase, 220.0 / track)
    left, middle = (width - wheelbase * scale) / 2.0, top + 24.0 + track * scale / 2.0
    height = middle + track * scale / 2.0 + 62.0
    half = track / 2.0
    corners = {
        "4": [(0.0, -half), (wheelbase, -half), (wheelbase, half), (0.0, half)],
        "front": [(0.0, -half), (wheelbase, 0.0), (0.0, half)],
        "rear": [(wheelbase, -half), (wheelbase, half), (0.0, 0.0)],
    }["4" if wheels == "4" else "rear" if single_wheel == "rear" else "front"]

    def at(x: float, y: float) -> tuple[float, float]:
        return left + x * scale, middle + y * scale

    body = [path([at(*c) for c in [*corners, corners[0]]], "f-line")]
    body += [box(at(x, y)[0] - 16, at(x, y)[1] - 5, 32, 10) for x, y in corners]
    cx, cy = at(min(cog, wheelbase), 0.0)
    (fx, fy), (gx, gy) = at(-0.02 * wheelbase, 0.0), at(1.02 * wheelbase, 0.0)
    body += [
        line(fx, fy, gx, gy, "f-grid"),
        circle(cx, cy, 7, "f-ring"),
        line(cx, cy, *at(*_foot(corners, cog)), "f-thin", "9 4"),
        text(width - 8, 16, "front", "end"),
        text(8, 16, "rear"),
        text(
            width / 2,
            height - 26,
            f"wheelbase {show(wheelbase, 'mm')}, track {show(track, 'mm')}; "
            f"weight {show(cog, 'mm')} from the rear axle",
            "middle",
        ),
        text(
            width / 2,
            height - 8,
            f"centre of gravity {show(distance, 'mm')} from the nearest edge",
            "middle",
            "f-tag",
        ),
    ]
    if wheels != "4":
        body.append(
            path(
                [at(0.0, -half), at(wheelbase, -half), at(wheelbase, half), at(0.0, half), at(0.0, -half)],
                "f-thin",
                "2 4",
            )
        )
    shape = "a rectangle of four wheels" if wheels == "4" else f"a triangle, the single wheel {single_wheel}"
    return figure(
        uid,
        "Seen from above",
        f"The edges it tips about make {shape}; the centre of gravity is {show(cog, 'mm')} in front of the rear "
        "axle and "
        f"{show(distance, 'mm')} from the nearest edge.",
        width,
        height,
        body,
    )
