"""Does it stop, on what, how hot, and does it stay?"""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.figures.brakes import distances
from calc.findings import Finding
from calc.graph import step
from calc.spec import Calculator, Column, Report, Result
from calc.standards import rows
from calc.units import show
from calc.vehicle import brakes
from calc.vehicle.road import GRAVITY

WET_GRASS = 0.2  # Source: [method-drive] #grip
MOTOR = Finding(
    "ok",
    "The motor never counts as a brake here: it ends without warning when a fuse, the pack's protection or the "
    "field goes.",
    "Ask what your local rules want of brakes before anybody rides on a road.",
)


def _frame(v: Values, **changes: Any) -> list[Any]:
    keys = ("braked_wheels", "slope", "wheelbase", "cog_from_axle", "cog_height", "grip")
    return [changes.get(key, v[key]) for key in keys]


def _split(v: Values) -> float | None:
    """Part of the working brake's force in front; None for both axles in a split that nobody measured."""
    single = {"front": 1.0, "rear": 0.0}.get(v["braked_axle"])
    if single is not None:
        return single
    return float(v["front_brake_share"]) if "front_brake_share" in v.build.entered else None


def _slows(v: Values) -> bool:
    return float(v["net_deceleration"]) > brakes.CREEP


def _distance(v: Values) -> float | None:
    """Stopping distance down the slope; None where it runs away."""
    return float(v["stopping_distance"]) if _slows(v) else None


def _descent(v: Values) -> float | None:
    """The same from the fastest speed downhill."""
    return float(v["descent_stop"]) if _slows(v) else None


def _level(v: Values) -> float:
    return float(brakes.stopping_distance(v["road_speed"], v["reaction_time"], v["level_deceleration"]))


def _uphill(v: Values) -> float:
    net = float(v["braking_share"]) * GRAVITY + float(v["slope_pull"])
    return float(brakes.stopping_distance(v["road_speed"], v["reaction_time"], net))


def _first(v: Values) -> str:
    """What ends the braking force on the slope: which axle locks, or the rear that lifts."""
    split = _split(v)
    if split is None:
        return "unknown: nobody measured the split"
    front, rear, tips = (float(x) for x in brakes.lock_shares(split, *_frame(v)))
    least = min(front, rear, tips)
    return "it tips over the front" if least == tips else "front" if least == front else "rear"


def _stop_energy(v: Values) -> float | None:
    """Heat of one stop down the slope: the motion, and the height lost while braking."""
    if not _slows(v):
        return None
    motion, net = float(v["energy"]), float(v["net_deceleration"])
    braked = float(v["road_speed"]) ** 2 / (2.0 * net)
    return motion + float(v["total_mass"]) * float(v["slope_pull"]) * braked


def _rise(v: Values, heat: float) -> float:
    return float(brakes.heat_rise(heat, v["heat_share"], v["brake_mass"], v["brake_specific_heat"]))


def _disc_rise(v: Values) -> float | None:
    heat = _stop_energy(v)
    return None if heat is None else _rise(v, heat)


def _descent_rise(v: Values) -> float:
    """Rise after the longest descent at steady speed with a stop from it at the end."""
    return _rise(
        v,
        float(brakes.height_energy(v["total_mass"], v["descent_height"]))
        + float(brakes.motion_energy(v["total_mass"], v["descent_speed"])),
    )


def _published(v: Values) -> list[dict[str, Any]]:
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


def _parking(v: Values) -> Finding:
    held, needed = float(v["parking_held"]), float(v["parking_needed"])
    text = (
        f"Parked on {show(v['slope'], 'percent')} it holds {show(held, 'N')}; the slope pulls with "
        f"{show(needed, 'N')}."
    )
    if held < needed:
        by = "the tyres slip" if v["parking_grip"] < v["parking_force"] else "the brake gives way"
        return Finding(
            "stop", f"{text} It rolls away: {by}.", "Chocks below both wheels, always, until it holds."
        )
    if held < 1.5 * needed:
        return Finding(
            "caution", f"{text} Less than half as much again.", "Chock it, and park it across the slope."
        )
    return Finding("ok", text, "Turn the wheels to a kerb or bank all the same.")


def _second(v: Values) -> Finding:
    if v["second_axle"] == "none":
        return Finding(
            "stop",
            "Only one brake. When its cable, lever or chain goes, nothing stops it.",
            "Fit a second brake with lever, cable and shoes of its own, and try it alone.",
        )
    given, wanted = float(v["second_given"]), float(v["second_wanted"])
    text = f"The second brake alone gives {show(given, 'm/s**2')}; the slope asks {show(wanted, 'm/s**2')} of it."
    if given < wanted:
        return Finding("stop", text, "A stronger second brake, or one on the axle that carries more.")
    return Finding("ok", text, "Try each alone once a month, at walking pace.")


