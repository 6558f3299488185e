"""The calculator that pairs leads and sensors by what motor and controller were measured to do."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from calc.build import Values
from calc.calculators.leads import readings
from calc.calculators.leads.findings import OUT, match_findings, stops
from calc.drive.unloaded import early_and_late
from calc.figures.leads import lead_torque, lock_ring
from calc.findings import Finding
from calc.graph import step
from calc.machine import lock, signs
from calc.spec import Calculator, Column, Report, Result


def _drawings(v: Values) -> tuple[Any, ...]:
    motor, every = readings.motor_read(v), readings.every(v)
    places, table = readings.stand_for(v)
    chosen = next((found[0] for found in readings.solution(v) if found), every[0])
    weak = next((a for a in every if a.behaviour == "weak forward"), None)
    dead = next((a for a in every if a.behaviour == "dead"), None)
    named = (("chosen" if readings.wiring(v) else "best", chosen), ("weak", weak), ("dead", dead))
    shown = [(name, a) for name, a in named if a]
    drawings = [lambda uid: lead_torque(uid, places, table, shown)]
    if motor:
        read = lock.stood(v["lock_test"])
        drawings.append(lambda uid: lock_ring(uid, read, motor.places))
    return tuple(drawings)


def _stopped(v: Values, found: list[tuple[str, Finding]], counted: str) -> tuple[str, str, str]:
    """Headline, aside and why where readings contradict each other or can't be put together: that comes first."""
    whats = list(dict.fromkeys(what for what, _ in found))
    verb = "stand" if len(whats) > 1 or whats[0] == "the sensors" else "stands"
    return (
        "No arrangement yet",
        f"{' and '.join(whats)} {verb} against it",
        f"{found[0][1].text} Until that is mended nothing tells which of the 36 ways to pair three leads and three "
        f"sensors is right. What they do with sensors {readings.late(readings.found_error(v))}: {counted}.",
    )


def _lead_match(v: Values) -> Report:
    rows, error, stopped = readings.wiring(v), readings.found_error(v), stops(v)
    counted = ", ".join(f"{row['count']} {row['behaviour']}" for row in readings.counts(v))
    why = f"With sensors {readings.late(error)}, of the 36 ways to pair three leads and three sensors: {counted}. "
    if stopped:
        headline, aside, why = _stopped(v, stopped, counted)
    elif rows:
        kept = next((row for row in rows if row["sensor_order"] == "123"), rows[0])
        headline = f"leads {' '.join(kept['phase_order'])}"
        aside = f"on the outputs U V W, sensors {' '.join(kept['sensor_order'])} on the inputs 1 2 3: {kept['way']}"
        why += "Lock test and controller's table leave three of them for each way, which are the same but for names."
        other = next((row for row in rows if row["way"] != kept["way"]), None)
        if other:
            why += (
                f" {other['way'].capitalize()}: leads {' '.join(other['phase_order'])}, sensors "
                f"{' '.join(other['sensor_order'])}."
            )
    elif "lock_test" in v.build.entered and signs.unread_form(tuple(v["lock_test"])):
        headline, aside = "Feed the other form first", "the lamps flicker where the rotor stands"
    else:
        good = sum(a.behaviour.startswith(("right", "early")) for a in readings.every(v))
        headline, aside = f"{good} of 36", "arrangements are to be used, half of them in reverse"
        if abs(error) < OUT:
            why += "With the sensors left as they are, one of six orders of the leads is right, in one of the ways."
    return Report(headline, aside, why, tuple(match_findings(v)), _drawings(v))


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
                Column("torque_mean", "Mean torque, of the peak"),
                Column("torque_worst", "In the worst position, of the peak"),
                Column("error", "Late by", "deg"),
            ),
            made=readings.wiring,
        ),
        Result("counted_for", "The table of all 36 is told for", made=readings.counts_for),
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
            made=readings.counts,
        ),
        Result(
            "arrangements",
            "All arrangements, best first",
            columns=(
                Column("phase_order", "Leads on U V W"),
                Column("sensor_order", "Sensors on 1 2 3"),
                Column("torque_mean", "Mean torque, of the peak"),
                Column("torque_min", "Lowest, of the peak"),
                Column("torque_max", "Highest, of the peak"),
                Column("behaviour", "Behaviour"),
            ),
            made=readings.arrangements,
        ),
        Result("lock_current", "Least current for a lock test", "A", made=readings.lock_current),
        Result("no_load_early", "Speed by itself, sensors 30° early", "rpm", optional=True),
        Result("no_load_late", "Speed by itself, sensors 30° late", "rpm", optional=True),
    ),
    report=_lead_match,
    rules={
        "no_load": step(lru_cache(maxsize=8)(early_and_late), line_resistance="hot_line_resistance"),
        "no_load_early": step(lambda no_load: no_load[0]),
        "no_load_late": step(lambda no_load: no_load[1]),
    },
    reads=("alignment_error", "sensor_spacing", "pole_pairs", "friction_torque", "torque_constant"),
    optional=("breakaway_torque", "lock_test", "controller_table", "sensor_offsets", "bore_diameter"),
    despite_sensors=True,
)
