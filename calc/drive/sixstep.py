"""Steady state of the six-step inverter at full duty, current unlimited, in closed form but for one angle.

Each phase is switched to plus for 120°, to minus for 120°, and left off for 60° between. Once off, its
current runs on through a diode for the freewheel angle u, 0 to 60°; then the phase floats and shows its own
EMF. With sinusoidal EMF only the fundamental makes mean torque, and the fundamental of the phase's voltage is
known as soon as u is. u is found from the current itself, which is an exponential between switchings.
Derivation and measured error: docs/method.md, "Torque at speed".
"""

from __future__ import annotations

import numpy as np

from calc.drive.bracket import crossing
from calc.machine.armature import FUNDAMENTAL
from calc.quantities import Ampere, EmfConstant, Fraction, Henry, Number, Ohm, Radian, RadianPerSecond, Volt

LEAST_RESISTANCE = 1.0e-6
"""Floor under a resistance that is divided by, ohm."""
LEAST_SUPPLY = 1.0e-6
"""Floor under a supply that may sag to nothing, V."""
_GAP = np.pi / 3.0
_ROOT3 = np.sqrt(3.0)
_STEPS = 7


def freewheel_angle(emf: Volt, resistance: Ohm, reactance: Ohm, supply: Volt, late: Radian) -> Radian:
    """Angle for which a phase's current runs on after switching off, 0 to 60° (rad).

    `emf` peak per phase, `resistance` and `reactance` per phase of the equivalent star, `late` the alignment
    error. 60° stands for "still running when switched on again". Validity: below no-load speed, where no
    diode conducts while a phase floats.

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

    def beyond(u: Radian) -> Radian:
        """How far beyond a trial angle u the current in truth reaches zero; none outside 0 to 60°."""
        turned = driven * np.exp(1j * np.asarray(u))
        fade = np.exp(-ratio * u)
        # Over its last 60° another phase's diode conducts for u, then two phases in series.
        joint = (0.5 * np.exp(-2j * _GAP) * turned).real - third / 2.0
        start = (end + (joint - first * fade) * np.exp(-ratio * (_GAP - u))) / whole
        # Then its own diode: the current falls towards `target` and dies on the way.
        target = np.minimum(-third - (np.exp(1j * _GAP) * turned).real, -1e-9 * third)
        grown = np.maximum((start - begin + target) / -target, -0.999)
        return np.clip(np.log1p(grown) / ratio, 0.0, _GAP) - u

    zero = np.zeros(np.shape(whole + third + first))
    return crossing(beyond, zero, zero + _GAP, _STEPS)


def full_duty(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    alignment_error: Radian,
) -> tuple[Ampere, Radian, Fraction]:
    """What full duty drives with no limit on current: flat-top current, lag, freewheel share.

    The flat-top current (A) is the one with the same fundamental; the lag (rad) is that of the fundamental
    behind the EMF, so that mean torque = K·current·cos(lag), K the torque constant. The freewheel angle is
    given as a share of 60°. `line_resistance` (as hot as it is) and `line_inductance` are between two leads;
    the supply is stiff. Validity: torque within 1 % of a solution in time up to 60 % of the speed where peak
    EMF meets supply, 6 % up to 95 % (8 % at 15° late, 11 % at 30° late; docs/method.md). Beyond, diodes
    conduct while a phase floats, and their braking is missing.

    Source: [method] #torque-at-speed
    """
    resistance = np.maximum(line_resistance, LEAST_RESISTANCE) / 2.0
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-6 * resistance)
    emf = np.sqrt(2.0 / 3.0) * emf_constant * motor_speed
    supply = np.maximum(supply_voltage, LEAST_SUPPLY)
    u = freewheel_angle(emf, resistance, reactance, supply, alignment_error)
    floats = _GAP - u
    late = np.asarray(alignment_error)
    gated = _ROOT3 + 2.0 * np.sin(u / 2.0) * np.exp(1j * (2.0 * _GAP - u / 2.0))
    shown = floats - np.exp(-1j * (u + 2.0 * late)) * np.sin(floats)
    voltage = (supply * gated * np.exp(-1j * late) + 1.5 * emf * shown) / np.pi
    fundamental = (voltage - emf) / (resistance + 1j * reactance)
    current: Ampere = np.abs(fundamental) / FUNDAMENTAL
    lag: Radian = -np.angle(fundamental)
    share: Fraction = u / _GAP
    return current, lag, share
