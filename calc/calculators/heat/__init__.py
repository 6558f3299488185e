"""Heat of winding and field: where it is made, how hot it gets, how long it may last."""

from __future__ import annotations

from calc import still
from calc.build import Values
from calc.calculators.heat import findings, parts
from calc.figures.heat import warming
from calc.graph import alias, step
from calc.machine import heat, heat_run
from calc.spec import Calculator, Column, Report, Result
from calc.units import show, show_spread
from calc.vehicle import warm


def _heat(v: Values) -> Report:
    hot, end, forever = parts.hottest(v), parts.steady(v), parts.forever(v)
    lasts = parts.time_to_limit(v)
    why = f"That is the ride. At {show(v['motor_speed'], 'rpm')}, the climb unless you type another, "
    why += f"{show(v['current'], 'A')} "
    why += (
        "heat the winding without end"
        if end is None
        else f"bring the winding to {show(end, 'degC')} in the end"
        if end < still.BURNS
        else "bring the winding to where it burns"
    )
    why += "." if lasts is None else f"; its limit comes after {show(lasts, 'minute', 2)} from cold."
    why += f" {show(forever, 'A')} it can hold there for good."
    why += " The fan was made for engine speed: what the label says of amperes doesn't count here."
    if not v.build.is_leaf("winding_thermal_resistance"):
        at = v["heat_run_end"]
        each = v["winding_thermal_resistance"], v["winding_heat_spread"]
        why += f" The heat run was at {show(float(at.winding), 'degC')} ± {show(float(at.error), 'K', 2)} when it was "
        why += f"switched off, {show_spread(float(each[0]), float(each[1]), 'K/W')} from winding to body."
    return Report(
        "No end" if hot is None else show(hot, "degC"),
        "in the hottest coil after the ride and one more start",
        why,
        (
            *findings.winding(v),
            *findings.held(v, end, lasts),
            *findings.riding(v),
            *findings.lasting(v),
            *findings.standing(v),
            *findings.measured(v),
        ),
        (lambda uid: warming(uid, v),),
    )


WINDING_HEAT = Calculator(
    id="winding-heat",
    title="Winding heat",
    chapter="drive",
    question="How hot do winding and field get, and how long may it pull?",
    asks=(
        "motor_speed",
        "current",
        "insulation_class",
        "ambient_temperature",
        "winding_thermal_resistance",
        "body_thermal_resistance",
        "fan_gain",
        "heat_run",
        "heat_run_current",
        "winding_mass",
        "body_mass",
        "starts_per_hour",
        "start_time",
    ),
    gives=(
        Result(
            "hottest_temperature",
            "Hottest coil after the ride and one more start",
            "degC",
            made=parts.hottest,
        ),
        Result(
            "steady_temperature",
            "Winding, at this current and speed for ever",
            "degC",
            made=parts.steady,
            nothing="no end to it",
        ),
        Result(
            "time_to_limit",
            "Time from cold to the limit there",
            "minute",
            made=parts.time_to_limit,
            nothing="never",
        ),
        Result("continuous_current", "Current that may flow for ever there", "A", made=parts.forever),
        Result("stall_time", "Longest stall, warm from the ride", "s", made=parts.stall_time),
        Result(
            "losses",
            "Where the heat is made, at this current and speed",
            columns=(Column("loss", "Loss"), Column("where", "Warms"), Column("power", "Heat", "W")),
            made=parts.loss_rows,
        ),
        Result(
            "after_ride",
            "After the ride",
            columns=(Column("part", "Part"), Column("temperature", "Temperature", "degC")),
            made=parts.ride_rows,
        ),
        Result(
            "standing_field",
            "Rotor still for good",
            columns=(
                Column("field", "Field"),
                Column("current", "Current", "A"),
                Column("temperature", "Coil ends at", "degC"),
                Column("power", "In the coil", "W"),
                Column("ring", "At each ring", "W"),
            ),
            made=parts.standing_rows,
        ),
        Result("residual", "What the balance at the end is off", "percent", made=parts.residual),
        Result(
            "heat_run_rows",
            "Heat run: winding by its resistance",
            columns=(Column("time", "Since off", "s"), Column("temperature", "Winding", "degC")),
            optional=True,
            made=parts.run_rows,
            needs=("heat_run", "heat_run_end"),
        ),
        Result(
            "run_end",
            "Winding at the end of the heat run",
            "degC",
            optional=True,
            made=lambda v: float(v["heat_run_end"].winding),
            needs=("heat_run", "heat_run_end"),
        ),
        Result(
            "winding_by_run",
            "Winding over body, by the heat run",
            "K/W",
            "run_winding",
            optional=True,
        ),
        Result("body_by_run", "Body over air, by the heat run", "K/W", "run_body", optional=True),
    ),
    report=_heat,
    early=dict.fromkeys(("run_end", "winding_by_run", "body_by_run"), ()),
    # With nothing entered for the shaft: the climb at its speed, the hardest thing that it does for long.
    rules={
        "motor_speed": alias("climb_motor_speed"),
        "current": step(warm.pull_current, force="climb_load", alignment_error="switching_error"),
        "point_cooling": step(heat.cooling),
        "point_network": step(heat.network, cooling="point_cooling"),
        "point_losses": step(warm.point_losses),
        "run_winding": step(heat_run.winding_thermal_resistance),
        "run_body": step(heat_run.body_thermal_resistance),
    },
    reads=(
        "point_network",
        "point_losses",
        "motor_speed",
        "current",
        "hottest_temperature",
        "row_temperature",
        "ring_loss",
        "ride_temperatures",
        "ride_network",
        "ride_losses",
        "ride_time",
        "stall_current",
        "start_time",
        "connection",
        "winding_mass",
        "winding_temperature",
        "field_temperature",
        "insulation_class",
        "ambient_temperature",
        "friction_torque",
        "iron_share",
        "field_current",
        "field_resistance",
        "field_thermal_resistance",
        "brush_drop",
        "line_resistance",
    ),
    optional=("field_hold_current",),
    despite_sensors=True,
)
