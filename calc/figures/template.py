"""A paper template of the stator's bore, true to scale: slots, sensors, a rule that proves the scale.

Lengths here are millimetres on paper. One sheet fits inside the margins of A4 and of Letter alike; a larger bore is
cut into sheets that overlap, with crosses to lay one on the next. Strokes carry their own widths, since a page's style
sheet counts in pixels.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import NamedTuple

WIDTH, HEIGHT = 180.0, 240.0
"""A sheet, mm: the paper common to A4 and Letter within margins of 14 mm."""
HEAD, FOOT = 26.0, 18.0
OVERLAP = 10.0
BEYOND = 15.0
"""Room for ticks, numbers and sensor marks outside the bore, mm."""
RULE = 50.0
TICK = 6.0


class Mark(NamedTuple):
    """A sensor on the template: its name, its slot, and how far off the middle it belongs, mm along the bore.

    offset: in the direction of forward rotation; nothing for the middle of the slot.
    """

    name: str
    slot: int
    offset: float


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 0.2, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    points = f"M{x1:.3f} {y1:.3f}L{x2:.3f} {y2:.3f}"
    return f'<path d="{points}" stroke="#000" stroke-width="{width:g}" fill="none"{dashed}/>'


def _text(x: float, y: float, words: str, size: float = 3.4, anchor: str = "start", weight: int = 400) -> str:
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:g}" text-anchor="{anchor}" font-weight="{weight}" '
        f'fill="#000">{escape(words)}</text>'
    )


def _at(radius: float, angle: float) -> tuple[float, float]:
    """A point about the middle of the bore; angles clockwise from the top."""
    return radius * math.sin(angle), -radius * math.cos(angle)


def drawing(slots: int, bore: float, marks: Sequence[Mark]) -> str:
    """The bore and all that sits about it, its middle at 0, 0; numbers run clockwise, forward is clockwise."""
    radius = bore / 2.0
    body = [
        f'<circle cx="0" cy="0" r="{radius:.3f}" stroke="#000" stroke-width="0.25" fill="none"/>',
        _line(-6, 0, 6, 0),
        _line(0, -6, 0, 6),
    ]
    sensed = {mark.slot for mark in marks}
    every = 1 if bore * math.pi / slots > 4.5 else 2 if bore * math.pi / slots > 2.3 else 5
    for slot in range(slots):
        angle = math.tau * slot / slots
        body.append(_line(*_at(radius, angle), *_at(radius + TICK, angle), 0.5 if slot in sensed else 0.2))
        if slot % every == 0 or slot in sensed:
            x, y = _at(radius + TICK + 3.0, angle)
            body.append(_text(x, y + 1.0, str(slot), 2.8, "middle", 700 if slot in sensed else 400))
    for mark in marks:
        slot_angle = math.tau * mark.slot / slots
        angle = slot_angle + mark.offset / radius
        tip, left, right = (
            _at(radius, angle),
            _at(radius - 5.0, angle - 2.0 / radius),
            _at(radius - 5.0, angle + 2.0 / radius),
        )
        points = " ".join(f"{x:.3f},{y:.3f}" for x, y in (tip, left, right))
        body.append(f'<polygon points="{points}" stroke="#000" stroke-width="0.3" fill="none"/>')
        x, y = _at(radius - 10.0, angle)
        body.append(_text(x, y + 1.5, f"S{mark.name}", 4.2, "middle", 700))
    # Forward rotation: an arrow inside the bore.
    inner = max(radius - 17.0, 6.0)
    start, end = _at(inner, -0.5), _at(inner, 0.5)
    body.append(
        f'<path d="M{start[0]:.3f} {start[1]:.3f}A{inner:.3f} {inner:.3f} 0 0 1 {end[0]:.3f} {end[1]:.3f}" '
        'stroke="#000" stroke-width="0.4" fill="none"/>'
    )
    for turn in (0.5, -0.5):
        hx, hy = _at(inner + 2.5 * turn * 2, 0.5 - 3.5 / inner)
        body.append(_line(hx, hy, *end, 0.4))
    body.append(_text(0, -inner + 6, "forward", 3.4, "middle"))
    return "".join(body)


def _windows(size: float, room: float) -> list[float]:
    """Where the sheets begin along one side of a drawing of this size, its middle at 0."""
    if size <= room:
        return [-room / 2.0]
    count = math.ceil((size - OVERLAP) / (room - OVERLAP))
    span = count * room - (count - 1) * OVERLAP
    return [-span / 2.0 + k * (room - OVERLAP) for k in range(count)]


def sheets(
    uid: str, name: str, slots: int, bore: float, marks: Sequence[Mark], words: Sequence[str]
) -> list[str]:
    """The template's sheets as SVG texts, each WIDTH by HEIGHT mm.

    name: of the build. bore in mm. words: lines at the head of each sheet.
    """
    room = HEIGHT - HEAD - FOOT
    size = bore + 2.0 * BEYOND
    columns, rows = _windows(size, WIDTH), _windows(size, room)
    picture = drawing(slots, bore, marks)
    total, found = len(columns) * len(rows), []
    for row, top in enumerate(rows):
        for column, left in enumerate(columns):
            number = row * len(columns) + column + 1
            found.append(
                _sheet(f"{uid}-{number}", name, words, number, total, left, top, room, picture, bore)
            )
    return found


def _sheet(
    uid: str,
    name: str,
    words: Sequence[str],
    number: int,
    total: int,
    left: float,
    top: float,
    room: float,
    picture: str,
    bore: float,
) -> str:
    """One sheet: head, the part of the drawing in its window, crosses where sheets overlap, and the rule."""
    of = f", sheet {number} of {total}" if total > 1 else ""
    body = [_text(0, 5, f"{name}: sensor template{of}", 4.6, weight=700)]
    body += [_text(0, 10.5 + 4.4 * k, line, 3.2) for k, line in enumerate(words)]
    crosses = []
    if total > 1:
        # The same points of the drawing on every sheet that shows them: overlap crosses and their coordinates.
        step = 40.0
        first_x, first_y = math.ceil(left / step), math.ceil(top / step)
        for kx in range(first_x, math.floor((left + WIDTH) / step) + 1):
            for ky in range(first_y, math.floor((top + room) / step) + 1):
                x, y = kx * step, ky * step
                crosses += [_line(x - 2, y, x + 2, y, 0.15), _line(x, y - 2, x, y + 2, 0.15)]
                crosses.append(_text(x + 0.8, y - 0.8, f"{kx},{ky}", 2.2))
    shift_x, shift_y = -left, HEAD - top
    body.append(
        f'<clipPath id="{uid}-c"><rect x="{left:.3f}" y="{top:.3f}" width="{WIDTH:g}" height="{room:g}"/></clipPath>'
        f'<g transform="translate({shift_x:.3f} {shift_y:.3f})" clip-path="url(#{uid}-c)">'
        f"{picture}{''.join(crosses)}</g>"
    )
    y = HEIGHT - 8.0
    body += [_line(0, y, RULE, y, 0.3), _line(0, y - 3, 0, y + 3, 0.3), _line(RULE, y - 3, RULE, y + 3, 0.3)]
    body += [_line(10.0 * k, y - 1.5, 10.0 * k, y + 1.5, 0.2) for k in range(1, 5)]
    body.append(
        _text(RULE + 4, y - 1, "These marks are 50 mm apart. If a ruler says otherwise, print again", 3.2)
    )
    body.append(
        _text(RULE + 4, y + 3.4, "at 100 %, no “fit to page”. Then check the circle against the bore.", 3.2)
    )
    title = f"Sensor template{of}"
    return (
        f'<svg class="t-sheet" xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-family="sans-serif" role="img" aria-labelledby="{uid}-t {uid}-d">'
        f'<title id="{uid}-t">{escape(title)}</title><desc id="{uid}-d">A circle of {bore:.4g} mm with a tick for each '
        f"slot, marks for the sensors, and a rule of 50 mm.</desc>{''.join(body)}</svg>"
    )
