"""A solid axle in a turn: both wheels turn alike, so their tyres slide, and the steering has to force it round."""

from __future__ import annotations

import numpy as np

from calc.quantities import Fraction, Kilogram, Metre, Newton, Nm, Number
from calc.vehicle.road import GRAVITY


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
