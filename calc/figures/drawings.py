"""Figures without axes: slots and sensors, lamps over a turn, bars of margins, windows and powers."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import box, circle, figure, line, text
from calc.units import show


def slot_map(uid: str, slots: int, sensor_slots: Sequence[int], pole_pairs: int) -> str:
    """The stator seen from the slip-ring end, slot 0 at the top, with the slots that hold sensors marked."""
    size, radius = 300.0, 96.0
    centre = size / 2
    body = [circle(centre, centre, radius + 20, "f-soft"), circle(centre, centre, radius)]
    names: dict[int, str] = {}
    for name, slot in zip("123", sensor_slots, strict=False):
        names[slot % slots] = names.get(slot % slots, "") + name
    for slot in range(slots):
        a = math.tau * slot / slots - math.pi / 2
        x, y = math.cos(a), math.sin(a)
        marked = slot in names
        body.append(
            line(
                centre + radius * x,
                centre + radius * y,
                centre + (radius + 11) * x,
                centre + (radius + 11) * y,
                "f-mark" if marked else "f-thin",
            )
        )
        if marked:
            body.append(
                text(
                    centre + (radius - 14) * x, centre + (radius - 14) * y + 4, names[slot], "middle", "f-tag"
                )
            )
            body.append(text(centre + (radius + 33) * x, centre + (radius + 33) * y + 4, str(slot), "middle"))
    body += [
        text(centre, centre - 4, f"{slots} slots", "middle"),
        text(centre, centre + 13, f"{2 * pole_pairs} poles", "middle"),
    ]
    where = ", ".join(str(s) for s in sensor_slots)
    return figure(
        uid,
        "Slot map",
        f"A ring of {slots} slots seen from the slip-ring end; the sensors sit in slots {where}.",
        size,
        size,
        body,
    )


def _code(row: dict[str, object]) -> str:
    return "".join(str(row[f"sensor_{number}"]) for number in (1, 2, 3))


def _lit(rows: Sequence[dict[str, object]], starts: Sequence[float], lamp: str) -> list[tuple[float, float]]:
    """Where a lamp is on, in degrees, steps that follow each other joined."""
    spans: list[tuple[float, float]] = []
    for k, row in enumerate(rows):
        if row[lamp]:
            joined = bool(spans) and spans[-1][1] == starts[k]
            spans[-1 if joined else len(spans) :] = [(spans[-1][0] if joined else starts[k], starts[k + 1])]
    return spans


def lamps(uid: str, rows: Sequence[dict[str, object]]) -> str:
    """What three lamps show over one electrical turn: a bar where a lamp is on, the code under each step."""
    width, left, right, band = 480.0, 64.0, 20.0, 34.0
    scale = (width - left - right) / 360.0
    body = []
    starts = [math.degrees(float(str(r["angle"]))) for r in rows] + [360.0]
    for number in range(3):
        y = 14 + number * band
        body += [text(10, y + 16, f"lamp {number + 1}"), line(left, y + 22, width - right, y + 22, "f-soft")]
        for start, end in _lit(rows, starts, f"sensor_{number + 1}"):
            body.append(box(left + start * scale, y + 4, (end - start) * scale, 18))
    floor = 14 + 3 * band
    for k, row in enumerate(rows):
        x = left + starts[k] * scale
        code = _code(row)
        body.append(line(x, 10, x, floor + 4, "f-grid"))
        if (starts[k + 1] - starts[k]) * scale > 24:
            body.append(text(left + (starts[k] + starts[k + 1]) / 2 * scale, floor + 18, code, "middle"))
    for degrees in range(0, 361, 60):
        body.append(text(left + degrees * scale, floor + 36, f"{degrees}°", "middle"))
    codes = ", ".join(_code(row) for row in rows)
    return figure(
        uid,
        "What three lamps show",
        f"Over one electrical turn the lamps 1 2 3 go through {codes}.",
        width,
        floor + 46,
        body,
    )


def duty_powers(
    uid: str, duty: Sequence[Sequence[float]], powers: Sequence[float], field_power: float
) -> str:
    """Power from the cells in each row of a ride; the field's part is the dark end of each bar."""
    width, left, right = 480.0, 168.0, 64.0
    most = max(max(powers), 1e-9)
    body, words = [], []
    for number, ((speed, slope, share), power) in enumerate(zip(duty[:12], powers, strict=False)):
        y = 12 + number * 34
        name = f"{show(speed, 'km/h')}, {show(slope, 'percent')}, {show(share, 'percent')}"
        scale = (width - left - right) / most
        body += [
            text(8, y + 15, name),
            box(left, y, power * scale, 20),
            box(left, y, min(field_power, power) * scale, 20, "f-fill"),
            text(left + power * scale + 6, y + 15, show(power, "W")),
        ]
        words.append(f"{name} of the time: {show(power, 'W')}")
    return figure(
        uid,
        "Power in each part of the ride",
        "; ".join(words) + f". The field takes {show(field_power, 'W')} of each.",
        width,
        12 + 34 * min(len(duty), 12),
        body,
    )


def percent(margin: float) -> str:
    """A margin in per cent, with words where its digits would say nothing."""
    return "far above" if margin > 9.995 else f"{'+' if margin >= 0 else '−'}{abs(margin) * 100:.0f} %"


def margins(uid: str, rows: Sequence[tuple[str, str, float]]) -> str:
    """Margin of each check as a bar from the line of zero: to the right is in hand, to the left is missing.

    Bars end at 100 % on either side: what counts is the way to zero, and the names need the room.
    """
    width, left, scale = 480.0, 288.0, 60.0
    middle = left + scale
    marks = {"ok": "○", "caution": "△", "stop": "■"}
    body = [line(middle, 4, middle, 12 + 28 * len(rows), "f-thin")]
    for number, (name, severity, margin) in enumerate(rows):
        y = 10 + number * 28
        shown = max(-1.0, min(margin, 1.0))
        start, end = sorted((middle, middle + shown * scale))
        body += [
            text(8, y + 14, f"{marks[severity]} {name}"),
            box(start, y + 2, max(end - start, 1.5), 16, "f-box" if margin >= 0 else "f-fill"),
            text(
                end + 6 if margin >= 0 else middle + 6,
                y + 14,
                percent(margin),
            ),
        ]
    least, _, margin = min(rows, key=lambda row: row[2])
    words = f"A bar for each check, as listed above. Least is {least}, {percent(margin)}."
    return figure(uid, "Margins", words, width, 16 + 28 * len(rows), body)
