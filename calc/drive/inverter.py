"""Steady state of six-step inverter and machine in time: what repeats from period to period, for many lanes at once."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.drive.sector import Circuit, Piece, Sector, Term
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Nm,
    Number,
    Ohm,
    Radian,
    RadianPerSecond,
    Real,
    Volt,
    Watt,
)

_SIXTH = np.pi / 3.0
_LEAST_SPEED = 2e-3
"""Electrical rad/s per R/L under which a machine counts as standing."""
_LEAST_OHMS = 1e-6
_ROUNDS, _CLOSE, _STEP = 40, 1e-8, 1e-6


class Steady(NamedTuple):
    """Means over a period, arrays of the lanes' shape. Torque is that of the air gap: friction is not taken off.

    line_current is the rms of a lead's, peak_current the highest of any lead; battery_current is the inverter's alone.
    found: whether a state that repeats was found; where not, the rest is nan.
    """

    torque: Nm
    line_current: Ampere
    peak_current: Ampere
    battery_current: Ampere
    bus_voltage: Volt
    duty: Fraction
    copper_loss: Watt
    armature_shift: Radian
    found: Any


class Flow(NamedTuple):
    """What one period takes a state to, and means over it. torque is that on the shaft."""

    high: Any
    off: Any
    bus: Any
    copper: Any
    torque: Any
    peak: Any


def _grown(rate: Any, length: Any) -> Any:
    """∫ e^(rate·x) dx from 0 to length."""
    still = np.abs(rate * length) < 1e-12
    return np.where(still, length, np.expm1(np.where(still, 0.0, rate * length)) / np.where(still, 1.0, rate))


class _Span:
    """Integrals over a piece."""

    def __init__(self, circuit: Circuit, length: Any) -> None:
        self.length = length
        turn, fades = 1j * circuit.orders, -circuit.resistance / circuit.reactance
        self.wave, self.dying = _grown(turn + 0.0 * length, length), _grown(fades, length)
        self.both, self.twice = _grown(turn + fades, length), _grown(2.0 * fades, length)
        self.plus = _grown(turn[:, None] + turn + 0.0 * length, length)
        self.minus = _grown(turn[:, None] - turn + 0.0 * length, length)

    def of(self, a: Term) -> Any:
        return a.constant * self.length + (a.wave * self.wave).sum(0).real + a.dying * self.dying

    def product(self, a: Term, b: Term) -> Any:
        left = a.wave[:, None]
        waves = 0.5 * (left * b.wave * self.plus + left * b.wave.conj() * self.minus).sum((0, 1)).real
        crossed = ((a.wave * b.dying + b.wave * a.dying) * self.both).sum(0).real
        flat = a.constant * self.of(b) + b.constant * (self.of(a) - a.constant * self.length)
        return flat + waves + crossed + a.dying * b.dying * self.twice


def _measure(circuit: Circuit, piece: Piece) -> tuple[Any, Any, Any]:
    """Over one piece: charge from the bus, heat and shaft energy, each per electrical radian."""
    span = _Span(circuit, piece.length)
    high, off = piece.high, piece.off
    bus = span.product(piece.voltage, high) / circuit.supply + np.where(piece.is_upper, span.of(off), 0.0)
    squares = span.product(high, high) + span.product(off, off) + span.product(high, off)
    nothing = 0.0 * high.constant
    shaft = span.product(Term(nothing, piece.flux_high, nothing), high)
    return (
        bus,
        2.0 * circuit.resistance * squares,
        shaft + span.product(Term(nothing, piece.flux_off, nothing), off),
    )


def _period(circuit: Circuit, edges: Any, high: Any, off: Any) -> Flow:
    """Through all sectors between the `edges`, a state that stands for the phases' parts in the first of them."""
    bus, copper, torque, peak = (np.zeros_like(high) for _ in range(4))
    for number in range(len(edges) - 1):
        sector = Sector(circuit, number, edges[number], edges[number + 1], high, off)
        for piece in sector.run():
            parts = _measure(circuit, piece)
            bus, copper, torque = bus + parts[0], copper + parts[1], torque + parts[2]
        peak = np.maximum(peak, sector.peak)
        high, off = sector.high, sector.off
        high, off = (off, high) if number % 2 == 0 else (high, -high - off)
    turn = edges[-1] - edges[0]
    return Flow(high, off, bus / turn, copper / turn, torque / turn, peak)


