"""The state of inverter and machine that comes back after a period, for many lanes at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from calc.drive.period import SIXTH, Flow, period_of
from calc.drive.sector import Circuit
from calc.elimination import solved

_ROUNDS, _CLOSE, _SETTLED, _STEP = 9, 1e-5, 1e-3, 1e-6
_EASED = range(5, 8)
"""Rounds that take part of a step, for lanes that whole steps lead round in circles."""
_STRIDE = 0.2
"""Most that the duty moves in one round."""
_SHIFTS = np.linspace(0.0, 1.5, 11)
"""Shifts by the armature's field that are held one by one where Newton's method finds none, rad."""
_OTHER_DUTIES = (1.0, 0.5, 0.2)
"""Shares of the throttle from which lanes begin again that weren't found from the guess."""


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
    steps = np.arange(len(lanes.errors))[:, None] * SIXTH
    return period_of(circuit, steps + lanes.late + lanes.errors - state.shift, state.high, state.off), supply


def _shift(lanes: Lanes, flow: Flow) -> Any:
    """How early the sensors switch by the flow's current, rad: that flat-top current whose rms it is."""
    rms = np.sqrt(np.maximum(flow.copper, 0.0) / (3.0 * lanes.resistance))
    return np.arcsin(np.clip(lanes.per_ampere * np.sqrt(1.5) * rms, 0.0, 1.0))


def _missed(lanes: Lanes, state: State, names: Sequence[str]) -> Any:
    """By how much each looked-for value misses what one period makes of it, rows as `names`."""
    flow, _ = flow_of(lanes, state)
    by_name: dict[str, Callable[[], Any]] = {
        "high": lambda: flow.high - state.high,
        "off": lambda: flow.off - state.off,
        "bus": lambda: flow.bus - state.bus,
        # Either the bus current is at its limit or the duty at the throttle, whichever holds it lower.
        "duty": lambda: np.maximum(
            flow.bus - lanes.battery_limit, (state.duty - lanes.throttle) * _largest(lanes)
        ),
        "shift": lambda: _shift(lanes, flow) - state.shift,
    }
    return np.stack([by_name[name]() for name in names])


def _repeat(lanes: Lanes, state: State, names: Sequence[str], close: float = _CLOSE) -> tuple[State, Any]:
    """The state that repeats in the values that `names` says, and in which lanes it was found.

    Newton's method on what a period makes of a state. The slopes are differences: each lane is run beside copies with
    one value a little off. The last step is taken, so that what is left is about the square of `close`.
    """
    scale = _largest(lanes)
    one = np.ones_like(scale)
    units = np.stack([one if name in ("duty", "shift") else scale for name in names])
    goals = np.stack([one if name == "shift" else scale for name in names])
    found = np.zeros(scale.shape, dtype=bool)
    open_lanes = np.arange(len(scale))
    count = len(names)
    for number in range(_ROUNDS):
        if not len(open_lanes):
            break
        size, unit, goal = len(open_lanes), units[:, open_lanes], goals[:, open_lanes]
        some = lanes.some(np.tile(open_lanes, count + 1))
        many = State(*(np.tile(value[open_lanes], count + 1) for value in state))
        for row, name in enumerate(names, 1):
            getattr(many, name)[row * size : (row + 1) * size] -= _STEP * unit[row - 1]
        missed = _missed(some, many, names).reshape(count, count + 1, size) / goal[:, None]
        base = missed[:, 0]
        good = np.abs(base).max(0) < close
        found[open_lanes[good]] = True
        slopes = (base[:, None] - missed[:, 1:]) / _STEP
        step = -solved(slopes, base) * unit
        if number in _EASED:
            step *= 0.4
        for name in {"duty", "shift"} & set(names):  # the slopes hold for a small change of these alone
            step *= np.minimum(1.0, _STRIDE / np.maximum(np.abs(step[names.index(name)]), _STRIDE))
        for row, name in enumerate(names):
            getattr(state, name)[open_lanes] += step[row]
        np.clip(state.duty, 1e-4, lanes.throttle, out=state.duty)
        np.clip(state.shift, 0.0, np.pi / 2.0, out=state.shift)
        open_lanes = open_lanes[~good]
    return state, found


def solve(lanes: Lanes) -> tuple[State, Any]:
    """The state that each lane comes back to after a period, with duty lowered to meet the battery limit.

    Returns the states and in which lanes one was found.

    Source: [method-drive] #in-time
    """
    names = ["high", "off"]
    if np.any(lanes.source_resistance > 0.0):
        names.append("bus")
    if np.any(lanes.battery_limit < 2.0 * _largest(lanes)):
        names.append("duty")
    if np.any(lanes.per_ampere > 0.0):
        names.append("shift")
    attempts: list[Callable[[Lanes, Sequence[str]], tuple[State, Any]]] = [_by_shift]
    if "shift" not in names:
        attempts = [partial(_settled, share=share) for share in (None, *_OTHER_DUTIES)]
    state, found = _repeat(lanes, _guess(lanes), names)
    _from_beside(lanes, state, found, names)
    for attempt in attempts:
        lost = np.flatnonzero(~found)
        if not len(lost):
            break
        there, found[lost] = attempt(lanes.some(lost), names)
        for value, new in zip(state, there, strict=True):
            value[lost] = new
    return state, found & (state.shift < _SHIFTS[-1])


