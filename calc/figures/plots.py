"""Figures with axes: force over speed, torque over rotor position."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.drive.correction import corrected_torque
from calc.figures.svg import Curve, plot
from calc.machine.losses import drag_torque
from calc.quantities import Real
from calc.units import from_si, show
from calc.vehicle.gearing import motor_speed_at, wheel_force
from calc.vehicle.road import road_load

POINTS = 49


def tractive_force(uid: str, v: Values) -> str:
    """Force at the wheel over road speed at full throttle, against the road load on the level and on the slope."""
    top = max(float(v["top_speed"]), float(v["road_speed"])) * 1.25
    speed = np.linspace(0.0, top, POINTS)
    motor = motor_speed_at(speed, v["gear_ratio"], v["wheel_diameter"])
    torque = corrected_torque(
        motor,
        v["emf_constant"],
        v["hot_line_resistance"],
        v["line_inductance"],
        v["pole_pairs"],
        v["supply_voltage"],
        v["phase_current_limit"],
        v["battery_current_limit"],
        v["switching_error"],
        v["correction"],
    )
    left = torque - drag_torque(v["friction_torque"], v["iron_share"], motor)
    pull = wheel_force(left, v["gear_ratio"], v["wheel_diameter"], v["drive_efficiency"])
    pull = np.maximum(pull, 0.0)

    def load(slope: float) -> list[tuple[float, float]]:
        force = road_load(v["total_mass"], slope, v["rolling_coefficient"], v["drag_area"], speed)
        return _pairs(speed, force)

    return plot(
        uid,
        "Force at the wheel",
        f"From {show(pull[0], 'N')} at standstill the force falls to meet the level road's load at "
        f"{show(v['top_speed'], 'km/h')}. The slope of {show(v['slope'], 'percent')} asks "
        f"{show(load(v['slope'])[0][1], 'N')} at a crawl.",
        "speed, km/h",
        "force, N",
        [
            Curve(_pairs(speed, pull), "full throttle"),
            Curve(load(v["slope"]), f"slope {show(v['slope'], 'percent')}", 1),
            Curve(load(0.0), "level", 2),
        ],
        [
            (
                float(from_si(v["top_speed"], "km/h")),
                load(0.0)[int(np.argmin(abs(speed - v["top_speed"])))][1],
                "top speed",
            )
        ]
        if v["top_speed"] > 0
        else [],
    )


def _pairs(speed: Real, force: Real) -> list[tuple[float, float]]:
    return list(
        zip(from_si(speed, "km/h").tolist(), np.broadcast_to(force, np.shape(speed)).tolist(), strict=True)
    )
