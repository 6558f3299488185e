"""The tables of an answer, read off the curves."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.calculators.speed import sweeps
from calc.drive import curve
from calc.drive.controller import drawn

LOADS = (25, 50, 75, 100)
"""Percent of the shaft torque that is there, in the efficiency map."""
LEAST = 1e-6
"""Torque that counts as any, N·m: where a curve ends the machine's last bit decides."""
TAKERS = ("field_drain", "idle_power")


def _share(v: Values, speed: Any, torque: Any, bus_power: Any) -> Any:
    """Efficiency with what the controller loses, and what field and electronics take where that is known."""
    other = 0.0 if v.build.missing(*TAKERS) else float(v["field_drain"]) + float(v["idle_power"])
    return curve.efficiency(
        speed, torque, bus_power, sweeps.drag(v, speed), float(v["controller_efficiency"]), other
    )


def curve_rows(v: Values) -> list[dict[str, Any]]:
    """The curve to the no-load speed, with what the direct-current formula would promise."""
    all_of_it = sweeps.sweeps(v)
    main, found = all_of_it.main, all_of_it.main.found
    now, supply = sweeps.present(v), all_of_it.supply
    share = np.asarray(_share(v, main.speed, found.torque, found.battery_current * found.bus_voltage))
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
            "battery_current": float(drawn(found.battery_current[k], supply.controller_efficiency)),
            "efficiency": float(share[k]),
            "limit": words[k],
            "direct_current": float(promised[k]),
        }
        for k in range(len(main.speed))
        if np.isfinite(found.torque[k]) and main.speed[k] <= main.ends
    ]


def connection_rows(v: Values) -> list[dict[str, Any]]:
    return _side(sweeps.sweeps(v).connections, v)


def advance_rows(v: Values) -> list[dict[str, Any]]:
    return _side(sweeps.sweeps(v).advances, v)


def _side(lines: tuple[sweeps.Line, ...], v: Values) -> list[dict[str, Any]]:
    """Torque at quarters of the present no-load speed, and where each curve ends."""
    top = sweeps.sweeps(v).main.ends
    return [
        {
            "way": line.name,
            "no_load_speed": line.ends if line.closed and line.ends > 0.0 else None,
            **{f"at_{part}": sweeps.torque_at(line, part / 100.0 * top) for part in (10, 25, 50, 75, 90)},
        }
        for line in lines
    ]


def field_rows(v: Values) -> list[dict[str, Any]] | None:
    """The field as an electrical gearbox: at each speed the field current that gives the most torque at the shaft."""
    lines = sweeps.sweeps(v).fields
    if not lines:
        return None
    rows = []
    for speed in np.linspace(0.1, 1.0, 10) * max(line.ends for line in lines):
        torques = [(sweeps.at_shaft(line, float(speed)), line.field_current or 0.0) for line in lines]
        best = max(torques)
        if best[0] > LEAST:
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


def weakening(v: Values) -> tuple[float, float] | None:
    """The speed from which a weaker field than the strongest tried pulls more, rad/s, and that field current, A."""
    lines = sweeps.sweeps(v).fields
    if not lines:
        return None
    for speed in np.linspace(0.0, 1.0, 101)[1:] * max(line.ends for line in lines):
        torques = [sweeps.at_shaft(line, float(speed)) for line in lines]
        best = int(np.argmax(torques))
        if best < len(lines) - 1 and torques[best] > torques[-1] > 0.0:
            return float(speed), float(lines[best].field_current or 0.0)
    return None


def map_rows(v: Values) -> list[dict[str, Any]] | None:
    """Efficiency at shares of the shaft torque that is there, over speed: the same machine at part throttle."""
    if v.build.missing(*TAKERS):
        return None
    all_of_it = sweeps.sweeps(v)
    shape = (-1, len(sweeps.MAP_SHARES))
    torque = all_of_it.parts.torque.reshape(shape)
    power = (all_of_it.parts.battery_current * all_of_it.parts.bus_voltage).reshape(shape)
    rows = []
    for k, speed in enumerate(sweeps.map_speeds(v)):
        good = np.isfinite(torque[:, k])
        order = np.argsort(torque[good, k])
        there, taken = torque[good, k][order], power[good, k][order]
        most, friction = torque[-1, k], float(sweeps.drag(v, speed))
        if not np.isfinite(most) or most <= friction:
            continue
        row: dict[str, Any] = {"speed": float(speed), "most": float(most - friction)}
        pulls = there > 0.0
        lost = taken[pulls] / there[pulls] - speed  # for each N·m: nearly a straight line over the torque
        for load in LOADS:
            wanted = friction + (most - friction) * load / 100.0
            bus = wanted * (speed + np.interp(wanted, there[pulls], lost))
            row[f"load_{load}"] = float(_share(v, speed, wanted, bus))
        rows.append(row)
    return rows
