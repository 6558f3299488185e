"""Torque at standstill: six-step current in a machine with sinusoidal EMF."""

from __future__ import annotations

import numpy as np

from calc.machine.armature import armature_ratio, armature_share, armature_shift, stall_alignment
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Nm,
    Number,
    Ohm,
    Radian,
    TorqueConstant,
    Volt,
)

NO_CURRENT_WILL_DO = 1.0e4
"""Current that `current_needed` never passes, A: reaching it means that no current starts the machine."""
IN_HAND = 1.2
"""A start with less than so many times what it takes is called close (common practice, no source)."""
_LEAST_RESISTANCE = 1.0e-6
_STEPS = np.linspace(1.0 / 16.0, 1.0, 16)


def torque_constant(emf_constant: EmfConstant) -> TorqueConstant:
    """Mean six-step torque per ampere of flat-top line current, N·m/A: (3/π)·√2·emf_constant.

    `emf_constant` is line-line rms EMF per mechanical rad/s. Sensors right; no saturation by the current.

    Source: [method] #six-step-torque
    """
    return 3.0 / np.pi * np.sqrt(2.0) * emf_constant


def mean_factor(alignment_error: Radian) -> Number:
    """Mean torque over a turn in units of √2·emf_constant·current: (3/π)·cos ε, best 3/π = 0.955.

    Source: [method] #six-step-torque
    """
    return 3.0 / np.pi * np.cos(alignment_error)


def worst_factor(alignment_error: Radian) -> Number:
    """Least torque over rotor positions in units of √2·emf_constant·current, best cos 30° = 0.866.

    In a sector of 60° the torque follows cos(θ − ε), θ from −30° to 30°; its least is cos(30° + |ε|), and −1
    once |ε| reaches 150°. Any `alignment_error`, also beyond a turn. Negative: there it pulls backwards.

    Source: [method] #six-step-torque
    """
    reduced = np.arccos(np.cos(alignment_error))
    return np.cos(np.minimum(np.pi / 6.0 + reduced, np.pi))


def standing_torque(emf_constant: EmfConstant, current: Ampere, alignment_error: Radian) -> Nm:
    """Mean standstill torque over rotor positions, N·m, friction not taken off.

    Validity: sinusoidal EMF, flat-top current, no shift of the sensors' edges by the current.

    Source: [method] #six-step-torque
    """
    return np.sqrt(2.0) * emf_constant * current * mean_factor(alignment_error)


def standing_torque_worst(emf_constant: EmfConstant, current: Ampere, alignment_error: Radian) -> Nm:
    """Standstill torque at the rotor position where it is least, N·m, friction not taken off.

    A start under load has to count on this one: the wheel decides where the rotor stands.

    Source: [method] #six-step-torque
    """
    return np.sqrt(2.0) * emf_constant * current * worst_factor(alignment_error)


def edge_torque(emf_constant: EmfConstant, current: Ampere, on_error: Radian, off_error: Radian) -> Nm:
    """Mean standstill torque, N·m, when the sensors' on edges and off edges are late by different angles.

    Each edge counts by the cosine of its own error, so it is the mean of both. Validity: as `standing_torque`; six
    codes still in their order, the two errors less than 60° apart.

    Source: [method-machine] #hysteresis
    """
    on = standing_torque(emf_constant, current, on_error)
    return (on + standing_torque(emf_constant, current, off_error)) / 2.0


def edge_torque_worst(emf_constant: EmfConstant, current: Ampere, on_error: Radian, off_error: Radian) -> Nm:
    """Least standstill torque over rotor positions, N·m, with on and off edges late by different angles: that of the
    edge that is furthest off; none or less once the two are a sector apart, because a code is missing then.

    Source: [method-machine] #hysteresis
    """
    on = standing_torque_worst(emf_constant, current, on_error)
    least = np.minimum(on, standing_torque_worst(emf_constant, current, off_error))
    return np.where(np.abs(np.asarray(on_error) - off_error) < np.pi / 3.0, least, np.minimum(least, 0.0))


