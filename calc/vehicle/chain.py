"""Roller chain: sprockets, length, tension, strength, rating, and how unevenly it runs."""

from __future__ import annotations

import numpy as np

from calc import standards
from calc.errors import NoSolution
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Metre,
    MetrePerSecond,
    Newton,
    Nm,
    Number,
    Radian,
    RadianPerSecond,
    Real,
    Watt,
)

INCH, HORSEPOWER = 0.0254, 745.699872
SAFE = 9.0
"""Of its tensile strength a chain may pull one part in so many: 6 to 9 for a steady drive; the careful end counts, at
the most that the machine can pull. Source: [chain-rules]"""
SERVICE = 1.3
"""How many times the running power the rating has to be: moderate shocks. Source: [chain-rules]"""
LEAST_WRAP = np.radians(120.0)
"""Wrap on the small sprocket under which teeth carry too much (common practice, no source)."""
SAG = 0.02
"""Slack in the middle of the loose side, as a share of the span (common practice, no source)."""
CENTER_PITCHES = (20.0, 80.0)
"""Centre distances in pitches between which a chain runs well; 30 to 50 is best (common practice, no source)."""
OUT_OF_LINE = 0.003
"""How far sprockets may lie out of line, as a share of the centre distance (common practice, no source)."""
OFF_GROUND = 0.03
"""How far a chain should stay off the ground, m (common practice, no source)."""
_ROUNDS = 60
_K1, _K2 = {"41": 0.0022}, {"25": 29.0, "35": 29.0, "41": 3.4}
_SAME_FORM = {"08A": "40", "10A": "50", "12A": "60", "085": "41"}


def _row(chain_size: str) -> dict[str, str]:
    return next(row for row in standards.rows("chains") if row["size"] == chain_size)


def pitch(chain_size: str) -> Metre:
    """Pitch of a chain by its size, m.

    Source: [chains] ANSI B29.1, ISO 606
    """
    return float(_row(chain_size)["pitch_mm"]) / 1000.0


def chain_strength(chain_size: str) -> Newton:
    """Least tensile strength of a chain by its size, N; where editions differ the lower one.

    Raises NoSolution for a size whose strength was not read anywhere.

    Source: [chains] ANSI B29.1, ISO 606
    """
    row = _row(chain_size)
    values = [float(row[key]) for key in ("strength_N", "other_N") if row[key]]
    if not values:
        raise NoSolution(
            f"No published strength of a chain {row['label']} was read.",
            "Enter its tensile strength from the packet; or take a size of ISO 606 or ANSI B29.1.",
        )
    return min(values)


def pitch_diameter(pitch: Metre, teeth: Number) -> Metre:
    """Diameter of the circle through the pins on a sprocket, m: p/sin(π/N).

    Source: [chain-rules] example 14.6
    """
    return pitch / np.sin(np.pi / teeth)


def _angle(pitch: Metre, driver_teeth: Real, driven_teeth: Real, center_distance: Real) -> Real:
    """Angle of the tangents to the line of centres, rad. Past touching sprockets it is held at a right angle."""
    apart = (pitch_diameter(pitch, driven_teeth) - pitch_diameter(pitch, driver_teeth)) / 2.0
    return np.arcsin(np.clip(apart / center_distance, -1.0, 1.0))


def least_center(pitch: Metre, driver_teeth: Number, driven_teeth: Number) -> Metre:
    """Centre distance at which the sprockets' teeth touch, m: half of both pitch diameters and six tenths of a pitch.

    Source: [method-vehicle] #chain-length
    """
    return (pitch_diameter(pitch, driver_teeth) + pitch_diameter(pitch, driven_teeth)) / 2.0 + 0.6 * pitch


def links_between(pitch: Metre, driver_teeth: Number, driven_teeth: Number, center_distance: Metre) -> Number:
    """Length of the chain in links, not rounded: two tangents, and of each sprocket the teeth that it wraps.

    L = 2·a·cos β/p + N₁·(½ − β/π) + N₂·(½ + β/π), sin β = (d₂ − d₁)/2a.

    Source: [method-vehicle] #chain-length
    """
    tilt = _angle(pitch, driver_teeth, driven_teeth, center_distance)
    straight = 2.0 * center_distance * np.cos(tilt) / pitch
    return straight + driver_teeth * (0.5 - tilt / np.pi) + driven_teeth * (0.5 + tilt / np.pi)


def links(pitch: Metre, driver_teeth: Number, driven_teeth: Number, center_distance: Metre) -> Number:
    """Links of the chain, the nearest even number: an odd one needs a weak offset link.

    Source: [method-vehicle] #chain-length
    """
    return 2.0 * np.round(links_between(pitch, driver_teeth, driven_teeth, center_distance) / 2.0)


def center_distance_exact(pitch: Metre, driver_teeth: Number, driven_teeth: Number, links: Number) -> Metre:
    """Centre distance at which so many links lie without slack, m (bisection).

    Source: [method-vehicle] #chain-length
    """
    low = least_center(pitch, driver_teeth, driven_teeth) - 0.6 * pitch + 0.0 * links
    high = pitch * links
    for _ in range(_ROUNDS):
        middle = (low + high) / 2.0
        long = links_between(pitch, driver_teeth, driven_teeth, middle) > links
        low, high = np.where(long, low, middle), np.where(long, middle, high)
    return (low + high) / 2.0


