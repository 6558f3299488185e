"""Where the rotor may rest: torque in each of the six sectors, and the worst place."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.build import Values
from calc.drive import positions
from calc.machine import alignment, edges
from calc.machine.leads import CODES

ON, OFF = "edge_on_delay", "edge_off_delay"
# Which sensor switches, and which way, where each of the six codes begins.
SWITCHES = {
    "120": ((0, ON), (2, OFF), (1, ON), (0, OFF), (2, ON), (1, OFF)),
    "60": ((0, ON), (1, ON), (2, ON), (0, OFF), (1, OFF), (2, OFF)),
}
ALIKE = 0.01  # sectors whose least torques are within this share of the peak count as alike


class Worst(NamedTuple):
    """The worst place: its torque (N·m), rotor angle (rad), and in words."""

    torque: float
    angle: float
    words: str


def _places(v: Values) -> tuple[float, ...]:
    """How late each sensor sits, rad: of its slot, and of what it is off that slot's middle."""
    if v.build.is_leaf("alignment_error"):
        errors: tuple[float, ...] = (float(v["alignment_error"]),) * 3
    else:
        winding = (int(v[key]) for key in ("slots", "pole_pairs", "coil_span", "layers"))
        errors = alignment.sensor_errors(*winding, v["connection"], tuple(v["sensor_slots"]))
    if {"sensor_offsets", "bore_diameter"} <= v.build.entered.keys():
        errors = edges.with_offsets(
            errors, v["sensor_offsets"], float(v["bore_diameter"]), float(v["pole_pairs"])
        )
    return errors


def edge_errors(v: Values) -> list[float]:
    """How late each of the six edges comes at standstill with current, rad."""
    places, shift = _places(v), float(v["start_shift"])
    return [places[sensor] + float(v[delay]) - shift for sensor, delay in SWITCHES[_spacing(v)]]


def _spacing(v: Values) -> str:
    return str(v["sensor_spacing"])


def _sectors(v: Values) -> list[positions.Sector]:
    return positions.sectors(float(v["emf_constant"]), float(v["start_current"]), edge_errors(v))


def table(v: Values) -> list[dict[str, Any]]:
    """Sector by sector: the lamps, from where to where, torque at both ends."""
    return [
        {"lamps": code, "begin": s.begin, "end": s.end, "first": s.first, "last": s.last}
        for code, s in zip(CODES[_spacing(v)], _sectors(v), strict=True)
    ]


def worst(v: Values) -> Worst:
    """The place with the least torque, by the lamps that show there."""
    found = _sectors(v)
    least = min(s.least for s in found)
    peak = np.sqrt(2.0) * float(v["emf_constant"]) * float(v["start_current"])
    low = [k for k, s in enumerate(found) if s.least <= least + ALIKE * peak]
    k = low[0]
    begins = found[k].first <= found[k].last
    both = abs(found[k].first - found[k].last) <= ALIKE * peak
    where = "at both its ends" if both else "where it begins" if begins else "where it ends"
    lamps = ", ".join(CODES[_spacing(v)][k] for k in low)
    words = f"every sector, {where}" if len(low) == 6 else f"lamps {lamps}, {where}"
    return Worst(float(least), float(found[k].begin if begins else found[k].end), words)


def words(v: Values) -> str:
    return worst(v).words


def curves(v: Values) -> tuple[Any, Any, Any]:
    """(angles, torques) with and without what the current and the thresholds do, and the worst place."""
    machine = float(v["emf_constant"]), float(v["start_current"])
    angles, torques = positions.along_turn(*machine, edge_errors(v))
    bare = positions.along_turn(*machine, [float(v["alignment_error"])] * 6)
    return (angles, torques), bare, worst(v)
