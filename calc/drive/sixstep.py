"""Steady state of the six-step inverter at full duty, current unlimited, in closed form but for one angle.

Each phase is switched to plus for 120°, to minus for 120°, and left off for 60° between. Once off, its current
runs on through a diode for the freewheel angle u, 0 to 60°; then the phase floats and shows its own EMF. With
sinusoidal EMF only the fundamental makes mean torque, and the fundamental of the phase's voltage is known as
soon as u is. u is found from the current itself, which is an exponential between switchings.
Derivation and measured error: docs/method.md, "Torque at speed".
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, EmfConstant, Fraction, Henry, Nm, Number, Ohm, Radian, RadianPerSecond, Volt

LEAST_RESISTANCE = 1.0e-6
"""Floor under a resistance that is divided by, ohm."""
FUNDAMENTAL = 2.0 * np.sqrt(3.0) / np.pi
"""Peak of the fundamental of a six-step current per ampere of flat top, 1.103."""
_GAP = np.pi / 3.0
_ROOT3 = np.sqrt(3.0)
_STEPS = 4


def freewheel_angle(emf: Volt, resistance: Ohm, reactance: Ohm, supply: Volt, late: Radian) -> Radian:
    """Angle for which a phase's current runs on after switching off, 0 to 60° (rad).

    `emf` peak per phase, `resistance` and `reactance` per phase of the equivalent star, `late` the alignment
    error. Bracketed false position, a fixed number of steps; 60° stands for "still running when switched on
    again". Validity: below no-load speed, where no diode conducts while a phase floats.

    Source: [method] #torque-at-speed
    """
    ratio = resistance / reactance
    third = supply / (3.0 * resistance)
    # Steady current that the phase's own EMF drives, as a rotating phasor at the moment of switching.
    driven = emf * np.exp(1j * np.asarray(late)) / (resistance + 1j * reactance)
    first = third - driven.real
    end = 1.5 * third - (_ROOT3 / 2.0 * np.exp(0.5j * _GAP) * driven).real
    begin = -third - (np.exp(1j * _GAP) * driven).real
    whole = -np.expm1(-ratio * _GAP)

    def look(u: Radian) -> tuple[Radian, Ampere]:
        """For a trial angle u: how far beyond u the current reaches zero, and the current left at u."""
        turned = driven * np.exp(1j * u)
        fade = np.exp(-ratio * u)
        # Over its last 60° another phase's diode conducts for u, then two phases in series.
        joint = (0.5 * np.exp(-2j * _GAP) * turned).real - third / 2.0
        start = (end + (joint - first * fade) * np.exp(-ratio * (_GAP - u))) / whole
        # Then its own diode: the current falls towards `target` and dies on the way.
        target = np.minimum(-third - (np.exp(1j * _GAP) * turned).real, -1e-9 * third)
        grown = np.maximum((start - begin + target) / -target, -0.999)
        beyond = np.clip(np.log1p(grown) / ratio, 0.0, _GAP) - u
        return beyond, target + (start - begin) * fade

    low = np.zeros(np.shape(whole + third + first))
    high = low + _GAP
    at_low, left_low = look(low)
    at_high, left_high = look(high)
    for _ in range(_STEPS):
        middle = low - at_low * (high - low) / np.minimum(at_high - at_low, -1e-12)
        at_middle, _ = look(middle)
        above = at_middle < 0.0
        # Illinois rule: the end that stays has its miss halved, so that both ends close in.
        at_low, at_high = (
            np.where(above, 0.5 * at_low, at_middle),
            np.where(above, at_middle, 0.5 * at_high),
        )
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    u: Radian = np.where(left_low <= 0.0, 0.0, np.where(left_high >= 0.0, _GAP, middle))
    return u


def full_duty(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    alignment_error: Radian,
) -> tuple[Nm, Ampere, Fraction]:
    """Mean torque (N·m), flat-top current with the same fundamental (A), freewheel angle as a share of 60°.

    `line_resistance` as hot as it is and `line_inductance` between two leads; supply stiff; friction not taken
    off. Validity: up to no-load speed. Against a solution in time (tests/drive) torque is exact to 0.1 % as
    long as no diode conducts while a phase floats, which holds up to 80 % of the speed where peak EMF meets
    supply when |alignment_error| ≤ 30°, and is at most 2 % high at 90 %. Above no-load speed the braking by
    diodes is missing.

    Source: [method] #torque-at-speed
    """
    resistance = np.maximum(line_resistance, LEAST_RESISTANCE) / 2.0
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-6 * resistance)
    flux = np.sqrt(2.0 / 3.0) * emf_constant
    emf = flux * motor_speed
    u = freewheel_angle(emf, resistance, reactance, supply_voltage, alignment_error)
    along = 1.5 * _ROOT3 - np.sin(2.0 * _GAP - u)
    across = 0.5 + np.cos(2.0 * _GAP - u)
    cos, sin = np.cos(alignment_error), np.sin(alignment_error)
    floats = _GAP - u
    turned = u + 2.0 * alignment_error
    volts = supply_voltage / np.pi
    shown = 1.5 * emf / np.pi
    real = volts * (along * cos + across * sin) + shown * (floats - np.cos(turned) * np.sin(floats)) - emf
    imaginary = volts * (across * cos - along * sin) + shown * np.sin(turned) * np.sin(floats)
    size = np.square(resistance) + np.square(reactance)
    torque: Nm = 1.5 * flux * (real * resistance + imaginary * reactance) / size
    current: Ampere = np.hypot(real, imaginary) / np.sqrt(size) / FUNDAMENTAL
    share: Fraction = u / _GAP
    return torque, current, share
