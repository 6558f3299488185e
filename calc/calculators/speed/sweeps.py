"""The curve of this build, and beside it other connections, field currents and advances: one solution for all."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc.build import Values
from calc.drive import curve
from calc.drive.curve import Machine, Supply
from calc.drive.inverter import Steady
from calc.machine import connection, emf
from calc.machine.inductance import inductance_at
from calc.quantities import Array
from calc.vehicle.ride import electrical_power

POINTS, FEW = 60, 8
ADVANCES = (0.0, 10.0, 20.0, 30.0)
"""Degrees tried beyond the present switching."""
_FIELDS = 4
_FOLLOWS = 0.95
"""Share of the armature's field at the limit from which the sensors follow the current: no such field is tried."""


class Line(NamedTuple):
    """One curve: its name, its speeds and what is there, where it ends, and the field current it belongs to.

    closed: its torque falls to the friction there; otherwise it still pulls at the last speed worked out.
    """

    name: str
    speed: Array
    found: Steady
    ends: float
    closed: bool
    field_current: float | None = None


class Sweeps(NamedTuple):
    """All curves of an answer."""

    supply: Supply
    main: Line
    connections: tuple[Line, ...]
    fields: tuple[Line, ...]
    advances: tuple[Line, ...]


def feed(v: Values) -> Supply:
    """A given supply is stiff; a pack sags by its resistance from its reserve."""
    if v.build.is_leaf("supply_voltage"):
        volts, source, extra = float(v["supply_voltage"]), 0.0, 0.0
    else:
        volts, source = float(v["reserve_voltage"]), float(v["pack_resistance"])
        extra = (float(v["field_drain"]) + float(v["idle_power"])) / volts
    limits = float(v["phase_current_limit"]), float(v["battery_current_limit"])
    return Supply(volts, source, extra, *limits)


def present(v: Values) -> Machine:
    """The machine as it is entered."""
    per_ampere = 0.0
    if not v.build.missing("armature_per_ampere"):
        per_ampere = float(v["armature_per_ampere"])
    return Machine(
        emf_constant=float(v["emf_constant"]),
        line_resistance=float(v["hot_line_resistance"]),
        line_inductance=float(v["line_inductance"]),
        switching_error=float(v["switching_error"]),
        armature_per_ampere=per_ampere,
    )


def _other_connection(v: Values, now: Machine) -> tuple[str, Machine]:
    wanted = next(c for c in connection.CONNECTIONS if c != v["connection"])

    def there(value: Any, ratio: float) -> float:
        return float(connection.in_connection(value, ratio, v["connection"], wanted))

    other = now._replace(
        emf_constant=there(now.emf_constant, connection.VOLTAGE_RATIO),
        line_resistance=there(now.line_resistance, connection.IMPEDANCE_RATIO),
        line_inductance=there(now.line_inductance, connection.IMPEDANCE_RATIO),
    )
    # Share of the working field for each ampere: L/λ, which falls by √3 with the volts' rise.
    scale = (other.line_inductance / other.emf_constant) / (now.line_inductance / now.emf_constant)
    return wanted, other._replace(armature_per_ampere=now.armature_per_ampere * scale)


def _fields(v: Values, now: Machine) -> list[tuple[float, Machine]]:
    """The machine at field currents of the spin test's range, none where it wasn't spun at several."""
    if v.build.missing("saturation", "field_current", "leakage_share"):
        return []
    saturation = v["saturation"]
    if saturation.high - saturation.low < 0.05 * saturation.high:
        return []
    here, limit = float(v["field_current"]), float(v["phase_current_limit"])

    def fed(current: float) -> Machine:
        constant = float(emf.emf_at(saturation, current))
        inductance = float(
            inductance_at(now.line_inductance, v["leakage_share"], now.emf_constant, here, constant, current)
        )
        scale = (inductance / constant) / (now.line_inductance / now.emf_constant)
        return now._replace(
            emf_constant=constant,
            line_inductance=inductance,
            armature_per_ampere=now.armature_per_ampere * scale,
        )

    tried = np.linspace(max(saturation.low, 0.2 * saturation.high), saturation.high, 25)
    ruled = [float(i) for i in tried if fed(float(i)).armature_per_ampere * limit < _FOLLOWS]
    if len(ruled) < 2:
        return []
    return [(float(i), fed(float(i))) for i in np.linspace(ruled[0], ruled[-1], _FIELDS)]


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def sweeps(v: Values) -> Sweeps:
    """Every curve, worked out together."""
    now, supply, friction = present(v), feed(v), float(v["friction_torque"])
    wanted, other = _other_connection(v, now)
    fields = _fields(v, now)
    advances = [now._replace(switching_error=now.switching_error - np.radians(a)) for a in ADVANCES[1:]]
    machines = [now, other, *(m for _, m in fields), *advances]
    counts = [POINTS] + [FEW] * (len(machines) - 1)
    speeds = [curve.speeds_for(m, supply.open_voltage, n) for m, n in zip(machines, counts, strict=True)]
    names = [
        str(v["connection"]),
        wanted,
        *("" for _ in fields),
        *(f"{a:.0f}° earlier" for a in ADVANCES[1:]),
    ]
    currents = [None, None, *(current for current, _ in fields), *(None for _ in advances)]
    found = curve.sweep(speeds, machines, supply, v["pole_pairs"], v["drive_kind"])
    lines = [
        Line(
            name,
            speed,
            one,
            curve.ends_at(speed, one.torque, friction),
            curve.comes_to_an_end(one.torque, friction),
            current,
        )
        for name, speed, one, current in zip(names, speeds, found, currents, strict=True)
    ]
    main, after = lines[0], 2 + len(fields)
    as_it_is = main._replace(name="as it is")
    return Sweeps(supply, main, (main, lines[1]), tuple(lines[2:after]), (as_it_is, *lines[after:]))


