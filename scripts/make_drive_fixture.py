"""Asks an independent library of electric machines and writes tests/drive/gym_electric_motor.json.

The library is no part of the project's environment. In a throw-away one:

    python -m venv build/gem && build/gem/bin/pip install gym-electric-motor==3.0.3
    build/gem/bin/python scripts/make_drive_fixture.py

Torque, differential equation and transformations are the library's, integration is scipy's, switches and diodes are
written here. Nothing of calc is in it. Takes a minute.
"""

from __future__ import annotations

import json
from importlib.metadata import version
from math import degrees, inf, pi, radians, sqrt
from pathlib import Path
from typing import Any

import numpy as np
from gym_electric_motor.physical_systems.electric_motors import (
    ExternallyExcitedSynchronousMotor,
    PermanentMagnetSynchronousMotor,
)
from scipy.integrate import solve_ivp

TARGET = Path(__file__).resolve().parent.parent / "tests" / "drive" / "gym_electric_motor.json"
# A round machine of the order of the harvest cart's: star-equivalent values of a phase, flux at its peak.
ROUND = {"p": 8, "l_d": 75e-6, "l_q": 75e-6, "r_s": 15e-3, "psi_p": 0.02, "j_rotor": 0.01}
CLOSE = {"method": "DOP853", "rtol": 1e-10, "atol": 1e-10}
SECTORS = ((0, 2, 1), (1, 2, 0), (1, 0, 2), (2, 0, 1), (2, 1, 0), (0, 1, 2))  # high, low, off
SUPPLY, BAND = 48.0, 0.1  # V; A to either side of a limit
Row = dict[str, Any]
Parts = tuple[int, int, int]


def plain(value: Any) -> Any:
    """Numbers to ten digits."""
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [plain(part) for part in value]
    if isinstance(value, int | str):
        return value
    return float(f"{float(value):.10g}") if abs(value) > 1e-9 else 0.0


def torques(motor: Any, currents: list[tuple[float, ...]]) -> list[Row]:
    return [{"currents": row, "torque": motor.torque([*row, 0.0])} for row in currents]


def held(motor: Any, currents: tuple[float, ...], speed: float) -> np.ndarray:
    """The voltages that hold the currents at a speed: the library's equation is linear in them."""
    count = len(currents)
    state = np.array([*currents, 0.0])
    base = np.array(motor.electrical_ode(state, np.zeros(count), speed))[:count]
    slopes = [np.array(motor.electrical_ode(state, one, speed))[:count] - base for one in np.eye(count)]
    return np.linalg.solve(np.stack(slopes, axis=1), -base)


def steady(motor: Any, currents: tuple[float, ...], speed: float) -> Row:
    return {"currents": currents, "speed": speed, "voltages": held(motor, currents, speed)}


def shorted(motor: Any, field: tuple[float, ...], speed: float) -> Row:
    """Stator currents that no voltage at the leads leaves standing at a speed, the field's current held."""
    voltages = np.array([0.0, 0.0, *(motor.motor_parameter["r_e"] * amps for amps in field)])

    def slopes(currents: Any) -> np.ndarray:
        state = np.array([*currents, *field, 0.0])
        return np.array(motor.electrical_ode(state, voltages, speed))[:2]

    base = slopes((0.0, 0.0))
    per_ampere = np.stack([slopes(one) - base for one in np.eye(2)], axis=1)
    return {"speed": speed, "currents": [*np.linalg.solve(per_ampere, -base), *field]}


def step(motor: Any, voltages: tuple[float, ...], speed: float, seconds: float) -> Row:
    """Currents after the voltages come on at once, from nothing, at a steady speed."""
    count = len(voltages)
    times = np.linspace(0.0, seconds, 21)
    found = solve_ivp(
        lambda _, y: motor.electrical_ode(y, np.array(voltages), speed),
        (0.0, seconds), np.zeros(count + 1), t_eval=times, **CLOSE,
    )  # fmt: skip
    return {"voltages": voltages, "speed": speed, "times": times, "currents": found.y[:count].T}


def pair_torques(motor: Any, amps: float) -> list[Row]:
    """Torque at standstill of a current into the first lead and out of the second, by the rotor's electrical angle."""
    rows = []
    for angle in range(0, 360, 5):
        currents = motor.q_inv(motor.t_23(np.array([amps, -amps, 0.0])), radians(angle))
        rows.append({"angle": angle, "torque": motor.torque([*currents, 0.0])})
    return rows


