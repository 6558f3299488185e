"""Gearing, and what a ride takes."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.fields import FIELDS
from calc.figures.drawings import duty_powers
from calc.figures.plots import tractive_force
from calc.graph import alias, step
from calc.spec import UNCOUNTED, Calculator, Column, Finding, Report, Result, fast
from calc.units import show
from calc.vehicle import gearing


def _gearing(v: Values) -> Report:
    steepest, top = float(v["geared_slope_limit"]), float(v["top_speed"])
    findings = []
    if steepest < v["slope"]:
        findings.append(
            Finding(
                "stop",
                f"{show(v['torque'], 'N*m')} at the sprocket hold {show(max(steepest, 0), 'percent')}; "
                f"the steepest slope is {show(v['slope'], 'percent')}.",
                "A larger sprocket on the axle or a smaller one on the motor.",
            )
        )
    if top < v["road_speed"]:
        findings.append(
            Finding(
                "caution",
                f"Top speed on the level is {show(top, 'km/h')}, less than the "
                f"{show(v['road_speed'], 'km/h')} wanted.",
                "A taller ratio.",
            )
        )
    # Fewer than 11 teeth: the chain's speed wavers by more than 4 % within each tooth, docs/method.md.
    if "driver_teeth" in v.build.entered and v["driver_teeth"] < 11:
        findings.append(
            Finding(
                "caution",
                f"A sprocket of {v['driver_teeth']} teeth runs roughly and wears the chain.",
                "11 teeth or more where there is room.",
            )
        )
    return Report(
        f"{v['gear_ratio']:.3g} : 1",
        f"{show(top, 'km/h')} on the level, holds {show(max(steepest, 0), 'percent')}",
        f"The motor turns {v['gear_ratio']:.3g} times for one turn of a wheel of {show(v['wheel_diameter'], 'mm')}. "
        f"{show(v['torque'], 'N*m')} at its sprocket are {show(v['geared_force'], 'N')} at the wheel's rim. "
        f"At {show(v['motor_speed'], 'rpm')} the road speed is {show(v['geared_speed'], 'km/h')}.",
        (*findings, *fast(top, float(v["road_speed"])), UNCOUNTED),
        (lambda uid: tractive_force(uid, v),),
    )


def _options(v: Values) -> list[dict[str, Any]]:
    """The gearing as it is and one step either way: by teeth where they are known, else by a tenth of the ratio."""
    ratio, entered = float(v["gear_ratio"]), v.build.entered
    changes = [("as it is", ratio)]
    if "driver_teeth" in entered and "driven_teeth" in entered and "gear_ratio" not in entered:
        driver, driven = v["driver_teeth"], v["driven_teeth"]
        steps = [(driver - 1, driven), (driver + 1, driven), (driver, driven - 4), (driver, driven + 4)]
        low = FIELDS["driven_teeth"].low
        changes += [
            (f"{a} teeth on the motor" if a != driver else f"{b} teeth on the axle", b / a)
            for a, b in steps
            if min(a, b) >= low
        ]
    else:
        changes += [("a tenth taller", 0.9 * ratio), ("a tenth lower", 1.1 * ratio)]
    rows = []
    for change, other in changes:
        force = gearing.wheel_force(v["torque"], other, v["wheel_diameter"], v["drive_efficiency"])
        rows.append(
            {
                "change": change,
                "ratio": other,
                "road_speed": gearing.road_speed(v["motor_speed"], other, v["wheel_diameter"]),
                "wheel_force": force,
                "slope_limit": gearing.slope_limit(force, v["total_mass"], v["rolling_coefficient"]),
            }
        )
    return rows


GEARING = Calculator(
    id="gearing",
    title="Gearing",
    chapter="decide",
    question="Which sprockets climb the slope and still reach the speed?",
    asks=(
        "driver_teeth",
        "driven_teeth",
        "wheel_diameter",
        "slope",
        "road_speed",
        "total_mass",
        "emf_constant",
        "phase_current_limit",
    ),
    gives=(
        Result("ratio", "Gear ratio", "", "gear_ratio"),
        Result("road_speed", "Road speed at the motor speed given", "km/h", "geared_speed"),
        Result("wheel_force", "Force at the wheel's rim", "N", "geared_force"),
        Result(
            "slope_limit", "Steepest slope held at a crawl, by mean torque", "percent", "geared_slope_limit"
        ),
        Result("top_speed", "Top speed on the level", "km/h"),
        Result(
            "options",
            "One step either way",
            "",
            columns=(
                Column("change", "Change"),
                Column("ratio", "Ratio"),
                Column("road_speed", "Road speed", "km/h"),
                Column("wheel_force", "Wheel force", "N"),
                Column("slope_limit", "Slope held", "percent"),
            ),
            made=_options,
        ),
    ),
    report=_gearing,
    # With nothing entered for the shaft, the machine at standstill and the machine with no load.
    rules={
        "motor_speed": alias("no_load_speed"),
        "torque": alias("stall_shaft_torque"),
        "geared_speed": step(gearing.road_speed),
        "geared_force": step(gearing.wheel_force),
        "geared_slope_limit": step(gearing.slope_limit, force="geared_force"),
    },
    reads=("slope", "road_speed", "drag_area"),
    despite_sensors=True,
)


def _ride(v: Values) -> Report:
    time, wanted, share = float(v["run_time"]), float(v["ride_time"]), float(v["field_share"])
    findings = []
    if time < wanted:
        findings.append(
            Finding(
                "stop",
                f"The pack lasts {show(time, 'minute')}; {show(wanted, 'minute')} are wanted.",
                "A larger pack, a slower ride, or a better field supply.",
            )
        )
    elif time < 1.15 * wanted:
        findings.append(
            Finding(
                "caution",
                "Less than 15 % in hand. Cold cells and soft ground take more than that.",
                "Count on turning back early until a ride is measured.",
            )
        )
    short = [(row, reach) for row, reach in zip(v["reach_rows"], v["duty_reach"], strict=True) if reach < 1]
    for (speed, slope, _), reach in short:
        where = f"{show(speed, 'km/h')} on {show(slope, 'percent')}"
        if slope < 0:
            text = f"{where}: the machine turns faster than the pack's voltage allows. It makes voltage, "
            text += "and may charge the pack or kill the controller."
            do = "Go slower there, on the brakes. Gearing lower makes it worse."
        else:
            given = show(max(float(reach), 0.0), "percent")
            text = f"{where} can't be driven: full throttle gives {given} of the torque it needs. "
            text += "The times below don't hold."
            do = "Ride that part slower, or gear lower."
        findings.append(Finding("stop", text, do))
    if share > 0.2:
        findings.append(
            Finding(
                "caution",
                f"The field and its supply take {show(share, 'percent')} of the energy.",
                "A better field supply first. Less field current saves as well, but a weak field lets an unloaded "
                "machine run away: no throttle below 80 % of the field it was tried with.",
            )
        )
    if "duty" not in v.build.entered:
        findings.append(
            Finding(
                "caution",
                "No ride was entered. Taken: four fifths of the time level at the wanted speed, one "
                "fifth up the steepest slope.",
                "Enter the rows of your own ride.",
            )
        )
    elif abs(sum(row[2] for row in v["duty"]) - 1) > 0.005:
        total = sum(row[2] for row in v["duty"])
        findings.append(
            Finding(
                "caution",
                f"The shares add up to {show(total, 'percent')}; they were scaled to 100 %.",
                "Correct the shares.",
            )
        )
    return Report(
        show(time, "minute"),
        f"{show(v['ride_range'], 'km')} at {show(v['energy_per_distance'], 'W*hour/km')}",
        f"The ride takes {show(v['mean_power'], 'W')} on average from a pack that gives "
        f"{show(v['usable_energy'], 'W*hour')} "
        f"down to its reserve of {show(v['reserve_charge'], 'percent')}. The field coil takes "
        f"{show(v['field_drain'], 'W')} of it, "
        f"moving or standing. Going down gives nothing back.",
        tuple(findings),
        (lambda uid: duty_powers(uid, v["duty"], v["duty_powers"], v["field_drain"]),),
    )


RIDE = Calculator(
    id="ride",
    title="Ride",
    chapter="decide",
    question="How long and how far on one charge?",
    asks=(
        "ride_time",
        "duty",
        "total_mass",
        "rolling_coefficient",
        "chemistry",
        "series",
        "pack_capacity",
        "field_current",
    ),
    gives=(
        Result("energy_per_km", "Energy for each kilometre", "W*hour/km", "energy_per_distance"),
        Result("mean_power", "Mean power from the cells", "W"),
        Result("run_time", "Run time", "minute"),
        Result("range", "Range", "km", "ride_range"),
        Result("field_share", "Share that goes into the field", "percent"),
    ),
    report=_ride,
    despite_sensors=True,
    reads=(
        "ride_time",
        "usable_energy",
        "reserve_charge",
        "duty",
        "duty_powers",
        "duty_reach",
        "reach_rows",
        "field_drain",
    ),
)
