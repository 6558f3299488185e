"""What the curve says, and what to do about it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from calc.build import Values
from calc.calculators.speed import sweeps, tables
from calc.findings import Finding
from calc.told import MORE_SERIES
from calc.units import show
from calc.vehicle.ride import machine_torque


def _corners(v: Values) -> list[Finding]:
    """Where one limit hands over to the next."""
    rows = tables.curve_rows(v)
    found = []
    for before, after in pairwise(rows):
        if before["limit"] != after["limit"]:
            found.append(f"{before['limit']} up to {show(after['speed'], 'rpm')}")
    if not rows:
        return []
    text = f"Torque is held by: {', then '.join([*found, rows[-1]['limit']])}."
    do = ""
    if "battery limit" in text:
        do = "More battery current lifts the middle, where pack and wiring stand it; more phase current doesn't."
    return [Finding("note", text, do)]


def findings(v: Values) -> list[Finding]:
    found = _corners(v)
    all_of_it = sweeps.sweeps(v)
    rows = tables.curve_rows(v)
    if not rows:
        return [
            Finding(
                "stop",
                "The machine doesn't turn itself: its torque at a crawl is no more than its friction.",
                "More field, a higher limit, or free the bearings and brushes.",
            )
        ]
    lowest = float(min(all_of_it.main.found.bus_voltage[k] for k in range(len(rows))))
    if "controller_voltage_cutoff" in v.build.entered and lowest < v["controller_voltage_cutoff"]:
        found.append(
            Finding(
                "stop",
                f"Under full throttle the pack falls to {show(lowest, 'V')}; the controller cuts out at "
                f"{show(v['controller_voltage_cutoff'], 'V')}. The curve is not reached.",
                MORE_SERIES,
            )
        )
    middle = rows[len(rows) // 2]
    if middle["direct_current"] > 1.3 * middle["torque"] > 0.0:
        times = middle["direct_current"] / middle["torque"]
        found.append(
            Finding(
                "caution",
                f"At {show(middle['speed'], 'rpm')} the direct-current formula promises {times:.1f} times the torque "
                "that is there: it leaves out that the current needs time to change over in the windings' inductance.",
                "Gear by the curve, never by resistance and volts per speed alone.",
            )
        )
    found.extend(_wishes(v) + _weakening(v) + _open_ends(all_of_it) + _too_fast(v, all_of_it))
    late = float(v["switching_error"])
    if late > 0.17:
        found.append(
            Finding(
                "caution",
                f"The switching comes {show(late, 'deg')} late. At speed that costs far more than at standstill: "
                "the table of advances shows what is to be had.",
                "Move the sensors, or give the controller advance where it has a setting.",
            )
        )
    shifts = all_of_it.main.found.armature_shift
    most = float(max(shifts[k] for k in range(len(rows))))
    if most > 0.35:
        found.append(
            Finding(
                "caution",
                f"At the highest current the machine's own field makes the sensors {show(most, 'deg')} early. That is "
                "counted here, by an estimate.",
                "The stall test with lever and scale tells how much it is.",
            )
        )
    found.append(
        Finding(
            "caution",
            "Never let the machine run unloaded at full volts with a weak field, or let the field fail while it runs: "
            "nothing else holds its speed.",
            "Field on first, off last; first runs at reduced voltage, guarded, chain off.",
        )
    )
    return found


WISHES = {
    # Field that says it is wanted: words, the machine's speed then, the force at the rim, the load's slope
    "road_speed": ("on the level", "level_motor_speed", "level_load"),
    "slope": ("up the slope at climbing speed", "climb_motor_speed", "climb_load"),
}


def _wishes(v: Values) -> list[Finding]:
    """Whether the curve carries the speeds that somebody entered, in the sheet's gearing."""
    found, main = [], sweeps.sweeps(v).main
    for key, (words, speed_node, force_node) in WISHES.items():
        gearing = ("gear_ratio", "wheel_diameter", "drive_efficiency", speed_node, force_node)
        if key not in v.build.entered or v.build.missing(*gearing):
            continue
        speed = float(v[speed_node])
        needed = float(
            machine_torque(
                v[force_node],
                v["gear_ratio"],
                v["wheel_diameter"],
                v["drive_efficiency"],
                float(sweeps.drag(v, speed)),
            )
        )
        there = sweeps.torque_at(main, speed)
        wanted = f"{show(v['road_speed' if key == 'road_speed' else 'climb_speed'], 'km/h')} {words}"
        if there is not None and there >= needed:
            found.append(
                Finding(
                    "ok",
                    f"{wanted} is {show(speed, 'rpm')} here: {show(there, 'N*m')} there, {show(needed, 'N*m')} needed.",
                )
            )
            continue
        has = "the curve has ended" if speed > main.ends else "no state was found"
        has = has if there is None else f"{show(there, 'N*m')} there"
        do = "Gear so that the speed lies below the corner, or look in the tables for a field, a connection or an "
        do += "advance that carries it."
        if needed > float(np.nanmax(main.found.torque)):
            do = "There is not so much at any speed: gear lower, take weight off, or get more out of field and current."
        elif there is not None and speed < float(main.speed[int(np.nanargmax(main.found.torque))]):
            do = "It pulls more when it turns faster: gear lower, or mend what makes the sensors early."
        found.append(
            Finding(
                "stop",
                f"{wanted} is not reached: at {show(speed, 'rpm')} {has}, {show(needed, 'N*m')} needed.",
                do,
            )
        )
    return found


