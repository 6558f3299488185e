"""One 60° sector of the six-step inverter with its machine, exact between switchings, many lanes side by side.

Three phases play three parts: one is switched to plus (`high`), one to minus (`low`), one is off and conducts by its
diodes only. While nothing switches every current is a constant, a sine and a dying exponential; the sector is cut
where a diode begins or ends to conduct and where the chopper takes hold or lets go. Angles are electrical.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.errors import NoSolution
from calc.quantities import Real

FLOATS, LOWER, UPPER = 0, 1, 2
"""The phase that is off: carries nothing, or conducts by its lower or its upper diode."""
FULL, HOLDS, FLOOR = 0, 1, 2
"""The high phase: at full duty, held at the limit by chopping, or on the lower rail because it is over the limit."""
PARTS = ((0, 2, 1), (1, 2, 0), (1, 0, 2), (2, 0, 1), (2, 1, 0), (0, 1, 2))
"""Phases (high, low, off) in each sector, forward."""
MOST_PIECES = 40
_NEAR = 1e-9
_UNIFORM = np.arange(1.0, 7.0)[:, None] / 6.0
_FADING = np.array([0.15, 0.5, 1.3, 3.0, 8.0])[:, None]  # in time constants
_REFINED, _EXACT, _BEGUN = 8, 1e-9, 1e-3


class Circuit(NamedTuple):
    """Star-equivalent machine and inverter, each value an array over the lanes (phases: harmonics, lanes).

    emf: phasors of phase 0 at angle 0, one row for each of `orders`, V; flux: the same per rad/s of the shaft, so that
    flux times current is torque also at standstill. resistance, reactance: per phase, ohm.
    supply: between the rails; top: mean voltage of the high phase at full duty, V. limit: ceiling of its current, A.
    """

    orders: Any
    emf: Any
    flux: Any
    resistance: Any
    reactance: Any
    supply: Any
    top: Any
    limit: Any


class Term(NamedTuple):
    """constant + Re Σ wave·e^(j·order·x) + dying·e^(−x·R/X), x the angle from the start of the piece."""

    constant: Any
    wave: Any
    dying: Any


class Piece(NamedTuple):
    """Between two events: currents of the high and the off phase, what the high phase's mean voltage is, its length."""

    high: Term
    off: Term
    flux_high: Term
    flux_off: Term
    voltage: Term
    is_upper: Any
    length: Any


def total(waves: Any) -> Any:
    """The sum over the harmonics, which are the first axis; one alone is not added up: that takes its time.

    Source: [method-drive] #in-time
    """
    return waves[0] if len(waves) == 1 else waves.sum(0)


def joined(pieces: list[Piece]) -> Piece:
    """Pieces one behind the other along the lanes.

    Source: [method-drive] #in-time
    """

    def terms(k: int) -> Term:
        return Term(*(np.concatenate([piece[k][part] for piece in pieces], -1) for part in range(3)))

    flat = (np.concatenate([piece[k] for piece in pieces], -1) for k in (5, 6))
    return Piece(*(terms(k) for k in range(5)), *flat)


