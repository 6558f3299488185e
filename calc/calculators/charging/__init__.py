"""Does the charger fit, how long does it take, and when is a pack not charged at all?"""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.calculators.charging import safety
from calc.calculators.charging.match import KIND, MEASURE, NEVER, OVER, match, voltage
from calc.figures.charging import charge_course, group_volts
from calc.findings import Finding
from calc.graph import step
from calc.power import cells, charge_time
from calc.power.charge_time import Course
from calc.power.charging import COLD_FROM, COLD_SHARES, FREEZING, GUIDANCE_TO
from calc.spec import Calculator, Column, Report, Result
from calc.told import groups
from calc.units import from_si, plain, show

WAITED_FOR = FREEZING + 5.0
"""Cells are let warm to this before they are charged, K: freezing, with something in hand for the coldest one."""


def _judged(v: Values) -> list[Finding]:
    """Everything that is found of charger, cells, leads and place."""
    found = voltage(v) + safety.cold(v) + safety.current(v) + groups.findings(v) + safety.never(v)
    wait, room = _wait(v), show(v["room_temperature"], "degC")
    never_warm = "Never warm it by a flame, a heater or an oven."
    if wait is None:
        found.append(
            Finding(
                "stop" if v["temperature"] < cells.temperatures(v["chemistry"], "charge")[0] else "caution",
                f"Where it is {room} the cells never reach {show(WAITED_FOR, 'degC')}.",
                f"Bring the pack to a warmer place. {never_warm}",
            )
        )
    elif wait:
        found.append(
            Finding(
                "caution",
                f"From {show(v['temperature'], 'degC')} the middle of the pack takes about {_span(wait)} to reach "
                f"{show(WAITED_FOR, 'degC')} where it is {room}. The outside is warm long before.",
                f"Wait, and read a probe between the cells. {never_warm}",
            )
        )
    return found


def _barred(v: Values) -> bool:
    """Whether anything says that this pack must not be charged as it is: then no time is told."""
    return any(finding.severity == "stop" for finding in _judged(v))


def _span(seconds: float) -> str:
    """A time as people say it: minutes up to an hour and a half, else hours."""
    return show(seconds, "minute" if seconds < 5400.0 else "hour", 2 if seconds < 600.0 else 3)


def _course(v: Values) -> Course | None:
    return None if _barred(v) else v["course"]


def _time(v: Values) -> float | None:
    course = _course(v)
    return course.time if course else None


def _part(name: str) -> Any:
    def part(v: Values) -> float | None:
        course = _course(v)
        return float(getattr(course, name)) if course else None

    return part


def _wall(v: Values) -> float | None:
    course = _course(v)
    return float(charge_time.wall_energy(course.delivered, v["charger_efficiency"])) if course else None


def _waits(v: Values, wanted: float) -> float | None:
    """Seconds until the cells are as warm as `wanted` where they are charged; None where they never are."""
    if v["temperature"] >= wanted:
        return 0.0
    weighed = not v.build.missing("pack_mass")
    mass = v["pack_mass"] if weighed else charge_time.block_mass(v["pack_energy"])
    settling = charge_time.settling_time(mass)
    time = float(charge_time.waiting_time(v["temperature"], v["room_temperature"], wanted, settling))
    return time if time < 1e9 else None


def _wait(v: Values) -> float | None:
    return _waits(v, WAITED_FOR)


def _bands(v: Values) -> list[dict[str, Any]]:
    """What the cells take in each band of temperature, how long the charge then is, and when they get there."""
    coldest, _ = cells.temperatures(v["chemistry"], "charge")
    warm = float(v["cell_charge_limit"]) * float(v["parallel"])
    none: dict[str, Any] = {"current": 0.0, "time": None, "wait": None}
    rows = [{**none, "cells": f"below {show(coldest, 'degC')}"}]
    for begins, until, share in zip(COLD_FROM, (*COLD_FROM[1:], GUIDANCE_TO), COLD_SHARES, strict=True):
        name = f"{plain(float(from_si(begins, 'degC')))} to {show(until, 'degC')}"
        amps = warm * share
        if "charge_current_limit" in v.build.entered:
            amps = min(amps, float(v["charge_current_limit"]))
        used = min(amps, float(v["charger_current"]))
        time = None if match(v) in (OVER, KIND) else _with(v, used).time
        wait = None if v["temperature"] >= until else _waits(v, begins)
        rows.append({"cells": name, "current": amps, "time": time, "wait": wait})
    return [*rows, {**none, "cells": f"above {show(GUIDANCE_TO, 'degC')}: let them cool"}]


def _with(v: Values, amps: float) -> Course:
    """The same charge with another current."""
    rule = CHARGING.rules["course"]
    return rule([amps if name == "charger_current" else v[name] for name in rule.arguments])


def _ends(v: Values, course: Course) -> list[Finding]:
    if course.end <= course.start and match(v) == NEVER:
        text = f"Nothing flows: at {show(course.start, 'percent')} the pack's volts are above the charger's."
        return [Finding("caution", text, "Take it off: current may flow back into it.")]
    if course.end <= course.start:
        return [
            Finding(
                "note",
                f"At {show(course.start, 'percent')} it is as full as this charger, or what you want, makes it.",
                "Take the charger off: a full pack left on it only ages.",
            )
        ]
    if course.end < float(v["charge_target"]) - 0.02:
        return [
            Finding(
                "caution",
                f"It ends at {show(course.end, 'percent')} of charge: at {show(v['charger_voltage'], 'V')} the "
                f"current has fallen to {show(v['charge_tail'], 'percent')} of the capacity.",
                "No harm, a little range is lost. Groups are levelled only near full: fill it now and then.",
            )
        ]
    return []


