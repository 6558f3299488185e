"""Between motor sprocket and road: ratio, speed, force, steepest slope."""

from __future__ import annotations

import numpy as np

from calc.quantities import (
    Fraction,
    Kilogram,
    Metre,
    MetrePerSecond,
    Newton,
    Nm,
    Number,
    RadianPerSecond,
)
from calc.vehicle.road import GRAVITY

STEEPEST = 1.0
"""Slopes are not told apart above this one (45°): no wheel grips there."""


def gear_ratio(driver_teeth: Number, driven_teeth: Number) -> Number:
    """Turns of the motor sprocket for one turn of the wheel: driven / driver teeth of one stage.

    Source: [method] #gearing
    """
    return driven_teeth / driver_teeth


def two_stage_ratio(
    driver_teeth: Number, jackshaft_driven_teeth: Number, jackshaft_driver_teeth: Number, driven_teeth: Number
) -> Number:
    """Turns of the motor sprocket for one turn of the wheel over a jackshaft: the product of both stages.

    Source: [method] #gearing
    """
    return gear_ratio(driver_teeth, jackshaft_driven_teeth) * gear_ratio(jackshaft_driver_teeth, driven_teeth)


def two_stage_efficiency(stage_efficiency: Fraction) -> Fraction:
    """Efficiency of two stages of chain that are alike: that of one, squared.

    Source: [method] #gearing
    """
    return np.square(stage_efficiency)


def road_speed(motor_speed: RadianPerSecond, gear_ratio: Number, wheel_diameter: Metre) -> MetrePerSecond:
    """Road speed at a motor speed, m/s, without slip; `wheel_diameter` is the rolling diameter under load.

    Source: [method] #gearing
    """
    return motor_speed / gear_ratio * wheel_diameter / 2.0


def motor_speed_at(road_speed: MetrePerSecond, gear_ratio: Number, wheel_diameter: Metre) -> RadianPerSecond:
    """Speed of the motor sprocket at a road speed, rad/s, without slip.

    Source: [method] #gearing
    """
    return road_speed * gear_ratio * 2.0 / wheel_diameter


def wheel_force(torque: Nm, gear_ratio: Number, wheel_diameter: Metre, drive_efficiency: Fraction) -> Newton:
    """Force at the wheel's rim from a driving `torque` at the motor sprocket, N.

    `drive_efficiency` is that of all stages together (0.95 a stage is common practice, no source).
    Validity: the motor drives the wheel; the wheels' own rolling resistance is not in it.

    Source: [method] #gearing
    """
    return torque * gear_ratio * drive_efficiency * 2.0 / wheel_diameter


def torque_needed(force: Newton, gear_ratio: Number, wheel_diameter: Metre, drive_efficiency: Fraction) -> Nm:
    """Torque at the motor sprocket for a `force` at the wheel's rim, N·m: the inverse of `wheel_force`.

    A negative force (a descent) gives zero: nothing has to be driven.

    Source: [method] #gearing
    """
    return np.maximum(force, 0.0) * wheel_diameter / (2.0 * gear_ratio * drive_efficiency)


def lesser_slope(pull_slope: Fraction, grip_slope: Fraction) -> Fraction:
    """Steepest slope that both the pull and the tyres hold, rise over run.

    Source: [method] #gearing
    """
    return np.minimum(pull_slope, grip_slope)


def slope_limit(force: Newton, total_mass: Kilogram, rolling_coefficient: Number) -> Fraction:
    """Steepest slope that a rim force holds at a crawl, as rise over run (closed form).

    m·g·(c·cos θ + sin θ) = F gives θ = asin(F / (m·g·√(1 + c²))) − atan c. Take air drag off `force` first
    when it matters. Cut at 1 (45°), which then means "45° or more". Negative: not even level ground is held,
    and it moves only down a slope of that size.

    Source: [method] #gearing
    """
    share = force / (total_mass * GRAVITY * np.sqrt(1.0 + np.square(rolling_coefficient)))
    angle = np.arcsin(np.clip(share, -1.0, 1.0)) - np.arctan(rolling_coefficient)
    return np.tan(np.clip(angle, -np.arctan(STEEPEST), np.arctan(STEEPEST)))
