"""The forces on a mount, and how much of what is asked each of its parts stands."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import box, circle, figure, line, path, text
from calc.units import plain, show

_LEFT, _WIDTH, _ROW, _TOP, _MOST = 150.0, 480.0, 34.0, 16.0, 4.0


def bars(uid: str, parts: Sequence[tuple[str, float]]) -> str:
    """A bar for each part: how many times what is asked it stands, cut at four times; the line is once."""
    scale = (_WIDTH - _LEFT - 60.0) / _MOST
    body = []
    for k, (name, times) in enumerate(parts):
        y = _TOP + k * _ROW
        width = min(max(times, 0.02), _MOST) * scale
        body.append(text(_LEFT - 8.0, y + 16.0, name, "end"))
        body.append(box(_LEFT, y + 3.0, width, 18.0, "f-box"))
        body.append(text(_LEFT + width + 6.0, y + 16.0, f"{plain(times, 2)}×"))
    foot = _TOP + len(parts) * _ROW
    body += [
        line(_LEFT + scale, _TOP - 6.0, _LEFT + scale, foot, "f-line"),
        text(_LEFT + scale, foot + 16.0, "asked", "middle"),
    ]
    told = ", ".join(f"{name} {plain(times, 2)} times" for name, times in parts)
    return figure(uid, "What each part stands over what is asked", f"{told}.", _WIDTH, foot + 24.0, body)


def _arrow(x1: float, y1: float, x2: float, y2: float) -> list[str]:
    """A line with its head at the second point."""
    along = math.atan2(y2 - y1, x2 - x1)
    head = [(x2 - 11.0 * math.cos(along + turn), y2 - 11.0 * math.sin(along + turn)) for turn in (0.4, -0.4)]
    return [line(x1, y1, x2, y2, "f-line"), path([head[0], (x2, y2), head[1]], "f-line")]


def forces(uid: str, pull: float, twist: float, shear: float, bolt_pull: float) -> str:
    """What the chain does to the mount at its hardest pull, looking along the shaft and from above: the machine is
    twisted against its own turning, and the bolts on the side that the chain pulls to are drawn out.

    Pull, shear and bolt_pull in N, twist in N·m, as of the bolt that has most.
    """
    along, above, middle = 120.0, 330.0, 108.0
    bolts = [(along + x, middle + y) for x in (-46.0, 46.0) for y in (-46.0, 46.0)]
    turned = [
        (along + 84.0 * math.cos(math.radians(a)), middle + 84.0 * math.sin(math.radians(a)))
        for a in range(100, 171, 5)
    ]
    body = [
        text(along, 16, "along the shaft", "middle"),
        circle(along, middle, 70.0, "f-thin"),
        circle(along, middle, 22.0, "f-thin"),
        *(circle(x, y, 5.0, "f-box") for x, y in bolts),
        *_arrow(along, middle - 22.0, along + 112.0, middle - 22.0),
        line(along, middle + 22.0, along + 112.0, middle + 22.0, "f-soft", "9 4"),
        path(turned),
        *_arrow(*turned[-2], *turned[-1]),
        *_arrow(bolts[2][0] + 5.0, bolts[2][1] + 2.0, bolts[2][0] + 40.0, bolts[2][1] + 12.0),
        text(along, middle + 104.0, f"pulls {show(pull, 'N')}", "middle"),
        text(along, middle + 124.0, f"twists {show(twist, 'N*m')}", "middle"),
        text(along, middle + 144.0, f"a bolt sideways {show(shear, 'N')}", "middle"),
        text(above + 40.0, 16, "from above", "middle"),
        line(above, middle - 62.0, above, middle + 62.0, "f-line"),
        box(above + 4.0, middle - 46.0, 96.0, 92.0),
        line(above - 44.0, middle, above + 4.0, middle, "f-thin"),
        line(above - 38.0, middle - 24.0, above - 38.0, middle + 24.0, "f-line"),
        *_arrow(above - 38.0, middle + 24.0, above - 38.0, middle + 70.0),
        *_arrow(above, middle + 36.0, above + 40.0, middle + 36.0),
        text(above + 40.0, middle + 104.0, "tilts about one row;", "middle"),
        text(above + 40.0, middle + 124.0, f"a bolt of the other: {show(bolt_pull, 'N')}", "middle"),
    ]
    told = (
        f"The chain pulls with {show(pull, 'N')} at the sprocket's edge and twists the machine in its bolts with "
        f"{show(twist, 'N*m')}: the worst bolt is pushed sideways with {show(shear, 'N')}. Seen from above the pull "
        f"tilts the machine about one row of bolts, and each bolt of the other row is pulled with "
        f"{show(bolt_pull, 'N')}."
    )
    return figure(uid, "What the chain does to the mount", told, _WIDTH, middle + 156.0, body)