def ground_left(wheel_diameter: Metre, driven_pitch_diameter: Metre, pitch: Metre) -> Metre:
    """How far the chain on the axle's sprocket stays off the ground, m: half of wheel less half of pitch circle and
    half of a plate's height, about 0.45 of a pitch.

    Source: [method-vehicle] #chain-length
    """
    return (wheel_diameter - driven_pitch_diameter) / 2.0 - 0.45 * pitch


def wrap(pitch: Metre, driver_teeth: Number, driven_teeth: Number, center_distance: Metre) -> Radian:
    """Angle that the chain wraps on the smaller sprocket, rad.

    Source: [method-vehicle] #chain-length
    """
    return np.pi - 2.0 * np.abs(_angle(pitch, driver_teeth, driven_teeth, center_distance))


def most_torque(emf_constant: EmfConstant, current: Ampere) -> Nm:
    """Torque of the machine at its best rotor angle, N·m: √2·E·I. A jammed wheel meets it; late sensors give less.

    Source: [method-drive] #strongest
    """
    return np.sqrt(2.0) * emf_constant * current


def tension(torque: Nm, driver_pitch_diameter: Metre) -> Newton:
    """Pull in the tight side, N: 2·T/d of the driver sprocket. What slings the chain outwards is left out: under a per
    cent at cart speed.

    Source: [chain-rules] example 14.7
    """
    return 2.0 * torque / driver_pitch_diameter


def second_tension(
    torque: Nm,
    driver_teeth: Number,
    jackshaft_driven_teeth: Number,
    jackshaft_driver_teeth: Number,
    pitch: Metre,
) -> Newton:
    """Pull in the second of two chains of one size, N: the torque at the jackshaft, what the first loses left in.

    Source: [chain-rules] example 14.7
    """
    there = torque * jackshaft_driven_teeth / driver_teeth
    return tension(there, pitch_diameter(pitch, jackshaft_driver_teeth))


def strength_needed(chain_pull: Newton) -> Newton:
    """Tensile strength that a pull asks for, N: SAFE times it.

    Source: [chain-rules] working load
    """
    return SAFE * chain_pull


def safety_factor(chain_strength: Newton, chain_pull: Newton) -> Number:
    """Tensile strength over the pull.

    Source: [chain-rules] example 14.7
    """
    return chain_strength / np.maximum(chain_pull, 1e-9)


def chain_speed(driver_teeth: Number, pitch: Metre, motor_speed: RadianPerSecond) -> MetrePerSecond:
    """Mean speed of the chain, m/s: N·p for each turn.

    Source: [chain-rules] example 14.7
    """
    return driver_teeth * pitch * motor_speed / (2.0 * np.pi)


def speed_variation(driver_teeth: Number) -> Fraction:
    """How far the chain's speed goes up and down within each tooth, over its mean: (π/N)·(1/sin(π/N) − 1/tan(π/N)).

    Source: [chain-rules] Shigley
    """
    half = np.pi / driver_teeth
    return half * (1.0 / np.sin(half) - 1.0 / np.tan(half))


def chordal_dip(driver_teeth: Number) -> Fraction:
    """How far the chain rises and falls within each tooth, as a share of the sprocket's radius: 1 − cos(π/N).

    Source: [chain-rules] Shigley
    """
    return 1.0 - np.cos(np.pi / driver_teeth)


def rating(chain_size: str, pitch: Metre, driver_teeth: Number, motor_speed: RadianPerSecond) -> Watt:
    """Power that one strand carries for long, lubricated, W: the lesser of what its plates and its rollers stand.

    hp = K1·N^1.08·n^0.9·p^(3 − 0.07·p) and 1000·K2·(N/n)^1.5·p^0.8, n in rpm, p in inch. For sizes of ISO 606 that ANSI
    has too; the others take the constants of their pitch.

    Source: [chain-rules] power rating
    """
    alike = _SAME_FORM.get(chain_size, chain_size)
    inches, rpm = pitch / INCH, np.maximum(motor_speed * 30.0 / np.pi, 1e-3)
    plates = _K1.get(alike, 0.004) * driver_teeth**1.08 * rpm**0.9 * inches ** (3.0 - 0.07 * inches)
    rollers = 1000.0 * _K2.get(alike, 17.0) * (driver_teeth / rpm) ** 1.5 * inches**0.8
    return np.minimum(plates, rollers) * HORSEPOWER


def second_rating(
    chain_size: str,
    pitch: Metre,
    driver_teeth: Number,
    jackshaft_driven_teeth: Number,
    jackshaft_driver_teeth: Number,
    motor_speed: RadianPerSecond,
) -> Watt:
    """The same of the second of two chains of one size, W: its small sprocket turns with the jackshaft, slower.

    Source: [chain-rules] power rating
    """
    there = motor_speed * driver_teeth / jackshaft_driven_teeth
    return rating(chain_size, pitch, jackshaft_driver_teeth, there)


def rating_needed(force: Newton, speed: MetrePerSecond, drive_efficiency: Fraction) -> Watt:
    """Rating that steady going asks for, W: SERVICE times force times speed at the wheel's rim, the drive's loss added.

    Source: [chain-rules] example 14.3
    """
    return SERVICE * np.maximum(force, 0.0) * speed / drive_efficiency
