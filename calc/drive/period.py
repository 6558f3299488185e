"""What one period of six-step inverter and machine takes a state to, and the state that it brings back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from calc.drive.sector import Circuit, Piece, Sector, Term

_SIXTH = np.pi / 3.0
_ROUNDS, _CLOSE, _SETTLED, _STEP = 18, 1e-8, 1e-3, 1e-6
_SHARES = np.linspace(0.0, 1.0, 17)[:, None]  # of a piece; and time constants into it
_FADES = np.array([0.1, 0.3, 0.6, 1.0, 1.5, 2.5, 4.0])[:, None]
_EASED = range(7, 13)
"""Rounds that take part of a step, for lanes that whole steps lead round in circles."""
_STRIDE = 0.2
"""Most that the duty moves in one round."""


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


class Flow(NamedTuple):
    """What one period takes a state to, and means over it, worked out when asked for."""

    circuit: Circuit
    high: Any
    off: Any
    pieces: list[Piece]
    turn: Any

    def _mean(self, part: Callable[[_Span, Piece], Any]) -> Any:
        return sum(part(_Span(self.circuit, piece.length), piece) for piece in self.pieces) / self.turn

    @property
    def bus(self) -> Any:
        """Mean current from the bus, A: that of the high phase while its upper switch is on, and of an upper diode."""

        def charge(span: _Span, piece: Piece) -> Any:
            by_diode = np.where(piece.is_upper, span.of(piece.off), 0.0)
            return span.product(piece.voltage, piece.high) / self.circuit.supply + by_diode

        return self._mean(charge)

    @property
    def copper(self) -> Any:
        """Mean loss in the winding, W."""

        def squares(span: _Span, piece: Piece) -> Any:
            crossed = span.product(piece.high, piece.off)
            return span.product(piece.high, piece.high) + span.product(piece.off, piece.off) + crossed

        return 2.0 * self.circuit.resistance * self._mean(squares)

    @property
    def torque(self) -> Any:
        """Mean torque of the air gap, N·m."""

        def pull(span: _Span, piece: Piece) -> Any:
            return span.product(piece.flux_high, piece.high) + span.product(piece.flux_off, piece.off)

        return self._mean(pull)

    @property
    def peak(self) -> Any:
        """Highest current of any phase, A, on two dozen places of each piece."""
        c, most = self.circuit, np.zeros_like(self.high)
        rate = c.resistance / c.reactance
        for piece in self.pieces:
            x = np.concatenate([_SHARES * piece.length, np.minimum(_FADES / rate, piece.length)])
            fades = np.exp(-rate * x)
            turns = np.exp(1j * c.orders * x[:, None, :])
            high, off = (
                t.constant + (t.wave * turns).sum(1).real + t.dying * fades for t in (piece.high, piece.off)
            )
            most = np.maximum(most, np.abs([high, off, high + off]).max((0, 1)))
        return most


def _period(circuit: Circuit, edges: Any, high: Any, off: Any) -> Flow:
    """Through all sectors between the `edges`, a state that stands for the phases' parts in the first of them."""
    pieces: list[Piece] = []
    for number in range(len(edges) - 1):
        sector = Sector(circuit, number, edges[number], edges[number + 1], high, off)
        pieces += sector.run()
        high, off = sector.high, sector.off
        high, off = (off, high) if number % 2 == 0 else (high, -high - off)
    return Flow(circuit, high, off, pieces, edges[-1] - edges[0])


class Lanes(NamedTuple):
    """The builds and speeds to be solved, one lane each; `flux` has a row for each of `orders`, V per rad/s.

    errors: how late each edge of the period comes beyond `late`, one row each, the last the next
    period's first.
    """

    orders: Any
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

    def some(self, which: Any) -> Lanes:
        return Lanes(self.orders, *(value[..., which] for value in self[1:]))


class State(NamedTuple):
    """What is looked for in each lane: currents of the first sector's high and off phase, bus current, duty, shift."""

    high: Any
    off: Any
    bus: Any
    duty: Any
    shift: Any


def flow_of(lanes: Lanes, state: State) -> tuple[Flow, Any]:
    """One period from a state, and the bus voltage.

    Source: [method-drive] #in-time
    """
    drawn = np.minimum(state.bus, lanes.battery_limit) + lanes.extra_current
    supply = np.maximum(lanes.open_voltage - lanes.source_resistance * drawn, 1e-3 * lanes.open_voltage)
    circuit = Circuit(
        lanes.orders,
        lanes.flux * lanes.motor_speed,
        lanes.flux,
        lanes.resistance,
        lanes.reactance,
        supply,
        state.duty * supply,
        lanes.limit,
    )
    steps = np.arange(len(lanes.errors))[:, None] * _SIXTH
    return _period(circuit, steps + lanes.late + lanes.errors - state.shift, state.high, state.off), supply


def _shift(lanes: Lanes, flow: Flow) -> Any:
    """How early the sensors switch by the flow's current, rad: that flat-top current whose rms it is."""
    rms = np.sqrt(np.maximum(flow.copper, 0.0) / (3.0 * lanes.resistance))
    return np.arcsin(np.clip(lanes.per_ampere * np.sqrt(1.5) * rms, 0.0, 1.0))


