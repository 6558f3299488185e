"""Where a limit binds on a ride: runs of stretches, each with what was wanted and what was had."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.quantities import Array
from calc.vehicle.walk import charge_ends

HELD: dict[str, str] = {
    "battery limit": "battery current limit",
    "phase limit": "phase current limit",
    "voltage": "all volts used",
    "stands": "full throttle doesn't move it",
}
PROTECTION = "protection opens"
CUTOFF = "controller cuts out"
CELLS = "cells below their least"
RESERVE = "charge below the reserve"
DRIVEN = "the slope drives the machine"


def _masks(v: Values) -> list[tuple[str, Array]]:
    """Each limit's name, and on which pieces of the ride it binds."""
    w, entered = v["walk"], v.build.entered
    limits = np.array(w.limit)
    masks = [(name, limits == word) for word, name in HELD.items()]
    if "pack_current_limit" in entered:
        masks.append((PROTECTION, w.current > v["pack_current_limit"]))
    if "controller_voltage_cutoff" in entered:
        masks.append((CUTOFF, w.voltage < v["controller_voltage_cutoff"]))
    return [*masks, (CELLS, w.voltage < v["voltage_min"]), (DRIVEN, w.drives)]


def places(v: Values) -> list[dict[str, Any]]:
    """Where which limit binds: each run of stretches, the slowest speed there, and the worst of the pack.

    Beyond the reserve nothing else is told: nobody should be riding there.
    """
    w = v["walk"]
    end = w.start + w.length
    ends = charge_ends(w, float(v["reserve_charge"]))
    told = np.ones(len(end), dtype=bool) if ends is None else w.start < ends
    rows = []
    for name, where in _masks(v):
        mask = where & told
        turns = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(int)))
        for first, after in turns.reshape(-1, 2):
            run = slice(first, after)
            slowest = first + int(np.argmin(w.speed[run] / w.wanted[run]))
            rows.append(_row(v, name, float(w.start[first]), float(end[after - 1]), slowest, run))
    if ends is not None:
        first = int(np.searchsorted(end, ends))
        first = min(first, len(end) - 1)
        rows.append(_row(v, RESERVE, ends, float(end[-1]), first, slice(first, len(end))))
    return sorted(rows, key=lambda row: float(row["start"]))


def _row(v: Values, name: str, start: float, end: float, slowest: int, run: slice) -> dict[str, Any]:
    w = v["walk"]
    return {
        "start": start,
        "end": end,
        "limit": name,
        "speed_wanted": float(w.wanted[slowest]),
        "speed": 0.0 if w.limit[slowest] == "stands" else float(w.speed[slowest]),
        "slope": float(w.slope[slowest]),
        "current": float(w.current[run].max()),
        "voltage": float(w.voltage[run].min()),
    }
