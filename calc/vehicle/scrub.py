"""A solid axle in a turn: both wheels turn alike, so their tyres slide, and the steering has to force it round."""

from __future__ import annotations

import numpy as np

from calc.quantities import Fraction, Kilogram, Metre, Newton, Nm, Number
from calc.vehicle.road import GRAVITY

MUCH_STEERING = 0.5
"""Share of the front tyres' grip from which a solid axle is felt (common practice, no source)."""


def pair_driven(driven_wheels: str, driven_axle: str, wheels: str, single_wheel: str) -> bool:
    """Whether both wheels of an axle are driven alike: not with one driven wheel of two, nor where three wheels drive
    by the single one.

    Source: [method] #scrub
    """
    return driven_wheels == "two" and not (wheels == "3" and single_wheel == driven_axle)


def slide_share(track: Metre, turn_radius: Metre) -> Fraction:
    """Part of the way that each of the two tyres slides, forward on one side and backward on the other: t/(2·R).

    Source: [method] #scrub
    """
    return track / (2.0 * turn_radius)


def scrub_moment(total_mass: Kilogram, grip: Number, driven_share: Fraction, track: Metre) -> Nm:
    """Moment about the upright with which a solid axle resists the turn, N·m: grip · axle load · t/2.

    Both tyres slide, each with half of the axle's load, on a lever of half the track. Validity: a slow tight turn on
    firm ground, each tyre sliding by some 5 per cent of its way or more; in a wider turn rubber gives way and it is
    less. Pulling at the same time lessens it too, so this is the most it can be.

    Source: [method] #scrub
    """
    return grip * total_mass * GRAVITY * driven_share * track / 2.0


def scrub_force(scrub_moment: Nm, turn_radius: Metre) -> Newton:
    """Force at the rim that the sliding costs, N: moment over the radius of the turn.

    Source: [method] #scrub
    """
    return scrub_moment / turn_radius


def steering_share(
    total_mass: Kilogram,
    grip: Number,
    front_share: Fraction,
    scrub_moment: Nm,
    wheelbase: Metre,
    turn_radius: Metre,
) -> Fraction:
    """Part of the front tyres' grip that forcing a solid rear axle round takes: 1 or more, and it runs straight on.

    The front tyres push sideways across their own way, w·cos δ off the axle with tan δ = w/R.

    Source: [method] #scrub
    """
    cosine = turn_radius / np.hypot(turn_radius, wheelbase)
    held = grip * total_mass * GRAVITY * np.maximum(front_share, 1e-6)
    return scrub_moment / (wheelbase * cosine * held)


def steering_taken(
    track: Metre,
    turn_radius: Metre,
    wheelbase: Metre,
    cog_from_axle: Metre,
    driven_axle: str,
    driven_wheels: str,
    wheels: str,
    single_wheel: str,
) -> Fraction:
    """Part of the front tyres' grip that a solid rear axle takes in the tightest turn on the level; 0 without one.

    Mass and grip fall out: t·N_rear/(2·w·cos δ·N_front). Validity: as for the moment; the most it can be.

    Source: [method] #scrub
    """
    if driven_axle == "front" or not pair_driven(driven_wheels, driven_axle, wheels, single_wheel):
        return 0.0 * track
    front = cog_from_axle / wheelbase
    moment = scrub_moment(1.0, 1.0, np.maximum(1.0 - front, 0.0), track)
    return steering_share(1.0, 1.0, front, moment, wheelbase, turn_radius)


def much_steering() -> Fraction:
    """Part of the front tyres' grip from which a solid axle is felt.

    Source: [method] #scrub
    """
    return MUCH_STEERING
