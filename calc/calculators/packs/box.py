"""How many of the entered cells the entered box takes, layer by layer."""

from __future__ import annotations

from math import prod
from typing import Any

from calc.build import Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.power import boxing
from calc.units import show

BOX = ("box_length", "box_width", "box_height")
CELL = ("cell_length", "cell_width", "cell_height")
ROUND = ("cell_diameter", "cell_height")
KEYS = (*BOX, *CELL, "cell_diameter")
SHOWN = 4


def _sides(v: Values, keys: tuple[str, ...]) -> list[float] | None:
    """The lengths of all keys, m; None unless every one was entered."""
    return [float(v[key]) for key in keys] if v.build.entered.keys() >= set(keys) else None


def layouts(v: Values) -> list[boxing.Layout]:
    """Every way to lay these cells into this box, most cells first; none where a side isn't known."""
    box = _sides(v, BOX)
    if box is None:
        return []
    room = (box[0], box[1], box[2])
    if round_ := _sides(v, ROUND):
        return boxing.rounds(room, *round_)
    if cell := _sides(v, CELL):
        return boxing.blocks(room, (cell[0], cell[1], cell[2]))
    return []


def holds(v: Values) -> int | None:
    """Most cells that the box takes; None where a side isn't known."""
    found = layouts(v)
    return found[0].cells if found else None


def volumes(v: Values) -> tuple[float | None, float | None]:
    """Room inside the box and of one cell, m³: as entered, else from the sides."""
    entered = v.build.entered
    box, cell = _sides(v, BOX), _sides(v, CELL)
    room = float(v["box_volume"]) if "box_volume" in entered else prod(box) if box else None
    return room, float(v["cell_volume"]) if "cell_volume" in entered else prod(cell) if cell else None


def rows(v: Values) -> list[dict[str, Any]]:
    """The best ways to lay them."""
    return [
        {
            "terminals": f"along the {one.terminals}",
            "laid": one.laid,
            "length": one.along[0],
            "width": one.along[1],
            "height": one.along[2],
            "cells": one.cells,
        }
        for one in layouts(v)[:SHOWN]
    ]


def findings(v: Values) -> list[Finding]:
    """Whether the pack as it is fits the box, and what must be known to tell."""
    entered = v.build.entered.keys()
    if not entered & set(KEYS):
        return []
    cell = ROUND if "cell_diameter" in entered else CELL
    missing = [FIELDS[key].name for key in (*BOX, *cell) if key not in entered]
    if missing:
        return [
            Finding(
                "caution",
                f"Whether the cells fit can't be told by layers yet: {', '.join(missing)} not entered.",
                "Enter all three sides of the box, and of a cell its sides, or diameter and height.",
            )
        ]
    ways, count = layouts(v), round(float(v["series"] * v["parallel"]))
    fitting = [one for one in ways if one.cells >= count]
    upright = [one for one in fitting if one.terminals == boxing.SIDES[2]]
    best = (upright or fitting or ways)[0]
    apart = (
        f"{show(boxing.STRIPS, 'mm')} of strip at each end"
        if cell == ROUND
        else f"{show(boxing.TERMINALS, 'mm')} of links above each layer"
    )
    told = (
        f"In straight layers the box takes {best.cells} such cells: terminals along its {best.terminals}, {best.laid}, "
        f"with {show(boxing.WRAP, 'mm')} of wrap beside each and {apart} (common practice, no source)"
    )
    if ways[0].cells > best.cells:
        told += f"; laid otherwise up to {ways[0].cells}"
    if not fitting:
        return [
            Finding(
                "caution",
                f"{told}. The pack has {count}.",
                "A larger box, other cells, or fewer. Never squeeze: a dented cell shorts inside.",
            )
        ]
    return [
        Finding(
            "ok",
            f"{told}. The pack has {count}. Board, fuse, wires and walls take room of their own.",
            "Lay cells on their side only where their sheet allows it. Leave vents a way out that points at nobody; a "
            "sheet between cells and metal.",
        )
    ]
