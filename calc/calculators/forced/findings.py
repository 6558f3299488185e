"""What the reader should know about a forced start: why it fails, what to do, and what sensors change."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.build import Values
from calc.drive.pulling import ROUND
from calc.findings import Finding
from calc.units import show

STAND, GROUND = 0, 1
CARE = Finding(
    "caution",
    "It may run up at once, or jump back a turn first. From standstill only on the stand: bolted down and guarded, "
    "chain off, hands, hair and sleeves clear, the current limit low, a switch for traction and field within reach.",
    "On the ground: level, unladen, limits low, the rider seated with a hand on the brake, nobody in front. Who "
    "pushes lets go and steps back before the throttle opens.",
)


def findings(
    v: Values,
    outcomes: Sequence[str],
    stepped: Sequence[str],
    settled: list[bool],
    settling: list[float],
    swings: Sequence[float],
    with_sensors: float,
) -> tuple[Finding, ...]:
    """All of them. Sequences are of stand and ground; settling in s, swings in Hz, with_sensors in N·m."""
    return (
        CARE,
        *_ground(v, outcomes),
        *_sensors(v, with_sensors),
        *_hold(v, settled, settling),
        *_jumps(v, outcomes, stepped, swings),
        *_current(v),
    )


def _pull(v: Values) -> float:
    return float(v["torque_constant"]) * float(v["stall_current"])


def _ground(v: Values, outcomes: Sequence[str]) -> list[Finding]:
    push = (
        f"Push it to {show(v['push_speed'], 'km/h')} on the level, which is {show(v['push_wheel_speed'], 'rpm')} of "
        "the wheel, throttle closed; who pushes lets go and steps back; then open it gently. Or fit sensors."
    )
    if outcomes[GROUND] == "yes":
        return [
            Finding(
                "ok",
                "With this ramp the rotor is in step with the field all the way, from each start that was tried.",
                "A stone under the wheel, or a rider who shifts, may still throw it out: then close the throttle and "
                "begin again. Sensors have no such trouble.",
            )
        ]
    held = float(v["slope_torque"] + v["rolling_torque"] + v["breakaway_torque"])
    if held >= _pull(v):
        return [
            Finding(
                "stop",
                f"Slope, rolling and friction take {show(held, 'N*m')}; the field pulls with "
                f"{show(_pull(v), 'N*m')} at most. No ramp starts it.",
                "Gear lower, more field, more current, or a gentler slope.",
            )
        ]
    seen = "twitches and stands" if outcomes[GROUND] == "twitches" else "slips and jerks"
    stand = " It spins on the stand, which says nothing about the ground." if outcomes[STAND] == "yes" else ""
    found = [
        Finding("stop", f"On the ground it {seen}: the field is gone before the mass has moved.{stand}", push)
    ]
    if float(v["slope_torque"]) > float(v["rolling_torque"] + v["breakaway_torque"]):
        found.append(
            Finding(
                "stop",
                "On this slope nothing holds it once it is out of step: it rolls back.",
                "On the level only. A slope of 0 % shows what it does there.",
            )
        )
    return found


def _sensors(v: Values, with_sensors: float) -> list[Finding]:
    need = float(v["breakaway_needed"])
    enough = with_sensors >= need
    return [
        Finding(
            "ok" if enough else "caution",
            f"Sensors that sit right need no ramp: up to {show(with_sensors, 'N*m')} in the weakest position, less "
            f"what the current itself takes away; {show(need, 'N*m')} needed at this weight"
            f"{'' if enough else ': too little too'}.",
            "Only the standing start decides, with your own sensors and that pull counted.",
        )
    ]


def _hold(v: Values, settled: list[bool], settling: list[float]) -> list[Finding]:
    names = ("on the stand", "on the ground")
    late = [k for k in (STAND, GROUND) if not settled[k]]
    if late:
        where = " and ".join(names[k] for k in late)
        hold = float(v["start_hold"])
        first = f"A hold of {show(hold, 's')} is too short" if hold > 0.0 else "There is no hold"
        return [
            Finding(
                "caution",
                f"{first}: {where} the rotor still swings when the field sets off. {ROUND} start angles all round the "
                "turn are counted.",
                f"Hold the field still for {show(max(settling[k] for k in late), 's', 2)} or more first.",
            )
        ]
    friction = float(v["breakaway_torque"] + v["rolling_torque"])
    stuck = 2.0 * float(np.arcsin(min(friction / _pull(v), 1.0))) / (2.0 * np.pi)
    return [
        Finding(
            "note",
            f"Counted as at rest after the hold. A hold in one place alone leaves it stuck half a turn off in "
            f"{show(stuck, 'percent', 2)} of starts on the ground.",
            "A good controller holds in two places, one after the other.",
        )
    ]


def _jumps(
    v: Values, outcomes: Sequence[str], stepped: Sequence[str], swings: Sequence[float]
) -> list[Finding]:
    found = []
    for k, name in ((STAND, "stand"), (GROUND, "ground")):
        if outcomes[k] == "yes" and stepped[k] != "yes":
            found.append(
                Finding(
                    "caution",
                    f"A field that jumps 60° at a time, as a six-step controller's does, loses it on the {name} where "
                    "a smooth one with the same mean doesn't.",
                    "Count on less than the fastest ramp, and begin at another frequency.",
                )
            )
    shakes = [x / 6.0 for x in swings if float(v["start_frequency"]) < x / 6.0 < float(v["end_frequency"])]
    if shakes:
        places = " and ".join(show(x, "Hz", 2) for x in shakes)
        found.append(
            Finding(
                "note",
                f"At {places} the six jumps of a turn come in time with the rotor's swing: it growls and shakes there.",
                "Begin above it, or pass it quickly. A ramp that lingers there may lose the rotor.",
            )
        )
    return found


def _current(v: Values) -> list[Finding]:
    current = float(v["stall_current"])
    spare = float(v["supply_voltage"] - v["hot_line_resistance"] * current - np.sqrt(2.0) * v["sensing_emf"])
    jump = 1.0 / (6.0 * float(v["end_frequency"]))
    if spare > 0.0 and float(v["line_inductance"]) * current / spare < 0.5 * jump:
        return []
    return [
        Finding(
            "caution",
            f"At the end of the ramp the current has {show(jump, 's', 2)} for each jump, and the supply "
            f"{show(max(spare, 0.0), 'V')} to spare to drive it: it won't reach {show(current, 'A')} in time. The pull "
            "is less there than counted.",
            "Less current, a lower end frequency, or more volts.",
        )
    ]
