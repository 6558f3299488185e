"""Gearing."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.calculators.gearing import motion, stock
from calc.drive import launch, shaft
from calc.figures.gathering import speed_over_time
from calc.figures.plots import tractive_force
from calc.findings import Finding
from calc.graph import alias, step
from calc.spec import Calculator, Column, Report, Result
from calc.told import UNCOUNTED, fast
from calc.units import show
from calc.vehicle import gearing, pairs

POINTS = 49


def _force_figure(uid: str, v: Values) -> str:
    speeds = np.linspace(0.0, max(float(v["top_speed"]), float(v["road_speed"])) * 1.25, POINTS)
    slope = float(v["slope"])
    loads = (motion.load(v, slope, speeds), motion.load(v, 0.0, speeds))
    return tractive_force(uid, v, speeds, motion.pull(v, speeds), loads, motion.crawl_grip(v, slope))


def _run_figure(uid: str, v: Values) -> str:
    level, uphill = motion.gathered(v, 0.0), motion.gathered(v, float(v["slope"]))
    drawn = [(found.times, found.speeds[: len(found.times)].tolist()) for found in (level, uphill)]
    return speed_over_time(uid, drawn[0], drawn[1], float(v["slope"]))


def _standing_words(v: Values) -> str:
    """What the wheel's rim has at a standstill, and which slope that and the tyres hold."""
    whence = (
        "entered for the sprocket"
        if v.build.is_leaf("torque")
        else "at the sprocket, the machine's own drag taken off, averaged over rotor positions at "
        f"{show(v['start_current'], 'A')} with the current's pull on the sensors counted,"
    )
    told = (
        f"Standing, {show(v['torque'], 'N*m')} {whence} are {show(v['geared_force'], 'N')} at the wheel's rim"
    )
    pull, tyres = float(v["pull_slope"]), float(v["grip_slope"])
    if pull <= tyres:
        return f"{told}: enough for {stock.held(pull)} at a crawl."
    return f"{told}: enough for {stock.held(pull)}, but the tyres hold no more than {stock.held(tyres)}."


