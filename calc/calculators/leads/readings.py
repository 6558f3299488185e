"""What the sheet says of the sensors, what was read of motor and controller, and the wiring that follows."""

from __future__ import annotations

import math
from typing import Any

from calc.build import Values
from calc.machine import alignment, edges, leads, lock, signs, switching
from calc.machine.leads import Arrangement, Table
from calc.quantities import Ampere
from calc.units import show

USUAL_TABLE = "a controller with the usual table, for which ABC 123 is right"


def spacing(v: Values) -> str:
    return str(v["sensor_spacing"])


def errors(v: Values) -> tuple[float, float, float]:
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
    counted = (round(float(v[key])) for key in ("slots", "pole_pairs", "coil_span", "layers"))
    by_slot = alignment.sensor_errors(*counted, v["connection"], tuple(v["sensor_slots"]))
    return by_slot[0] + own[0], by_slot[1] + own[1], by_slot[2] + own[2]


def mean_error(v: Values) -> float:
    return leads.reduced(sum(errors(v)) / 3.0)


def places(v: Values) -> tuple[float, ...]:
    return leads.edges(errors(v), spacing(v))


def stand_for(v: Values) -> tuple[tuple[float, ...], Table]:
    """Where the sensors switch on (rad) and the controller's table: as read where both were, else the sheet's
    sensors with the usual table, for which leads ABC and sensors 123 are right."""
    motor, controller = motor_read(v), controller_read(v)
    if motor and controller and both_known(v):
        return motor.places, dict(controller.table)
    return places(v), leads.table_of(spacing(v))


def counts_for(v: Values) -> str:
    """Whose arrangements the 36 are, in words."""
    return "your motor and controller, as read" if both_known(v) else USUAL_TABLE


def found_error(v: Values) -> float:
    """How late the sensors are, of which the 36 are told, rad: as the lock test has it where it counts."""
    motor = motor_read(v)
    return motor.error if motor and both_known(v) else mean_error(v)


def every(v: Values) -> tuple[Arrangement, ...]:
    found, table = stand_for(v)
    return tuple(leads.arrangements(found, tuple(table.items())))


def arrangements(v: Values) -> list[dict[str, Any]]:
    return signs.told(every(v))


def counts(v: Values) -> list[dict[str, Any]]:
    return signs.counts(every(v))


def motor_read(v: Values) -> lock.Motor | None:
    return lock.motor_map(tuple(v["lock_test"])) if "lock_test" in v.build.entered else None


def controller_read(v: Values) -> switching.Controller | None:
    entered = "controller_table" in v.build.entered
    return switching.controller_map(tuple(v["controller_table"])) if entered else None


def both_known(v: Values) -> bool:
    """True when motor and controller are both known well enough to be put together."""
    motor, controller = motor_read(v), controller_read(v)
    return bool(
        motor
        and controller
        and motor.places
        and not motor.faults
        and controller.table
        and not signs.unread_form(tuple(v["lock_test"]))
    )


def solution(v: Values) -> tuple[tuple[Arrangement, ...], tuple[Arrangement, ...]]:
    motor, controller = motor_read(v), controller_read(v)
    if motor and controller and both_known(v):
        return switching.wiring(motor.places, controller.table)
    return (), ()


def wiring(v: Values) -> list[dict[str, Any]] | None:
    return signs.wired(*solution(v)) or None


def lock_current(v: Values) -> Ampere:
    """Least current for a lock test: against breakaway torque where it was pulled and is larger than friction."""
    pulled = v["breakaway_torque"] if "breakaway_torque" in v.build.entered else 0.0
    return lock.lock_current(v["friction_torque"], v["torque_constant"], pulled)


def late(error: float) -> str:
    """An alignment error in words."""
    if abs(error) < math.radians(0.5):
        return "aligned"
    return f"{show(abs(error), 'deg')} {'late' if error > 0 else 'early'}"
