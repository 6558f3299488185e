"""Stopping: how far, what the braked tyres hold, and how hot.

Shares are of the weight m·g. Downhill means nose down on the steepest slope; `slope` is rise over run. The motor never
counts as a brake.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import (
    Acceleration,
    Fraction,
    Joule,
    JoulePerKilogramKelvin,
    Kelvin,
    Kilogram,
    Metre,
    MetrePerSecond,
    Number,
    Second,
)
from calc.vehicle.road import GRAVITY, along

CREEP = 1e-3
"""Deceleration under which it is said not to stop, m/s²; keeps the arithmetic finite."""
LEFT_BY_SECOND = 1.0
"""Deceleration that the second brake should leave downhill, m/s² (common practice, no source)."""
TRIAL_SPEED = 8 / 3.6
"""Speed at which the sheets have the brakes tried, m/s."""
HOT_BRAKE = 200.0
"""Rise from which small pads and shoes fade, K (common practice, no source)."""
BOUNDLESS = 1e6
LEAST_REACTION = 0.7
"""From seeing to the brake's bite, s, of somebody who expects it (common practice, no source)."""


def lock_shares(
    front_part: Number,
    braked_wheels: str,
    slope: Fraction,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    grip: Number,
) -> tuple[Number, Number, Number]:
    """Braking force, as a share of the weight, at which the front locks, the rear locks, and it tips over the front.

    `front_part` of the braking force works in front. Loads with weight transfer: front (cos θ·a + F·h)/w, rear
    (cos θ·(w − a) − F·h)/w, F the whole braking force; the same uphill and downhill, because F holds the slope too.
    Validity: level across, springs stiff, both wheels of an axle alike; of one braked wheel its half.

    Source: [method-vehicle] #braking
    """
    cosine, _ = along(slope)
    hold = grip * (0.5 if braked_wheels == "one" else 1.0)
    room = front_part * wheelbase - hold * cog_height
    front = np.where(room > 0.0, hold * cosine * cog_from_axle / np.maximum(room, 1e-9), BOUNDLESS)
    behind = wheelbase - cog_from_axle
    rear = np.where(
        front_part < 1.0,
        hold * cosine * behind / np.maximum((1.0 - front_part) * wheelbase + hold * cog_height, 1e-9),
        BOUNDLESS,
    )
    tips = cosine * behind / cog_height
    return (
        np.minimum(front, BOUNDLESS),
        np.clip(rear, 0.0, BOUNDLESS),
        np.maximum(tips, 0.0),
    )


def _cap(front_part: Number, *frame: object) -> Number:
    return np.min(np.broadcast_arrays(*lock_shares(front_part, *frame)), axis=0)  # type: ignore[arg-type]


def brake_cap(
    braked_axle: str,
    braked_wheels: str,
    slope: Fraction,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    grip: Number,
) -> Fraction:
    """Most braking force before a braked wheel locks or the rear lifts, as a share of the weight.

    Nothing without a brake. For brakes on both axles whose split nobody measured: the lesser of front alone and rear
    alone, which any split gives.

    Source: [method-vehicle] #braking
    """
    frame = (braked_wheels, slope, wheelbase, cog_from_axle, cog_height, grip)
    parts = {"none": (), "front": (1.0,), "rear": (0.0,), "both": (0.0, 1.0)}[braked_axle]
    if not parts:
        return 0.0 * along(slope)[0]
    return np.min(np.broadcast_arrays(*(_cap(part, *frame) for part in parts)), axis=0)


def split_cap(
    braked_axle: str,
    braked_wheels: str,
    front_brake_share: Fraction,
    slope: Fraction,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    grip: Number,
) -> Fraction:
    """The same where the split between the axles was measured: until the first of them locks.

    Source: [method-vehicle] #braking
    """
    frame = (braked_wheels, slope, wheelbase, cog_from_axle, cog_height, grip)
    return _cap(front_brake_share, *frame) if braked_axle == "both" else brake_cap(braked_axle, *frame)


def braking_share(deceleration: Acceleration, brake_cap: Fraction) -> Fraction:
    """Braking force that counts, as a share of the weight: what the brake gave on the level, no more than tyres hold.

    Source: [method-vehicle] #stopping
    """
    return np.minimum(deceleration / GRAVITY, brake_cap)


def net_deceleration(braking_share: Fraction, slope: Fraction) -> Acceleration:
    """Deceleration that is left rolling down the slope, m/s²: g·(braking share − sin θ). Nothing or less: it runs away.

    Source: [method-vehicle] #stopping
    """
    return GRAVITY * (braking_share - along(slope)[1])


def bite_speed(
    road_speed: MetrePerSecond, reaction_time: Second, slope_pull: Acceleration = 0.0
) -> MetrePerSecond:
    """Speed when the brake bites, m/s: v + a·t, a the slope's pull (m/s²) that nothing holds until then.

    Source: [method-vehicle] #stopping
    """
    return road_speed + slope_pull * reaction_time


