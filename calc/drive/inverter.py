"""Steady state of six-step inverter and machine in time: what repeats from period to period, for many lanes at once."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.drive.repeat import Lanes, flow_of, solve
from calc.errors import NoSolution
from calc.quantities import (
    Ampere,
    Array,
    EmfConstant,
    Fraction,
    Henry,
    Number,
    Ohm,
    Radian,
    RadianPerSecond,
    Real,
    Volt,
)

_LEAST_SPEED = 2e-3
"""Electrical rad/s per R/L under which a machine counts as standing."""
_LEAST_OHMS = 1e-6


class Steady(NamedTuple):
    """Means over a period, SI, arrays of the lanes' shape. Torque is that of the air gap: friction is not taken off.

    line_current is the rms of a lead's, peak_current the highest of any lead; battery_current is what
    ideal switches take from the bus.
    found: whether a state that repeats was found; where not, the rest is nan.
    """

    torque: Array
    line_current: Array
    peak_current: Array
    battery_current: Array
    bus_voltage: Array
    duty: Array
    copper_loss: Array
    armature_shift: Array
    found: np.ndarray[Any, np.dtype[np.bool_]]


def unsettled() -> NoSolution:
    """What to say where hardly any state repeats.

    Source: [method-drive] #in-time
    """
    return NoSolution(
        "No periodic solution was found for inverter and machine: the switching doesn't repeat.",
        "Check resistance, inductance, pole pairs, supply voltage and both current limits. Where the "
        "current's own field outweighs the rotor's it pulls the sensors on without end: more field current, or a lower "
        "phase limit.",
    )


def steady_state(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    open_voltage: Volt,
    source_resistance: Ohm,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
    alignment_error: Radian,
    *,
    extra_current: Ampere = 0.0,
    armature_per_ampere: Real = 0.0,
    throttle: Fraction = 1.0,
    sensor_errors: tuple[float, ...] = (),
    harmonics: tuple[tuple[int, float, float], ...] = (),
) -> Steady:
    """What a six-step controller drives through the machine at a steady speed, at full throttle unless said.

    `line_resistance` (as hot as it is) and `line_inductance` are between two leads; `open_voltage` and
    `source_resistance` the pack's, 0 for a stiff supply; `extra_current` (A) what field and electronics take from it;
    `bus_current_limit` what the switches may take from the bus.
    `alignment_error` positive: the sensors switch late; a controller's own advance is taken off it by the caller.
    armature_per_ampere: the armature's share of the working field for each ampere of flat-top current, 1/A.
    sensor_errors: how late each of the six edges comes beyond `alignment_error`, rad, the first that of sector 0.
    harmonics: further (order, share of the fundamental, phase in rad) of a phase's EMF.
    Validity: ideal switches and diodes; chopping and duty infinitely fast; inductance the same at every rotor angle.

    Source: [method-drive] #in-time
    """
    given = np.broadcast_arrays(
        *(
            np.asarray(value, dtype=float)
            for value in (
                motor_speed,
                emf_constant,
                line_resistance,
                line_inductance,
                pole_pairs,
                open_voltage,
                source_resistance,
                extra_current,
                phase_current_limit,
                bus_current_limit,
                alignment_error,
                armature_per_ampere,
                throttle,
            )
        )
    )
    shape = given[0].shape
    speed, constant, r_line, l_line, pairs, volts, source, extra, limit, battery, late, per_ampere, duty = (
        value.ravel().copy() for value in given
    )
    resistance = np.maximum(r_line, _LEAST_OHMS) / 2.0
    reactance = np.maximum(pairs * speed * l_line / 2.0, _LEAST_SPEED * resistance)
    errors = np.zeros(3) if not sensor_errors else np.append(sensor_errors, sensor_errors[0])
    series = [(1, 1.0, 0.0), *(h for h in harmonics if h[0] % 3)]
    orders = np.array([[float(order)] for order, _, _ in series])
    shares = np.array([[share * np.exp(1j * phase)] for _, share, phase in series])
    lanes = Lanes(
        orders,
        shares * np.sqrt(2.0 / 3.0) * constant,
        speed,
        resistance,
        reactance,
        volts,
        source,
        extra,
        np.minimum(limit, 1e3 * volts / resistance),
        battery,
        late,
        np.repeat(errors[:, None], len(speed), 1),
        per_ampere,
        duty,
    )
    state, found = solve(lanes)
    flow, supply = flow_of(lanes, state)
    rms = np.sqrt(np.maximum(flow.copper, 0.0) / (3.0 * resistance))

    def told(value: Any) -> Any:
        return np.where(found, value, np.nan).reshape(shape)

    return Steady(
        torque=told(flow.torque),
        line_current=told(rms),
        peak_current=told(flow.peak),
        battery_current=told(flow.bus),
        bus_voltage=told(supply),
        duty=told(state.duty),
        copper_loss=told(flow.copper),
        armature_shift=told(state.shift),
        found=found.reshape(shape),
    )
