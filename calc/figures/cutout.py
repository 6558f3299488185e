"""How likely each cause of a cut-out is, as bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calc.figures.svg import box, figure, text
from calc.units import show

_WIDTH, _STEP, _TOP = 480.0, 44.0, 6.0


def likelihoods(uid: str, rows: Sequence[dict[str, Any]]) -> str:
    """Bars of the likeliest causes: those of 1 % and more, two at least."""
    body: list[str] = []
    shown = [row for place, row in enumerate(rows[:6]) if place < 2 or row["likelihood"] >= 0.01]
    for number, row in enumerate(shown):
        y = _TOP + number * _STEP
        body += [
            text(4.0, y + 14.0, f"{row['cause']}: {show(row['likelihood'], 'percent', 2)}"),
            box(4.0, y + 20.0, max(1.0, (_WIDTH - 8.0) * row["likelihood"]), 14.0, "f-box"),
        ]
    words = "; ".join(f"{row['cause']}, {show(row['likelihood'], 'percent', 2)}" for row in shown)
    return figure(uid, "How likely each cause is", words + ".", _WIDTH, _TOP + len(shown) * _STEP, body)