def _findings(v: Values) -> list[Finding]:
    found: list[Finding] = []
    if v["cog_from_axle"] >= v["wheelbase"]:
        return [
            Finding(
                "stop",
                f"The centre of gravity is entered {show(v['cog_from_axle'], 'mm')} in front of the rear axle, and the "
                f"front axle is only {show(v['wheelbase'], 'mm')} away: it would lie on its nose.",
                "Measure again: front reading divided by total mass, times the wheelbase.",
            )
        ]
    net, first = float(v["net_deceleration"]), _first(v)
    if not _slows(v):
        found.append(
            Finding(
                "stop",
                f"On {show(v['slope'], 'percent')} downhill it doesn't stop: the brakes give "
                f"{show(v['braking_share'] * GRAVITY, 'm/s**2')}, the slope adds "
                f"{show(v['slope_pull'], 'm/s**2')}.",
                "Don't take this slope. More braked wheels, a better split, tyres of more grip, or another way.",
            )
        )
    grabs = float(v["deceleration"]) > float(v["brake_cap"]) * GRAVITY
    if grabs and first == "it tips over the front":
        text = "Hard braking lifts the rear wheels before any wheel locks: it goes over the front."
        found.append(Finding("stop", text, "Weight lower and further back, or less brake in front."))
    elif grabs:
        what = {
            "front": "the front wheels lock: it won't steer",
            "rear": "the rear wheels lock: it swings round",
        }
        found.append(
            Finding(
                "caution",
                f"Downhill {what.get(first, 'an axle may lock')} at "
                f"{show(v['brake_cap'] * GRAVITY, 'm/s**2')} of braking; "
                f"{show(v['deceleration'], 'm/s**2')} was "
                "entered. The lesser counts.",
                "Squeeze, don't grab. Brakes on both axles, split as the weight is, hold most.",
            )
        )
    if _split(v) is None:
        found.append(
            Finding(
                "caution",
                "Both axles brake, and nobody measured how the force is split: only the worse axle alone is counted.",
                "Measure the split with a luggage scale and enter it.",
            )
        )
    if v["braked_wheels"] == "one":
        text = "One wheel of the axle brakes alone: half the grip, and it pulls to that side."
        found.append(Finding("caution", text, "Brake both wheels of the axle, or brake a solid axle."))
    if not v.build.missing("sight_distance") and net > 0.0:
        runs, free = float(v["descent_stop"]), float(v["sight_distance"])
        text = (
            f"From {show(v['descent_speed'], 'km/h')} downhill it needs {show(runs, 'm')}; {show(free, 'm')} of "
            "the way "
            "are surely free."
        )
        slower = f"Hold {show(v['sight_cap'], 'km/h')} or less there."
        found.append(Finding("stop" if runs > free else "ok", text, slower if runs > free else ""))
    none_fitted = "second_axle" in v.build.entered and v["second_axle"] == "none"
    if none_fitted or not v.build.missing("second_axle", "second_deceleration"):
        found.append(_second(v))
    else:
        text = "A second brake isn't entered. One brake is none when its cable goes."
        found.append(Finding("stop", text, "Enter its axle, and what it gives alone."))
    if not v.build.missing("parking_axle", "parking_force"):
        found.append(_parking(v))
    if not v.build.missing("brake_mass", "descent_height"):
        rise = _descent_rise(v)
        text = (
            f"A descent of {show(v['descent_height'], 'm')} at steady speed and a stop at its end warm the metal by "
            f"{show(rise, 'K')} at most, nothing given off."
        )
        hot = rise > brakes.HOT_BRAKE
        do = (
            "Stop half-way and let it cool; more metal; never hold it on one brake."
            if hot
            else "Hands off: it burns."
        )
        found.append(Finding("caution" if hot else "ok", text, do))
    short = [row for row in _published(v) if row["share"] < 1.0]
    if short:
        row = max(short, key=lambda one: one["share"])
        found.append(
            Finding(
                "caution",
                f"It gives {show(v['level_deceleration'], 'm/s**2')} on the level; a {row['machine']} once had to give "
                f"{show(row['asked'], 'm/s**2')} with the same brakes (directive 93/14/EEC).",
                "A comparison, no rule for this machine. Check your local rules.",
            )
        )
    return [*found, MOTOR]


