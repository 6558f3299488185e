"""Forced start: a field that is turned without knowing where the rotor is, and what it has to drag along.

Torques and moments of inertia are those at the motor's shaft; frequencies are electrical. `pull` is the greatest torque
that the turning field has on the rotor, the mean over its six steps: torque constant · current.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import (
    Damping,
    EmfConstant,
    Fraction,
    Hertz,
    Kilogram,
    KilogramSquareMetre,
    Metre,
    MetrePerSecond,
    Nm,
    Number,
    RadianPerSecond,
    Second,
    Volt,
)
from calc.vehicle.gearing import road_speed

LEAST = 1e-12


def sensing_speed(sensing_emf: Volt, emf_constant: EmfConstant) -> RadianPerSecond:
    """Speed of the shaft at which a controller without sensors sees enough EMF, rad/s: both line-line rms.

    Source: [method-drive] #forced-start
    """
    return sensing_emf / np.maximum(emf_constant, LEAST)


def end_frequency(sensing_speed: RadianPerSecond, pole_pairs: Number) -> Hertz:
    """Electrical frequency at that speed, Hz: there the controller stops forcing and follows the rotor.

    Source: [method-drive] #forced-start
    """
    return sensing_speed * pole_pairs / (2.0 * np.pi)


def push_speed(sensing_speed: RadianPerSecond, gear_ratio: Number, wheel_diameter: Metre) -> MetrePerSecond:
    """Road speed to which the vehicle has to be pushed before such a controller finds the rotor, m/s.

    Source: [method-drive] #forced-start
    """
    return road_speed(sensing_speed, gear_ratio, wheel_diameter)


def wheel_speed(sensing_speed: RadianPerSecond, gear_ratio: Number) -> RadianPerSecond:
    """Speed of the driven wheel then, rad/s.

    Source: [method-drive] #forced-start
    """
    return sensing_speed / gear_ratio


def reflected_inertia(
    total_mass: Kilogram, wheel_inertia: KilogramSquareMetre, gear_ratio: Number, wheel_diameter: Metre
) -> KilogramSquareMetre:
    """Vehicle and wheels as the motor's shaft feels them, kg·m²: (m·(d/2)² + wheels)/ratio².

    Validity: no slip of the tyres; chain and sprockets left out.

    Source: [method-drive] #forced-start
    """
    return (total_mass * np.square(wheel_diameter / 2.0) + wheel_inertia) / np.square(gear_ratio)


def inertia_ratio(reflected_inertia: KilogramSquareMetre, rotor_inertia: KilogramSquareMetre) -> Number:
    """How many times the rotor's own moment of inertia it has to turn on the ground.

    Source: [method-drive] #forced-start
    """
    return 1.0 + reflected_inertia / rotor_inertia


def swing_speed(pull: Nm, pole_pairs: Number, inertia: KilogramSquareMetre) -> RadianPerSecond:
    """Angular frequency of small swings about the field that holds the rotor, rad/s: √(pull·p/J).

    Source: [method-drive] #forced-start
    """
    return np.sqrt(pull * pole_pairs / inertia)


def hump(load_share: Fraction) -> Number:
    """Energy, in units of pull/p, that throws a swinging rotor out of step: 2·cos s − τ·(π − 2·s), sin s = τ.

    load_share: τ, load and acceleration together over the pull; from 1 on nothing is left to hold: 0.

    Source: [method-drive] #pulling-in
    """
    share = np.clip(load_share, 0.0, 1.0)
    rest = np.arcsin(share)
    return 2.0 * np.cos(rest) - share * (np.pi - 2.0 * rest)


def swing_energy(lag: Number, slip: Number, load_share: Fraction) -> Number:
    """Energy of a swing about the place where the rotor would rest, in units of pull/p.

    lag: electrical angle, rad, by which the rotor is behind the field, whole turns don't count. slip: speed at which
    the lag grows over the swing speed. load_share: as in `hump`. Below `hump` it stays in step.

    Source: [method-drive] #pulling-in
    """
    share = np.clip(load_share, -1.0, 1.0)
    rest = np.arcsin(share)
    top = np.pi - rest
    angle = top - np.mod(top - lag, 2.0 * np.pi)
    return 0.5 * np.square(slip) + np.cos(rest) - np.cos(angle) - share * (angle - rest)


def settling_time(
    pull: Nm, pole_pairs: Number, inertia: KilogramSquareMetre, friction: Nm, drag: Nm, damping: Damping
) -> Second:
    """How long a rotor swings about a field that stands still, from half a turn to rest within its friction, s.

    What brakes it while it turns takes 4·drag/pull of the angle in each swing, damping its share: dA/dt = −A/2t −
    2·drag·ω/π·pull, t = J/damping; `friction` holds it where it comes to rest. Validity: swings of the small kind; one
    that begins at the dead point, half a turn off, takes longer.

    Source: [method-drive] #pulling-in
    """
    speed = swing_speed(pull, pole_pairs, inertia)
    rate = np.maximum(damping / (2.0 * inertia), 1e-9)
    steady = np.maximum(2.0 * drag * speed / (np.pi * pull), LEAST)
    within = np.minimum(friction / pull, np.pi)
    return np.log1p(rate * (np.pi - within) / (steady + rate * within)) / rate
