"""What a start would have with the machine connected or fed another way than the build's."""

from __future__ import annotations

from typing import Any, NamedTuple

from calc.build import Values
from calc.drive.standing import pulled_torque_worst, start_current
from calc.errors import NoSensors
from calc.machine import armature
from calc.quantities import Real

SENSING = ("pole_pairs", "sensed_share", "sensor_kind", "sensor_threshold", "sensor_field")
"""What must be known of the sensors."""


class Start(NamedTuple):
    """torque: in the worst rotor position, the current's pull on the sensors and their thresholds counted, N·m.
    current: the line current that starts most, A."""

    torque: Any
    current: Any


def late(v: Values) -> float:
    """How late the sensors are where they sit, rad; right where nothing tells, or where they are to be mended first."""
    if v.build.missing("alignment_error"):
        return 0.0
    try:
        return float(v["alignment_error"])
    except NoSensors:
        return 0.0


def start(
    v: Values,
    emf_constant: Real,
    line_inductance: Real,
    stall_current: Real,
    alignment_error: Real,
    flux_share: Real = 1.0,
) -> Start:
    """The start of the build's machine with another constant and inductance, no more than `stall_current` flowing.

    flux_share: the rotor's flux over that of the working field, which is what the sensors see besides.
    """
    seen = v["sensor_field"] * flux_share
    machine = (
        emf_constant,
        line_inductance,
        v["pole_pairs"],
        v["sensed_share"],
        alignment_error,
        armature.edge_on_delay(v["sensor_threshold"], seen),
        armature.edge_off_delay(v["sensor_kind"], v["sensor_threshold"], seen),
    )
    current = start_current(stall_current, *machine)
    return Start(pulled_torque_worst(current, *machine), current)