class Sector:
    """The lanes on their way through one sector."""

    def __init__(self, circuit: Circuit, number: int, start: Real, end: Real, high: Real, off: Real) -> None:
        self.c = circuit
        self.angle, self.end = np.array(start, dtype=float), end
        self.high, self.off = np.array(high, dtype=float), np.array(off, dtype=float)
        plus, minus, third = (np.exp(-2j * np.pi / 3.0 * circuit.orders * phase) for phase in PARTS[number])
        self.spin = plus, minus, third
        self.pulls = circuit.flux * (plus - minus), circuit.flux * (third - minus)
        self.impedance = circuit.resistance + 1j * circuit.orders * circuit.reactance
        self.rate = circuit.resistance / circuit.reactance
        self.ampere = (circuit.supply + total(np.abs(circuit.emf))) / np.abs(self.impedance[0]) + 1e-9
        self.none = np.zeros_like(self.angle)
        over = (self.high - circuit.limit) / self.ampere
        self.drive = np.where(over < -_NEAR, FULL, np.where(over > _NEAR, FLOOR, HOLDS))
        held = np.abs(self.off) > _NEAR * self.ampere
        self.diode = np.where(held, np.where(self.off > 0.0, LOWER, UPPER), FLOATS)
        self.off = np.where(held, self.off, 0.0)
        self._settle()

    def _phasors(self) -> None:
        self.turn = np.exp(1j * self.c.orders * self.angle)
        turned = self.c.emf * self.turn
        high, low, off = (turned * spin for spin in self.spin)
        self.pair, self.emf_high, self.emf_off, self.emf_low = high - low, high, off, low

    def _needed(self) -> Term:
        """The high phase's voltage that would hold its current at the limit."""
        c, conducts = self.c, self.diode != FLOATS
        rail = np.where(self.diode == UPPER, c.supply, 0.0)
        constant = np.where(conducts, 1.5 * c.resistance * c.limit + 0.5 * rail, 2.0 * c.resistance * c.limit)
        return Term(constant, np.where(conducts, 1.5 * self.emf_high, self.pair), self.none)

    def _floating(self) -> Term:
        """Where the off phase floats while it carries nothing."""
        c, holds = self.c, self.drive == HOLDS
        fixed = np.where(self.drive == FULL, 0.5 * c.top, 0.0)
        wave = np.where(holds, self.emf_off - self.emf_low, 1.5 * self.emf_off)
        return Term(np.where(holds, c.resistance * c.limit, fixed), wave, self.none)

    def _settle(self) -> None:
        """Chopper and diodes as they are right after a switching, and the voltages that would change that."""
        self._phasors()
        near = _NEAR * self.c.supply
        for _ in range(2):  # a diode that begins to conduct may make the chopper let go
            self.needed = self._needed()
            volts = self.needed.constant + total(self.needed.wave.real)
            lets_go = np.where(volts > self.c.top + near, FULL, np.where(volts < -near, FLOOR, HOLDS))
            self.drive = np.where(self.drive == HOLDS, lets_go, self.drive)
            self.floating = self._floating()
            volts = self.floating.constant + total(self.floating.wave.real)
            begins = np.where(volts < -near, LOWER, np.where(volts > self.c.supply + near, UPPER, FLOATS))
            begins = np.where(self.diode == FLOATS, begins, self.diode)
            same, self.diode = np.array_equal(begins, self.diode), begins
            if same:
                return

    def _currents(self) -> tuple[Term, Term]:
        c, holds, floats = self.c, self.drive == HOLDS, self.diode == FLOATS
        top = np.where(self.drive == FULL, c.top, 0.0)
        rail = np.where(self.diode == UPPER, c.supply, 0.0)
        middle = (top + rail) / 3.0
        z = self.impedance
        high_k = np.where(holds, c.limit, np.where(floats, 0.5 * top, top - middle) / c.resistance)
        high_w = np.where(holds, 0.0, np.where(floats, -0.5 * self.pair, -self.emf_high) / z)
        off_k = np.where(holds, 0.5 * (rail / c.resistance - c.limit), (rail - middle) / c.resistance)
        off_w = np.where(holds, -0.5 * (self.emf_off - self.emf_low), -self.emf_off) / z
        off_k, off_w = np.where(floats, 0.0, off_k), np.where(floats, 0.0, off_w)
        high_d = np.where(holds, 0.0, self.high - high_k - total(high_w.real))
        off_d = np.where(floats, 0.0, self.off - off_k - total(off_w.real))
        return Term(high_k, high_w, high_d), Term(off_k, off_w, off_d)

    def step(self) -> Piece:
        """On to the next event of each lane, or to the sector's end."""
        c, drive, diode, turn = self.c, self.drive, self.diode, self.turn
        holds = drive == HOLDS
        high, off = self._currents()
        voltage = np.where(holds, self.needed.constant, np.where(drive == FULL, c.top, 0.0))
        wave = np.where(holds, self.needed.wave, 0.0)
        events = self._events(high, off)
        length, event = self._first(*events, self.end - self.angle)
        self.angle = np.where(event < 0, self.end, self.angle + length)
        waves, fades = np.exp(1j * c.orders * length), np.exp(-self.rate * length)
        self.high, self.off = (
            t.constant + total((t.wave * waves).real) + t.dying * fades for t in (high, off)
        )
        if np.any(self.angle < self.end):
            self._switch(event)
        return Piece(
            high,
            off,
            Term(self.none, self.pulls[0] * turn, self.none),
            Term(self.none, self.pulls[1] * turn, self.none),
            Term(voltage, wave, self.none),
            diode == UPPER,
            length,
        )

    def _events(self, high: Term, off: Term) -> tuple[Any, Any, Any]:
        """What ends a piece when it falls below zero, four to a lane, as constants, waves and dying parts.

        The diode's current, or the distance of the floating phase from minus; its distance from plus; the room under
        the limit (or above it), or what is left of the voltage that holds it; that voltage itself. In shares of the
        supply and of the largest current.
        """
        c, floating, needed = self.c, self.floating, self.needed
        conducts, holds = self.diode != FLOATS, self.drive == HOLDS
        volt, ampere = 1.0 / c.supply, 1.0 / self.ampere
        diode = np.where(self.diode == UPPER, -ampere, ampere)
        under = np.where(self.drive == FLOOR, -ampere, ampere)
        constants = (
            np.where(conducts, diode * off.constant, volt * floating.constant),
            np.where(conducts, 1.0, 1.0 - volt * floating.constant),
            np.where(holds, volt * (c.top - needed.constant), under * (c.limit - high.constant)),
            np.where(holds, volt * needed.constant, 1.0),
        )
        waves = (
            np.where(conducts, diode * off.wave, volt * floating.wave),
            np.where(conducts, 0.0, -volt * floating.wave),
            np.where(holds, -volt * needed.wave, -under * high.wave),
            np.where(holds, volt * needed.wave, 0.0),
        )
        dying = (np.where(conducts, diode * off.dying, 0.0), self.none, -under * high.dying, self.none)
        return np.array(constants), np.array(waves), np.array(dying)

    def _first(self, k: Any, w: Any, d: Any, left: Any) -> tuple[Any, Any]:
        """How far to the first event (constants k, waves w, dying parts d), and which; −1: none before the end."""
        orders, rate = self.c.orders, self.rate

        grid = np.sort(np.concatenate([_UNIFORM * left, np.minimum(_FADING / rate, left)]), axis=0)
        seen = k + d * np.exp(-rate * grid)[:, None]  # over points, events and lanes
        for row, order in enumerate(orders[:, 0]):  # real parts by hand: half the work of complex products
            turned = order * grid
            seen += w[:, row].real * np.cos(turned)[:, None] - w[:, row].imag * np.sin(turned)[:, None]
        under = seen < -_NEAR
        first = np.where(under.any(0), under.argmax(0), len(grid))
        nearest = first.min(0)
        lanes = np.arange(len(left))
        at = np.minimum(nearest, len(grid) - 1)
        event, lane = np.nonzero((first == nearest) & (nearest < len(grid)))
        if not len(event):
            return left, np.full(len(left), -1)
        here = at[lane]
        upper, at_upper = grid[here, lane], seen[here, event, lane]
        start = k[event, lane] + d[event, lane]
        before = np.maximum(here - 1, 0)
        lower = np.where(here > 0, grid[before, lane], 0.0)
        at_lower = np.where(here > 0, seen[before, event, lane], start + w[event, :, lane].real.sum(-1))
        k, w, d, rate = k[event, lane], w[event, :, lane].T, d[event, lane], rate[lane]
        # By the chord; what has just switched begins at nought, which isn't the event looked for.
        share = np.where(at_lower > _BEGUN, at_lower / np.maximum(at_lower - at_upper, _BEGUN), 0.5)
        x = lower + (upper - lower) * share
        for _ in range(_REFINED):
            waves, fades = w * np.exp(1j * orders * x), d * np.exp(-rate * x)
            f = k + total(waves.real) + fades
            down = np.minimum(-total(orders * waves.imag) - rate * fades, -1e-300)
            lower, upper = np.where(f > 0.0, x, lower), np.where(f > 0.0, upper, x)
            guess = x - f / down
            new = np.where((guess >= lower) & (guess <= upper), guess, 0.5 * (lower + upper))
            moved, x = np.abs(new - x).max(), new
            if moved < _EXACT:
                break
        places = np.full(seen.shape[1:], np.inf)
        places[event, lane] = x
        which = places.argmin(0)
        length = places[which, lanes]
        none = ~np.isfinite(length) | (left <= 0.0)
        return np.where(none, left, length), np.where(none, -1, which)

    def _switch(self, event: Any) -> None:
        """What the event changes."""
        conducts, drive = self.diode != FLOATS, self.drive
        ends = (event == 0) & conducts
        self.off = np.where(ends, 0.0, self.off)
        self.diode = np.where(
            event == 0, np.where(conducts, FLOATS, LOWER), np.where(event == 1, UPPER, self.diode)
        )
        reached = (event == 2) & (drive != HOLDS)
        self.high = np.where(reached, self.c.limit, self.high)
        self.drive = np.where(
            event == 2, np.where(drive == HOLDS, FULL, HOLDS), np.where(event == 3, FLOOR, drive)
        )
        self._settle()

    def run(self) -> list[Piece]:
        """All pieces to the end of the sector. Raises NoSolution when they never end."""
        pieces: list[Piece] = []
        for _ in range(MOST_PIECES):
            if not np.any(self.angle < self.end):
                return pieces
            pieces.append(self.step())
        raise NoSolution(
            "The inverter's switching doesn't settle.", "Check resistance, inductance and limits."
        )
