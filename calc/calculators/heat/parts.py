"""Numbers of the machine's heat that are no node of the graph: ends, times, tables."""

from __future__ import annotations

from typing import Any

from calc import still
from calc.build import Values
from calc.drive.launch import stall_time as lasting
from calc.machine import endurance, excitation, heat, heat_run, losses
from calc.machine.copper import hot_resistance
from calc.machine.thermal_class import allowed_temperature


def ends(v: Values) -> heat.Temperatures:
    """Where winding, body and rotor end at this current and speed."""
    return heat.steady(v["point_network"], v["point_losses"], v["ambient_temperature"])


def told(kelvin: Any) -> float | None:
    """A temperature, or None where there is no end to it."""
    return None if float(kelvin) >= excitation.NEVER else float(kelvin)


def hottest(v: Values) -> float | None:
    return told(v["hottest_temperature"])


def steady(v: Values) -> float | None:
    return told(ends(v).winding)


def forever(v: Values) -> float:
    given = (v["line_resistance"], v["insulation_class"], v["ambient_temperature"])
    return float(endurance.continuous_current(v["point_network"], v["point_losses"], *given))


def limit(v: Values) -> float:
    return float(allowed_temperature(v["insulation_class"]))


def time_to_limit(v: Values) -> float | None:
    air = float(v["ambient_temperature"])
    cold = heat.Temperatures(air, air, air)
    time = endurance.time_to(v["point_network"], v["point_losses"], cold, limit(v), air)
    return None if time is None else float(time)


def stall_time(v: Values) -> float:
    return float(
        lasting(
            v["stall_current"],
            v["line_resistance"],
            v["winding_mass"],
            v["connection"],
            v["row_temperature"],
            limit(v),
        )
    )


def residual(v: Values) -> float | None:
    final = ends(v)
    if told(final.winding) is None:
        return None
    return float(heat.residual(v["point_network"], v["point_losses"], final, v["ambient_temperature"]))


def loss_rows(v: Values) -> list[dict[str, Any]]:
    final = ends(v)
    at = [min(float(kelvin), limit(v)) for kelvin in (final.winding, final.rotor)]
    ring = float(v["ring_loss"])
    turning = (v["friction_torque"], v["iron_share"], v["motor_speed"])
    rows = (
        ("stator copper", "winding", (v["point_losses"].winding - ring) * hot_resistance(1.0, at[0])),
        *([("current round the delta", "winding", ring * hot_resistance(1.0, at[0]))] if ring > 0.0 else []),
        ("field coil", "rotor", v["point_losses"].rotor * hot_resistance(1.0, at[1])),
        ("iron", "body", losses.iron_loss(*turning)),
        ("bearings and brushes rubbing", "body", losses.rubbing_loss(*turning)),
        ("brush contacts", "body", losses.brush_loss(v["field_current"], v["brush_drop"])),
        ("fan", "air", losses.fan_loss(*turning)),
    )
    return [{"loss": name, "where": where, "power": float(watts)} for name, where, watts in rows]


def ride_rows(v: Values) -> list[dict[str, Any]]:
    after = v["ride_temperatures"]
    return [
        {"part": "winding, mean of the ride", "temperature": told(after.winding)},
        {"part": "winding, heaviest part", "temperature": told(v["row_temperature"])},
        {"part": "hottest coil, one more start", "temperature": told(v["hottest_temperature"])},
        {"part": "stator iron and body", "temperature": told(after.body)},
        {"part": "field coil", "temperature": told(after.rotor)},
    ]


def standing_rows(v: Values) -> list[dict[str, Any]]:
    """Field coil and rings with the rotor still for good, at full field and at the hold current, if there is one."""
    thermal = float(v["field_thermal_resistance"])
    ways = [("full field", v["field_current"], still.ends(v, thermal))]
    if "field_hold_current" in v.build.entered:
        ways.append(("hold current", v["field_hold_current"], still.held_end(v, thermal)))
    rows = []
    for name, current, end in ways:
        ohms = hot_resistance(v["field_resistance"], min(end, limit(v)))
        rows.append(
            {
                "field": name,
                "current": float(current),
                "temperature": told(end),
                "power": float(current * current * ohms),
                "ring": float(losses.brush_loss(current, v["brush_drop"])) / 2.0,
            }
        )
    return rows


def run_rows(v: Values) -> list[dict[str, Any]]:
    run, ohms = v["heat_run"], v["line_resistance"]
    temperatures = heat_run.row_temperatures(run, ohms)
    rows = zip(run, temperatures, strict=True)
    return [{"time": 0.0, "temperature": float(v["heat_run_end"].winding)}] + [
        {"time": row[0], "temperature": float(kelvin)} for row, kelvin in rows
    ]