def _findings(v: Values) -> list[Finding]:
    course = _course(v)
    return sorted(_judged(v) + (_ends(v, course) if course else []), key=lambda one: one.severity != "stop")


def _told(v: Values, course: Course) -> str:
    """The two parts of the charge in words."""
    first = f"{_span(course.constant_time)} at {show(v['charger_current'], 'A')}"
    if course.held_time < 60.0:
        return (
            f"{first}; the volts rise only at the very end, where the charger holds them to level the groups."
        )
    held = f"{_span(course.held_time)} at {show(v['charger_voltage'], 'V')}"
    return f"{first}, then {held} while the current falls."


def _charging(v: Values) -> Report:
    course, word = _course(v), match(v)
    figures: tuple[Any, ...] = (lambda uid: charge_course(uid, course),) if course and course.time else ()
    if "group_voltages" in v.build.entered:
        figures += (lambda uid: group_volts(uid, groups.measured(v)),)
    allowed = f"Cells at {show(v['temperature'], 'degC')} take {show(v['current_allowed'], 'A')}."
    if course is None:
        why = f"{allowed} No time is told for a charge that must not be."
        return Report("Don't charge", f"charger and pack: {word}", why, tuple(_findings(v)), figures)
    lasts = f"from {show(course.start, 'percent')} to {show(course.end, 'percent')}"
    if word == MEASURE:
        head, aside = "Measure the charger first", f"by its entry it fits; then {_span(course.time)} {lasts}"
    else:
        head, aside = _span(course.time), f"{lasts}; charger and pack: {word}"
    return Report(
        head,
        aside,
        f"{_told(v, course)} "
        f"{show(_wall(v) or 0.0, 'W*hour')} from the wall, "
        f"{show(course.delivered - course.stored, 'W*hour')} of heat in pack and leads. {allowed} "
        "Good to 6 % up to a charge in an hour at 25 °C; cold or old cells take longer.",
        tuple(_findings(v)),
        figures,
    )


CHARGING = Calculator(
    id="charging",
    title="Charging",
    chapter="power",
    question="Does the charger fit, how long does it take, and when is a pack not charged?",
    asks=(
        "chemistry",
        "series",
        "cell_capacity",
        "charger_voltage",
        "charger_current",
        "charger_kind",
        "charge_now",
        "temperature",
        "pack_state",
        "charge_place",
        "charge_port",
        "cell_charge_limit",
        "group_voltages",
    ),
    gives=(
        Result("match", "Charger and pack", made=match),
        Result("charge_time", "Time of charging", "hour", made=_time),
        Result("current_allowed", "Current that the cells take", "A"),
        Result("constant_time", "At constant current", "hour", made=_part("constant_time")),
        Result("held_time", "At constant voltage", "hour", made=_part("held_time")),
        Result("constant_charge", "Charge at constant current", "A*hour", made=_part("constant_charge")),
        Result("held_charge", "Charge at constant voltage", "A*hour", made=_part("held_charge")),
        Result("charge_end", "Charge at the end", "percent", made=_part("end")),
        Result("wall_energy", "Energy from the wall", "W*hour", made=_wall),
        Result("wait", "Until the cells are at 5 °C", "hour", made=_wait),
        Result(
            "by_temperature",
            "By the temperature of the cells",
            columns=(
                Column("cells", "Cells"),
                Column("current", "They take", "A"),
                Column("time", "The charge takes", "hour"),
                Column("wait", "They are there in", "hour"),
            ),
            made=_bands,
        ),
        Result(
            "group_spread",
            "Between lowest and highest group",
            "mV",
            optional=True,
            made=lambda v: groups.measured(v).spread,
            needs=("group_voltages", "chemistry"),
        ),
        Result(
            "lowest_group",
            "Lowest group, from the minus",
            optional=True,
            made=lambda v: groups.measured(v).lowest,
            needs=("group_voltages", "chemistry"),
        ),
        Result(
            "highest_group",
            "Highest group",
            optional=True,
            made=lambda v: groups.measured(v).highest,
            needs=("group_voltages", "chemistry"),
        ),
        Result(
            "groups",
            "Groups of cells",
            optional=True,
            columns=(
                Column("group", "Group"),
                Column("voltage", "Volts", "mV"),
                Column("off", "Off the mean", "mV"),
                Column("state", "Charge by its volts", "percent"),
            ),
            made=groups.rows,
            needs=("group_voltages", "chemistry"),
        ),
    ),
    report=_charging,
    rules={
        "charge_resistance": step(charge_time.charge_resistance),
        "levelling": step(charge_time.levelling),
        "course": step(charge_time.course),
    },
    reads=(
        "course",
        "cells_current",
        "cell_charge_limit",
        "parallel",
        "temperature",
        "room_temperature",
        "ambient_temperature",
        "charger_efficiency",
        "charge_voltage_limit",
        "charger_least",
        "voltage_full",
        "pack_energy",
    ),
    optional=(
        "charger_kind",
        "charger_lead_section",
        "charger_fuse",
        "charge_port",
        "charge_current_limit",
        "group_voltages",
        "pack_state",
        "charge_place",
        "cell_mass",
    ),
)
