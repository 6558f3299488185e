"""Six-step inverter and machine by a general solver: what calc.drive.inverter is measured against.

Small and plain, and nothing of calc in it. scipy's solve_ivp follows the two free currents from event to event with
every switch as it is: the high side is pulsed at a fixed rate for a duty, or cut for a fixed short time when its
current passes the limit; a diode begins and ends to conduct where an event says so. Switching infinitely fast is
where a rate of pulses and its double point to. solved_cases.py holds the cases and writes solved_in_time.csv.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.integrate import solve_ivp

SECTORS = ((0, 2, 1), (1, 2, 0), (1, 0, 2), (2, 0, 1), (2, 1, 0), (0, 1, 2))  # high, low, off
THIRD = 2.0 * math.pi / 3.0
RESULTS = ("torque", "line_current", "peak_current", "battery_current", "bus_voltage", "copper_loss")
PULSES = 96  # to a sector at least, and FADE of them to the time constant; then twice as many
FADE = 40
CUT = 0.25  # of a pulse's time, when the limit cuts it
CLOSE = {"rtol": 1e-9, "atol": 1e-8, "max_step": 0.05}


class Drive:
    """One case. Line values between two leads; angles electrical; `late` for each edge of the period, rad.

    harmonics: (order, share, phase in rad) of a phase's EMF beside its fundamental.
    """

    def __init__(
        self, speed, constant, resistance, inductance, pairs, supply, limit, duty, late, harmonics=()
    ):
        self.speed, self.peak_emf = speed, math.sqrt(2.0 / 3.0) * constant * speed
        self.r, self.x = resistance / 2.0, pairs * speed * inductance / 2.0
        self.supply, self.limit, self.duty = supply, limit, duty
        self.late = list(late)
        self.harmonics = ((1, 1.0, 0.0), *harmonics)
        self.finer = 1
        self.start = None
        self.cut = False

    def emf(self, phase, angle):
        turned = angle - THIRD * phase
        return self.peak_emf * sum(a * math.cos(n * turned + g) for n, a, g in self.harmonics)

    def floating(self, angle, parts, v_high):
        """Voltage of the phase that is off while it carries nothing."""
        high, low, off = (self.emf(phase, angle) for phase in parts)
        return 0.5 * (v_high - high - low) + off

    def slopes(self, angle, y, parts, v_high, v_off):
        """d/dangle of: current of high and off phase, copper loss, power into the EMF, current from the bus."""
        e_high, e_low, e_off = (self.emf(phase, angle) for phase in parts)
        high, off = y[0], y[1]
        low = -high - off
        if v_off is None:
            d_high, d_off = (v_high - e_high + e_low - self.r * (high - low)) / (2.0 * self.x), 0.0
        else:
            star = (v_high + v_off - e_high - e_low - e_off) / 3.0
            d_high = (v_high - star - e_high - self.r * high) / self.x
            d_off = (v_off - star - e_off - self.r * off) / self.x
        heat = self.r * (high * high + off * off + low * low)
        bus = (high if v_high > 0.0 else 0.0) + (off if v_off == self.supply else 0.0)
        return (d_high, d_off, heat, e_high * high + e_low * low + e_off * off, bus)

    def stretch(self, start, end, y, parts, v_high, peaks, to_limit=False):
        """From angle to angle with the high side at `v_high`; if asked, only until its current reaches the limit."""
        for _ in range(1000):
            if end - start < 1e-11:
                return end, y
            if y[1] != 0.0:
                diode = 0.0 if y[1] > 0.0 else self.supply
            else:
                volts = self.floating(start + 1e-8, parts, v_high)
                diode = 0.0 if volts < 0.0 else self.supply if volts > self.supply else None
                if diode is not None:  # it begins with the least current that shows which way
                    y[1] = 2e-7 if diode == 0.0 else -2e-7

            def rhs(angle, y, diode=diode):
                return self.slopes(angle, y, parts, v_high, diode)

            def diode_turns(angle, y, diode=diode):
                if diode is None:
                    volts = self.floating(angle, parts, v_high)
                    return min(volts, self.supply - volts)
                return y[1] if diode == 0.0 else -y[1]

            def full(angle, y):
                return self.limit - y[0]

            diode_turns.terminal = full.terminal = True
            diode_turns.direction = full.direction = -1
            found = solve_ivp(
                rhs,
                (start, end),
                y,
                events=[diode_turns, full] if to_limit else [diode_turns],
                method="DOP853",
                dense_output=not self.switches,
                first_step=min(end - start, 0.02, 0.5 * self.x / self.r),
                **CLOSE,
            )
            seen = found.y if self.switches else found.sol(np.linspace(start, found.t[-1], 300))
            peaks.append(np.abs([seen[0], seen[1], seen[0] + seen[1]]).max())
            start, y = found.t[-1], found.y[:, -1].copy()
            if found.t_events[0].size:
                y[1] = 0.0
            if to_limit and found.t_events[1].size:
                return start, y
        raise RuntimeError("the diode chatters")

    def sector(self, number, y, start, end, peaks):
        parts = SECTORS[number]
        if not self.switches:
            return self.stretch(start, end, y, parts, self.supply, peaks)[1]
        pulses = self.finer * max(PULSES, math.ceil(FADE * (end - start) * self.r / self.x))
        tick = (end - start) / pulses
        if self.duty >= 1.0:
            while end - start > 1e-11:
                if y[0] < self.limit - 1e-9:
                    start, y = self.stretch(start, end, y, parts, self.supply, peaks, to_limit=True)
                if end - start > 1e-11:
                    self.cut = True
                    start, y = self.stretch(start, min(start + CUT * tick, end), y, parts, 0.0, peaks)
            return y
        for pulse in range(pulses):
            begins = start + pulse * tick
            on, off = begins + 0.5 * (1.0 - self.duty) * tick, begins + 0.5 * (1.0 + self.duty) * tick
            y = self.stretch(begins, on, y, parts, 0.0, peaks)[1]
            if y[0] < self.limit - 1e-9:
                on, y = self.stretch(on, off, y, parts, self.supply, peaks, to_limit=np.isfinite(self.limit))
            self.cut = self.cut or on < off - 1e-11
            y = self.stretch(on, begins + tick, y, parts, 0.0, peaks)[1]
        return y

    def period(self, high, off):
        """Currents after a period and the sums over it; the highest current; the period's length."""
        count = len(self.late)
        edges = [k * math.pi / 3.0 + late for k, late in enumerate(self.late)]
        edges.append(count * math.pi / 3.0 + self.late[0])
        y, peaks = np.array([high, off, 0.0, 0.0, 0.0]), []
        for k in range(count):
            y = self.sector(k, y, edges[k], edges[k + 1], peaks)
            y[:2] = (y[1], y[0]) if k % 2 == 0 else (y[0], -y[0] - y[1])
        return y, max(peaks), edges[-1] - edges[0]

    @property
    def switches(self):
        return self.duty < 1.0 or np.isfinite(self.limit)

    def means(self):
        """Means over what repeats, found by Newton's method on the two currents. Cutting leaves them a little free."""
        x = self.start
        if x is None:
            x = np.zeros(2)
            for _ in range(3):
                x = self.period(*x)[0][:2]
        best = (np.inf, x)
        for rounds in range(20):
            self.cut = False
            y, peak, _ = self.period(*x)
            miss = y[:2] - x
            size = np.abs(miss).max() / max(1.0, peak)
            best = min(best, (size, y[:2]), key=lambda pair: pair[0])
            if size < (1e-4 if self.cut else 1e-6) or (self.cut and rounds == 9):
                break
            d = (3e-2 if self.cut else 1e-4) * max(1.0, peak)
            slopes = np.stack([(self.period(*(x - d * e))[0][:2] - y[:2]) / -d for e in np.eye(2)], axis=1)
            x = x + (1.0 if rounds < 8 else 0.5) * np.linalg.solve(np.eye(2) - slopes, miss)
        if best[0] > (2e-2 if self.cut else 1e-6):
            raise RuntimeError("nothing repeats")
        self.start, sums, peaks = best[1], np.zeros(3), []
        rounds = 5 if self.cut else 1
        for _ in range(rounds):
            y, peak, turn = self.period(*self.start)
            self.start, sums = y[:2], sums + y[2:]
            peaks.append(peak)
        heat, pull, bus = sums / (turn * rounds)
        return np.array(
            [pull / self.speed, np.sqrt(heat / (3.0 * self.r)), max(peaks), bus, self.supply, heat]
        )

    def steady(self):
        """As RESULTS names them."""
        self.finer = 1
        coarse = self.means()
        if not self.switches or (self.duty >= 1.0 and not self.cut):
            return coarse
        self.finer = 2
        fine = self.means()
        return 2.0 * fine - coarse


