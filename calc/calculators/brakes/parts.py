"""What the answer on brakes is made of: distances, what locks first, heat, and what others had to do."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.standards import rows
from calc.vehicle import brakes
from calc.vehicle.road import GRAVITY


def frame(v: Values, **changes: Any) -> list[Any]:
    keys = ("braked_wheels", "slope", "wheelbase", "cog_from_axle", "cog_height", "grip")
    return [changes.get(key, v[key]) for key in keys]


def split(v: Values) -> float | None:
    """Part of the working brake's force in front; None for both axles in a split that nobody measured."""
    single = {"front": 1.0, "rear": 0.0}.get(v["braked_axle"])
    if single is not None:
        return single
    return float(v["front_brake_share"]) if "front_brake_share" in v.build.entered else None


def slows(v: Values) -> bool:
    return float(v["net_deceleration"]) > brakes.CREEP


def distance(v: Values) -> float | None:
    """Stopping distance down the slope; None where it runs away."""
    return float(v["stopping_distance"]) if slows(v) else None


def descent(v: Values) -> float | None:
    """The same from the fastest speed downhill."""
    return float(v["descent_stop"]) if slows(v) else None


def level(v: Values) -> float:
    return float(v["level_stop"])


def uphill(v: Values) -> float:
    net = float(v["braking_share"]) * GRAVITY + float(v["slope_pull"])
    return float(brakes.stopping_distance(v["road_speed"], v["reaction_time"], net))


def first(v: Values) -> str:
    """What ends the braking force on the slope: which axle locks, or the rear that lifts."""
    part = split(v)
    if part is None:
        return "unknown: nobody measured the split"
    front, rear, tips = (float(x) for x in brakes.lock_shares(part, *frame(v)))
    least = min(front, rear, tips)
    return "it tips over the front" if least == tips else "front" if least == front else "rear"


def stop_energy(v: Values) -> float | None:
    """Heat of one stop down the slope: the motion when the brake bites, and the height lost while braking."""
    if not slows(v):
        return None
    net, pull, mass = (float(v[key]) for key in ("net_deceleration", "slope_pull", "total_mass"))
    bite = float(brakes.bite_speed(v["road_speed"], v["reaction_time"], pull))
    return float(brakes.motion_energy(mass, bite)) + mass * pull * bite**2 / (2.0 * net)


def rise(v: Values, heat: float) -> float:
    return float(brakes.heat_rise(heat, v["heat_share"], v["brake_mass"], v["brake_specific_heat"]))


def disc_rise(v: Values) -> float | None:
    heat = stop_energy(v)
    return None if heat is None else rise(v, heat)


def published(v: Values) -> list[dict[str, Any]]:
    """What type approval once asked of comparable machines, beside this one's deceleration on the level."""
    found = []
    for row in rows("braking_93_14"):
        if row["brakes"] not in (v["braked_axle"], "both" if v["braked_axle"] == "both" else ""):
            continue
        asked = float(row["deceleration"])
        k = float(row["k"]) if row["k"] else None
        longest = None if k is None else float(brakes.published_distance(v["road_speed"], k))
        found.append(
            {
                "machine": row["machine"],
                "brakes": row["brakes"],
                "asked": asked,
                "distance": longest,
                "share": float(v["level_deceleration"]) / asked,
            }
        )
    return found
