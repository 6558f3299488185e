"""Figures of leads and sensors: torque over a turn, and where a fed rotor stands."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.figures.svg import DASHES, Curve, circle, figure, line, path, plot, text
from calc.machine import leads
from calc.machine.leads import Arrangement, Table


def lead_torque(
    uid: str,
    places: tuple[float, ...],
    table: Table,
    shown: Sequence[tuple[str, Arrangement]],
    wired: bool = True,
) -> str:
    """Torque over a turn of several arrangements, each under its name, for sensors that switch on at `places`.

    wired: whether leads and sensors are told, as they are where the table is the reader's own or the usual one.
    """
    curves = []
    for dash, (name, one) in enumerate(shown):
        points = leads.over_turn(places, table, one, 10)
        turned = [(math.degrees(angle), torque) for angle, torque in points]
        curves.append(Curve(turned, name, dash % len(DASHES)))
    words = "; ".join(
        f"{name}{f' (leads {one.phase_order}, sensors {one.sensor_order})' if wired else ''} lies between "
        f"{one.least:.2f} and {one.most:.2f}, mean {one.mean:.2f}"
        for name, one in shown
    )
    return plot(
        uid,
        "Torque over an electrical turn",
        f"In units of the peak: {words}.",
        "rotor angle, electrical degrees",
        "torque, share of the peak",
        curves,
    )


def lock_ring(uid: str, read: Sequence[tuple[str, float, str, bool | None]], places: Sequence[float]) -> str:
    """Where the rotor stood for each feed, with the lamps; dashed spokes where a sensor of the map switches.

    read: feed, angle (rad electrical), lamps, steady. places: where each sensor switches on, rad; empty if unknown.
    """
    size, radius = 360.0, 92.0
    centre = size / 2.0

    def at(angle: float, r: float) -> tuple[float, float]:
        return centre + r * math.sin(angle), centre - r * math.cos(angle)

    body = [circle(centre, centre, radius)]
    for number, place in enumerate(places, 1):
        for half, sign in ((0.0, "on"), (math.pi, "off")):
            body.append(line(*at(place + half, 26), *at(place + half, radius), "f-thin", DASHES[1]))
            x, y = at(place + half + 0.27, 68)
            body.append(text(x, y + 4, f"{number} {sign}", "middle"))
    words = []
    for feed, angle, lamps, steady in read:
        x, y = at(angle, radius)
        body.append(circle(x, y, 5, "f-ring" if steady is not False else "f-soft"))
        x, y = at(angle, radius + 34)
        body += [text(x, y, feed, "middle", "f-tag"), text(x, y + 15, lamps, "middle")]
        words.append(
            f"{feed} at {math.degrees(angle):.0f}°: {lamps}{' flickering' if steady is False else ''}"
        )
    top = at(0.0, radius + 4), at(0.0, radius + 12)
    body.append(path(top, "f-thin"))
    return figure(
        uid,
        "Where the rotor stood",
        "Electrical angle clockwise from the top, and the lamps there. " + "; ".join(words) + ".",
        size,
        size,
        body,
    )
