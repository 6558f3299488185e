"""Torque at speed for thousands of draws: the closed form, put right by the solution in time at the stated values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from calc.drive.curve import STATES
from calc.drive.inverter import unsettled
from calc.drive.standing import stall_current, torque_constant
from calc.drive.torque import no_load_speed, torque_at_speed
from calc.quantities import (
    Ampere,
    Array,
    EmfConstant,
    Henry,
    Nm,
    Number,
    Ohm,
    Radian,
    RadianPerSecond,
    Volt,
)

_SPEEDS = np.concatenate([np.linspace(0.0, 1.1, 23), [1.2, 1.35, 1.5]])
"""As shares of the no-load speed: every twentieth up to where the curve ends."""

_LEAST_VOLTS = 0.1  # a pack may sag to nothing
_MOST_KEPT = 32


class Correction(NamedTuple):
    """What the closed form misses, at `speed` (shares of the no-load speed): `torque` in standstill torques."""

    speed: Array
    torque: Array


def _standing(
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
) -> Nm:
    current = stall_current(line_resistance, supply_voltage, phase_current_limit, bus_current_limit)
    return torque_constant(emf_constant) * current


_kept: dict[tuple[float | str, ...], Correction] = {}


def correction(
    emf_constant: float,
    line_resistance: float,
    line_inductance: float,
    pole_pairs: float,
    supply_voltage: float,
    phase_current_limit: float,
    bus_current_limit: float,
    alignment_error: float,
    armature_per_ampere: float,
    drive_kind: str = "six-step",
) -> Correction:
    """What `torque_at_speed` misses of the solution in time for one build, the shift by the armature's field counted.

    Single values. The last builds are remembered: load, gearing and pack change more often than what the machine is
    fed with. Raises NoSolution where no state repeats.

    Source: [method-drive] #correction
    """
    build = (
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        phase_current_limit,
        bus_current_limit,
        alignment_error,
        armature_per_ampere,
        drive_kind,
    )
    if build in _kept:
        return _kept[build]
    supply_voltage = max(supply_voltage, _LEAST_VOLTS)
    motor_speed = _SPEEDS * no_load_speed(emf_constant, supply_voltage)
    found = STATES[drive_kind](
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        0.0,
        phase_current_limit,
        bus_current_limit,
        alignment_error,
        armature_per_ampere=armature_per_ampere,
    )
    good = found.found
    if np.count_nonzero(good) < 0.8 * good.size:
        raise unsettled()
    closed = torque_at_speed(
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        phase_current_limit,
        bus_current_limit,
        alignment_error,
    )
    unit = _standing(emf_constant, line_resistance, supply_voltage, phase_current_limit, bus_current_limit)
    missed = (np.asarray(found.torque) - closed) / unit
    return _remember(build, Correction(_SPEEDS[good], missed[good]))


def _remember(build: tuple[float | str, ...], found: Correction) -> Correction:
    _kept[build] = found
    while len(_kept) > _MOST_KEPT:
        del _kept[next(iter(_kept))]
    return found


def newest() -> tuple[float | str, ...] | None:
    """The build solved last; None when none was.

    Source: [method-drive] #correction
    """
    return next(reversed(_kept), None)


def kept() -> list[tuple[tuple[float | str, ...], list[float], list[float]]]:
    """The corrections remembered, oldest first, as plain values: the build, speeds and torques.

    Source: [method-drive] #correction
    """
    return [(build, found.speed.tolist(), found.torque.tolist()) for build, found in _kept.items()]


def remember(rows: Sequence[Any]) -> None:
    """Remember what `kept` gave another time: an earlier visit to the page has solved it already.

    Source: [method-drive] #correction
    """
    for build, speed, torque in rows:
        _remember(tuple(build), Correction(np.array(speed, dtype=float), np.array(torque, dtype=float)))


def corrected_torque(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
    alignment_error: Radian,
    correction: Correction,
) -> Nm:
    """Mean torque at full throttle at `motor_speed`, N·m, friction not taken off.

    The closed form with what it misses at the stated values added, in proportion to each draw's own standstill torque
    and no-load speed. Validity: at the stated values that of the solution in time; over draws within 3 % of the
    standstill torque of it (docs/method-drive.md).

    Source: [method-drive] #correction
    """
    closed = torque_at_speed(
        motor_speed,
        emf_constant,
        line_resistance,
        line_inductance,
        pole_pairs,
        supply_voltage,
        phase_current_limit,
        bus_current_limit,
        alignment_error,
    )
    share = motor_speed / no_load_speed(emf_constant, np.maximum(supply_voltage, _LEAST_VOLTS))
    unit = _standing(emf_constant, line_resistance, supply_voltage, phase_current_limit, bus_current_limit)
    return closed + unit * np.interp(share, correction.speed, correction.torque)