def current_needed(torque_needed: Nm, emf_constant: EmfConstant, alignment_error: Radian) -> Ampere:
    """Line current that gives `torque_needed` at the worst rotor position, A.

    Zero when nothing is needed. Cut at NO_CURRENT_WILL_DO (10 000 A): a result that high means that at the
    worst position (|ε| from 60°) no current starts it, which the caller says in words.

    Source: [method] #six-step-torque
    """
    per_ampere = np.sqrt(2.0) * emf_constant * worst_factor(alignment_error)
    current = np.maximum(torque_needed, 0.0) / np.maximum(per_ampere, 1e-12)
    return np.minimum(current, NO_CURRENT_WILL_DO)


def hardest_torque(full_field_constant: EmfConstant, strongest_current: Ampere) -> Nm:
    """Most mean torque that a start may bring, N·m: sensors right, winding and field coil cold, pack full.

    An upper bound: sensors out of place, by their slots or by the current, take some of it.

    Source: [method-drive] #strongest
    """
    return torque_constant(full_field_constant) * strongest_current


def start_current(
    stall_current: Ampere,
    emf_constant: EmfConstant,
    line_inductance: Henry,
    pole_pairs: Number,
    sensed_share: Fraction,
    alignment_error: Radian,
    edge_on_delay: Radian,
    edge_off_delay: Radian,
) -> Ampere:
    """Line current, no more than flows at standstill, at which the worst rotor position pulls hardest, A.

    More current makes more torque, and pulls the sensors further from their place: where the second wins, less current
    starts more. The best of sixteen steps; all of the current where no step pulls.

    Source: [method-machine] #armature
    """
    whole, constant, inductance, pairs, sensed, error, on, off = np.broadcast_arrays(
        stall_current,
        emf_constant,
        line_inductance,
        pole_pairs,
        sensed_share,
        alignment_error,
        edge_on_delay,
        edge_off_delay,
    )
    tried = np.multiply.outer(_STEPS, whole)
    torque = np.asarray(pulled_torque_worst(tried, constant, inductance, pairs, sensed, error, on, off))
    best = np.take_along_axis(tried, np.expand_dims(torque.argmax(0), 0), 0)[0]
    return np.where(torque.max(0) > 0.0, best, whole)


def pulled_torque_worst(
    current: Ampere,
    emf_constant: EmfConstant,
    line_inductance: Henry,
    pole_pairs: Number,
    sensed_share: Fraction,
    alignment_error: Radian,
    edge_on_delay: Radian,
    edge_off_delay: Radian,
) -> Nm:
    """Standstill torque at the rotor position where it is least, N·m, with the current's own pull on the sensors.

    Validity: as `edge_torque_worst` and `armature_shift`.

    Source: [method-machine] #armature
    """
    shift = armature_shift(
        armature_share(armature_ratio(emf_constant, line_inductance, pole_pairs, current), sensed_share)
    )
    errors = (stall_alignment(alignment_error, delay, shift) for delay in (edge_on_delay, edge_off_delay))
    return edge_torque_worst(emf_constant, current, *errors)


def stall_current(
    line_resistance: Ohm,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
) -> Ampere:
    """Line current that is there at standstill, A: the least of what three limits allow.

    Controller (phase limit); voltage over resistance, U/R; and the battery limit, which at stall feeds copper
    loss alone: U·I_bus = I²·R. `line_resistance` as hot as it is.

    Source: [method] #stall-current
    """
    resistance = np.maximum(line_resistance, _LEAST_RESISTANCE)
    by_voltage = supply_voltage / resistance
    by_battery = np.sqrt(np.maximum(supply_voltage * bus_current_limit, 0.0) / resistance)
    return np.minimum(np.minimum(phase_current_limit, by_voltage), by_battery)