class _Lanes(NamedTuple):
    """The builds and speeds to be solved, one lane each."""

    flux: Any
    motor_speed: Any
    resistance: Any
    reactance: Any
    open_voltage: Any
    source_resistance: Any
    extra_current: Any
    limit: Any
    battery_limit: Any
    late: Any
    errors: Any
    per_ampere: Any
    throttle: Any

    def some(self, which: Any) -> _Lanes:
        return _Lanes(*(value[..., which] for value in self))


class _State(NamedTuple):
    """What is looked for in each lane: currents of the first sector's high and off phase, bus current, duty, shift."""

    high: Any
    off: Any
    bus: Any
    duty: Any
    shift: Any


def _flow(lanes: _Lanes, state: _State, orders: Any, shares: Any) -> tuple[Flow, Any]:
    """One period from a state, and the bus voltage."""
    drawn = np.minimum(state.bus, lanes.battery_limit) + lanes.extra_current
    supply = np.maximum(lanes.open_voltage - lanes.source_resistance * drawn, 1e-3 * lanes.open_voltage)
    circuit = Circuit(
        orders,
        shares * lanes.flux * lanes.motor_speed,
        shares * lanes.flux + 0.0 * supply,
        lanes.resistance,
        lanes.reactance,
        supply,
        state.duty * supply,
        lanes.limit,
    )
    steps = np.arange(len(lanes.errors))[:, None] * _SIXTH
    return _period(circuit, steps + lanes.late + lanes.errors - state.shift, state.high, state.off), supply


def _missed(
    lanes: _Lanes, state: _State, names: tuple[str, ...], orders: Any, shares: Any
) -> tuple[Any, Any]:
    """By how much each looked-for value misses what one period makes of it (rows as `names`), and that flow."""
    flow, _ = _flow(lanes, state, orders, shares)
    rms = np.sqrt(np.maximum(flow.copper, 0.0) / (3.0 * lanes.resistance))
    shift = np.arcsin(np.clip(lanes.per_ampere * np.sqrt(1.5) * rms, 0.0, 1.0))
    by_name = {
        "high": flow.high - state.high,
        "off": flow.off - state.off,
        "bus": flow.bus - state.bus,
        "duty": flow.bus - lanes.battery_limit,
        "shift": shift - state.shift,
    }
    return np.stack([by_name[name] for name in names]), flow


def _repeat(
    lanes: _Lanes, state: _State, names: tuple[str, ...], orders: Any, shares: Any
) -> tuple[_State, Any]:
    """The state that repeats, by Newton's method on what a period makes of it; and in which lanes it was found.

    The slopes are differences: each lane is run beside copies with one value a little off.
    """
    scale = (lanes.open_voltage + lanes.flux * lanes.motor_speed) / np.hypot(
        lanes.resistance, lanes.reactance
    )
    units = np.stack([np.ones_like(scale) if name in ("duty", "shift") else scale for name in names])
    goals = np.stack([np.ones_like(scale) if name == "shift" else scale for name in names])
    found = np.zeros(scale.shape, dtype=bool)
    todo = np.arange(len(scale))
    count = len(names)
    for _ in range(_ROUNDS):
        some, one = lanes.some(todo), _State(*(value[todo] for value in state))
        unit, goal = units[:, todo], goals[:, todo]
        near = -_STEP * unit
        tiled = np.concatenate([todo] * (count + 1))
        many = {name: np.tile(value, count + 1) for name, value in one._asdict().items()}
        size = len(todo)
        for row, name in enumerate(names):
            many[name][(row + 1) * size : (row + 2) * size] += near[row]
        missed, _ = _missed(lanes.some(tiled), _State(**many), names, orders, shares)
        missed = missed.reshape(count, count + 1, size)
        base = missed[:, 0]
        good = np.abs(base / goal).max(0) < _CLOSE
        found[todo[good]] = True
        slopes = (missed[:, 1:] - base[:, None]) / near[None] * unit[None] / goal[:, None]
        step = -np.linalg.pinv(slopes.transpose(2, 0, 1)) @ (base / goal).T[:, :, None]
        step = step[:, :, 0].T * unit
        for row, name in enumerate(names):
            value = getattr(state, name)
            value[todo] = np.where(good, value[todo], _held(name, value[todo] + step[row], some))
        todo = todo[~good]
        if not len(todo):
            break
    return state, found


