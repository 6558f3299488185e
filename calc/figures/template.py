"""A paper template of the stator's bore, true to scale: slots, sensors, a rule that proves the scale.

Lengths here are millimetres on paper. One sheet fits inside the margins of A4 and of Letter alike; a larger bore is cut
into sheets that overlap, with crosses to lay one on the next. Strokes carry their own widths, since a page's style
sheet counts in pixels.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from textwrap import wrap
from typing import NamedTuple

WIDTH, HEIGHT = 180.0, 240.0
"""A sheet, mm: the paper common to A4 and Letter within margins of 14 mm (16 mm at the foot)."""
HEAD, FOOT = 38.0, 20.0
ROOM = HEIGHT - HEAD - FOOT
OVERLAP = 10.0
BEYOND = 15.0
"""Room for ticks and numbers outside the bore, mm."""
EDGE = 1.0
"""What is drawn at the sheet's left edge begins here, so that a stroke isn't halved."""
RULE, TICK, STEP = 50.0, 6.0, 40.0
LINE = 105
"""Characters in a line of the head."""
SMALL, LEAST = 2.8, 1.5
"""Size of a slot's number; the least that is still read."""


class Mark(NamedTuple):
    """A sensor on the template: its name, its slot, and how far along the bore from the slot's middle it belongs, mm.

    offset: in the direction of forward rotation; nothing for the middle of the slot. other: drawn dashed, the place
    to try second.
    """

    name: str
    slot: int
    offset: float
    other: bool = False


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 0.2, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="M{x1:.3f} {y1:.3f}L{x2:.3f} {y2:.3f}" stroke="#000" stroke-width="{width:g}"{dashed}/>'


def _text(
    x: float,
    y: float,
    words: str,
    size: float = 3.4,
    anchor: str = "start",
    weight: int = 400,
    turn: float | None = None,
) -> str:
    """Words on the paper; `turn` in degrees turns them about their place."""
    turned = "" if turn is None else f' transform="rotate({turn:.3f} {x:.3f} {y:.3f})"'
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:.3g}" text-anchor="{anchor}" font-weight="{weight}"'
        f"{turned}>{escape(words)}</text>"
    )


def _at(radius: float, angle: float) -> tuple[float, float]:
    """A point about the middle of the bore; angles clockwise from the top."""
    return radius * math.sin(angle), -radius * math.cos(angle)


def _slots(slots: int, radius: float, sensed: set[int]) -> list[str]:
    """A tick and a number for each slot; numbers stand along the radius where they have little room."""
    pitch = math.tau * (radius + TICK + 3.0) / slots
    upright = pitch >= 2.0 * SMALL
    size = SMALL if upright else min(SMALL, pitch / 1.15)
    every = max(1, math.ceil(LEAST / size))
    size = max(size, LEAST)
    body = []
    for slot in range(slots):
        angle = math.tau * slot / slots
        weight = 700 if slot in sensed else 400
        body.append(_line(*_at(radius, angle), *_at(radius + TICK, angle), 0.5 if slot in sensed else 0.2))
        if slot % every and slot not in sensed:
            continue
        if upright:
            x, y = _at(radius + TICK + 3.0, angle)
            body.append(_text(x, y + 1.0, str(slot), size, "middle", weight))
        else:
            # Turned about the radius; a third of the size, across it, puts the digits' middle on the tick.
            left = angle > math.pi
            aside = (-1.0 if left else 1.0) * 0.35 * size / (radius + TICK + 1.2)
            x, y = _at(radius + TICK + 1.2, angle + aside)
            turn = math.degrees(angle) + (90.0 if left else -90.0)
            body.append(_text(x, y, str(slot), size, "end" if left else "start", weight, turn))
    return body


