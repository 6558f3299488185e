"""Windows of voltage on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calc.figures.svg import box, figure, text
from calc.units import plain

_LEFT, _RIGHT, _WIDTH, _ROW = 110.0, 20.0, 480.0, 44.0


def voltage_windows(uid: str, rows: Sequence[dict[str, Any]]) -> str:
    """Each window as a bar, the cells' own dark; what is wrong stands beside it."""
    ends = [value for row in rows[:2] for value in (row["low"], row["high"])]
    ends += [value for row in rows[2:] for value in (row["low"], row["high"]) if value]
    low, high = min(ends), max(ends)
    pad = 0.12 * max(high - low, 1.0)

    def x(volts: float) -> float:
        return _LEFT + (volts - low + pad) / (high - low + 2 * pad) * (_WIDTH - _LEFT - _RIGHT)

    body, words = [], []
    for number, row in enumerate(rows):
        y = 16 + number * _ROW
        start, end = row["low"] or low - pad, row["high"] or high + pad
        body += [
            text(8, y + 15, row["window"]),
            box(x(start) - 1, y, max(x(end) - x(start), 2), 20, "f-box" if number else "f-fill"),
        ]
        if row["low"]:
            body.append(text(x(start), y + 35, f"{plain(start)} V", "middle"))
        if row["high"] and (not row["low"] or x(end) - x(start) > 44):
            body.append(text(x(end), y + 35, f"{plain(end)} V", "middle"))
        said = " to ".join(f"{plain(value)} V" for value in (row["low"], row["high"]) if value)
        words.append(f"{row['window']} {said}" + (f": {row['fault']}" if row["fault"] else ""))
    return figure(
        uid,
        "Voltage windows",
        f"Windows that must nest: {'; '.join(words)}.",
        _WIDTH,
        16 + _ROW * len(rows),
        body,
    )