def drive(case, supply):
    """A case, or a row of the table, as a Drive on a stiff supply."""
    value = {
        key: float(case[key]) for key in ("speed", "constant", "resistance", "inductance", "limit", "duty")
    }
    return Drive(
        **value,
        pairs=int(float(case["pairs"])),
        supply=supply,
        late=np.radians([float(case["late"]) + x for x in edges_of(case)] or [float(case["late"])] * 2),
        harmonics=harmonics_of(case),
    )


def edges_of(case):
    """How late each of six edges is beyond `late`, degrees; none when all are alike."""
    return [float(x) for x in case["edges"].split()]


def harmonics_of(case):
    return tuple(
        (int(order), float(share), float(phase))
        for order, share, phase in (x.split() for x in case["harmonics"].split(";") if x.strip())
    )


def solve(case):
    """Steady state of a case, with the bus where the pack's sag puts it (secant on the bus voltage)."""
    volts, source = float(case["supply"]), float(case["source"])
    found = drive(case, volts).steady()
    if not source:
        return found
    last, bus = volts, volts - 0.5 * source * found[3]
    miss = -source * found[3]
    for _ in range(12):
        found = drive(case, bus).steady()
        now = volts - source * found[3] - bus
        if abs(now) < 1e-5 * volts:
            break
        bus, last, miss = bus - now * (bus - last) / (now - miss), bus, now
    return found
