"""What is to be said of a lock test, a controller's table and the arrangements that follow."""

from __future__ import annotations

import math
from collections.abc import Iterator

from calc.build import Values
from calc.calculators.leads import readings
from calc.fields.sensed import FEEDS
from calc.findings import Finding
from calc.machine import leads, lock, signs, switching
from calc.units import show

SAFE = (
    "Hands clear of shaft and fan: the rotor jumps. Current-limited supply; field on first, its diode across the "
    "coil. While nothing feeds the field: its supply off, the brush leads bolted together. Keep off the brushes."
)
OUT = math.radians(20.0)


def stops(v: Values) -> list[tuple[str, Finding]]:
    """Why no arrangement can be told: what it rests on, in words, and the finding, the gravest first."""
    motor, controller = readings.motor_read(v), readings.controller_read(v)
    found = [
        (what, Finding("stop", fault.text, fault.do))
        for what, read in (("the lock test", motor), ("the controller's table", controller))
        if read
        for fault in read.faults
    ]
    if motor and controller and readings.both_known(v) and not readings.wiring(v):
        over = switching.turned_over(motor.places, controller.table)
        what = f"Turn sensor {over + 1} over, or invert its signal, and" if over >= 0 else "Check both, then"
        text = (
            f"No arrangement is right: the motor's sensors are a {motor.spacing}° set, the controller wants "
            f"{controller.spacing}°."
        )
        found.append(("the sensors", Finding("stop", text, f"{what} read the lock test again.")))
    return found


def _lock_findings(v: Values, motor: lock.Motor) -> Iterator[Finding]:
    if motor.next_feed:
        missing = "" if motor.places else "That isn't enough to know the motor. "
        yield Finding(
            "caution",
            f"{missing}{len(v['lock_test'])} readings leave no check on a misread lamp.",
            f"Next: feed {motor.next_feed} ({dict(FEEDS)[motor.next_feed]}), then the others of that form.",
        )
    if not motor.places:
        return
    unread = signs.unread_form(tuple(v["lock_test"]))
    if unread:
        instead, means = unread
        yield Finding(
            "caution",
            f"The lamps flicker where the rotor stands: the sensors switch right there, so they sit {means}. What the "
            "lamps say at such a place is chance.",
            f"Feed {instead} and enter those rows too; wire nothing by this yet.",
        )
        return
    order = "1, 3, 2" if motor.mirrored else "1, 2, 3"
    middle = f" with sensor {motor.middle + 1} in the middle" if motor.spacing == "60" else ""
    yield Finding(
        "note",
        f"The motor's sensors are a {motor.spacing}° set{middle}, {readings.late(motor.error)} within "
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
    error = readings.mean_error(v)
    if known and abs(leads.reduced(motor.error - error)) > motor.reach + math.radians(6.0):
        yield Finding(
            "caution",
            f"The lock test finds the sensors {readings.late(motor.error)}; your sheet has them "
            f"{readings.late(error)}.",
            "Trust the lock test if both turning senses agree; then check slots, coil span and connection.",
        )


def match_findings(v: Values) -> Iterator[Finding]:
    """Stops first, then what is lacking, then what was read and what to mind."""
    motor, controller = readings.motor_read(v), readings.controller_read(v)
    yield from (finding for _, finding in stops(v))
    if not motor or not controller:
        names = (("the static lock test", motor), ("the controller's table", controller))
        lacking = " and ".join(name for name, there in names if not there)
        yield Finding(
            "caution",
            f"Which of them is right for yours takes {lacking}. Until then all 36 are told for {readings.USUAL_TABLE}: "
            "the row that is right there may be any of them at yours.",
            f"Measure {lacking} as the page describes. A controller that can't be measured: lead trials.",
        )
    if motor:
        yield from _lock_findings(v, motor)
    if controller:
        if controller.missing:
            yield Finding(
                "caution",
                f"The controller's table has {6 - len(controller.missing)} of six codes.",
                f"Set the switches to {', '.join(controller.missing)} and write down high and low.",
            )
        if controller.spacing and controller.spacing != readings.spacing(v):
            yield Finding(
                "caution",
                f"The controller's table is a {controller.spacing}° one; your sheet says {readings.spacing(v)}°.",
                f"Set the spacing of the sensors to {controller.spacing}°.",
            )
    entered = v.build.entered
    if "sensor_offsets" in entered and "bore_diameter" not in entered:
        yield Finding(
            "caution",
            "The sensors' places off their slots aren't counted: that takes the bore.",
            "Enter the bore of the stator.",
        )
    if abs(readings.mean_error(v)) > OUT and not v.build.missing("no_load_early"):
        yield Finding(
            "caution",
            "So far out, an early and a late arrangement are as good as each other at stall. At speed they aren't: "
            f"30° early your machine runs up to about {show(v['no_load_early'], 'rpm')} by itself, 30° late to "
            f"{show(v['no_load_late'], 'rpm')}.",
            "Of two that start alike keep the one that runs faster with wheels up and chain off.",
        )
    yield from _current_findings(v)


def _current_findings(v: Values) -> Iterator[Finding]:
    """How much current the lock test takes, and what detents do to it."""
    entered = v.build.entered
    current, friction = float(readings.lock_current(v)), float(v["friction_torque"])
    pulled = float(v["breakaway_torque"]) if "breakaway_torque" in entered else None
    against = "friction torque" if pulled is None or pulled < friction else "breakaway torque"
    yield Finding(
        "note",
        f"A lock test takes at least {show(current, 'A')}: 4.3 times {against} over torque constant.",
        f"Set the supply's limit to {show(1.3 * current, 'A')} at a few volts. {SAFE}",
    )
    if {"slots", "pole_pairs"} <= entered.keys():
        apart = lock.detent_angle(round(float(v["slots"])), round(float(v["pole_pairs"])))
        where = f"every {show(float(apart), 'deg')} electrical here"
    else:
        where = "every 60° electrical with one slot for each pole and phase"
    uncounted = (
        "That current counts friction alone: nobody pulled the rotor out of its detents. "
        if pulled is None
        else ""
    )
    yield Finding(
        "caution" if pulled is None else "ok",
        f"{uncounted}The excited rotor is drawn to the stator's teeth, {where}. Those detents hold it against too "
        "small a current, and can bias which form reads steadily.",
        ("Pull breakaway torque with string and scale, field on, and enter it. " if pulled is None else "")
        + "Mark the shaft at each feed: even steps of 60° electrical, the other form's marks midway. Uneven: more "
        "current.",
    )
