"""Holding it on a slope: the parking brake, and braking while it rolls back after a start that failed.

`slope` is the steepest, rise over run. The motor never counts as a brake.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Acceleration, Fraction, Kilogram, Metre, Newton, Number
from calc.vehicle.road import GRAVITY, along, grade_force

PARKING_SPARE = 1.5
"""What a parking brake should hold over what the slope pulls with (common practice, no source)."""
LEAST_PULL = 1.0
"""What level ground counts as pulling with, N, so that what is in hand stays a number (a choice)."""


def parking_grip(
    parking_axle: str,
    braked_wheels: str,
    slope: Fraction,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    total_mass: Kilogram,
    grip: Number,
) -> Newton:
    """Force that the tyres of the parking brake's axle hold, N, nose up or nose down, whichever is less.

    Standing, the rear carries (cos θ·(w − a) ± sin θ·h)/w, more with the nose up; the front the rest.

    Source: [method-vehicle] #parking
    """
    cosine, sine = along(slope)
    rear = (cosine * (wheelbase - cog_from_axle) - sine * cog_height) / wheelbase
    front = (cosine * cog_from_axle - sine * cog_height) / wheelbase
    loads = {"rear": rear, "front": front, "both": cosine}
    share = np.maximum(loads[parking_axle], 0.0) * (0.5 if braked_wheels == "one" else 1.0)
    return grip * total_mass * GRAVITY * share


def parking_needed(total_mass: Kilogram, slope: Fraction) -> Newton:
    """Force that a parking brake has to hold, N: m·g·sin θ of the steepest slope, no less than a newton on the level.

    Source: [method-vehicle] #parking
    """
    return np.maximum(grade_force(total_mass, slope), LEAST_PULL)


def parking_wanted(parking_needed: Newton) -> Newton:
    """Force that a parking brake should hold, N: half as much again as the slope pulls with.

    Source: [method-vehicle] #parking
    """
    return PARKING_SPARE * parking_needed


def parking_held(parking_force: Newton, parking_grip: Newton) -> Newton:
    """Force that the parking brake holds on the slope, N: as pulled on the level, no more than its tyres hold there.

    Source: [method-vehicle] #parking
    """
    return np.minimum(parking_force, parking_grip)


_REAR = {"none": 0.0, "front": 0.0, "rear": 1.0, "both": 1.0}
"""Part of a brake's force that may work at the rear while nobody measured the split."""


def rear_braking(deceleration: Acceleration, braked_axle: str) -> Acceleration:
    """What the working brake may give at the rear wheels, m/s²: all that was tried, unless it acts in front alone.

    Source: [method-vehicle] #rolling-back
    """
    return _REAR[braked_axle] * deceleration


def rear_braking_split(
    deceleration: Acceleration, braked_axle: str, front_brake_share: Fraction
) -> Acceleration:
    """The same where the split between the axles was measured, m/s².

    Source: [method-vehicle] #rolling-back
    """
    shared = 1.0 - front_brake_share if braked_axle == "both" else _REAR[braked_axle]
    return shared * deceleration


def no_second() -> Acceleration:
    """What a second brake adds at the rear while none was tried, m/s².

    Source: [method-vehicle] #rolling-back
    """
    return 0.0


def rear_second(second_deceleration: Acceleration, second_axle: str) -> Acceleration:
    """What the second brake adds at the rear wheels, m/s².

    Source: [method-vehicle] #rolling-back
    """
    return _REAR[second_axle] * second_deceleration


def back_lift(slope: Fraction, cog_from_axle: Metre, cog_height: Metre) -> Acceleration:
    """Braking, as force over mass, that lifts the front wheels while it rolls backwards down the slope, m/s²:
    g·cos θ·a/h. The force holds the slope as well as slowing it, so that the slope itself hardly counts.

    Source: [method-vehicle] #rolling-back
    """
    return GRAVITY * along(slope)[0] * cog_from_axle / cog_height


def back_braking(
    rear_braking: Acceleration, rear_second: Acceleration, braked_wheels: str, slope: Fraction, grip: Number
) -> Acceleration:
    """Braking that the rear wheels give at most, m/s²: both brakes pulled, all of the weight on the rear tyres, which
    is how they stand when the front lifts; no less than 0.01. More than `back_lift`, and it goes over backwards.

    With front brakes too, the front's force is nothing there, because no load is left on it.

    Source: [method-vehicle] #rolling-back
    """
    held = GRAVITY * grip * along(slope)[0] * (0.5 if braked_wheels == "one" else 1.0)
    return np.maximum(np.minimum(rear_braking + rear_second, held), 0.01)