def _curves(v: Values) -> list[tuple[str, float]]:
    """(name, deceleration) of the curves in the figure: level, downhill, downhill on wet grass."""
    split = _split(v)
    wet_frame = _frame(v, grip=min(WET_GRASS, float(v["grip"])))
    wet_cap = (
        brakes.brake_cap(v["braked_axle"], *wet_frame)
        if split is None
        else np.min(np.broadcast_arrays(*brakes.lock_shares(split, *wet_frame)))
    )
    wet = float(brakes.net_deceleration(brakes.braking_share(v["deceleration"], wet_cap), v["slope"]))
    return [
        ("level", float(v["level_deceleration"])),
        (f"down {show(v['slope'], 'percent')}", float(v["net_deceleration"])),
        ("the same, wet grass", wet),
    ]


def _brakes(v: Values) -> Report:
    stop, speed = _distance(v), show(v["road_speed"], "km/h")
    curves = _curves(v)
    wet = curves[2][1]
    takes = float(brakes.stopping_distance(v["road_speed"], v["reaction_time"], wet))
    on_wet = (
        f" On wet grass it takes {show(takes, 'm')}."
        if wet > brakes.CREEP
        else " On wet grass it doesn't stop there at all."
    )
    where = f"down {show(v['slope'], 'percent')}" if v["slope"] > 0 else "on the level"
    return Report(
        "doesn't stop" if stop is None else show(stop, "m"),
        f"to stand from {speed} {where}, {show(v['reaction_time'], 's')} of reaction counted",
        f"On the level {show(_level(v), 'm')}. The brakes give {show(v['deceleration'], 'm/s**2')} as tried; "
        "the braked "
        f"tyres hold {show(v['brake_cap'] * GRAVITY, 'm/s**2')} downhill, "
        f"{show(v['slope_pull'], 'm/s**2')} of it "
        f"goes into holding the slope.{on_wet}",
        tuple(_findings(v)),
        (lambda uid: distances(uid, float(v["road_speed"]), float(v["reaction_time"]), curves),),
    )


PARKING = ("parking_axle", "parking_force")
HEAT = ("brake_mass", "brake_specific_heat", "heat_share")

BRAKES = Calculator(
    id="brakes",
    title="Brakes",
    chapter="vehicle",
    question="Does it stop in time, and stay where it is parked?",
    asks=(
        "road_speed",
        "slope",
        "deceleration",
        "reaction_time",
        "braked_axle",
        "front_brake_share",
        "grip",
        "second_axle",
        "second_deceleration",
        "parking_axle",
        "parking_force",
        "sight_distance",
    ),
    gives=(
        Result("stopping_distance", "Stopping distance down the slope", "m", made=_distance),
        Result("stopping_level", "The same on the level", "m", made=_level),
        Result("stopping_uphill", "The same uphill", "m", made=_uphill),
        Result("descent_stop", "From the fastest speed downhill", "m", made=_descent),
        Result("net_deceleration", "Deceleration left downhill", "m/s**2"),
        Result("locks_first", "What ends the braking force first, downhill", made=_first),
        Result("brake_cap", "Braking force that the tyres hold, of the weight", "percent"),
        Result("sight_cap", "Speed that stops within the free way", "km/h", optional=True),
        Result("second_given", "Second brake alone", "m/s**2", optional=True),
        Result("second_wanted", "Wanted of it", "m/s**2"),
        Result("parking_held", "Parking brake holds on the slope", "N", optional=True),
        Result("parking_needed", "The slope pulls with", "N"),
        Result("energy", "Energy of motion", "kJ"),
        Result("stop_energy", "Heat of one stop downhill", "kJ", made=_stop_energy),
        Result(
            "disc_rise", "Disc or drum warmer by one stop", "K", made=_disc_rise, optional=True, needs=HEAT
        ),
        Result(
            "descent_rise",
            "Warmer by the longest descent",
            "K",
            made=_descent_rise,
            optional=True,
            needs=(*HEAT, "descent_height"),
        ),
        Result(
            "published",
            "What type approval once asked of others (93/14/EEC)",
            columns=(
                Column("machine", "Machine"),
                Column("brakes", "Brakes"),
                Column("asked", "Deceleration", "m/s**2"),
                Column("distance", "Stops within", "m"),
                Column("share", "Yours of it", "percent"),
            ),
            made=_published,
        ),
    ),
    rules={"energy": step(brakes.motion_energy)},
    report=_brakes,
    reads=(
        "road_speed",
        "descent_speed",
        "reaction_time",
        "deceleration",
        "braking_share",
        "level_deceleration",
        "stopping_distance",
        "descent_stop",
        "slope_pull",
        "total_mass",
        "braked_axle",
    ),
    optional=(
        "front_brake_share",
        "second_axle",
        "parking_axle",
        "parking_force",
        "sight_distance",
        "brake_mass",
        "descent_height",
    ),
)
