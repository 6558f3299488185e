"""Does it stop, on what, how hot, and does it stay?"""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.calculators.brakes import parts
from calc.calculators.brakes.findings import findings
from calc.figures.brakes import distances
from calc.graph import step
from calc.spec import Calculator, Column, Report, Result
from calc.units import show
from calc.vehicle import brakes
from calc.vehicle.road import GRAVITY

WET_GRASS = 0.2  # Source: [method-drive] #grip


def _curves(v: Values) -> list[tuple[str, float, float]]:
    """(name, deceleration, pull of the slope until the brake bites) of the curves in the figure: level, downhill,
    downhill on wet grass."""
    split = parts.split(v)
    wet_frame = parts.frame(v, grip=min(WET_GRASS, float(v["grip"])))
    wet_cap = (
        brakes.brake_cap(v["braked_axle"], *wet_frame)
        if split is None
        else np.min(np.broadcast_arrays(*brakes.lock_shares(split, *wet_frame)))
    )
    wet = float(brakes.net_deceleration(brakes.braking_share(v["deceleration"], wet_cap), v["slope"]))
    pull = float(v["slope_pull"])
    return [
        ("level", float(v["level_deceleration"]), 0.0),
        (f"down {show(v['slope'], 'percent')}", float(v["net_deceleration"]), pull),
        ("and wet grass", wet, pull),
    ]


def _brakes(v: Values) -> Report:
    stop, speed = parts.distance(v), show(v["road_speed"], "km/h")
    curves = _curves(v)
    wet = curves[2][1]
    takes = float(brakes.stopping_distance(v["road_speed"], v["reaction_time"], wet, v["slope_pull"]))
    on_wet = (
        f" On wet grass it takes {show(takes, 'm')}."
        if wet > brakes.CREEP
        else " On wet grass it doesn't stop there at all."
    )
    where = f"down {show(v['slope'], 'percent')}" if v["slope"] > 0 else "on the level"
    bite = show(float(brakes.bite_speed(v["road_speed"], v["reaction_time"], v["slope_pull"])), "km/h")
    gathers = f" Until they bite the slope brings it to {bite}." if v["slope"] > 0 else ""
    return Report(
        "doesn't stop" if stop is None else show(stop, "m"),
        f"to stand from {speed} {where}, {show(v['reaction_time'], 's')} of reaction counted",
        f"On the level {show(parts.level(v), 'm')}. The brakes give {show(v['deceleration'], 'm/s**2')} as tried; "
        "the braked "
        f"tyres hold {show(v['brake_cap'] * GRAVITY, 'm/s**2')} downhill, "
        f"{show(v['slope_pull'], 'm/s**2')} of it "
        f"goes into holding the slope.{gathers}{on_wet}",
        tuple(findings(v)),
        (lambda uid: distances(uid, float(v["road_speed"]), float(v["reaction_time"]), curves),),
    )


HEAT = ("brake_mass", "brake_specific_heat", "heat_share")

BRAKES = Calculator(
    id="brakes",
    title="Brakes",
    chapter="vehicle",
    question="Does it stop in time, and stay where it is parked?",
    asks=(
        "road_speed",
        "slope",
        "total_mass",
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
        Result(
            "stopping_distance",
            "Stopping distance down the slope",
            "m",
            made=parts.distance,
            nothing="doesn't stop",
        ),
        Result("stopping_level", "The same on the level", "m", made=parts.level),
        Result("stopping_uphill", "The same uphill", "m", made=parts.uphill),
        Result(
            "descent_stop", "From the fastest speed downhill", "m", made=parts.descent, nothing="doesn't stop"
        ),
        Result("net_deceleration", "Deceleration left downhill", "m/s**2"),
        Result("locks_first", "What ends the braking force first, downhill", made=parts.first),
        Result("brake_cap", "Braking force that the tyres hold, of the weight", "percent"),
        Result("back_lift", "Braking that lifts the front while it rolls back", "m/s**2"),
        Result("back_braking", "The most that the rear wheels give then", "m/s**2", optional=True),
        Result("sight_cap", "Speed that stops within the free way", "km/h", optional=True),
        Result("second_given", "Second brake alone", "m/s**2", optional=True),
        Result("second_wanted", "Wanted of it", "m/s**2"),
        Result("parking_held", "Parking brake holds on the slope", "N", optional=True),
        Result("parking_needed", "The slope pulls with", "N"),
        Result("energy", "Energy of motion", "kJ"),
        Result("stop_energy", "Heat of one stop downhill", "kJ", made=parts.stop_energy),
        Result(
            "disc_rise",
            "Disc or drum warmer by one stop",
            "K",
            made=parts.disc_rise,
            optional=True,
            needs=HEAT,
        ),
        Result(
            "descent_rise",
            "Warmer by the longest descent",
            "K",
            optional=True,
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
            made=parts.published,
        ),
    ),
    rules={"energy": step(brakes.motion_energy)},
    early={
        "stopping_distance": ("stopping_distance", "net_deceleration", "slope_pull", "braking_share"),
        "stopping_level": ("level_stop", "level_deceleration"),
        "net_deceleration": (),
    },
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
        "level_stop",
        "longest_stop",
        "slope_pull",
        "total_mass",
        "braked_axle",
    ),
)
