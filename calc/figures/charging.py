"""A charge over time, volts above amps, and the groups of a pack about their mean."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from calc.figures.svg import Curve, figure, line, path, plot, text, ticks
from calc.power.charge_time import Course
from calc.power.groups import GOOD, Groups
from calc.units import from_si, show

WIDTH, LEFT, RIGHT = 480.0, 58.0, 14.0
PANEL, TOP, GAP, BOTTOM = 130.0, 30.0, 34.0, 44.0
HEIGHT = TOP + 2 * PANEL + GAP + BOTTOM


def _panel(
    points: Sequence[tuple[float, float]],
    low: float,
    high: float,
    top: float,
    name: str,
    across: Callable[[float], float],
) -> list[str]:
    """One curve over time in a panel of its own, between `low` and `high`."""

    def up(y: float) -> float:
        return top + PANEL * (1.0 - (y - low) / (high - low))

    body = [text(8, top - 12, name)]
    for y in ticks(low, high, 6):
        body += [
            line(LEFT, up(y), WIDTH - RIGHT, up(y), "f-grid"),
            text(LEFT - 6, up(y) + 4, f"{y:.6g}", "end"),
        ]
    body.append(path([(LEFT, top), (LEFT, top + PANEL), (WIDTH - RIGHT, top + PANEL)], "f-thin"))
    body.append(path([(across(x), up(y)) for x, y in points], "f-line"))
    return body


def charge_course(uid: str, course: Course) -> str:
    """Volts and amps of a charge over time; the dashed line stands where the voltage is reached."""
    hours = [float(t) for t in from_si(course.times, "hour")]
    volts, amps = course.voltages.tolist(), course.currents.tolist()
    end, switch = max(hours[-1], 1e-6), float(from_si(course.constant_time, "hour"))

    def across(x: float) -> float:
        return LEFT + x / end * (WIDTH - LEFT - RIGHT)

    room = max(0.1 * (max(volts) - min(volts)), 0.1)
    lower = TOP + PANEL + GAP
    body = _panel(
        list(zip(hours, volts, strict=True)), min(volts) - room, max(volts) + room, TOP, "volts", across
    )
    body += _panel(list(zip(hours, amps, strict=True)), 0.0, 1.15 * max(amps), lower, "amps", across)
    for x in ticks(0.0, end):
        body.append(text(across(x), lower + PANEL + 16, f"{x:g}", "middle"))
    body.append(text(WIDTH - RIGHT, HEIGHT - 8, "hours", "end"))
    if 0.02 * end < switch < 0.98 * end:
        x = across(switch)
        body.append(line(x, TOP, x, lower + PANEL, "f-thin", "2 4"))
        side, shift = ("end", -6.0) if switch > 0.5 * end else ("start", 6.0)
        body.append(text(x + shift, lower - 12, "voltage reached", side, "f-tag"))
    return figure(
        uid,
        "A charge over time",
        f"Upper panel volts, from {show(volts[0], 'V')} to {show(volts[-1], 'V')}; lower panel amps. "
        f"{show(max(amps), 'A')} for {show(course.constant_time, 'hour')}, then the voltage is held for "
        f"{show(course.held_time, 'hour')} while the current falls to {show(amps[-1], 'A')}.",
        WIDTH,
        HEIGHT,
        body,
    )


def group_volts(uid: str, found: Groups) -> str:
    """Each group's distance from the mean in millivolts; the band is what good packs keep within."""
    mean = float(found.volts.mean())
    off = [1000.0 * (float(v) - mean) for v in found.volts]
    band, last = 500.0 * GOOD, len(off) + 1.0
    names = {found.lowest: f"lowest: {found.lowest}", found.highest: f"highest: {found.highest}"}
    return plot(
        uid,
        "Groups about their mean",
        f"The mean is {show(mean, 'V', 4)}. Group {found.lowest} is lowest, {show(found.spread, 'mV')} under group "
        f"{found.highest}, the highest.",
        "group, from the minus",
        "off the mean, mV",
        [
            Curve([(0.0, 0.0), (last, 0.0)], "mean"),
            Curve([(0.0, band), (last, band), (last, -band), (0.0, -band), (0.0, band)], "level", 2),
        ],
        [(float(number), y, names.get(number, "")) for number, y in enumerate(off, 1)],
    )
