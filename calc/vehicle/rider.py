"""How fast it may go with whom: stopping, bends and supervision, for each rider of the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np

from calc.quantities import Fraction, Metre, MetrePerSecond, Number
from calc.standards import column

Rows: TypeAlias = Sequence[Sequence[Any]]
WALK, JOG, NO_LIMIT = 5 / 3.6, 8 / 3.6, 100 / 3.6
"""Walking and jogging pace, and what stands for no limit, m/s (common practice, no source)."""
BEND_SHARE = 0.5
"""Part of what tips or slides in a bend that riders should use (common practice, no source)."""
THUMB, THUMB_REACH = 0.065, 0.2
"""Slots no longer than the first stop a hand at the thumb, m: the second is enough. Source: [iso13857] table 4"""
SOLID, ARM = 1e-4, 0.85
"""An opening no wider is none, m; and how far an arm reaches through the widest, m. Source: [iso13857] table 4"""
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


def rides_down(watched: str) -> bool:
    """Whether a rider takes a slope down by the brakes alone: with somebody beside, a helper's hand is at the brake.

    Source: [method-vehicle] #rider
    """
    return watched != "beside"


def rider_share(
    riders: Rows,
    riders_caps: list[MetrePerSecond],
    built_speed: MetrePerSecond,
    descent_speed: MetrePerSecond,
) -> Fraction:
    """Cap over the fastest that it goes, for the rider with the least of it; 1 or more is right.

    That is what the machine reaches, or, with who rides down a slope, what brakes and rider let it run to there.

    Source: [method-vehicle] #rider
    """
    shares = []
    for (_, watched, _), cap, reached in zip(
        riders, riders_caps, set_speeds(riders, built_speed), strict=True
    ):
        fastest = np.maximum(reached, descent_speed) if rides_down(watched) else reached
        shares.append(cap / np.maximum(fastest, 0.1))
    return np.min(np.broadcast_arrays(*shares), axis=0)


def told_caps(
    riders: Rows, riders_caps: list[MetrePerSecond], descent_speed: MetrePerSecond
) -> list[MetrePerSecond]:
    """What each rider is told to be the most anywhere, m/s: the cap, no more than was judged downhill, and no more than
    the limit that is set.

    Source: [method-vehicle] #rider
    """
    most = [descent_speed if limit is None else np.minimum(limit, descent_speed) for *_, limit in riders]
    return [np.minimum(cap, one) for cap, one in zip(riders_caps, most, strict=True)]


def teeth_for(driven_teeth: Number, built_speed: MetrePerSecond, cap: MetrePerSecond) -> float:
    """Teeth on the axle's sprocket with which the top speed comes down to the cap, in proportion, rounded up.

    Source: [method-vehicle] #rider
    """
    return float(np.ceil(driven_teeth * built_speed / cap - 1e-9))


def stopping_faults(
    throttle_returns: str, stop_reach: str, dead_man: str, riders: Rows
) -> tuple[tuple[str, str], ...]:
    """What keeps rider or helper from stopping it, and what to do, in plain words; nothing where all is well.

    Common practice, no source; local rules come first.

    Source: [method-vehicle] #rider
    """
    found = []
    if throttle_returns == "no":
        text = "The throttle doesn't always shut by itself: it drives on when let go."
        found.append((text, "Nobody rides until it does, ten times of ten, pack off."))
    if stop_reach == "none":
        text = "Nobody reaches an emergency stop that opens traction and field."
        found.append((text, "Fit one in reach of the rider and of whoever walks beside."))
    if stop_reach == "rider" and any((kind, watched) != ("grown", "alone") for kind, watched, _ in riders):
        text = "Whoever walks beside doesn't reach the emergency stop."
        found.append((text, "A second button at the side or a cord that opens it."))
    if dead_man == "no" and any(kind != "grown" for kind, *_ in riders):
        text = "Nothing stops the drive when a learner or a child falls off."
        found.append(
            (text, "A cord from wrist to emergency stop, or a seat switch; tried with the pack off.")
        )
    return tuple(found)


def stoppable(throttle_returns: str, stop_reach: str, dead_man: str, riders: Rows) -> Number:
    """1 where nothing keeps rider or helper from stopping it, else 0.

    Source: [method-vehicle] #rider
    """
    return float(not stopping_faults(throttle_returns, stop_reach, dead_man, riders))


def stoppable_told(throttle_returns: str, stop_reach: str, dead_man: str, riders: Rows) -> str:
    """What stops it, or what keeps it from being stopped, in plain words.

    Source: [method-vehicle] #rider
    """
    faults = " ".join(text for text, _ in stopping_faults(throttle_returns, stop_reach, dead_man, riders))
    return (
        faults
        or "The throttle shuts by itself; rider and helper reach the emergency stop; a fall stops it where it has to."
    )


def stand_off(guard_opening: Metre, guard_shape: str, slot_length: Metre) -> Metre:
    """How far behind an opening of a guard anything that moves must be, m, for persons of 14 and older.

    Validity: openings up to 120 mm.

    Source: [iso13857] table 4
    """
    steps, reaches = (np.array(column("finger_reach", f"{name}_mm")) for name in ("opening", guard_shape))
    row = np.searchsorted(steps, np.asarray(guard_opening) * 1000.0 - 1e-9)
    reach = reaches[np.minimum(row, len(steps) - 1)] / 1000.0
    thumb = (guard_shape == "slot") & (np.asarray(slot_length) <= THUMB + 1e-9)
    reach = np.where(thumb, np.minimum(reach, THUMB_REACH), reach)
    return np.where(np.asarray(guard_opening) <= SOLID, 0.0, reach)


def guard_needed(stand_off: Metre, guard_opening: Metre, riders: Rows) -> Metre:
    """How far behind a guard what moves has to be with these riders, m, no less than a millimetre.

    The table is for persons of 14 and older; a child's hand is thinner and reaches further, so with children an opening
    counts as one that an arm goes through.

    Source: [method-vehicle] #rider
    """
    child = any(kind == "child" for kind, *_ in riders)
    needed = np.where(np.asarray(guard_opening) > SOLID, ARM, 0.0) if child else stand_off
    return np.maximum(needed, 1e-3)


def guard_given(guard_distance: Metre, guard_opening: Metre) -> Metre:
    """How far behind a guard what moves is, m; behind a solid one it counts as out of an arm's reach.

    Source: [method-vehicle] #rider
    """
    return np.where(np.asarray(guard_opening) > SOLID, guard_distance, ARM)


def guard_told(guard_distance: Metre, guard_opening: Metre, guard_needed: Metre) -> str:
    """How far behind a guard what moves is, and has to be, in plain words.

    Source: [method-vehicle] #rider
    """
    if guard_opening <= SOLID:
        return "A solid cover: nothing can be reached through it."
    return (
        f"{1000.0 * guard_distance:.4g} mm from the guard's opening to what moves; {1000.0 * guard_needed:.4g} mm are "
        "needed with these riders."
    )