def _weakening(v: Values) -> list[Finding]:
    beyond = tables.weakening(v)
    if beyond is None:
        return []
    speed, current = beyond
    return [
        Finding(
            "note",
            f"From {show(speed, 'rpm')} on a weaker field pulls more than the strongest: about {show(current, 'A', 2)} "
            "there, and less the faster it turns. Below, more field pulls more.",
            "Set the field before the throttle. Never lower it under load untried, and never raise it at speed: the "
            "volts rise with it, over the controller's limit perhaps.",
        )
    ]


def _too_fast(v: Values, all_of_it: sweeps.Sweeps) -> list[Finding]:
    """Curves that run on to where the machine's own volts are more than the controller stands."""
    beyond = [
        line
        for line in (*all_of_it.advances, *all_of_it.connections[1:], *all_of_it.fields)
        if line.stands < line.ends
    ]
    if not beyond:
        return []
    told = ", ".join(
        f"{line.name or 'with ' + show(line.field_current or 0.0, 'A', 2) + ' of field'} from "
        f"{show(line.stands, 'rpm')}"
        for line in beyond
    )
    return [
        Finding(
            "caution",
            f"The machine's own volts pass the {show(v['controller_voltage_max'], 'V')} that the controller stands: "
            f"{told}. While it drives, its current holds them down; the moment that it stops, the controller gets "
            "them.",
            "Don't run there: gear so that it isn't reached, downhill included, or limit the speed.",
        )
    ]


def _open_ends(all_of_it: sweeps.Sweeps) -> list[Finding]:
    """Curves that early switching keeps from ending: nothing but the load holds the machine's speed there."""
    main = all_of_it.main
    if not main.closed:
        return [
            Finding(
                "stop",
                f"With this much advance the torque doesn't fall to the friction: it still pulls at "
                f"{show(main.ends, 'rpm')}, the last speed worked out. Unloaded it runs on beyond that; its no-load "
                "speed is not known.",
                "Less timing advance, or sensors less early. Never run it unloaded at full volts like this.",
            )
        ]
    open_ones = [line for line in all_of_it.advances if not line.closed]
    if not open_ones:
        return []
    return [
        Finding(
            "caution",
            f"Switching {open_ones[0].name} still pulls at {show(open_ones[0].ends, 'rpm')}, the last speed worked "
            "out: no no-load speed is told, and unloaded the machine runs on.",
            "Raise an advance in small steps, guarded, at reduced voltage.",
        )
    ]
