"""How much of what is asked each part of a mount stands, as bars."""

from __future__ import annotations

from collections.abc import Sequence

from calc.figures.svg import box, figure, line, text
from calc.units import plain

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