def _gearing(v: Values) -> Report:
    steepest, top = float(v["geared_slope_limit"]), float(v["top_speed"])
    runs = len(motion.gathered(v, 0.0).times) > 1
    findings = []
    if v["pull_slope"] < v["slope"]:
        findings.append(
            Finding(
                "stop",
                f"{show(v['torque'], 'N*m')} at the sprocket hold {stock.held(v['pull_slope'])}; "
                f"the steepest slope is {show(v['slope'], 'percent')}.",
                "A larger sprocket on the axle or a smaller one on the motor.",
            )
        )
    if v["gear_ratio"] < 1.0:
        findings.append(
            Finding(
                "caution",
                "The wheel turns faster than the motor.",
                "Are the two sprockets swapped? The small one sits on the motor, the large one on the axle.",
            )
        )
    if top <= 0.0:
        findings.append(
            Finding("caution", "At full throttle it doesn't move on the level.", "See the standing start.")
        )
    elif top < v["road_speed"]:
        findings.append(
            Finding(
                "caution",
                f"Top speed on the level is {show(top, 'km/h')}, less than the "
                f"{show(v['road_speed'], 'km/h')} wanted.",
                "A taller ratio.",
            )
        )
    if "driver_teeth" in v.build.entered and v["driver_teeth"] < pairs.FEWEST:
        findings.append(
            Finding(
                "caution",
                f"A sprocket of {v['driver_teeth']} teeth runs roughly and wears the chain.",
                f"{pairs.FEWEST} teeth or more where there is room.",
            )
        )
    return Report(
        f"{v['gear_ratio']:.3g} : 1",
        f"{show(top, 'km/h')} on the level, holds {stock.held(steepest)}",
        f"The motor turns {v['gear_ratio']:.3g} times for one turn of a wheel of {show(v['wheel_diameter'], 'mm')}. "
        f"{_standing_words(v)} At {show(v['motor_speed'], 'rpm')} the road speed is {show(v['geared_speed'], 'km/h')}. "
        f"{motion.run_words(v)}",
        (
            *findings,
            *stock.start(v),
            *motion.grip_findings(v),
            *motion.scrub_findings(v),
            *stock.best(v),
            *stock.in_words(v),
            *fast(top, float(v["road_speed"])),
            UNCOUNTED,
        ),
        (lambda uid: _force_figure(uid, v), *([lambda uid: _run_figure(uid, v)] if runs else [])),
    )


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
        Result("wheel_force", "Force at the wheel's rim, standing", "N", "geared_force"),
        Result(
            "slope_limit",
            "Steepest slope held at a crawl, by mean torque and tyres",
            "percent",
            "geared_slope_limit",
        ),
        Result("start_in_hand", "Start in hand in the worst position", "percent", made=stock.start_in_hand),
        Result("top_speed", "Top speed on the level", "km/h"),
        Result(
            "scrub_force",
            "Most that a solid axle asks more in the tightest turn",
            "N",
            made=motion.scrub_force,
        ),
        Result(
            "steering_share", "Grip of the front tyres that it takes there", "percent", made=motion.steering
        ),
        Result(
            "options",
            "Pairs of sprockets, best in all three first",
            "",
            columns=(
                Column("pair", "Motor/axle"),
                Column("gives_up", "What it gives up"),
                Column("ratio", "Ratio"),
                Column("start", "Start in hand", "percent"),
                Column("climb", "Slope in hand", "percent"),
                Column("top_speed", "Top speed", "km/h"),
                Column("slope_limit", "Slope held", "percent"),
            ),
            made=stock.options,
        ),
        Result(
            "steps",
            "A tooth more or less",
            "",
            columns=(
                Column("change", "Change"),
                Column("ratio", "Ratio"),
                Column("slope_limit", "Slope held", "percent"),
                Column("top_speed", "Top speed", "km/h"),
                Column("current", "Line current on the slope", "A"),
                Column("road_speed", "Road speed at the motor speed given", "km/h"),
                Column("wheel_force", "Wheel force", "N"),
            ),
            made=stock.steps,
        ),
        Result(
            "run",
            "From standstill at full throttle",
            "",
            columns=(
                Column("speed", "To", "km/h"),
                Column("level_time", "Level: time", "s"),
                Column("level_distance", "Level: way", "m"),
                Column("slope_time", "Slope: time", "s"),
                Column("slope_distance", "Slope: way", "m"),
            ),
            made=motion.table,
            sweep=True,
        ),
    ),
    report=_gearing,
    hinges=("start_torque_worst", "breakaway_needed", "geared_slope_limit"),
    # With nothing entered for the shaft, the machine at standstill and the machine with no load.
    rules={
        "motor_speed": alias("no_load_speed"),
        "torque": step(shaft.shaft_torque, machine_torque="start_torque", drag_torque="still_drag"),
        "geared_speed": step(gearing.road_speed),
        "geared_force": step(gearing.wheel_force),
        "pull_slope": step(gearing.slope_limit, force="geared_force"),
        "grip_slope": step(launch.grip_slope),
        "geared_slope_limit": step(gearing.lesser_slope),
    },
    reads=(
        "slope",
        "road_speed",
        "drag_area",
        "start_current",
        "start_torque_worst",
        "hardest_force",
        "start_held",
        "start_slope",
        "tip_slope",
        "breakaway_needed",
        "climb_force",
        "climb_load",
        "climb_drag",
        "switching_error",
        "moved_mass",
        "wheel_inertia",
        "grip",
        "wheelbase",
        "cog_from_axle",
        "cog_height",
        "driven_axle",
        "driven_wheels",
        "turn_radius",
    ),
    optional=("track", "wheels", "single_wheel", "motor_sprockets", "axle_sprockets"),
    despite_sensors=True,
)
