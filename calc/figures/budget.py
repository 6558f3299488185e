"""What a build costs, part by part, as bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calc.figures.svg import box, figure, text
from calc.units import plain

MOST = 8
_LEFT, _WIDTH, _ROW, _TOP = 190.0, 480.0, 26.0, 14.0


def shares(uid: str, parts: Sequence[dict[str, Any]]) -> str:
    """The dearest parts as bars: filled where they are bought, open where they are still to be paid."""
    paid = [part for part in parts if part["share"] is not None]
    shown = paid[:MOST]
    rest = sum(part["price"] for part in paid[MOST:])
    rows = [(part["item"], part["price"], part["state"] == "bought") for part in shown]
    rows += [(f"{len(paid) - MOST} more", rest, False)] if len(paid) > MOST else []
    most = max(price for _, price, _ in rows) or 1.0
    body = []
    for k, (item, price, bought) in enumerate(rows):
        y = _TOP + k * _ROW
        width = max(price / most * (_WIDTH - _LEFT - 70.0), 1.0)
        body.append(text(_LEFT - 8, y + 14, item if len(item) <= 24 else item[:23] + "…", "end"))
        body.append(box(_LEFT, y + 2, width, 15, "f-fill" if bought else "f-box"))
        body.append(text(_LEFT + width + 6, y + 14, plain(price, 6)))
    words = ", ".join(
        f"{item} {plain(price, 6)}{'' if bought else ' still to be paid'}" for item, price, bought in rows
    )
    return figure(
        uid, "What the parts cost", f"Dearest first: {words}.", _WIDTH, _TOP + len(rows) * _ROW + 6, body
    )