def stopping_distance(
    road_speed: MetrePerSecond,
    reaction_time: Second,
    net_deceleration: Acceleration,
    slope_pull: Acceleration = 0.0,
) -> Metre:
    """Distance from seeing to standing, m: v·t + a·t²/2 + (v + a·t)²/(2·d). Kilometres where nothing slows it.

    `slope_pull` is a, downhill g·sin θ: it gathers speed until the brake bites. Nothing on the level, nor uphill,
    where it would lose some. Rolling and air are left out.

    Source: [method-vehicle] #stopping
    """
    rolled = road_speed * reaction_time + slope_pull * np.square(reaction_time) / 2.0
    braked = np.square(bite_speed(road_speed, reaction_time, slope_pull))
    return rolled + braked / (2.0 * np.maximum(net_deceleration, CREEP))


def longest(descent_stop: Metre, level_stop: Metre) -> Metre:
    """The longer of stopping downhill from the speed held there, and on the level from the speed wanted, m.

    Source: [method-vehicle] #stopping
    """
    return np.maximum(descent_stop, level_stop)


def speed_for_distance(
    distance: Metre,
    reaction_time: Second,
    net_deceleration: Acceleration,
    slope_pull: Acceleration = 0.0,
) -> MetrePerSecond:
    """Fastest speed that stops within a distance, m/s: the inverse of `stopping_distance`; 0 where nothing slows it, or
    where the slope alone takes it further before the brake bites.

    With u the speed when the brake bites, distance = u·t − a·t²/2 + u²/(2·d), so u = d·(√(t² + 2·(s + a·t²/2)/d) − t).

    Source: [method-vehicle] #stopping
    """
    slows = np.maximum(net_deceleration, CREEP)
    further = distance + slope_pull * np.square(reaction_time) / 2.0
    bite = slows * (np.sqrt(np.square(reaction_time) + 2.0 * further / slows) - reaction_time)
    speed = np.maximum(bite - slope_pull * reaction_time, 0.0)
    return np.where(net_deceleration > CREEP, speed, 0.0)


def slope_pull(slope: Fraction) -> Acceleration:
    """What the slope adds to the speed each second, m/s²: g·sin θ.

    Source: [method-vehicle] #stopping
    """
    return GRAVITY * along(slope)[1]


def second_wanted(slope: Fraction) -> Acceleration:
    """What the second brake must give, m/s²: the slope's pull and 1 m/s² more (common practice, no source).

    Source: [method-vehicle] #second-brake
    """
    return slope_pull(slope) + LEFT_BY_SECOND


def second_given(second_deceleration: Acceleration, second_cap: Fraction) -> Acceleration:
    """What the second brake alone gives, m/s²: as tried on the level, no more than its tyres hold.

    Source: [method-vehicle] #second-brake
    """
    return np.minimum(second_deceleration, GRAVITY * second_cap)


def published_distance(road_speed: MetrePerSecond, k: Number) -> Metre:
    """Longest stopping distance that type approval once allowed comparable machines, m: 0.1·V + V²/k, V in km/h.

    Source: [braking-93-14] appendix, 2.1.2
    """
    speed = road_speed * 3.6
    return 0.1 * speed + np.square(speed) / k


def motion_energy(total_mass: Kilogram, road_speed: MetrePerSecond) -> Joule:
    """Energy of motion, J: m·v²/2. The wheels' own turning is left out, a few per cent.

    Source: [method-vehicle] #brake-heat
    """
    return 0.5 * total_mass * np.square(road_speed)


def height_energy(total_mass: Kilogram, descent_height: Metre) -> Joule:
    """Energy that a descent at steady speed puts into the brakes, J: m·g·height; rolling, air and motor not counted.

    Source: [method-vehicle] #brake-heat
    """
    return total_mass * GRAVITY * descent_height


def heat_rise(
    heat: Joule, heat_share: Fraction, brake_mass: Kilogram, brake_specific_heat: JoulePerKilogramKelvin
) -> Kelvin:
    """How much warmer disc, drum or rim gets, K: share · heat/(mass · specific heat), none of it given off meanwhile.

    Source: [method-vehicle] #brake-heat
    """
    return heat_share * heat / (brake_mass * brake_specific_heat)


def descent_rise(
    total_mass: Kilogram,
    descent_height: Metre,
    descent_speed: MetrePerSecond,
    heat_share: Fraction,
    brake_mass: Kilogram,
    brake_specific_heat: JoulePerKilogramKelvin,
) -> Kelvin:
    """How much warmer the metal gets by the longest descent at steady speed and a stop at its end, K.

    Source: [method-vehicle] #brake-heat
    """
    heat = height_energy(total_mass, descent_height) + motion_energy(total_mass, descent_speed)
    return heat_rise(heat, heat_share, brake_mass, brake_specific_heat)


def hot_brake() -> Kelvin:
    """How much warmer a brake may get, K.

    Source: [method-vehicle] #brake-heat
    """
    return HOT_BRAKE


def reaction_least() -> Second:
    """The shortest time in which somebody ready sees, grips and brakes, s.

    Source: [method-vehicle] #stopping
    """
    return LEAST_REACTION
