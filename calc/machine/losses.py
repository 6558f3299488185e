"""What the machine turns into heat beside the copper: bearings and brushes rubbing, fan, iron, brush contacts."""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, Fraction, Nm, Number, RadianPerSecond, Volt, Watt

MEASURED_AT = 1000.0 * 2.0 * np.pi / 60.0
"""Speed that the friction torque counts for, rad/s: losses are scaled from here."""
FAN_SHARE = 0.1
"""The fan's part of the drag without field at MEASURED_AT (common practice, no source)."""
EDDY_SHARE = 0.5
"""Eddy currents' part of the iron's drag at MEASURED_AT; solid claws have much of it (common practice, no source)."""
_MOST = 0.95
_USUAL_IRON = 0.5
_PLACES = (np.arange(40) + 0.5) / 40.0


def iron_share(friction_torque: Nm, unexcited_torque: Nm) -> Fraction:
    """Part of the friction torque that goes away with the field, 0 to 0.95: the iron's.

    Source: [method-drive] #losses
    """
    return np.clip(1.0 - unexcited_torque / friction_torque, 0.0, _MOST)


def iron_loss(
    friction_torque: Nm, iron_share: Fraction, motor_speed: RadianPerSecond, flux_share: Number = 1.0
) -> Watt:
    """Heat in the iron, W: hysteresis grows with speed, eddy currents with its square, both with flux squared.

    flux_share: flux over the flux that the friction was measured with.
    Validity: the current's own field left out.

    Source: [method-drive] #losses
    """
    relative = motor_speed / MEASURED_AT
    shape = (1.0 - EDDY_SHARE) + EDDY_SHARE * relative
    return friction_torque * iron_share * motor_speed * shape * np.square(flux_share)


def rubbing_loss(friction_torque: Nm, iron_share: Fraction, motor_speed: RadianPerSecond) -> Watt:
    """Heat of bearings and brushes, W: a torque that doesn't change with speed.

    Source: [method-drive] #losses
    """
    return friction_torque * (1.0 - iron_share) * (1.0 - FAN_SHARE) * motor_speed


def fan_loss(friction_torque: Nm, iron_share: Fraction, motor_speed: RadianPerSecond) -> Watt:
    """Power of the fan, W: grows with the cube of the speed. It leaves with the air.

    Source: [method-drive] #losses
    """
    relative = motor_speed / MEASURED_AT
    return friction_torque * (1.0 - iron_share) * FAN_SHARE * motor_speed * np.square(relative)


def drag_torque(
    friction_torque: Nm, iron_share: Fraction, motor_speed: RadianPerSecond, flux_share: Number = 1.0
) -> Nm:
    """What the machine holds back by itself at a speed, N·m: iron, rubbing and fan; at MEASURED_AT the friction torque.

    flux_share: as of `iron_loss`.

    Source: [method-drive] #losses
    """
    speed = np.maximum(motor_speed, 1e-6)
    return (
        iron_loss(friction_torque, iron_share, speed, flux_share)
        + rubbing_loss(friction_torque, iron_share, speed)
        + fan_loss(friction_torque, iron_share, speed)
    ) / speed


def law(motor_speed: RadianPerSecond) -> Number:
    """How many times the drag at MEASURED_AT the drag at another speed is, with half of it the iron's.

    Source: [method-drive] #losses
    """
    return drag_torque(1.0, _USUAL_IRON, motor_speed)


def law_between(from_speed: float, to_speed: float) -> float:
    """The same over a run-down from one speed to another: the harmonic mean, which its time goes by.

    Source: [method-drive] #losses
    """
    speeds = to_speed + (from_speed - to_speed) * _PLACES
    return float(1.0 / np.mean(1.0 / law(speeds)))


def brush_loss(field_current: Ampere, brush_drop: Volt) -> Watt:
    """Heat at both brush contacts, W.

    Source: [method-drive] #losses
    """
    return field_current * brush_drop


def body_loss(
    friction_torque: Nm,
    iron_share: Fraction,
    motor_speed: RadianPerSecond,
    field_current: Ampere,
    brush_drop: Volt,
) -> Watt:
    """Heat that stays in stator iron and housings, W: iron, rubbing and brush contacts. The fan's leaves with the air.

    Source: [method-drive] #losses
    """
    return (
        iron_loss(friction_torque, iron_share, motor_speed)
        + rubbing_loss(friction_torque, iron_share, motor_speed)
        + brush_loss(field_current, brush_drop)
    )
