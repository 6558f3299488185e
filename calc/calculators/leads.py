"""Which lead goes to which output, and which sensor to which input."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from calc import figures
from calc.build import Values
from calc.drive.unloaded import early_and_late
from calc.fields.readings import FEEDS
from calc.graph import Step, step
from calc.machine import alignment, edges, leads, lock, signs, switching
from calc.machine.leads import Arrangement
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import show

SAFE = (
    "Hands clear of shaft and fan: the rotor jumps. Current-limited supply; field coil closed through its diode; "
    "keep off the brushes."
)
_OUT = math.radians(20.0)


def _spacing(v: Values) -> str:
    return str(v["sensor_spacing"])


def _errors(v: Values) -> tuple[float, float, float]:
    """How late each sensor switches, rad: by its own slot and its place in it where those are known.

    An alignment error that was entered is that of the three together: places only set them apart from it.
    """
    entered = v.build.entered
    error = round(leads.reduced(float(v["alignment_error"])), 12)
    own = [0.0, 0.0, 0.0]
    if {"sensor_offsets", "bore_diameter"} <= entered.keys():
        turned = [
            edges.bore_angle(row[0], v["bore_diameter"], v["pole_pairs"]) for row in v["sensor_offsets"]
        ]
        own = [*map(float, turned), *own][:3]
    if "alignment_error" in entered or "sensor_slots" not in entered:
        own = [x - sum(own) / 3.0 for x in own]
        return error + own[0], error + own[1], error + own[2]
    counts = (round(float(v[key])) for key in ("slots", "pole_pairs", "coil_span", "layers"))
    by_slot = alignment.sensor_errors(*counts, v["connection"], tuple(v["sensor_slots"]))
    return by_slot[0] + own[0], by_slot[1] + own[1], by_slot[2] + own[2]


def _mean_error(v: Values) -> float:
    return leads.reduced(sum(_errors(v)) / 3.0)


def _places(v: Values) -> tuple[float, ...]:
    return leads.edges(_errors(v), _spacing(v))


def _all(v: Values) -> tuple[Arrangement, ...]:
    return tuple(leads.arrangements(_places(v), tuple(leads.table_of(_spacing(v)).items())))


def _arrangements(v: Values) -> list[dict[str, Any]]:
    return signs.told(_all(v))


def _counts(v: Values) -> list[dict[str, Any]]:
    return signs.counts(_all(v))


def _motor(v: Values) -> lock.Motor | None:
    return lock.motor_map(tuple(v["lock_test"])) if "lock_test" in v.build.entered else None


def _controller(v: Values) -> switching.Controller | None:
    entered = "controller_table" in v.build.entered
    return switching.controller_map(tuple(v["controller_table"])) if entered else None


def _solution(v: Values) -> tuple[tuple[Arrangement, ...], tuple[Arrangement, ...]]:
    motor, controller = _motor(v), _controller(v)
    if motor and controller and motor.places and not motor.faults and controller.table:
        return switching.wiring(motor.places, controller.table)
    return (), ()


def _wiring(v: Values) -> list[dict[str, Any]] | None:
    return signs.wired(*_solution(v)) or None


def _late(error: float) -> str:
    """An alignment error in words."""
    if abs(error) < math.radians(0.5):
        return "aligned"
    return f"{show(abs(error), 'deg')} {'late' if error > 0 else 'early'}"


def _lock_findings(v: Values, motor: lock.Motor) -> Iterator[Finding]:
    for fault in motor.faults:
        yield Finding("stop", fault.text, fault.do)
    if motor.next_feed:
        missing = "" if motor.places else "That isn't enough to know the motor. "
        yield Finding(
            "caution",
            f"{missing}{len(v['lock_test'])} readings leave no check on a misread lamp.",
            f"Next: feed {motor.next_feed} ({dict(FEEDS)[motor.next_feed]}), then the others of that form.",
        )
    if not motor.places:
        return
    order = "1, 3, 2" if motor.mirrored else "1, 2, 3"
    middle = f" with sensor {motor.middle + 1} in the middle" if motor.spacing == "60" else ""
    yield Finding(
        "ok",
        f"The motor's sensors are a {motor.spacing}° set{middle}, {_late(motor.error)} within "
        f"± {show(motor.reach, 'deg')}. With the field turning from A over B to C they follow each other as {order}."
        + signs.steady_form(tuple(v["lock_test"])),
        "Forward is the way in which the shaft moves on from feed A-BC to B-AC to C-AB. Is that the way you want? "
        "If not, take the reverse wiring. It moved back and forth: a lead's name is wrong.",
    )
    if motor.uneven:
        listed = ", ".join(f"{n} {show(x, 'deg')}" for n, x in enumerate(motor.uneven, 1))
        yield Finding(
            "caution",
            f"The sensors sit unevenly, off by about (sensor, electrical): {listed}. Or a row was misread.",
            "Read once more the feeds next to where that sensor's lamp changes.",
        )
    known = v.build.entered.keys() & {"alignment_error", "sensor_slots"}
    apart = leads.reduced(motor.error - _mean_error(v))
    if known and abs(apart) > motor.reach + math.radians(6.0):
        yield Finding(
            "caution",
            f"The lock test finds the sensors {_late(motor.error)}; your sheet has them "
            f"{_late(_mean_error(v))}.",
            "Trust the lock test if both turning senses agree; then check slots, coil span and connection.",
        )


def _match_findings(v: Values) -> Iterator[Finding]:
    motor, controller = _motor(v), _controller(v)
    if motor:
        yield from _lock_findings(v, motor)
    if controller:
        for fault in controller.faults:
            yield Finding("stop", fault.text, fault.do)
        if controller.missing:
            yield Finding(
                "caution",
                f"The controller's table has {6 - len(controller.missing)} of six codes.",
                f"Set the switches to {', '.join(controller.missing)} and write down high and low.",
            )
        if controller.spacing and controller.spacing != _spacing(v):
            yield Finding(
                "caution",
                f"The controller's table is a {controller.spacing}° one; your sheet says {_spacing(v)}°.",
                f"Set the spacing of the sensors to {controller.spacing}°.",
            )
    if motor and controller and motor.places and not motor.faults and controller.table and not _wiring(v):
        over = switching.turned_over(motor.places, controller.table)
        what = f"Turn sensor {over + 1} over, or invert its signal, and" if over >= 0 else "Check both, then"
        yield Finding(
            "stop",
            f"No arrangement is right: the motor's sensors are a {motor.spacing}° set, the controller wants "
            f"{controller.spacing}°.",
            f"{what} read the lock test again.",
        )
    if not motor or not controller:
        names = (("the static lock test", motor), ("the controller's table", controller))
        lacking = " and ".join(name for name, there in names if not there)
        yield Finding(
            "caution",
            f"Which of them is right for yours takes {lacking}.",
            f"Measure {lacking} as described below. A controller that can't be measured: lead trials.",
        )
    entered = v.build.entered
    if "sensor_offsets" in entered and "bore_diameter" not in entered:
        yield Finding(
            "caution",
            "The sensors' places off their slots aren't counted: that takes the bore.",
            "Enter the bore of the stator.",
        )
    if abs(_mean_error(v)) > _OUT and not v.build.missing("no_load_early"):
        yield Finding(
            "caution",
            "So far out, an early and a late arrangement are as good as each other at stall. At speed they aren't: "
            f"30° early your machine runs up to about {show(v['no_load_early'], 'rpm')} by itself, 30° late to "
            f"{show(v['no_load_late'], 'rpm')}.",
            "Of two that start alike keep the one that runs faster with wheels up and chain off.",
        )
    current = float(v["lock_current"])
    yield Finding(
        "ok",
        f"A lock test takes at least {show(current, 'A')}: 4.3 times friction torque over torque constant.",
        f"Set the supply's limit to {show(1.3 * current, 'A')} at a few volts. {SAFE}",
    )


def _drawings(v: Values) -> tuple[Any, ...]:
    motor, controller = _motor(v), _controller(v)
    chosen = next((found[0] for found in _solution(v) if found), None)
    if chosen and motor and controller:
        places, table = motor.places, dict(controller.table)
        every = leads.arrangements(places, controller.table)
    else:
        places, table, every = _places(v), leads.table_of(_spacing(v)), _all(v)
        chosen = every[0]
    weak = next((a for a in every if a.behaviour == "weak forward"), None)
    dead = next((a for a in every if a.behaviour == "dead"), None)
    named = (("chosen" if _wiring(v) else "best", chosen), ("weak", weak), ("dead", dead))
    shown = [(name, a) for name, a in named if a]
    drawings = [lambda uid: figures.lead_torque(uid, places, table, shown)]
    if motor:
        read = lock.stood(v["lock_test"])
        drawings.append(lambda uid: figures.lock_ring(uid, read, motor.places))
    return tuple(drawings)


def _lead_match(v: Values) -> Report:
    rows, error = _wiring(v), _mean_error(v)
    how = f"With sensors {_late(error)}"
    counted = ", ".join(f"{row['count']} {row['behaviour']}" for row in _counts(v))
    why = f"{how}, of the 36 ways to pair three leads and three sensors: {counted}. "
    if rows:
        kept = next((row for row in rows if row["sensor_order"] == "123"), rows[0])
        other = next(row for row in rows if row["way"] != kept["way"])
        headline = f"leads {' '.join(kept['phase_order'])}"
        aside = f"on the outputs U V W, sensors {' '.join(kept['sensor_order'])} on the inputs 1 2 3: {kept['way']}"
        why += (
            f"Lock test and controller's table leave three of them for each way, which are the same but for names. "
            f"{other['way'].capitalize()}: leads {' '.join(other['phase_order'])}, sensors "
            f"{' '.join(other['sensor_order'])}."
        )
    else:
        good = sum(not a.behaviour.startswith(("weak", "dead")) for a in _all(v))
        headline, aside = f"{good} of 36", "arrangements run well, half of them in reverse"
        if abs(error) < _OUT:
            why += "With the sensors left as they are, one of six orders of the leads is right, in one of the ways."
    return Report(headline, aside, why, tuple(_match_findings(v)), _drawings(v))


LEAD_MATCH = Calculator(
    id="lead-match",
    title="Lead matching",
    chapter="sense",
    question="Which of the 36 ways to pair leads and sensors is right, and what do the wrong ones do?",
    asks=("alignment_error", "sensor_spacing", "lock_test", "controller_table"),
    gives=(
        Result(
            "wiring",
            "The right arrangement",
            columns=(
                Column("way", "Way"),
                Column("phase_order", "Leads on U V W"),
                Column("sensor_order", "Sensors on 1 2 3"),
                Column("torque_mean", "Mean torque"),
                Column("torque_worst", "In the worst position"),
                Column("error", "Late by", "deg"),
            ),
            made=_wiring,
        ),
        Result(
            "counts",
            "What they do, without load",
            columns=(
                Column("behaviour", "Behaviour"),
                Column("count", "Of 36"),
                Column("stall", "At stall"),
                Column("speed", "At speed"),
                Column("measure", "On a meter"),
            ),
            made=_counts,
        ),
        Result(
            "arrangements",
            "All arrangements, best first",
            columns=(
                Column("phase_order", "Leads on U V W"),
                Column("sensor_order", "Sensors on 1 2 3"),
                Column("torque_mean", "Mean torque"),
                Column("torque_min", "Lowest"),
                Column("torque_max", "Highest"),
                Column("behaviour", "Behaviour"),
            ),
            made=_arrangements,
        ),
        Result("lock_current", "Least current for a lock test", "A"),
        Result("no_load_early", "Speed by itself, sensors 30° early", "rpm", optional=True),
        Result("no_load_late", "Speed by itself, sensors 30° late", "rpm", optional=True),
    ),
    report=_lead_match,
    rules={
        "lock_current": step(lock.lock_current),
        "no_load": step(early_and_late, line_resistance="hot_line_resistance"),
        "no_load_early": Step(lambda no_load: no_load[0], ("no_load",)),
        "no_load_late": Step(lambda no_load: no_load[1], ("no_load",)),
    },
    reads=("alignment_error", "sensor_spacing", "pole_pairs"),
    optional=("lock_test", "controller_table", "sensor_offsets", "bore_diameter"),
    despite_sensors=True,
)
