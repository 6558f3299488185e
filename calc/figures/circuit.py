"""The build's power circuit on one line: what is joined to what, with every value that is known on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from calc.figures.svg import box, circle, figure, line, path, text

WIDTH, ROW, HIGH = 480.0, 92.0, 56.0
LEFT, RIGHT, WIDE = 8.0, 252.0, 220.0
_MIDDLE, _FAR = LEFT + WIDE / 2.0, RIGHT + WIDE / 2.0


class Part(NamedTuple):
    """One box: its name, and a line or two of values."""

    name: str
    values: Sequence[str]


def _part(x: float, row: float, part: Part) -> list[str]:
    y = 8.0 + row * ROW
    body = [box(x, y, WIDE, HIGH), text(x + 8.0, y + 17.0, part.name, kind="f-tag")]
    return body + [text(x + 8.0, y + 34.0 + 16.0 * k, words) for k, words in enumerate(part.values)]


def _down(x: float, row: float, words: str = "") -> list[str]:
    """The lead from the foot of one row to the head of the next, with what it is."""
    y = 8.0 + row * ROW + HIGH
    return [line(x, y, x, y + ROW - HIGH, "f-line"), *([text(x + 8.0, y + 23.0, words)] if words else [])]


def one_line(uid: str, parts: dict[str, Part], leads: dict[str, str], words: str) -> str:
    """The circuit: pack, fuse, switch with precharge, controller, machine; field supply beside; what opens what.

    parts: pack, fuse, switch, precharge, controller, machine, field_fuse, supply, field, stop, hold. leads: words for
    the cable from the pack, to the machine, to the field.
    """
    body = []
    for row, name in enumerate(("pack", "fuse", "switch", "controller", "machine")):
        body += _part(LEFT, row, parts[name])
    for row, name in enumerate(("stop", "field_fuse", "precharge", "supply", "field")):
        body += _part(RIGHT, row, parts[name])
    body += _down(_MIDDLE, 0) + _down(_MIDDLE, 1) + _down(_MIDDLE, 2, leads["pack"])
    for shift in (-14.0, 0.0, 14.0):
        body += _down(_MIDDLE + shift, 3)
    body.append(text(_MIDDLE + 24.0, 8.0 + 3.0 * ROW + HIGH + 23.0, leads["machine"]))
    # The precharge lies round the main switch; the field's own fuse leaves between fuse and switch.
    upper, lower = 8.0 + 1.0 * ROW + HIGH + 18.0, 8.0 + 2.0 * ROW + HIGH + 8.0
    gap = (LEFT + WIDE + RIGHT) / 2.0
    pre = 8.0 + 2.0 * ROW + HIGH / 2.0
    body += [
        path([(_MIDDLE, upper), (gap, upper), (gap, pre), (RIGHT, pre)], "f-thin"),
        path([(RIGHT + 24.0, 8.0 + 2.0 * ROW + HIGH), (RIGHT + 24.0, lower), (_MIDDLE, lower)], "f-thin"),
        circle(_MIDDLE, upper, 3.0, "f-fill"),
        circle(_MIDDLE, lower, 3.0, "f-fill"),
        path(
            [(_MIDDLE, upper), (gap, upper), (gap, 8.0 + ROW + HIGH / 2.0), (RIGHT, 8.0 + ROW + HIGH / 2.0)],
            "f-thin",
        ),
    ]
    # From the field's fuse past the precharge to its supply, and on to the brushes.
    side = RIGHT + WIDE - 10.0
    body += [
        path(
            [(side, 8.0 + ROW + HIGH), (side, 8.0 + 2.0 * ROW - 6.0), (WIDTH - 3.0, 8.0 + 2.0 * ROW - 6.0)],
            "f-thin",
        ),
        path(
            [
                (WIDTH - 3.0, 8.0 + 2.0 * ROW - 6.0),
                (WIDTH - 3.0, 8.0 + 3.0 * ROW - 8.0),
                (side, 8.0 + 3.0 * ROW - 8.0),
            ],
            "f-thin",
        ),
        line(side, 8.0 + 3.0 * ROW - 8.0, side, 8.0 + 3.0 * ROW, "f-thin"),
    ]
    body += _down(_FAR, 3, leads["field"])
    # What opens what: the stop opens the main switch and the field's feed; brake and field hold the throttle.
    stop = 8.0 + HIGH / 2.0
    body += [
        path(
            [
                (RIGHT, stop),
                (gap + 6.0, stop),
                (gap + 6.0, 8.0 + 2.0 * ROW + 12.0),
                (LEFT + WIDE, 8.0 + 2.0 * ROW + 12.0),
            ],
            "f-thin",
            "4 4",
        ),
        path([(_FAR, 8.0 + HIGH), (_FAR, 8.0 + ROW)], "f-thin", "4 4"),
        path([(_FAR, 8.0 + ROW + HIGH), (_FAR, 8.0 + 2.0 * ROW)], "f-thin", "4 4"),
    ]
    height = 8.0 + 5.0 * ROW
    body += _part(LEFT, 5, parts["hold"])
    hold, held = 8.0 + 5.0 * ROW + HIGH / 2.0, 8.0 + 3.0 * ROW + HIGH / 2.0
    body.append(path([(LEFT, hold), (2.0, hold), (2.0, held), (LEFT, held)], "f-thin", "4 4"))
    body += [
        line(RIGHT, height + 20.0, RIGHT + 34.0, height + 20.0, "f-line"),
        text(RIGHT + 42.0, height + 24.0, "carries current"),
        line(RIGHT, height + 42.0, RIGHT + 34.0, height + 42.0, "f-thin", "4 4"),
        text(RIGHT + 42.0, height + 46.0, "opens, or holds back"),
    ]
    return figure(uid, "Power circuit on one line", words, WIDTH, height + HIGH + 12.0, body)
