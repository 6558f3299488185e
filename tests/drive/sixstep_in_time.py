"""Six-step inverter and machine stepped through time: what the closed form in calc.drive is measured against.

Small steps of angle over a third of an electrical turn, after which the steady state repeats with the phases
moved on by one; shooting (Newton on the two free currents) finds the state that repeats. Switches and diodes
are ideal, a switched-on phase carries either direction, EMF is sinusoidal, inductance constant, supply stiff.
The current limit holds the high-side phase at the limit by chopping it, freewheeling through the low side.
Nothing is shared with calc; all cases of a grid run side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEPS = 120  # to a sector of 60°: good to 0.4 % of the torque
SHIFT = 2 * np.pi / 3 * np.arange(3)[:, None]


@dataclass(frozen=True)
class Cases:
    """Star-equivalent values per phase, one lane a case; `late` in rad, `limit` in A (infinite: none)."""

    emf: Array
    resistance: Array
    reactance: Array
    supply: Array
    late: Array
    limit: Array


def _step(c: Cases, i: Array, angle: Array, gates: tuple[int, int, int], h: float) -> Array:
    """Currents after a step of `h` rad; gates are 1 (high side on), −1 (low side on), 0 (both off)."""
    half = c.supply / 2
    e = c.emf * np.cos(angle - SHIFT) + c.resistance * i
    off, high = gates.index(0), gates.index(1)

    def floating(v: Array) -> Array:
        """Voltage of the phase that is off while it carries nothing: middle of the others, plus its EMF."""
        return 0.5 * (v.sum(0) - v[off] - (e.sum(0) - e[off])) + e[off]

    def after(v: Array) -> Array:
        return i + h / c.reactance * (v - v.mean(0) - e)

    # A diode ties the phase that is off to a rail while its current lasts, or once it would float past it.
    free = i[off] == 0
    rail = -np.sign(i[off]) * half
    for _ in range(3):
        v = np.asarray(gates)[:, None] * half
        v[off] = np.where(free, floating(v), rail)
        # The chopper: as much voltage on the high side as keeps its current at the limit, within the rails.
        over = (after(v)[high] - c.limit) * c.reactance / h
        v[high] = np.where(over > 0, np.maximum(v[high] - over / np.where(free, 0.5, 2 / 3), -half), v[high])
        v[off] = np.where(free, floating(v), rail)
        past = free & (np.abs(v[off]) > half)
        rail, free = np.where(past, np.sign(v[off]) * half, rail), free & ~past
    new = after(v)
    # A diode stops at zero; what it would have carried beyond is shared by the other two.
    stopped = (i[off] != 0) & (new[off] * i[off] <= 0)
    new[off] = np.where(stopped | free, 0.0, new[off])
    return new - new.sum(0) * np.asarray(gates)[:, None] ** 2 / 2


def _third(c: Cases, i: Array) -> tuple[Array, Array, Array]:
    """Two sectors from `late`: currents at the end, phases moved on by one; mean EMF power; copper loss."""
    h = np.pi / 3 / STEPS
    power, copper = np.zeros(i.shape[1]), np.zeros(i.shape[1])
    for sector, gates in enumerate(((1, 0, -1), (0, 1, -1))):
        for step in range(STEPS):
            angle = c.late + sector * np.pi / 3 + (step + 0.5) * h
            new = _step(c, i, angle, gates, h)
            middle = (i + new) / 2
            power += (c.emf * np.cos(angle - SHIFT) * middle).sum(0)
            copper += (c.resistance * middle**2).sum(0)
            i = new
    return i[[1, 2, 0]], power / (2 * STEPS), copper / (2 * STEPS)


def steady(c: Cases) -> tuple[Array, Array, Array]:
    """Mean power into the EMF (W), copper loss (W), how far the state is from repeating (A), by case."""
    lanes = c.emf.size
    wide = Cases(
        *(np.tile(value, 3) for value in (c.emf, c.resistance, c.reactance, c.supply, c.late, c.limit))
    )

    def run(x: Array) -> Array:
        return _third(wide, np.stack([x[0], x[1], -x[0] - x[1]]))[0][:2]

    x = np.zeros((2, lanes))
    for _ in range(3):
        x = run(np.tile(x, 3))[:, :lanes]
    best, least = x, np.full(lanes, np.inf)
    for _ in range(14):
        d = 1e-4 * (1 + np.abs(x).max(0))
        probe = np.concatenate([x, x + d * np.array([[1], [0]]), x + d * np.array([[0], [1]])], axis=1)
        out = run(probe)
        miss = out[:, :lanes] - x
        size = np.abs(miss).max(0)
        best, least = np.where(size < least, x, best), np.minimum(size, least)
        jacobian = np.stack(
            [(out[:, k * lanes : (k + 1) * lanes] - out[:, :lanes]) / d for k in (1, 2)], axis=1
        )
        a, b, cc, dd = 1 - jacobian[0, 0], -jacobian[0, 1], -jacobian[1, 0], 1 - jacobian[1, 1]
        det = np.where(np.abs(a * dd - b * cc) < 1e-9, 1e-9, a * dd - b * cc)
        newton = np.stack([dd * miss[0] - b * miss[1], a * miss[1] - cc * miss[0]]) / det
        room = 0.5 * (1 + np.abs(x).max(0) + size)
        x = x + newton * np.minimum(1.0, room / np.maximum(np.abs(newton).max(0), 1e-9))
    state = np.stack([best[0], best[1], -best[0] - best[1]])
    _, power, copper = _third(c, state)
    return power, copper, least
