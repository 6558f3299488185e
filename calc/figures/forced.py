"""Figure of a forced start: field and rotor over time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.figures.svg import Curve, plot
from calc.quantities import Array
from calc.units import show

TURNS = 6.0  # of the field that are drawn: enough to see who follows
POINTS = 180
SEEN = {"yes": "follows", "slips": "slips behind", "twitches": "twitches in one place"}


def forced_start(uid: str, times: Array, field: Array, rotors: Array, outcomes: Sequence[str]) -> str:
    """Electrical angle (rad) of the field and of the rotor on stand and ground (rows of rotors) over time (s).

    outcomes: yes, slips or twitches, of stand and ground.
    """
    turns = 2.0 * np.pi
    shown = max(int(np.searchsorted(field, TURNS * turns)), 2)
    every = max(shown // POINTS, 1)

    def drawn(angles: Array) -> list[tuple[float, float]]:
        ways = zip(times[:shown:every].tolist(), (angles[:shown:every] / turns).tolist(), strict=True)
        return [(0.0, float(angles[0] / turns)), *ways]

    stand, ground = (SEEN[word] for word in outcomes)
    return plot(
        uid,
        "Field and rotor over time",
        f"In {show(float(times[min(shown, len(times)) - 1]), 's', 2)} the field makes "
        f"{show(float(field[min(shown, len(field)) - 1] / turns), '', 2)} electrical turns. The rotor {stand} on the "
        f"stand and {ground} on the ground.",
        "time, s",
        "angle, electrical turns",
        [
            Curve(drawn(field), "field", 2),
            Curve(drawn(rotors[0]), "on the stand", 1),
            Curve(drawn(rotors[1]), "on the ground"),
        ],
    )