def _from_beside(lanes: Lanes, state: State, found: Any, names: Sequence[str]) -> None:
    """Lanes that were not found are looked for again from what the nearest lane that was found comes back to.

    Lanes beside each other are mostly one machine at speeds not far apart. `state` and `found` are written to.
    """
    lost, there = np.flatnonzero(~found), np.flatnonzero(found)
    if not len(lost) or not len(there):
        return
    nearest = there[np.abs(lost[:, None] - there).argmin(1)]
    new, good = _repeat(lanes.some(lost), State(*(value[nearest] for value in state)), names)
    for value, one in zip(state, new, strict=True):
        value[lost[good]] = one[good]
    found[lost[good]] = True


def _settled(lanes: Lanes, names: Sequence[str], share: float | None) -> tuple[State, Any]:
    """`_repeat` from where the currents have roughly settled, at a share of the throttle or as guessed."""
    start = _guess(lanes)
    if share is not None:
        start = start._replace(duty=share * lanes.throttle)
    state, _ = _repeat(lanes, start, ("high", "off"), _SETTLED)
    flow, _ = flow_of(lanes, state)
    return _repeat(lanes, state._replace(bus=flow.bus if "bus" in names else state.bus), names)


def _by_shift(lanes: Lanes, names: Sequence[str]) -> tuple[State, Any]:
    """`_repeat` from where the shift, held at one value after another from none on, first is no less than it causes.

    Near there the shift and what it causes may run almost side by side, and Newton's method strays. Where there is no
    such place the current pulls the sensors on without end, and no state repeats.
    """
    count, tried = len(lanes.late), len(_SHIFTS)
    many = lanes.some(np.repeat(np.arange(count), tried))
    start = _guess(many)._replace(shift=np.tile(_SHIFTS, count))
    state, found = _repeat(many, start, [name for name in names if name != "shift"])
    flow, _ = flow_of(many, state)
    ahead = np.where(found, _shift(many, flow) - state.shift, np.nan).reshape(count, tried)
    falls = (ahead[:, :-1] > 0.0) & (ahead[:, 1:] <= 0.0)
    rows, at = np.flatnonzero(falls.any(1)), falls.argmax(1)[falls.any(1)]
    before, after = ahead[rows, at], ahead[rows, at + 1]
    share = before / (before - after)

    def between(value: Any) -> Any:
        lying = value.reshape(count, tried)[rows]
        return lying[np.arange(len(rows)), at] * (1.0 - share) + lying[np.arange(len(rows)), at + 1] * share

    near, good = _repeat(lanes.some(rows), State(*(between(value) for value in state)), names)
    there, held = _guess(lanes), np.zeros(count, dtype=bool)
    held[rows] = good
    for value, new in zip(there, near, strict=True):
        value[rows] = new
    return there, held


def _largest(lanes: Lanes) -> Any:
    """About the highest current that voltage and EMF together drive, A: the measure of what is small."""
    volts = lanes.open_voltage + np.abs(lanes.flux[0]) * lanes.motor_speed
    return volts / np.hypot(lanes.resistance, lanes.reactance)


def _guess(lanes: Lanes) -> State:
    """Where to begin: flat-top current, less where the inductance keeps it out, and what the limits leave of it."""
    peak = np.abs(lanes.flux[0]) * lanes.motor_speed * np.sqrt(3.0)
    back, ohms = peak * 3.0 / np.pi * np.abs(np.cos(lanes.late)), 2.0 * lanes.resistance
    power = lanes.open_voltage * lanes.battery_limit
    by_battery = (np.sqrt(back * back + 4.0 * ohms * power) - back) / (2.0 * ohms)
    by_voltage = np.clip((lanes.open_voltage - peak) / ohms, 0.0, lanes.limit)
    entering = 0.3 * lanes.open_voltage / np.hypot(lanes.resistance, lanes.reactance)
    current = np.minimum(np.minimum(by_voltage, entering), by_battery)
    drop = ohms + 3.0 / np.pi * lanes.reactance  # in the copper, and while the current changes over
    duty = np.clip((back + drop * by_battery) / lanes.open_voltage, 0.02, lanes.throttle)
    duty = np.where(by_voltage > by_battery, duty, lanes.throttle)
    shift = np.arcsin(np.clip(lanes.per_ampere * current, 0.0, 0.99))
    return State(current, -current, np.zeros_like(current), duty, shift)