def _sensor(mark: Mark, slots: int, radius: float, depth: float) -> list[str]:
    """A triangle inside the bore and a stub outside, which meet where the sensor's middle belongs; name at `depth`."""
    angle = math.tau * mark.slot / slots + mark.offset / radius
    length = min(5.0, 0.3 * radius)
    corners = (
        _at(radius, angle),
        _at(radius - length, angle - 2.0 / radius),
        _at(radius - length, angle + 2.0 / radius),
    )
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in corners)
    dashed = ' stroke-dasharray="0.7 0.7"' if mark.other else ""
    x, y = _at(max(radius - depth, 0.4 * radius), angle)
    name = [] if mark.other else [_text(x, y + 1.5, f"S{mark.name}", 4.2, "middle", 700)]
    # The stub outside stays on the ring when the disc is cut away.
    stub = _line(
        *_at(radius, angle), *_at(radius + 3.5, angle), 0.3 if mark.other else 0.9, dashed and "0.7 0.7"
    )
    return [f'<polygon points="{points}" stroke="#000" stroke-width="0.3"{dashed} fill="none"/>', stub, *name]


def drawing(slots: int, bore: float, marks: Sequence[Mark]) -> str:
    """The bore and all that sits about it, its middle at 0, 0; numbers run clockwise, forward is clockwise."""
    radius = bore / 2.0
    body = [
        f'<circle cx="0" cy="0" r="{radius:.3f}" stroke="#000" stroke-width="0.25" fill="none"/>',
        _line(-6, 0, 6, 0),
        _line(0, -6, 0, 6),
        *_slots(slots, radius, {mark.slot for mark in marks}),
    ]
    named = sorted((mark for mark in marks if not mark.other), key=lambda mark: mark.slot)
    depth = 10.0
    for last, mark in zip([None, *named], named, strict=False):
        close = last is not None and (mark.slot - last.slot) * math.tau / slots * (radius - 10.0) < 8.0
        depth = 15.0 if close and depth == 10.0 else 10.0
        body += _sensor(mark, slots, radius, depth)
    for mark in marks:
        if mark.other:
            body += _sensor(mark, slots, radius, 10.0)
    # Forward rotation: an arrow below the middle, where sensors seldom are.
    inner = 0.5 * radius
    start, end = _at(inner, math.pi - 0.6), _at(inner, math.pi + 0.6)
    body.append(
        f'<path d="M{start[0]:.3f} {start[1]:.3f}A{inner:.3f} {inner:.3f} 0 0 1 {end[0]:.3f} {end[1]:.3f}" '
        'stroke="#000" stroke-width="0.4" fill="none"/>'
    )
    for reach in (inner + 1.6, inner - 1.6):
        body.append(_line(*_at(reach, math.pi + 0.6 - 3.5 / inner), *end, 0.4))
    body.append(_text(0, inner - 4.5, "forward", 3.4, "middle"))
    return "".join(body)


def _windows(size: float, room: float) -> list[float]:
    """Where the sheets begin along one side of a drawing of this size, its middle at 0."""
    count = max(1, math.ceil((size - OVERLAP) / (room - OVERLAP) - 1e-9))
    span = count * room - (count - 1) * OVERLAP
    return [-span / 2.0 + k * (room - OVERLAP) for k in range(count)]


def _crosses(columns: Sequence[float], rows: Sequence[float]) -> str:
    """Crosses along the middle of every seam, each named by where it is, so that two sheets show the same ones."""
    seams_x, seams_y = ([start + OVERLAP / 2.0 for start in starts[1:]] for starts in (columns, rows))
    reach = max(-columns[0], -rows[0])
    steps = [STEP * k for k in range(-math.floor(reach / STEP), math.floor(reach / STEP) + 1)]
    spots = sorted({(x, y) for x in seams_x for y in steps} | {(x, y) for x in steps for y in seams_y})
    return "".join(
        _line(x - 2, y, x + 2, y, 0.15)
        + _line(x, y - 2, x, y + 2, 0.15)
        + _text(x + 0.6, y - 0.6, f"{x:g}/{y:g}", 1.8)
        for x, y in spots
    )


