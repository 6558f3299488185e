"""The chain drive from the side, to scale."""

from __future__ import annotations

import math

from calc.figures.svg import circle, figure, line, text
from calc.units import show

_WIDTH, _TOP, _SIDE = 480.0, 20.0, 12.0


def drive(uid: str, driver: float, driven: float, center: float, words: tuple[str, str, str]) -> str:
    """Two sprockets by their pitch circles (diameters and centre distance, m), the chain over both; words for driver,
    driven and the middle."""
    scale = (_WIDTH - 2.0 * _SIDE) / (center + (driver + driven) / 2.0)
    r1, r2, a = driver / 2.0 * scale, driven / 2.0 * scale, center * scale
    middle = _TOP + max(r1, r2) + 8.0
    x1, x2 = _SIDE + r1, _SIDE + r1 + a
    tilt = math.asin(max(-1.0, min(1.0, (r2 - r1) / a)))
    body = [circle(x1, middle, r1), circle(x2, middle, r2), circle(x1, middle, 3.0), circle(x2, middle, 3.0)]
    for side in (-1.0, 1.0):
        dx, dy = -math.sin(tilt), side * math.cos(tilt)
        body.append(line(x1 + r1 * dx, middle + r1 * dy, x2 + r2 * dx, middle + r2 * dy, "f-line"))
    foot = middle + max(r1, r2) + 24.0
    body += [
        line(x1, middle, x2, middle, "f-thin", "4 4"),
        text(x1, foot, words[0], "start"),
        text((x1 + x2) / 2.0, middle - 6.0, words[2], "middle"),
        text(_WIDTH - _SIDE, foot + 18.0, words[1], "end"),
    ]
    told = f"{words[0]}; {words[1]}; centres {show(center, 'mm')} apart. {words[2]}."
    return figure(uid, "Chain drive from the side, to scale", told, _WIDTH, foot + 30.0, body)
