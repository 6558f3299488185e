"""From a coast-down's fit to what the sheet takes: rolling coefficient and drag area, and how far each may be off."""

from __future__ import annotations

import numpy as np

from calc.errors import NoSolution
from calc.machine.losses import drag_torque
from calc.quantities import (
    Fraction,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    KilogramSquareMetre,
    Metre,
    Nm,
    Number,
    SquareMetre,
)
from calc.vehicle.coast_fit import Coasted
from calc.vehicle.gearing import motor_speed_at
from calc.vehicle.road import GRAVITY

TAPE = 0.005
"""What a tape laid on the ground leaves open, as a share (common practice, no source)."""
UNLEVEL = 0.005
"""Slope that the eye takes for level, rise over run (common practice, no source)."""
LEAST, MOST = 0.001, 0.5
"""Between these a rolling coefficient can be believed; the field rolling_coefficient has the same limits."""
LEAST_DRAG, MOST_DRAG = 0.05, 5.0
"""The same of the drag area, m²."""
EARTH_RADIUS = 6356766.0
"""Radius of the Earth that the standard atmosphere counts with, m. Source: [isa]"""


def coast_moved(coast_mass: Kilogram, wheel_inertia: KilogramSquareMetre, wheel_diameter: Metre) -> Kilogram:
    """Mass that slows down, kg: the vehicle's, and its wheels' turning, 4·J/d². Chain off.

    Source: [method] #coast-down
    """
    return coast_mass + 4.0 * wheel_inertia / np.square(wheel_diameter)


def dragged_moved(
    coast_mass: Kilogram,
    wheel_inertia: KilogramSquareMetre,
    wheel_diameter: Metre,
    coast_chain: str,
    rotor_inertia: KilogramSquareMetre,
    gear_ratio: Number,
) -> Kilogram:
    """The same with the rotor dragged along where the chain stayed on, kg.

    Source: [method] #coast-down
    """
    rotor = np.square(2.0 * gear_ratio / wheel_diameter) * rotor_inertia
    return coast_moved(coast_mass, wheel_inertia, wheel_diameter) + (rotor if coast_chain == "on" else 0.0)


def no_machine() -> Number:
    """What the machine adds to the rolling coefficient with the chain off.

    Source: [method] #coast-down
    """
    return 0.0


def machine_share(
    coasted: Coasted,
    coast_chain: str,
    coast_mass: Kilogram,
    wheel_diameter: Metre,
    gear_ratio: Number,
    drive_efficiency: Fraction,
    friction_torque: Nm,
    iron_share: Fraction,
) -> Number:
    """What a machine that is dragged along, its field off, adds to the rolling coefficient at the test's mean speed.

    Source: [method] #coast-down
    """
    speed = motor_speed_at(coasted.mean_speed, gear_ratio, wheel_diameter)
    drag = drag_torque(friction_torque, iron_share, speed, 0.0)
    force = drag * 2.0 * gear_ratio / (wheel_diameter * drive_efficiency)
    return force / (coast_mass * GRAVITY) * (1.0 if coast_chain == "on" else 0.0)


def rolling_coefficient(
    coasted: Coasted,
    coast_moved: Kilogram,
    coast_mass: Kilogram,
    air_density: KilogramPerCubicMetre,
    drag_area: SquareMetre,
    machine_share: Number,
) -> Number:
    """Rolling coefficient by the times: with the drag fitted too where it can be told, else with `drag_area`.

    Raises NoSolution where it can't be believed.

    Source: [method] #coast-down
    """
    if coasted.told and coasted.free:
        slowing: Number = coasted.free.rolling
    else:
        slowing = coasted.without.rolling - coasted.per_drag * air_density * drag_area / (2.0 * coast_moved)
    found = slowing * coast_moved / (coast_mass * GRAVITY) - machine_share
    middle = float(np.mean(found))
    if not LEAST <= middle <= MOST:
        raise NoSolution(
            f"The times come to a rolling coefficient of {middle:.3g}; {LEAST:g} to {MOST:g} can be believed.",
            "Look for a slip in distances (metres from the first mark) or times (seconds since it). Flatter ground.",
        )
    return np.clip(found, LEAST, MOST)


def rolling_spread(coasted: Coasted) -> Fraction:
    """How far that may be off for film, tape and ground, as a share of it, at most 0.9.

    One way alone: a slope that the eye takes for level counts in full.

    Source: [method] #coast-down
    """
    fit = coasted.free if coasted.told and coasted.free else coasted.without
    ground = 0.0 if coasted.both_ways else UNLEVEL * GRAVITY
    return float(min(np.hypot(np.hypot(fit.errors[0], ground) / fit.rolling, TAPE), 0.9))


def drag_area(
    coasted: Coasted,
    coast_moved: Kilogram,
    air_density: KilogramPerCubicMetre,
    stated_low: SquareMetre,
    stated_high: SquareMetre,
) -> SquareMetre:
    """Drag area by the times, m²; where they can't tell it, the middle of its usual range.

    Source: [method] #coast-down
    """
    if not coasted.told or not coasted.free:
        return (stated_low + stated_high) / 2.0
    return np.clip(2.0 * coasted.free.drag * coast_moved / air_density, LEAST_DRAG, MOST_DRAG)


def drag_spread(coasted: Coasted, stated_low: SquareMetre, stated_high: SquareMetre) -> Fraction:
    """How far that may be off, as a share of it.

    Source: [method] #coast-down
    """
    if not coasted.told or not coasted.free:
        return float((stated_high - stated_low) / (stated_high + stated_low))
    return float(min(np.hypot(coasted.free.errors[1] / coasted.free.drag, 2.0 * TAPE), 0.9))


def air_density(altitude: Metre, coast_temperature: Kelvin) -> KilogramPerCubicMetre:
    """Density of the air, kg/m³: pressure of the standard atmosphere at that height, and the air's own temperature.

    p = 101 325 Pa·(1 − 0.0065·h/288.15)^5.25588, h less the little by which gravity falls, and ρ = p/(287.053·T).
    Validity: to 11 km; weather moves p by some 3 %.

    Source: [isa] pressure over height; gas constant of air
    """
    level = altitude / (1.0 + altitude / EARTH_RADIUS)
    pressure = 101325.0 * np.power(1.0 - 0.0065 * level / 288.15, 5.25588)
    return pressure / (287.053 * coast_temperature)
