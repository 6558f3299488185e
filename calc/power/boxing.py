"""How many cells a box takes in simple layers: every way to turn them, blocks or round ones."""

from __future__ import annotations

from itertools import permutations
from math import floor, sqrt
from typing import NamedTuple

SIDES = ("length", "width", "height")
WRAP = 0.001
"""Beside each cell, m: wrap, a sheet between cells, a little swelling (common practice, no source)."""
TERMINALS = 0.015
"""Above the terminals of each layer of blocks, m: links, nuts, a cover (common practice, no source)."""
STRIPS = 0.003
"""At each end of a round cell, m: strip and insulation (common practice, no source)."""
_SLIP = 1e-9  # a side that fits to the last digit fits


class Layout(NamedTuple):
    """One way to fill a box: the box's side that the terminals face along, how else, cells along each side, all."""

    terminals: str
    laid: str
    along: tuple[int, int, int]
    cells: int


def _rows(room: float, pitch: float) -> int:
    return max(floor((room + _SLIP) / pitch), 0)


def blocks(box: tuple[float, float, float], cell: tuple[float, float, float]) -> list[Layout]:
    """Layouts of block-shaped cells, most cells first, terminals up before others; sides in m.

    box: length, width, height inside. cell: length, width, and height from foot to terminals.

    Validity: cells all turned alike, in straight rows; walls, protection board, fuse and a way for vented gas take room
    of their own.

    Source: [method-power] #boxing
    """
    pitches = (cell[0] + WRAP, cell[1] + WRAP, cell[2] + TERMINALS)
    found = []
    for turned in permutations(range(3)):  # turned[k]: the cell's side that lies along the box's side k
        along = tuple(_rows(room, pitches[side]) for room, side in zip(box, turned, strict=True))
        words = f"long side along the {SIDES[turned.index(0)]}"
        found.append(Layout(SIDES[turned.index(2)], words, (along[0], along[1], along[2]), _count(along)))
    return _sorted(found)


def _count(along: tuple[int, ...]) -> int:
    return along[0] * along[1] * along[2]


def _sorted(found: list[Layout]) -> list[Layout]:
    return sorted(found, key=lambda one: (-one.cells, one.terminals != SIDES[2]))


def _staggered(first: float, second: float, pitch: float) -> tuple[int, int]:
    """Rows along `first`, each half a cell beside the next: how many rows, and cells in all."""
    rows = 0 if first < pitch - _SLIP else 1 + _rows(second - pitch, pitch * sqrt(3.0) / 2.0)
    rows = 0 if second < pitch - _SLIP else rows
    even, odd = _rows(first, pitch), _rows(first - pitch / 2.0, pitch)
    return rows, (rows + 1) // 2 * even + rows // 2 * odd


def rounds(box: tuple[float, float, float], diameter: float, height: float) -> list[Layout]:
    """Layouts of round cells, most cells first; sides in m. In squares, and staggered with rows along either side.

    Source: [method-power] #boxing
    """
    pitch, tall = diameter + WRAP, height + 2.0 * STRIPS
    found = []
    for axis in range(3):
        one, other = (side for side in range(3) if side != axis)
        layers = _rows(box[axis], tall)
        along = [0, 0, 0]
        along[axis], along[one], along[other] = layers, _rows(box[one], pitch), _rows(box[other], pitch)
        found.append(Layout(SIDES[axis], "in squares", (along[0], along[1], along[2]), _count(tuple(along))))
        for line, across in ((one, other), (other, one)):
            rows, cells = _staggered(box[line], box[across], pitch)
            along[line], along[across] = _rows(box[line], pitch), rows
            words = f"staggered, rows along the {SIDES[line]}"
            found.append(Layout(SIDES[axis], words, (along[0], along[1], along[2]), layers * cells))
    return _sorted(found)