def _held(name: str, value: Any, lanes: _Lanes) -> Any:
    """A value of the next round within what is possible."""
    if name == "duty":
        return np.clip(value, 1e-4, lanes.throttle)
    return np.clip(value, 0.0, np.pi / 2.0) if name == "shift" else value


def steady_state(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    open_voltage: Volt,
    source_resistance: Ohm,
    phase_current_limit: Ampere,
    battery_current_limit: Ampere,
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
    `source_resistance` the pack's, 0 for a stiff supply; `extra_current` (A) what field and electronics take from it.
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
                battery_current_limit,
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
    lanes = _Lanes(
        np.sqrt(2.0 / 3.0) * constant,
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
    state = _first_guess(lanes)
    fixed = ("shift",) if np.any(per_ampere > 0.0) else ()
    sags = ("bus",) if np.any(source > 0.0) else ()
    state, found = _repeat(lanes, state, ("high", "off", *sags, *fixed), orders, shares)
    flow, _ = _flow(lanes, state, orders, shares)
    over = np.flatnonzero(found & (flow.bus > battery * (1.0 + 1e-9)))
    if len(over):
        some = lanes.some(over)
        limited = _State(*(value[over] for value in state))
        limited = limited._replace(bus=some.battery_limit.copy(), duty=_duty_guess(some))
        limited, found[over] = _repeat(some, limited, ("high", "off", "duty", *fixed), orders, shares)
        for value, new in zip(state, limited, strict=True):
            value[over] = new
    flow, supply = _flow(lanes, state, orders, shares)
    rms = np.sqrt(np.maximum(flow.copper, 0.0) / (3.0 * resistance))
    results = (flow.torque, rms, flow.peak, flow.bus, supply, state.duty, flow.copper, state.shift)
    told = (np.where(found, value, np.nan).reshape(shape) for value in results)
    return Steady(*told, found.reshape(shape))


def _first_guess(lanes: _Lanes) -> _State:
    """Flat-top current as direct-current would have it, under the limit."""
    back = lanes.flux * lanes.motor_speed * np.sqrt(3.0)
    current = np.clip((lanes.open_voltage - back) / (2.0 * lanes.resistance), 0.0, lanes.limit)
    small = np.minimum(current, 0.3 * lanes.open_voltage / np.hypot(lanes.resistance, lanes.reactance))
    zero = np.zeros_like(small)
    return _State(small.copy(), -small, zero.copy(), lanes.throttle.copy(), zero.copy())


def _duty_guess(lanes: _Lanes) -> Any:
    """Duty at which flat-top current takes what the battery limit gives."""
    back = lanes.flux * lanes.motor_speed * np.sqrt(3.0) * 3.0 / np.pi * np.abs(np.cos(lanes.late))
    power = lanes.open_voltage * lanes.battery_limit
    ohms = 2.0 * lanes.resistance
    current = 2.0 * power / (back + np.sqrt(back * back + 4.0 * ohms * power))
    return np.clip(
        (back + ohms * np.minimum(current, lanes.limit)) / lanes.open_voltage, 0.02, lanes.throttle
    )
