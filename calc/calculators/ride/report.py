"""The ride calculator: declaration, and how its answer is told."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.calculators.ride import findings
from calc.calculators.ride.places import places
from calc.figures.drawings import duty_powers
from calc.figures.ride import profile
from calc.graph import step
from calc.spec import Calculator, Column, Report, Result
from calc.units import show
from calc.vehicle import more


def _ride(v: Values) -> Report:
    placed = places(v)
    found = (
        *findings.lasting(v),
        *findings.rows(v),
        *findings.limits(v, placed),
        *findings.resting(v),
    )
    routed = "route" in v.build.entered
    takes = (
        f"{'it' if routed else 'The ride'} takes {show(v['mean_power'], 'W')} on average from a pack that gives "
        f"{show(v['usable_energy'], 'W*hour')} down to its reserve of {show(v['reserve_charge'], 'percent')}. The "
        f"field coil takes {show(v['field_drain'], 'W')} of it, moving or standing. Going down gives nothing back."
    )
    once = (
        f"The route is {show(v['walk_distance'], 'km')} long and takes {show(v['walk_time'], 'minute')} and "
        f"{show(v['walk_energy'], 'W*hour')}; a full pack has {show(v['charge_left'], 'percent')} left at its end, and "
        f"sags to {show(v['ride_voltage'], 'V')} at the worst. Ridden again and again: "
    )
    return Report(
        show(v["run_time"], "minute"),
        f"{show(v['ride_range'], 'km')} at {show(v['energy_per_distance'], 'W*hour/km')}",
        (once if routed else "") + takes + _more(v),
        found,
        (
            (lambda uid: profile(uid, v["walk"], placed))
            if routed
            else (lambda uid: duty_powers(uid, v["duty"], v["duty_powers"], v["field_drain"])),
        ),
    )


def _more(v: Values) -> str:
    """What ten more minutes cost, where the cells' mass is known."""
    if v.build.missing("more"):
        return ""
    cost = v["more"]
    if cost.parallel is None:
        return " Ten minutes more can't be had with more of these cells: they weigh more than they bring."
    cells, those = ("cell", "that gives") if cost.parallel == 1 else ("cells", "those give")
    return (
        f" Ten minutes more take {show(cost.energy, 'W*hour')}, {show(cost.energy - cost.weightless, 'W*hour')} of "
        f"it to carry the cells: {cost.parallel} {cells} more in each group, {show(cost.mass, 'kg')}, and {those} "
        f"{show(cost.time, 'minute')}."
    )


def _cost(name: str) -> Any:
    return lambda v: getattr(v["more"], name)


RIDE = Calculator(
    id="ride",
    title="Ride",
    chapter="decide",
    question="How long and how far on one charge?",
    asks=(
        "ride_time",
        "duty",
        "route",
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
        Result("distance", "Length of the ride as entered", "km", "walk_distance"),
        Result("time", "Time that it takes", "minute", "walk_time"),
        Result("energy", "Energy that it takes", "W*hour", "walk_energy"),
        Result("charge_left", "Charge at its end, from full", "percent"),
        Result("voltage_lowest", "Lowest voltage on it", "V", "ride_voltage"),
        Result(
            "more_parallel",
            "Ten minutes more: cells in each group",
            "",
            optional=True,
            made=_cost("parallel"),
            needs=("more",),
        ),
        Result(
            "more_mass", "Ten minutes more: mass", "kg", optional=True, made=_cost("mass"), needs=("more",)
        ),
        Result(
            "more_energy",
            "Ten minutes more: energy, carrying the cells counted",
            "W*hour",
            optional=True,
            made=_cost("energy"),
            needs=("more",),
        ),
        Result(
            "limits",
            "Where a limit binds",
            "",
            columns=(
                Column("start", "From", "km"),
                Column("end", "To", "km"),
                Column("limit", "Limit"),
                Column("slope", "Slope", "percent"),
                Column("speed_wanted", "Speed wanted", "km/h"),
                Column("speed", "Speed had", "km/h"),
                Column("current", "Current of the pack", "A"),
                Column("voltage", "Voltage of the pack", "V"),
            ),
            made=places,
        ),
    ),
    report=_ride,
    despite_sensors=True,
    rules={
        "more": step(
            more.more_time,
            line_resistance="hot_line_resistance",
            alignment_error="switching_error",
            field_power="field_drain",
        )
    },
    reads=(
        "ride_time",
        "usable_energy",
        "reserve_charge",
        "duty",
        "duty_powers",
        "duty_reach",
        "reach_rows",
        "field_drain",
        "stretches",
        "walk",
        "voltage_min",
    ),
    optional=("pack_current_limit", "controller_voltage_cutoff"),
)