def sheets(
    uid: str, name: str, slots: int, bore: float, marks: Sequence[Mark], words: Sequence[str], stamp: str = ""
) -> list[str]:
    """The template's sheets as SVG texts, each WIDTH by HEIGHT mm.

    name: of the build. bore in mm. words: what is said at the head of each sheet, in seven lines of LINE characters at
    most. stamp: said in bold there.
    """
    size = bore + 2.0 * BEYOND
    columns, rows = _windows(size, WIDTH), _windows(size, ROOM)
    picture = drawing(slots, bore, marks) + _crosses(columns, rows)
    total, found = len(columns) * len(rows), []
    told = _told(slots, bore, marks)
    for row, top in enumerate(rows):
        for column, left in enumerate(columns):
            number = row * len(columns) + column + 1
            of = f", sheet {number} of {total}: row {row + 1}, column {column + 1}" if total > 1 else ""
            body = [_text(EDGE, 5, f"{name}: sensor template{of}", 4.6, weight=700)]
            body += [_text(WIDTH - EDGE, 5, stamp, 4.6, "end", 700)] if stamp else []
            lines = [line for word in words for line in wrap(word, LINE)]
            body += [_text(EDGE, 10.5 + 4.4 * k, line, 3.2) for k, line in enumerate(lines)]
            found.append(
                _sheet(f"{uid}-{number}", f"Sensor template{of}", body, left, top, picture, told, total > 1)
            )
    return found


def _told(slots: int, bore: float, marks: Sequence[Mark]) -> str:
    """What the drawing shows, for those who don't see it."""
    places = (
        f"{mark.name} at slot {mark.slot}, {math.degrees(math.tau * mark.slot / slots + 2.0 * mark.offset / bore):.4g}°"
        for mark in marks
        if not mark.other
    )
    return (
        f"A circle of {bore:.4g} mm with a tick for each of {slots} slots. Sensors, clockwise from slot 0 at the top, "
        f"seen from the slip-ring end: {'; '.join(places)}. Below it a rule of 50 mm."
    )


def _sheet(
    uid: str, title: str, head: Sequence[str], left: float, top: float, picture: str, told: str, cut: bool
) -> str:
    """One sheet: head, the part of the drawing in its window, the line to cut along, and the rule."""
    window = f'x="{left:.3f}" y="{top:.3f}" width="{WIDTH:g}" height="{ROOM:g}"'
    frame = (
        f'<rect {window} stroke="#000" stroke-width="0.3" stroke-dasharray="3 2" fill="none"/>' if cut else ""
    )
    y = HEIGHT - 8.0
    foot = [
        _line(EDGE, y, EDGE + RULE, y, 0.3),
        *(
            _line(EDGE + 10.0 * k, y - d, EDGE + 10.0 * k, y + d, 0.2)
            for k, d in enumerate((3, 1.5, 1.5, 1.5, 1.5, 3))
        ),
        _text(
            RULE + 5,
            y - 2.4,
            "50 mm from end mark to end mark. If your ruler says otherwise, print again",
            3.2,
        ),
        _text(
            RULE + 5, y + 2.0, "at 100 %, without “fit to page”. Then lay the circle against the bore.", 3.2
        ),
    ]
    return (
        f'<svg class="t-sheet" xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-family="sans-serif" role="img" '
        f'aria-labelledby="{uid}-t" aria-describedby="{uid}-d">'
        f'<title id="{uid}-t">{escape(title)}</title><desc id="{uid}-d">{escape(told)}</desc>'
        f"{''.join(head)}"
        f'<clipPath id="{uid}-c"><rect {window}/></clipPath>'
        f'<g transform="translate({-left:.3f} {HEAD - top:.3f})" clip-path="url(#{uid}-c)">{picture}{frame}</g>'
        f"{''.join(foot)}</svg>"
    )