class SixStep:
    """The library's machine behind six switches and six diodes, followed until it repeats.

    With a limit the upper switch opens and closes as the current of its lead passes a narrow band about it.
    """

    def __init__(self, motor: Any, speed: float, late: float, limit: float = inf) -> None:
        self.motor, self.speed, self.late, self.limit = motor, speed, radians(late), limit
        self.turning = motor.motor_parameter["p"] * speed
        self.back = held(motor, (0.0, 0.0), speed)
        self.top = SUPPLY

    def phases(self, dq: Any, time: float) -> np.ndarray:
        return self.motor.t_32(np.array(self.motor.q(dq, self.turning * time - pi / 2.0)))

    def floating(self, time: float, parts: Parts) -> float:
        """Of the lead that is off, against minus, while it carries nothing."""
        emf = self.phases(self.back, time)
        return 0.5 * self.top + 1.5 * emf[parts[2]]

    def slopes(self, time: float, y: np.ndarray, parts: Parts, rail: float | None) -> list[float]:
        """Of both currents, and torque, mean square of the leads' currents, current from the supply to be summed."""
        high, low, off = parts
        leads = np.zeros(3)
        leads[high], leads[low] = self.top, 0.0
        leads[off] = self.floating(time, parts) if rail is None else rail
        angle = self.turning * time - pi / 2.0
        voltages = self.motor.q_inv(self.motor.t_23(leads), angle)
        found = self.motor.electrical_ode(np.array([y[0], y[1], angle]), np.array(voltages), self.speed)
        i = self.phases(y[:2], time)
        drawn = (i[high] if self.top else 0.0) + (i[off] if rail == SUPPLY else 0.0)
        return [found[0], found[1], self.motor.torque([y[0], y[1], 0.0]), (i**2).sum() / 3.0, drawn]

    def room(self, time: float, y: np.ndarray, parts: Parts, rail: float | None) -> float:
        """Falls through zero where a diode ends (its current) or begins (the lead's distance to the nearer rail)."""
        if rail is None:
            volts = self.floating(time, parts)
            return min(volts, SUPPLY - volts)
        current = self.phases(y[:2], time)[parts[2]]
        return float(current if rail == 0.0 else -current) + 1e-9

    def band(self, time: float, y: np.ndarray, parts: Parts) -> float:
        """Falls through zero where the upper switch is to open or to close."""
        over = self.phases(y[:2], time)[parts[0]] - self.limit
        return float(BAND - over if self.top else BAND + over)

    def sector(self, parts: Parts, start: float, end: float, y: np.ndarray) -> np.ndarray:
        current = self.phases(y[:2], start)[parts[2]]
        rail = None if abs(current) < 1e-6 else 0.0 if current > 0.0 else SUPPLY
        self.top = SUPPLY
        while end - start > 1e-12:
            if self.limit < inf and self.band(start, y, parts) <= 0.0:
                self.top = SUPPLY - self.top
            if rail is None and self.room(start, y, parts, rail) < 0.0:
                rail = self.nearer(start, parts)

            def room(time: float, y: np.ndarray, rail: float | None = rail) -> float:
                return self.room(time, y, parts, rail)

            def band(time: float, y: np.ndarray) -> float:
                return self.band(time, y, parts)

            def slopes(time: float, y: np.ndarray, rail: float | None = rail) -> list[float]:
                return self.slopes(time, y, parts, rail)

            for event in (room, band):
                event.terminal, event.direction = True, -1.0  # type: ignore[attr-defined]
            events = [room] if self.limit == inf else [room, band]
            found = solve_ivp(slopes, (start, end), y, events=events, max_step=0.1 / self.turning, **CLOSE)
            start, y = found.t[-1], found.y[:, -1]
            if rail is None or len(found.t_events[0]):
                y = self.emptied(start, y, parts)
            if len(found.t_events[0]):
                rail = self.nearer(start, parts) if rail is None else None
            elif found.status == 1:
                self.top = SUPPLY - self.top
        return y

    def emptied(self, time: float, y: np.ndarray, parts: Parts) -> np.ndarray:
        """The state with the last hair of current taken out of the lead that is off."""
        i = self.phases(y[:2], time)
        i[parts[0]] += 0.5 * i[parts[2]]
        i[parts[1]] += 0.5 * i[parts[2]]
        i[parts[2]] = 0.0
        return np.array([*self.motor.q_inv(self.motor.t_23(i), self.turning * time - pi / 2.0), *y[2:]])

    def nearer(self, time: float, parts: Parts) -> float:
        return 0.0 if self.floating(time, parts) < 0.5 * SUPPLY else SUPPLY

    def row(self, settled: float) -> Row:
        """Means over the first whole turn after so many seconds."""
        y, sixth = np.zeros(5), pi / 3.0 / self.turning
        turns = int(settled / (6.0 * sixth)) + 2
        for number in range(6 * turns):
            if number == 6 * (turns - 1):
                y[2:] = 0.0
            start = self.late / self.turning + number * sixth
            y = self.sector(SECTORS[number % 6], start, start + sixth, y)
        torque, square, drawn = y[2:] / (6.0 * sixth)
        return {
            "speed": self.speed,
            "late": degrees(self.late),
            "torque": torque,
            "line_current": sqrt(square),
            "battery_current": drawn,
        } | ({"limit": self.limit} if self.limit < inf else {})


