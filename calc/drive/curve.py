"""Torque over speed at full throttle: the sweep, where it ends, and what limits it where."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.drive.controller import bus_current_limit, drawn
from calc.drive.inverter import Steady, steady_state, unsettled
from calc.drive.sinusoidal import sinusoidal_state
from calc.drive.standing import torque_constant
from calc.drive.torque import no_load_speed
from calc.quantities import (
    Ampere,
    Array,
    EmfConstant,
    Fraction,
    Nm,
    Ohm,
    Radian,
    RadianPerSecond,
    Real,
    Volt,
    Watt,
)

STATES = {"six-step": steady_state, "sinusoidal": sinusoidal_state}
"""The steady state for each choice of the field `drive_kind`."""
_AT_LIMIT = 0.995
_EARLIEST = 1.6
"""A sweep goes so far with the earliest switching, as a multiple of the no-load speed of right sensors."""


class Machine(NamedTuple):
    """One way to connect, feed or time the machine; values between two leads, resistance as hot as it is.

    switching_error: how late the switching comes, advance taken off, rad. armature_per_ampere: see `steady_state`.
    """

    emf_constant: EmfConstant
    line_resistance: Ohm
    line_inductance: Real
    switching_error: Radian
    armature_per_ampere: Real


class Supply(NamedTuple):
    """What feeds it: the pack as a voltage behind a resistance, the limits, the share that the controller passes on.

    extra_current is what field and electronics take, A; battery_current_limit is what leaves the pack for the drive.
    """

    open_voltage: Volt
    source_resistance: Ohm
    extra_current: Ampere
    phase_current_limit: Ampere
    battery_current_limit: Ampere
    controller_efficiency: Fraction


def switching_error(alignment_error: Radian, timing_advance: Radian) -> Radian:
    """How late the controller switches at speed, rad: what the sensors are late, less the advance it takes itself.

    Source: [method-drive] #torque-speed
    """
    return alignment_error - timing_advance


def direct_current_torque(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    supply_voltage: Volt,
    phase_current_limit: Ampere,
) -> Nm:
    """What the direct-current formula promises, N·m: K·(U − K·ω)/R, no more than K times the limit.

    It leaves the inductance out, and overstates torque 1.5 to 5 times away from the limit.

    Source: [method-drive] #torque-speed
    """
    constant = torque_constant(emf_constant)
    current = (supply_voltage - constant * motor_speed) / line_resistance
    return constant * np.clip(current, 0.0, phase_current_limit)


def sweep(
    speeds: list[Array],
    machines: list[Machine],
    supply: Supply,
    pole_pairs: Real,
    drive_kind: str = "six-step",
    throttles: list[Array] | None = None,
) -> list[Steady]:
    """The steady state of each machine at its speeds, all as lanes of one solution; `throttles`: one to each speed.

    The solver's switches are ideal. A controller that loses a share draws more from the pack than they take: the
    limit falls by its efficiency, and the pack sags as if its resistance were larger by as much.
    Raises NoSolution where hardly any state of the first machine repeats; what the others lack is nan.

    Source: [method-drive] #torque-speed
    """
    sizes = [len(speed) for speed in speeds]

    def lanes(values: list[Any]) -> Array:
        return np.repeat(np.asarray(values, dtype=float), sizes)

    columns = [lanes([m[k] for m in machines]) for k in range(len(Machine._fields))]
    constant, resistance, inductance, error, per_ampere = columns
    found = STATES[drive_kind](
        np.concatenate(speeds),
        constant,
        resistance,
        inductance,
        pole_pairs,
        supply.open_voltage,
        supply.source_resistance / supply.controller_efficiency,
        supply.phase_current_limit,
        bus_current_limit(supply.battery_current_limit, supply.controller_efficiency),
        error,
        extra_current=supply.extra_current * supply.controller_efficiency,
        armature_per_ampere=per_ampere,
        throttle=1.0 if throttles is None else np.concatenate(throttles),
    )
    if np.count_nonzero(found.found[: sizes[0]]) < 0.8 * sizes[0]:
        raise unsettled()
    ends = np.cumsum(sizes)[:-1]
    parts = [np.split(np.asarray(value), ends) for value in found]
    return [Steady(*(part[k] for part in parts)) for k in range(len(sizes))]


def speeds_for(machine: Machine, open_voltage: Volt, count: int) -> Array:
    """Speeds from near standstill to beyond the no-load speed, rad/s; further for early sensors.

    Source: [method-drive] #torque-speed
    """
    early = np.clip(-machine.switching_error, 0.0, np.pi / 3.0) / (np.pi / 3.0)
    top = float(no_load_speed(machine.emf_constant, open_voltage) * (1.05 + (_EARLIEST - 1.05) * early))
    return np.linspace(top / count, top, count)


def ends_at(speed: Array, torque: Array, drag: Array) -> float:
    """No-load speed, rad/s: the first at which the torque falls to the machine's drag; the last if it never does.

    Source: [method-drive] #torque-speed
    """
    left = torque - drag
    good = np.isfinite(left)
    speed, left = speed[good], left[good]
    under = np.flatnonzero(left <= 0.0)
    if not len(under):
        return float(speed[-1]) if len(speed) else 0.0
    k = int(under[0])
    if k == 0:
        return 0.0
    share = left[k - 1] / (left[k - 1] - left[k])
    return float(speed[k - 1] + share * (speed[k] - speed[k - 1]))


def comes_to_an_end(torque: Array, drag: Array) -> bool:
    """Whether the torque falls to the machine's drag at all within the speeds of a sweep.

    Source: [method-drive] #torque-speed
    """
    return bool(np.any(torque <= drag))


PART_LOADS = np.array([0.06, 0.2, 0.4, 0.65, 1.0])


def part_throttles(
    speed: RadianPerSecond, machine: Machine, pole_pairs: Real, supply: Supply
) -> tuple[Array, Array]:
    """Speeds and throttles that spread over the torque that is there at each `speed`, full throttle among them.

    From a little above the duty that meets the EMF to the duty that drives the phase limit's current, and full.

    Source: [method-drive] #torque-speed
    """
    back = torque_constant(machine.emf_constant) * speed
    drop = machine.line_resistance + 1.5 / np.pi * pole_pairs * speed * machine.line_inductance
    low = back / supply.open_voltage
    high = np.minimum((back + drop * supply.phase_current_limit) / supply.open_voltage, 1.0)
    duty = low + (np.maximum(high, low) - low) * PART_LOADS[:, None]
    duty = np.clip(np.concatenate([duty, np.ones_like(duty[:1])]), 0.01, 1.0)
    return np.broadcast_to(speed, duty.shape).ravel(), duty.ravel()


def limited_by(found: Steady, phase_current_limit: Ampere) -> list[str]:
    """What holds the torque at each speed: 'battery limit', 'phase limit' or 'voltage'.

    Source: [method-drive] #torque-speed
    """
    battery, phase = found.duty < _AT_LIMIT, found.peak_current >= _AT_LIMIT * phase_current_limit
    words = np.where(battery, "battery limit", np.where(phase, "phase limit", "voltage"))
    return [str(word) for word in words]


def efficiency(
    speed: RadianPerSecond,
    torque: Nm,
    bus_power: Watt,
    drag: Nm,
    controller_efficiency: Fraction,
    other_power: Watt,
) -> Fraction:
    """Shaft power over all that leaves the pack's terminals, 0 where nothing is driven.

    `bus_power` is what ideal switches take, `other_power` what field and electronics do, W; `drag` the machine's own.

    Source: [method-drive] #torque-speed
    """
    out = np.maximum((torque - drag) * speed, 0.0)
    taken = drawn(bus_power, controller_efficiency) + other_power
    return np.where(out > 0.0, out / np.maximum(taken, 1e-6), 0.0)
