"""Moving off: what it takes to break away, what the tyres pass on, how fast it accelerates, how long it may stall.

The vehicle stands on two axles; `slope` is rise over run, uphill positive.
"""

from __future__ import annotations

import numpy as np

from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE
from calc.quantities import (
    Ampere,
    Array,
    Fraction,
    Joule,
    Kelvin,
    Kilogram,
    KilogramSquareMetre,
    Metre,
    MetrePerSecond,
    Newton,
    Nm,
    Number,
    Ohm,
    Second,
    Watt,
)
from calc.vehicle.gearing import STEEPEST
from calc.vehicle.road import GRAVITY, along

WALKING_PACE = 1.4
"""Walking pace, m/s (common practice, no source)."""
COPPER_HEAT = 385.0
"""Specific heat of copper, J/(kg·K) (common practice, no source)."""
STICKS = 1.5
"""Breakaway over running friction of a machine, where it wasn't measured (common practice, no source)."""
LEAST_START = 1e-3
"""What a start on the level that gathers no way counts as, rise over run, so that what is in hand stays a number."""
LEAST_STEERED = 0.2
"""Share of the weight that the front axle should keep to steer (common practice, no source)."""


def usual_breakaway(friction_torque: Nm) -> Nm:
    """Breakaway torque of a machine whose running friction is known, N·m: half as much again (common practice).

    Source: [method-drive] #moving-off
    """
    return STICKS * friction_torque


def breakaway_needed(torque_needed: Nm, breakaway_torque: Nm) -> Nm:
    """Torque that the air gap must give before anything moves, N·m: slope and rolling, and the machine's own sticking.

    Source: [method-drive] #moving-off
    """
    return torque_needed + breakaway_torque


def rear_share(
    slope: Fraction, wheelbase: Metre, cog_from_axle: Metre, cog_height: Metre, acceleration: Number = 0.0
) -> Fraction:
    """Share of the weight m·g that stands on the rear axle, on a slope and while it accelerates.

    (cos θ·(w − a) + (sin θ + acceleration/g)·h)/w, `cog_from_axle` a from the rear axle forward. Acceleration in m/s².
    More than cos θ: the front would lift. Validity: level across, springs stiff, front uphill.

    Source: [method-drive] #grip
    """
    cosine, sine = along(slope)
    pushed = sine + acceleration / GRAVITY
    return (cosine * (wheelbase - cog_from_axle) + pushed * cog_height) / wheelbase


def front_share(
    slope: Fraction, wheelbase: Metre, cog_from_axle: Metre, cog_height: Metre, acceleration: Number = 0.0
) -> Fraction:
    """Share of the weight m·g on the front axle; nothing or less: it tips over backwards.

    Source: [method-drive] #grip
    """
    rear = rear_share(slope, wheelbase, cog_from_axle, cog_height, acceleration)
    return along(slope)[0] - rear


def driven_share(
    slope: Fraction,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    driven_axle: str,
    driven_wheels: str,
) -> Fraction:
    """Share of the weight m·g on the driven wheels at a crawl: all that the axle carries, or half of it for one wheel
    of two; never less than nothing.

    Source: [method-drive] #grip
    """
    load = front_share if driven_axle == "front" else rear_share
    axle = load(slope, wheelbase, cog_from_axle, cog_height)
    return np.maximum(axle, 0.0) * (0.5 if driven_wheels == "one" else 1.0)


def grip_force(total_mass: Kilogram, grip: Number, driven_share: Fraction) -> Newton:
    """Greatest force that the driven tyres pass to the ground, N: grip · their load.

    Source: [method-drive] #grip
    """
    return grip * total_mass * GRAVITY * driven_share


def held_force(
    load: Newton,
    moved_mass: Kilogram,
    total_mass: Kilogram,
    slope: Fraction,
    grip: Number,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    driven_axle: str,
    driven_wheels: str,
) -> Newton:
    """Greatest force that the driven tyres pass on while it gathers speed against `load` (N), N.

    Speeding up moves weight from the front axle to the rear one, m·b·h/w with b = (F − load)/moved_mass; so F = grip ·
    (load at a crawl ± m·h/w·(F − load)/moved_mass), solved for F: load + (grip at a crawl − load)/(1 ∓ grip·m·h/(w ·
    moved_mass)). Never more than grip on the whole weight. `moved_mass` is all that is sped up, kg, what turns counted;
    without the wheels more weight moves. Validity: as for the load on the axles at a crawl; until the front lifts.

    Source: [method] #run
    """
    share = driven_share(slope, wheelbase, cog_from_axle, cog_height, driven_axle, driven_wheels)
    wheels = 0.5 if driven_wheels == "one" else 1.0
    gained = wheels * grip * cog_height / wheelbase * total_mass / moved_mass
    gained = -gained if driven_axle == "front" else gained
    whole = wheels * grip * total_mass * GRAVITY * along(slope)[0]
    spare = grip_force(total_mass, grip, share) - np.asarray(load)
    return np.clip(load + spare / np.maximum(1.0 - gained, 1e-6), 0.0, whole)