def _at(line: Line, speed: float) -> float | None:
    """Torque at a speed, by straight lines; None beyond the curve's end or where no state was found."""
    good = np.isfinite(line.found.torque)
    if speed > line.ends or not good.any():
        return None
    return float(np.interp(speed, line.speed[good], line.found.torque[good]))


def curve_rows(v: Values) -> list[dict[str, Any]]:
    """The curve to the no-load speed, with what the direct-current formula would promise."""
    all_of_it, friction = sweeps(v), float(v["friction_torque"])
    main, found = all_of_it.main, all_of_it.main.found
    now, supply = present(v), all_of_it.supply
    other = float(v["field_drain"]) + float(v["idle_power"]) if not v.build.missing("field_drain") else 0.0
    share = np.asarray(curve.efficiency(main.speed, found, friction, other))
    words = curve.limited_by(found, supply.phase_current_limit)
    promised = np.asarray(
        curve.direct_current_torque(
            main.speed, now.emf_constant, now.line_resistance, supply.open_voltage, supply.phase_current_limit
        )
    )
    return [
        {
            "speed": float(main.speed[k]),
            "torque": float(found.torque[k]),
            "line_current": float(found.line_current[k]),
            "battery_current": float(found.battery_current[k]),
            "efficiency": float(share[k]),
            "limit": words[k],
            "direct_current": float(promised[k]),
        }
        for k in range(len(main.speed))
        if np.isfinite(found.torque[k]) and main.speed[k] <= main.ends
    ]


def connection_rows(v: Values) -> list[dict[str, Any]]:
    return _side(sweeps(v).connections, v)


def advance_rows(v: Values) -> list[dict[str, Any]]:
    return _side(sweeps(v).advances, v)


def _side(lines: tuple[Line, ...], v: Values) -> list[dict[str, Any]]:
    """Torque at quarters of the present no-load speed, and where each curve ends."""
    top = sweeps(v).main.ends
    return [
        {
            "way": line.name,
            "no_load_speed": line.ends if line.closed else None,
            **{f"at_{part}": _at(line, part / 100.0 * top) for part in (10, 25, 50, 75, 90)},
        }
        for line in lines
    ]


def field_rows(v: Values) -> list[dict[str, Any]] | None:
    """The field as an electrical gearbox: at each speed the field current that gives the most torque."""
    lines = sweeps(v).fields
    if not lines:
        return None
    rows = []
    for speed in np.linspace(0.1, 1.0, 8) * max(line.ends for line in lines):
        torques = [(_at(line, float(speed)) or 0.0, line.field_current or 0.0) for line in lines]
        best = max(torques)
        if best[0] > 0.0:
            rows.append(
                {
                    "speed": float(speed),
                    "best_field": best[1],
                    "best_torque": best[0],
                    "least_field_torque": torques[0][0],
                    "full_field_torque": torques[-1][0],
                }
            )
    return rows


def map_rows(v: Values) -> list[dict[str, Any]] | None:
    """Efficiency at shares of the torque that is there, over speed: the same current, chopped to less."""
    if v.build.missing("field_drain", "controller_efficiency"):
        return None
    main, friction = sweeps(v).main, float(v["friction_torque"])
    rows = []
    for part in (0.15, 0.3, 0.5, 0.7, 0.85):
        speed = part * main.ends
        most = _at(main, speed)
        if most is None or most <= friction:
            continue
        row: dict[str, Any] = {"speed": speed}
        for share in (25, 50, 75, 100):
            torque = friction + (most - friction) * share / 100.0
            power = electrical_power(
                torque,
                speed,
                v["emf_constant"],
                v["hot_line_resistance"],
                v["controller_efficiency"],
                v["field_drain"],
                v["idle_power"],
                v["switching_error"],
            )
            row[f"load_{share}"] = float((torque - friction) * speed / power)
        rows.append(row)
    return rows


def no_load(v: Values) -> float | None:
    """No-load speed, rad/s; None where the machine still pulls at the last speed worked out."""
    main = sweeps(v).main
    return main.ends if main.closed else None


def peak_power(v: Values) -> float:
    """Most power at the shaft, W."""
    main = sweeps(v).main
    left = (main.found.torque - float(v["friction_torque"])) * main.speed
    return float(np.nanmax(left))
