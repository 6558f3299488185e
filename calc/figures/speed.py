"""Torque over speed: this build, and other ways to feed, connect and time it."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from calc.figures.svg import Curve, plot
from calc.units import from_si, show


def _rpm(value: Any) -> float:
    return float(from_si(value, "rpm"))


def torque_speed(uid: str, rows: list[dict[str, Any]]) -> str:
    """Torque at full throttle, and what the direct-current formula promises, over speed in rpm."""
    solved = [(_rpm(row["speed"]), row["torque"]) for row in rows]
    most = max(row["torque"] for row in rows)
    promised = [
        (_rpm(r["speed"]), min(r["direct_current"], 1.6 * most)) for r in rows if r["direct_current"] > 0
    ]
    above = all(row["direct_current"] >= row["torque"] for row in rows)
    lies = (
        "lies above it all along" if above else "lies above it only in part: early switching goes beyond it"
    )
    corners = [
        (_rpm(after["speed"]), after["torque"], after["limit"])
        for before, after in pairwise(rows)
        if before["limit"] != after["limit"]
    ][:3]
    return plot(
        uid,
        "Torque over speed at full throttle",
        f"From {show(rows[0]['torque'], 'N*m')} at a crawl the torque comes to {show(rows[-1]['torque'], 'N*m')} at "
        f"{show(rows[-1]['speed'], 'rpm')}. The direct-current formula {lies}.",
        "speed, rpm",
        "torque, N·m",
        [
            Curve(solved, "this machine"),
            *([Curve(promised, "direct-current formula", 1)] if len(promised) > 1 else []),
        ],
        corners,
    )


def torque_ways(uid: str, sweeps: Any) -> str:
    """Torque over speed of the other connection, the weakest field and more advance beside the present."""
    lines = [sweeps.main, sweeps.connections[1]]
    names = [sweeps.connections[0].name, sweeps.connections[1].name]
    if sweeps.fields:
        lines.append(sweeps.fields[0])
        names.append(f"field {show(sweeps.fields[0].field_current, 'A', 2)}")
    lines.append(sweeps.advances[2])
    names.append(sweeps.advances[2].name)
    curves, beyond = [], []
    for dash, (line, name) in enumerate(zip(lines, names, strict=True)):
        good = np.isfinite(line.found.torque) & (line.speed <= line.ends)
        points = [(_rpm(s), float(t)) for s, t in zip(line.speed[good], line.found.torque[good], strict=True)]
        if len(points) > 1:
            curves.append(Curve(points, name, dash))
        if line.stands < line.ends and points:
            at = float(np.interp(_rpm(line.stands), [x for x, _ in points], [y for _, y in points]))
            beyond.append((_rpm(line.stands), at, "over the controller's volts"))
    return plot(
        uid,
        "Other ways to connect, feed and time it",
        "; ".join(
            f"{name} {'ends' if line.closed else 'still pulls'} at {show(line.ends, 'rpm')}"
            for line, name in zip(lines, names, strict=True)
        )
        + "."
        + (
            " Rings: from there on the machine's own volts are more than the controller stands."
            if beyond
            else ""
        ),
        "speed, rpm",
        "torque, N·m",
        curves,
        beyond,
    )


def efficiency_map(uid: str, most: list[tuple[float, float]], parts: list[dict[str, Any]]) -> str:
    """Shaft torque over speed (rad/s) under the full-throttle curve, with the efficiency at places in it."""
    loads = [key for key in parts[0] if key.startswith("load_")]
    places = [
        (_rpm(row["speed"]), row["most"] * float(key[5:]) / 100.0, f"{100.0 * row[key]:.0f}")
        for row in parts
        for key in loads
    ]
    best = max(places, key=lambda place: float(place[2]))
    return plot(
        uid,
        "Efficiency, percent, under the full-throttle curve",
        f"Best of the places tried: {best[2]} % at {best[0]:.0f} rpm with {best[1]:.1f} N·m at the shaft. It falls "
        "towards slow and towards light running.",
        "speed, rpm",
        "torque at the shaft, N·m",
        [Curve([(_rpm(speed), torque) for speed, torque in most], "full throttle")],
        places,
    )