def field_alone(motor: Any, voltage: float, speed: float) -> Row:
    """The field coil switched on with the leads open: the stator's voltages are those that keep its currents at none.

    Returns the field current and the q voltage, which is then the peak of a phase's EMF.
    """

    def open_leads(current: float) -> np.ndarray:
        state = np.array([0.0, 0.0, current, 0.0])
        base = np.array(motor.electrical_ode(state, np.array([0.0, 0.0, voltage]), speed))[:2]
        slopes = [np.array(motor.electrical_ode(np.zeros(4), one, 0.0))[:2] for one in np.eye(3)[:2]]
        return np.append(np.linalg.solve(np.stack(slopes, axis=1), -base), voltage)

    def slope(_: float, y: np.ndarray) -> list[float]:
        state = np.array([0.0, 0.0, y[0], 0.0])
        return [motor.electrical_ode(state, open_leads(float(y[0])), speed)[2]]

    times = np.linspace(0.0, 1.0, 11)
    found = solve_ivp(slope, (0.0, 1.0), [0.0], t_eval=times, **CLOSE)
    return {
        "voltage": voltage,
        "speed": speed,
        "times": times,
        "field_current": found.y[0],
        "emf_peak": [open_leads(float(current))[1] for current in found.y[0]],
    }


def excited() -> Row:
    """The wound-field machine with the library's own values, a salient one."""
    motor = ExternallyExcitedSynchronousMotor()
    values = {key: motor.motor_parameter[key] for key in ("p", "l_d", "l_q", "l_m", "l_e", "r_s", "r_e", "k")}
    rows: list[tuple[float, ...]] = [
        (0, 100, 100),
        (-50, 100, 100),
        (50, 100, 100),
        (0, 100, 50),
        (0, -60, 25),
    ]
    return {
        "parameters": values,
        "torques": torques(motor, rows),
        "steady": [
            steady(motor, row, speed)
            for row, speed in (
                ((0, 100, 100), 100.0),
                ((-50, 80, 60), 40.0),
                ((0, 0, 100), 100.0),
                ((0, 0, 50), 30.0),
            )
        ],
        "shorted": [shorted(motor, (50.0,), speed) for speed in (30.0, 300.0)],
        "field_alone": field_alone(motor, 0.5, 50.0),
    }


def magnet() -> Row:
    """A machine with a constant field that isn't salient: what calc takes a held field to be."""
    motor = PermanentMagnetSynchronousMotor(motor_parameter=ROUND)
    return {
        "parameters": ROUND,
        "torques": torques(motor, [(0, 100), (-50, 100), (50, 100), (-80, 60), (0, -40)]),
        "steady": [
            steady(motor, row, speed)
            for row, speed in (
                ((0, 0), 100.0),
                ((0, 100), 60.0),
                ((-60, 80), 150.0),
                ((-120, 40), 260.0),
                ((-40, 120), 40.0),
                ((30, 60), 90.0),
            )
        ],
        "steps": [
            step(motor, voltages, speed, 0.03)
            for voltages, speed in (
                ((0.0, 2.0), 0.0),
                ((0.0, 20.0), 100.0),
                ((-15.0, 25.0), 150.0),
                ((0, 0), 200.0),
            )
        ],
        "shorted": [shorted(motor, (), speed) for speed in (20.0, 50.0, 200.0)],
        "pair": {"current": 100.0, "rows": pair_torques(motor, 100.0)},
        "six_step": {
            "supply": SUPPLY,
            "rows": [
                SixStep(motor, speed, late).row(20.0 * ROUND["l_d"] / ROUND["r_s"])
                for speed in (25.0, 80.0, 130.0, 165.0, 230.0)
                for late in (-30.0, 0.0, 20.0)
            ],
            "limited": [
                SixStep(motor, speed, late, limit).row(0.01)
                for speed, late, limit in (
                    (20.0, 0.0, 150.0),
                    (60.0, -30.0, 100.0),
                    (60.0, 20.0, 100.0),
                    (100.0, 0.0, 120.0),
                    (130.0, 0.0, 60.0),
                    (150.0, -20.0, 60.0),
                )
            ],
        },
    }


def text(value: Any, indent: str = "") -> str:
    """JSON with a line for each row."""
    inner = indent + " "
    if isinstance(value, dict) and any(isinstance(part, dict | list) for part in value.values()):
        parts = [f"{inner}{json.dumps(key)}: {text(part, inner)}" for key, part in value.items()]
        return "{\n" + ",\n".join(parts) + f"\n{indent}}}"
    if isinstance(value, list) and any(isinstance(part, dict) for part in value):
        return "[\n" + ",\n".join(f"{inner}{json.dumps(part)}" for part in value) + f"\n{indent}]"
    return json.dumps(value)


if __name__ == "__main__":
    library = f"gym-electric-motor {version('gym-electric-motor')}, scipy {version('scipy')}"
    told = {"library": library, "excited": plain(excited()), "magnet": plain(magnet())}
    TARGET.write_text(text(told) + "\n", encoding="utf-8")
    print(f"{TARGET.name}: {TARGET.stat().st_size} bytes")