def _missed(lanes: Lanes, state: State, names: tuple[str, ...]) -> Any:
    """By how much each looked-for value misses what one period makes of it, rows as `names`."""
    flow, _ = flow_of(lanes, state)
    by_name: dict[str, Callable[[], Any]] = {
        "high": lambda: flow.high - state.high,
        "off": lambda: flow.off - state.off,
        "bus": lambda: flow.bus - state.bus,
        "duty": lambda: flow.bus - lanes.battery_limit,
        "shift": lambda: _shift(lanes, flow) - state.shift,
    }
    return np.stack([by_name[name]() for name in names])


def _repeat(lanes: Lanes, state: State, names: tuple[str, ...], close: float = _CLOSE) -> tuple[State, Any]:
    """The state that repeats in the values that `names` says, and in which lanes it was found.

    Newton's method on what a period makes of a state. The slopes are differences: each lane is run beside copies with
    one value a little off.
    """
    volts = lanes.open_voltage + np.abs(lanes.flux[0]) * lanes.motor_speed
    scale = volts / np.hypot(lanes.resistance, lanes.reactance)
    one = np.ones_like(scale)
    units = np.stack([one if name in ("duty", "shift") else scale for name in names])
    goals = np.stack([one if name == "shift" else scale for name in names])
    found = np.zeros(scale.shape, dtype=bool)
    todo = np.arange(len(scale))
    count = len(names)
    for number in range(_ROUNDS):
        size, unit, goal = len(todo), units[:, todo], goals[:, todo]
        some = lanes.some(np.tile(todo, count + 1))
        many = State(*(np.tile(value[todo], count + 1) for value in state))
        for row, name in enumerate(names, 1):
            getattr(many, name)[row * size : (row + 1) * size] -= _STEP * unit[row - 1]
        missed = _missed(some, many, names).reshape(count, count + 1, size) / goal[:, None]
        base = missed[:, 0]
        good = np.abs(base).max(0) < close
        found[todo[good]] = True
        slopes = (base[:, None] - missed[:, 1:]) / _STEP
        step = -(np.linalg.pinv(slopes.transpose(2, 0, 1)) @ base.T[:, :, None])[:, :, 0].T * unit
        if number in _EASED:
            step *= 0.4
        for name in {"duty", "shift"} & set(names):  # the slopes hold for a small change of these alone
            step *= np.minimum(1.0, _STRIDE / np.maximum(np.abs(step[names.index(name)]), _STRIDE))
        for row, name in enumerate(names):
            getattr(state, name)[todo] += np.where(good, 0.0, step[row])
        np.clip(state.duty, 1e-4, lanes.throttle, out=state.duty)
        np.clip(state.shift, 0.0, np.pi / 2.0, out=state.shift)
        todo = todo[~good]
        if not len(todo):
            break
    return state, found


def _settle(lanes: Lanes, state: State, names: tuple[str, ...]) -> tuple[State, Any]:
    """`_repeat` from where the currents have roughly settled with everything else as guessed."""
    if len(names) > 2:
        state, _ = _repeat(lanes, state, ("high", "off"), _SETTLED)
        flow, _ = flow_of(lanes, state)
        bus = flow.bus if "bus" in names else state.bus
        state = state._replace(bus=bus, shift=_shift(lanes, flow))
    return _repeat(lanes, state, names)


def _some(state: State, which: Any) -> State:
    return State(*(value[which] for value in state))


def _put(state: State, which: Any, part: State) -> None:
    for value, new in zip(state, part, strict=True):
        value[which] = new


def solve(lanes: Lanes) -> tuple[State, Any]:
    """The state that each lane comes back to after a period, with duty lowered to meet the battery limit.

    Returns the states and in which lanes one was found.

    Source: [method-drive] #in-time
    """
    zero = np.zeros_like(lanes.late)
    back = np.abs(lanes.flux[0]) * lanes.motor_speed * np.sqrt(3.0)
    flat = np.clip((lanes.open_voltage - back) / (2.0 * lanes.resistance), 0.0, lanes.limit)
    first = np.minimum(flat, 0.3 * lanes.open_voltage / np.hypot(lanes.resistance, lanes.reactance))
    moved = ("shift",) if np.any(lanes.per_ampere > 0.0) else ()
    sags = ("bus",) if np.any(lanes.source_resistance > 0.0) else ()
    state = State(first.copy(), -first, zero.copy(), lanes.throttle.copy(), zero.copy())
    state, found = _settle(lanes, state, ("high", "off", *sags, *moved))
    flow, _ = flow_of(lanes, state)
    over = np.flatnonzero(found & (flow.bus > lanes.battery_limit * (1.0 + 1e-9)))
    if len(over):
        some = lanes.some(over)
        limited = _some(state, over)._replace(bus=some.battery_limit.copy(), duty=_duty_guess(some))
        limited, found[over] = _settle(some, limited, ("high", "off", "duty", *moved))
        _put(state, over, limited)
    return state, found


def _duty_guess(lanes: Lanes) -> Any:
    """Duty at which flat-top current takes what the battery limit gives."""
    back = np.abs(lanes.flux[0]) * lanes.motor_speed * np.sqrt(3.0) * 3.0 / np.pi * np.abs(np.cos(lanes.late))
    power = lanes.open_voltage * lanes.battery_limit
    ohms = 2.0 * lanes.resistance
    current = 2.0 * power / (back + np.sqrt(back * back + 4.0 * ohms * power))
    return np.clip(
        (back + ohms * np.minimum(current, lanes.limit)) / lanes.open_voltage, 0.02, lanes.throttle
    )