def grip_slope(
    grip: Number,
    rolling_coefficient: Number,
    wheelbase: Metre,
    cog_from_axle: Metre,
    cog_height: Metre,
    driven_axle: str,
    driven_wheels: str,
) -> Fraction:
    """Steepest slope, rise over run, that the driven tyres hold at a crawl, rolling resistance overcome.

    With the driven axle's share of the weight s on the level and h/w more (behind) or less (in front) of it for each
    unit of slope: t = (μ·s − c)/(1 ∓ μ·h/w). Cut at `STEEPEST`; negative: they slip on the level.

    Source: [method-drive] #grip
    """
    rear = driven_axle != "front"
    of_wheels = grip * (0.5 if driven_wheels == "one" else 1.0)
    share = (wheelbase - cog_from_axle if rear else cog_from_axle) / wheelbase
    gained = of_wheels * cog_height / wheelbase * (1.0 if rear else -1.0)
    slope = (of_wheels * share - rolling_coefficient) / np.maximum(1.0 - gained, 1e-9)
    return np.minimum(slope, STEEPEST)


def tip_slope(cog_from_axle: Metre, cog_height: Metre) -> Fraction:
    """Slope, rise over run, where it tips over backwards while it stands, nose uphill: a/h.

    Source: [method-drive] #grip
    """
    return cog_from_axle / cog_height


def start_slope(
    slope: Fraction, start_force: Newton, start_held: Newton, standing_force: Newton, moved_mass: Kilogram
) -> Fraction:
    """Slope, rise over run, on which it would stand as it does in the hardest start uphill: the slope's own, and the
    acceleration over g·cos θ; no less than `LEAST_START`. It falls over backwards where that is the slope that tips it
    standing. `start_held` is what the tyres hold while it gathers way, N; the wheels' own turning is best left out of
    the mass: it slows the start by some per cent and tips it by as much.

    Source: [method-drive] #grip
    """
    left = np.maximum(np.minimum(start_force, start_held) - standing_force, 0.0)
    return np.maximum(slope + left / moved_mass / (GRAVITY * along(slope)[0]), LEAST_START)


def moved_mass(
    total_mass: Kilogram, rotor_inertia: KilogramSquareMetre, gear_ratio: Number, wheel_diameter: Metre
) -> Kilogram:
    """Mass that has to be sped up, kg: the vehicle's and the rotor's inertia as the wheel feels it, J·(2·n/d)².

    Validity: the wheels' own inertia left out, some per cent on small ones.

    Source: [method-drive] #moving-off
    """
    return total_mass + rotor_inertia * np.square(2.0 * gear_ratio / wheel_diameter)


def on_the_way(speeds: Array, forces: Array, mass: Kilogram) -> tuple[Array, Array]:
    """Time (s) and distance (m) from the first of `speeds` (m/s) to each of them under the net `forces` there (N).

    t = ∫ m/F dv and s = ∫ m·v/F dv by the trapezoid rule; exact for a constant force. Forces are all above nothing.

    Source: [method-drive] #moving-off
    """
    slowness, steps = mass / forces, np.diff(speeds)
    told = [
        np.concatenate([[0.0], np.cumsum(steps * (values[1:] + values[:-1])) / 2.0])
        for values in (slowness, slowness * speeds)
    ]
    return told[0], told[1]


def gathering(speeds: Array, forces: Array, mass: Kilogram) -> tuple[float, float]:
    """Time (s) and distance (m) from the first of `speeds` (m/s) to the last under the net `forces` there (N).

    Source: [method-drive] #moving-off
    """
    times, distances = on_the_way(speeds, forces, mass)
    return float(times[-1]), float(distances[-1])


def stall_loss(current: Ampere, hot_line_resistance: Ohm) -> Watt:
    """Heat that a stalled six-step machine makes in its stator, W: current² · resistance between two leads.

    Source: [method-drive] #stalled
    """
    return np.square(current) * hot_line_resistance


def hottest_share(connection: str) -> Fraction:
    """Part of that heat that the hottest of the three coils makes: two thirds in delta, half in star.

    Source: [method-drive] #stalled
    """
    return 2.0 / 3.0 if connection == "delta" else 0.5


def stall_time(
    current: Ampere,
    line_resistance: Ohm,
    winding_mass: Kilogram,
    connection: str,
    start_temperature: Kelvin,
    end_temperature: Kelvin,
) -> Second:
    """How long a stalled winding takes from one temperature to another, s, when no heat leaves the copper.

    `line_resistance` at 20 °C, `winding_mass` of all three coils; the hottest coil counts, and its resistance grows as
    it warms: t = m·c/(3·share·I²·R·α)·ln(ratio of its resistances). None left: 0. Validity: tens of seconds, one
    coil evenly warm; iron takes some of it, so the truth is longer. End turns may be hotter.

    Source: [method-drive] #stalled
    """
    heat = winding_mass / 3.0 * COPPER_HEAT
    ohms = [
        1.0 + COPPER_COEFFICIENT * (kelvin - REFERENCE_TEMPERATURE)
        for kelvin in (start_temperature, end_temperature)
    ]
    power = hottest_share(connection) * np.square(current) * line_resistance
    growth = np.log(np.maximum(ohms[1] / ohms[0], 1.0)) / COPPER_COEFFICIENT
    return heat / np.maximum(power, 1e-9) * growth


def moving_energy(mass: Kilogram, speed: MetrePerSecond) -> Joule:
    """Energy of motion, J, of the moved mass.

    Source: [method-drive] #moving-off
    """
    return 0.5 * mass * np.square(speed)
