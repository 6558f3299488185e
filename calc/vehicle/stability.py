"""Tipping and sliding: on a side slope, in a corner, both at once.

A vehicle stands on a triangle or a rectangle; it tips about the edge that the pull at its centre of gravity reaches
first. Shares are of the weight m·g; slopes are rise over run.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Acceleration, Fraction, Metre, MetrePerSecond, Number, Radian
from calc.vehicle.road import GRAVITY, along

SIDE_SHARE = 0.5
"""Part of the side slope that tips or slides it which may be ridden along (common practice, no source)."""


def either() -> str:
    """Which of three wheels is the single one while nobody said: the worse counts.

    Source: [method-vehicle] #tipping
    """
    return "either"


def tip_share(
    wheels: str,
    single_wheel: str,
    wheelbase: Metre,
    track: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    forward: Number = 0.0,
    down: Number = 1.0,
) -> Fraction:
    """Pull to the side, as a share of the weight, at which the inner wheel lifts; never less than nothing.

    Four wheels: down·t/(2·h). Three: about the line from the single wheel to the outer one of the pair, which comes to
    t/(2·h) times the load on the pair, (down·(w − a) − forward·h)/w with the single wheel in front, (down·a +
    forward·h)/w with it behind. `forward` pulls towards the front (braking, nose down), `down` into the ground.
    Not said where the single wheel is: the lesser. Validity: rigid frame and tyres; a front axle that swings on a pin
    makes four wheels three.

    Source: [method-vehicle] #tipping
    """
    rear = (down * (wheelbase - cog_from_axle) - forward * cog_height) / wheelbase
    pairs = {"front": rear, "rear": down - rear, "either": np.minimum(rear, down - rear)}
    pair = down if wheels == "4" else pairs[single_wheel]
    return np.maximum(pair, 0.0) * track / (2.0 * cog_height)


def tip_angle(tip_share: Fraction) -> Radian:
    """Side slope at which it tips standing still and level lengthways, rad: atan of the share.

    Source: [method-vehicle] #tipping
    """
    return np.arctan(tip_share)


def tip_distance(
    wheels: str, single_wheel: str, wheelbase: Metre, track: Metre, cog_from_axle: Metre
) -> Metre:
    """Distance of the centre of gravity from the nearest edge it can tip about, seen from above, m.

    Source: [method-vehicle] #tipping
    """
    half, front = track / 2.0, wheelbase - cog_from_axle
    if wheels == "4":
        near = np.minimum(np.minimum(half, front), cog_from_axle)
    else:
        leg = half / np.hypot(wheelbase, half)
        delta, tadpole = np.minimum(leg * front, cog_from_axle), np.minimum(leg * cog_from_axle, front)
        near = {"front": delta, "rear": tadpole, "either": np.minimum(delta, tadpole)}[single_wheel]
    return np.maximum(near, 0.0)


def weakest_angle(tip_distance: Metre, cog_height: Metre) -> Radian:
    """Slope of the ground at which it tips standing, turned the worst way, rad: atan(distance/height).

    Source: [method-vehicle] #tipping
    """
    return np.arctan(tip_distance / cog_height)


def cornering_speed(share: Fraction, corner_radius: Metre) -> MetrePerSecond:
    """Speed at which a bend pulls to the side with that share of the weight, m/s: √(share·g·R).

    Source: [method-vehicle] #corner
    """
    return np.sqrt(np.maximum(share, 0.0) * GRAVITY * corner_radius)


def pulls(slope: Fraction, side_slope: Fraction) -> tuple[Number, Number, Number]:
    """Where the weight pulls on a slope and side slope at once, as shares: lengthways, sideways, into the ground.

    Source: [method-vehicle] #slopes
    """
    square = 1.0 + np.square(slope)
    normal = np.sqrt(square + np.square(side_slope))
    return slope / np.sqrt(square), side_slope / (normal * np.sqrt(square)), 1.0 / normal


def corner_tip_share(
    wheels: str,
    single_wheel: str,
    wheelbase: Metre,
    track: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    slope: Fraction,
    side_slope: Fraction,
) -> Fraction:
    """What a bend may still pull to the side before it tips, on a side slope that falls outwards, nose up or down,
    whichever is less; as a share of the weight.

    Source: [method-vehicle] #slopes
    """
    forward, side, down = pulls(slope, side_slope)
    frame = (wheels, single_wheel, wheelbase, track, cog_from_axle, cog_height)
    return np.minimum(tip_share(*frame, forward, down), tip_share(*frame, -forward, down)) - side


def corner_slide_share(grip: Number, slope: Fraction, side_slope: Fraction) -> Fraction:
    """What a bend may still pull to the side before the tyres slide there, as a share of the weight.

    Tyres hold grip · load in any direction; the slope takes its part: √((μ·n)² − along²) − side.

    Source: [method-vehicle] #slopes
    """
    forward, side, down = pulls(slope, side_slope)
    return np.sqrt(np.maximum(np.square(grip * down) - np.square(forward), 0.0)) - side


def speed_cap(
    corner_tip_share: Fraction, corner_slide_share: Fraction, corner_radius: Metre
) -> MetrePerSecond:
    """Speed in the tightest bend at which it tips or slides, whichever comes first, m/s, on the ground entered.

    Source: [method-vehicle] #corner
    """
    return cornering_speed(np.minimum(corner_tip_share, corner_slide_share), corner_radius)


def bend_speed(road_speed: MetrePerSecond, descent_speed: MetrePerSecond) -> MetrePerSecond:
    """Speed at which the tightest bend may be met, m/s: the one wanted on the level or the one let run to downhill,
    whichever is more.

    Source: [method-vehicle] #corner
    """
    return np.maximum(road_speed, descent_speed)


def side_limit(
    wheels: str,
    single_wheel: str,
    wheelbase: Metre,
    track: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    slope: Fraction,
) -> Fraction:
    """Steepest side slope on which it stands while the slope lies lengthways too, rise over run.

    side = √(1 + p²)·(share on the level for the pull lengthways); the load square to the ground depends on the side
    slope itself, so it is found by repeating. Never under 0.001.

    Source: [method-vehicle] #slopes
    """
    frame = (wheels, single_wheel, wheelbase, track, cog_from_axle, cog_height)
    along_share, found = np.sqrt(1.0 + np.square(slope)), tip_share(*frame)
    for _ in range(12):
        normal = np.sqrt(1.0 + np.square(slope) + np.square(found))
        least = tip_share(*frame, slope / along_share * normal)
        other = tip_share(*frame, -slope / along_share * normal)
        found = along_share * np.minimum(least, other)
    return np.maximum(found, 1e-3)


def side_hold(side_limit: Fraction, grip: Number, slope: Fraction) -> Fraction:
    """Steepest side slope on which it neither tips nor slides, the slope lying lengthways too, rise over run.

    It slides where both slopes together are steeper than the grip: √(μ² − p²). Never under 0.001.

    Source: [method-vehicle] #slopes
    """
    slides = np.sqrt(np.maximum(np.square(grip) - np.square(slope), 1e-6))
    return np.minimum(side_limit, slides)


def side_good(side_hold: Fraction) -> Fraction:
    """Side slope that it may be ridden along, rise over run: half of the one on which it tips or slides.

    Source: [method-vehicle] #slopes
    """
    return SIDE_SHARE * side_hold


def lift_acceleration(slope: Fraction, cog_from_axle: Metre, cog_height: Metre) -> Acceleration:
    """Acceleration uphill that lifts the front wheels, m/s²: g·(cos θ·a/h − sin θ). Under 0 it tips standing.

    Source: [method-vehicle] #backwards
    """
    cosine, sine = along(slope)
    return GRAVITY * (cosine * cog_from_axle / cog_height - sine)


def raised_height(cog_height: Metre, load_share: Fraction, lift: Metre) -> Metre:
    """Height of the centre of gravity with the load lifted, m: its share of the mass times the lift is added.

    Source: [method-vehicle] #tipping
    """
    return cog_height + load_share * lift
