"""How fast it may go with whom: stopping, bends and supervision, for each rider of the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np

from calc.quantities import Fraction, Metre, MetrePerSecond, Number

Rows: TypeAlias = Sequence[Sequence[Any]]
WALK, JOG, NO_LIMIT = 5 / 3.6, 8 / 3.6, 100 / 3.6
"""Walking and jogging pace, and what stands for no limit, m/s (common practice, no source)."""
BEND_SHARE = 0.5
"""Part of what tips or slides in a bend that riders should use (common practice, no source)."""
THUMB, THUMB_REACH = 0.065, 0.2
"""Slots no longer than the first stop a hand at the thumb, m: the second is enough. Source: [iso13857] table 4"""
KIND_CAP = {"grown": NO_LIMIT, "learner": JOG, "child": WALK}
WATCH_CAP = {"alone": NO_LIMIT, "sight": NO_LIMIT, "beside": WALK}


def people_cap(kind: str, watched: str) -> MetrePerSecond:
    """What rider and supervision allow, m/s: a child never alone, a child at walking pace, a learner at a jog, and no
    faster than whoever walks beside. Common practice, no source; local rules come first.

    Source: [method-vehicle] #rider
    """
    return 0.0 if (kind, watched) == ("child", "alone") else min(KIND_CAP[kind], WATCH_CAP[watched])


def bend_cap(speed_cap: MetrePerSecond) -> MetrePerSecond:
    """Speed for the tightest bend with half of the pull at which it tips or slides, m/s.

    Source: [method-vehicle] #rider
    """
    return np.sqrt(BEND_SHARE) * speed_cap


def riders_caps(riders: Rows, sight_cap: MetrePerSecond, bend_cap: MetrePerSecond) -> list[MetrePerSecond]:
    """Cap of each rider, m/s: the least of stopping within the free way, the bend, and the people.

    Source: [method-vehicle] #rider
    """
    ground = np.minimum(sight_cap, bend_cap)
    return [np.minimum(ground, people_cap(kind, watched)) for kind, watched, _ in riders]


def set_speeds(riders: Rows, built_speed: MetrePerSecond) -> list[MetrePerSecond]:
    """Speed that the machine reaches with each rider on, m/s: the limit set for them, else its top speed.

    Source: [method-vehicle] #rider
    """
    return [built_speed if limit is None else np.minimum(limit, built_speed) for *_, limit in riders]


def rider_share(riders: Rows, riders_caps: list[MetrePerSecond], built_speed: MetrePerSecond) -> Fraction:
    """Cap over the speed that the machine reaches, for the rider with the least of it; 1 or more is right.

    Source: [method-vehicle] #rider
    """
    pairs = zip(riders_caps, set_speeds(riders, built_speed), strict=True)
    return np.min(np.broadcast_arrays(*(cap / np.maximum(speed, 0.1) for cap, speed in pairs)), axis=0)


def teeth_for(driven_teeth: Number, built_speed: MetrePerSecond, cap: MetrePerSecond) -> float:
    """Teeth on the axle's sprocket with which the top speed comes down to the cap, in proportion, rounded up.

    Source: [method-vehicle] #rider
    """
    return float(np.ceil(driven_teeth * built_speed / cap - 1e-9))


def stand_off(guard_opening: Metre, guard_shape: str, slot_length: Metre) -> Metre:
    """How far behind an opening of a guard anything that moves must be, m, for persons of 14 and older.

    Validity: openings up to 120 mm.

    Source: [iso13857] table 4
    """
    from calc.standards import column

    steps = column("finger_reach", "opening_mm")
    reaches = column("finger_reach", guard_shape + "_mm")
    mm = float(guard_opening) * 1000.0
    reach = next((r for step, r in zip(steps, reaches, strict=True) if mm <= step + 1e-9), reaches[-1])
    thumb = guard_shape == "slot" and float(slot_length) <= THUMB + 1e-9
    return min(reach / 1000.0, THUMB_REACH) if thumb else reach / 1000.0
