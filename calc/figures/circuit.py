"""The build's power circuit on one line: what is joined to what, with every value that is known on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from calc.figures.svg import box, circle, figure, line, path, text

WIDTH, ROW, HIGH, TOP = 480.0, 92.0, 56.0, 8.0
LEFT, RIGHT, WIDE = 8.0, 252.0, 220.0
ROWS = (
    ("pack", "inlet"),
    ("protection", "stop"),
    ("fuse", "field_fuse"),
    ("switch", "precharge"),
    ("controller", "supply"),
    ("machine", "field"),
    ("hold", "bleed"),
)
"""What stands beside what, from the top."""
_MIDDLE, _FAR, _GAP = LEFT + WIDE / 2.0, RIGHT + WIDE / 2.0, (LEFT + WIDE + RIGHT) / 2.0
_THIN, _DASHES = "f-thin", "4 4"


class Part(NamedTuple):
    """One box: its name, and a line or two of values."""

    name: str
    values: Sequence[str]


def _row(part: str) -> int:
    return next(k for k, names in enumerate(ROWS) if part in names)


def _head(part: str) -> float:
    """Height of a box's upper edge."""
    return TOP + _row(part) * ROW


def _foot(part: str) -> float:
    return _head(part) + HIGH


def _mid(part: str) -> float:
    return _head(part) + HIGH / 2.0


def _part(x: float, name: str, part: Part) -> list[str]:
    y = _head(name)
    body = [box(x, y, WIDE, HIGH), text(x + 8.0, y + 17.0, part.name, kind="f-tag")]
    return body + [text(x + 8.0, y + 34.0 + 16.0 * k, words) for k, words in enumerate(part.values)]


def _down(x: float, part: str, words: Sequence[str] = ()) -> list[str]:
    """The lead from a box's foot to the head of the one below; to its left what it is, a line for each of `words`."""
    y, first = _foot(part), 23.0 if len(words) == 1 else 15.0
    told = [text(x - 8.0, y + first + 16.0 * k, word, "end") for k, word in enumerate(words)]
    return [line(x, y, x, y + ROW - HIGH, "f-line"), *told]


def one_line(uid: str, parts: dict[str, Part], leads: Mapping[str, Sequence[str]], words: str) -> str:
    """The circuit: pack, protection, fuse, switch with precharge, controller, machine; beside them the charger's inlet,
    the field's supply and the bleed; what opens what.

    parts: one for each name of ROWS. leads: words for the cable from the pack, to the machine, to the field.
    """
    body = [
        piece
        for left, right in ROWS
        for x, name in ((LEFT, left), (RIGHT, right))
        for piece in _part(x, name, parts[name])
    ]
    for above in ("pack", "protection", "fuse"):
        body += _down(_MIDDLE, above)
    body += _down(_MIDDLE, "switch", leads["pack"])
    for shift, told in ((-14.0, leads["machine"]), (0.0, ()), (14.0, ())):
        body += _down(_MIDDLE + shift, "controller", told)
    body += _down(_FAR, "supply", leads["field"])
    height = TOP + len(ROWS) * ROW
    body += [*_branches(), *_openers()]
    body += [
        line(LEFT, height + 4.0, LEFT + 34.0, height + 4.0, "f-line"),
        text(LEFT + 42.0, height + 8.0, "carries current"),
        line(RIGHT, height + 4.0, RIGHT + 34.0, height + 4.0, _THIN, _DASHES),
        text(RIGHT + 42.0, height + 8.0, "opens, or holds back"),
    ]
    return figure(uid, "Power circuit on one line", words, WIDTH, height + 20.0, body)


def _branches() -> list[str]:
    """What leaves the main line: charger's inlet, precharge and field behind the main fuse, the bleed on the bus."""
    charged, upper, lower = _foot("protection") + 18.0, _foot("fuse") + 18.0, _foot("switch") + 8.0
    near, side = _GAP - 6.0, RIGHT + WIDE - 10.0
    below, above, edge = _head("precharge") - 6.0, _head("supply") - 8.0, WIDTH - 3.0
    return [
        path([(RIGHT, _mid("inlet")), (near, _mid("inlet")), (near, charged), (_MIDDLE, charged)], _THIN),
        path([(_MIDDLE, upper), (_GAP, upper), (_GAP, _mid("precharge")), (RIGHT, _mid("precharge"))], _THIN),
        path([(_GAP, upper), (_GAP, _mid("field_fuse")), (RIGHT, _mid("field_fuse"))], _THIN),
        path([(RIGHT + 24.0, _foot("precharge")), (RIGHT + 24.0, lower), (_MIDDLE, lower)], _THIN),
        path([(_GAP, lower), (_GAP, _mid("bleed")), (RIGHT, _mid("bleed"))], _THIN),
        # from the field's fuse past the precharge to its supply
        path(
            [(side, _foot("field_fuse")), (side, below), (edge, below), (edge, above), (side, above)], _THIN
        ),
        line(side, above, side, _head("supply"), _THIN),
        *(circle(_MIDDLE, y, 3.0, "f-fill") for y in (charged, upper, lower)),
        circle(_GAP, lower, 3.0, "f-fill"),
    ]


def _openers() -> list[str]:
    """The stop opens main switch, field and precharge; brake, field and a plugged charger hold the throttle."""
    beside, into = _GAP + 6.0, _head("switch") + 12.0
    return [
        path(
            [(RIGHT, _mid("stop")), (beside, _mid("stop")), (beside, into), (LEFT + WIDE, into)],
            _THIN,
            _DASHES,
        ),
        path([(_FAR, _foot("stop")), (_FAR, _head("field_fuse"))], _THIN, _DASHES),
        path([(_FAR, _foot("field_fuse")), (_FAR, _head("precharge"))], _THIN, _DASHES),
        path(
            [
                (LEFT, _mid("hold")),
                (2.0, _mid("hold")),
                (2.0, _mid("controller")),
                (LEFT, _mid("controller")),
            ],
            _THIN,
            _DASHES,
        ),
    ]
