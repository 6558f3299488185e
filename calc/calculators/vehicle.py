"""Gearing."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.fields import FIELDS
from calc.figures.plots import tractive_force
from calc.findings import UNCOUNTED, Finding, fast
from calc.graph import alias, step
from calc.spec import Calculator, Column, Report, Result
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
