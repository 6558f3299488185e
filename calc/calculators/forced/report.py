"""Forced start: what a controller without sensors does on the stand and on the ground."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc.build import Values
from calc.calculators.forced.findings import findings
from calc.drive import forced, standing
from calc.drive.pulling import (
    FASTEST,
    IN_BAND,
    PROOF,
    ROUND,
    STEPS,
    TURN,
    Place,
    Ramp,
    caught,
    fastest_ramp,
    follow,
    start_lags,
)
from calc.errors import NoSolution
from calc.figures.forced import forced_start
from calc.graph import step
from calc.quantities import Array
from calc.spec import Calculator, Column, Report, Result
from calc.units import show
from calc.vehicle import gearing, road

STAND, GROUND = 0, 1
UNDAMPED, DAMPED = 0, 1
IN_A_SWING = 16  # steps in a swing of the rotor alone
MOST_STEPS = 1500
TWITCH = (
    0.25  # share of the field's way below which a rotor that lost it is said to twitch (our choice of words)
)


class Judged(NamedTuple):
    """What was worked out: rows are stand and ground."""

    place: Place
    settling: Any
    settled: Any
    outcomes: list[str]
    stepped: list[str]
    fastest: Any
    times: Array
    paths: Array


def _place(v: Values) -> Place:
    """Stand and ground (rows), undamped and with the estimated damping (columns)."""
    pull = float(v["torque_constant"]) * float(v["stall_current"])
    sticks = float(v["breakaway_torque"])
    if pull <= sticks:
        raise NoSolution(
            f"There is next to no field or no current: it pulls with {show(pull, 'N*m')} at most, and the machine "
            f"alone sticks with {show(sticks, 'N*m')}. Not even on the stand does it turn.",
            "Field on first: enter the field current that flows, and the current in the motor's leads.",
        )
    ground = np.array([[0.0], [1.0]])
    parts = (
        pull,
        v["pole_pairs"],
        v["rotor_inertia"],
        ground * v["reflected_inertia"],
        ground * v["slack"],
        v["breakaway_torque"],
        np.minimum(v["still_drag"], v["breakaway_torque"]),
        ground * v["rolling_torque"],
        ground * v["slope_torque"],
        np.array([0.0, float(v["damping"])]),
    )
    return Place(*(np.broadcast_to(np.asarray(x, dtype=float), (2, 2)) for x in parts))


def _word(held: Array, turned: Array, field: float) -> str:
    """What is seen of starts from several angles: yes, slips, or twitches. Electrical angles, of rotors and field."""
    if held.all():
        return "yes"
    return "twitches" if turned[~held].max() < TWITCH * field else "slips"


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def judged(v: Values) -> Judged:
    """Everything about the forced start. Raises NoSolution where there is nothing to judge."""
    place, start, end = _place(v), float(v["start_frequency"]), float(v["end_frequency"])
    if end <= start:
        raise NoSolution(
            f"The field begins at {show(start, 'Hz')}; at {show(end, 'Hz')} the controller sees enough EMF already. "
            "There is no ramp to judge.",
            "A lower start frequency. Check EMF constant and the EMF that the controller needs too.",
        )
    friction, drag = (place.load_friction + x for x in (place.rotor_friction, place.rotor_drag))
    settling = forced.settling_time(
        place.pull, place.pole_pairs, place.inertia, friction, drag, place.damping
    )
    settled = np.asarray(settling <= float(v["start_hold"]))
    lags = start_lags(place, settled, IN_BAND if settled.all() else ROUND)
    damped = Place(*(x[:, DAMPED, None] for x in place))
    ramp, window = Ramp(start, float(v["frequency_ramp"]), end), damped.window
    motion = follow(damped, ramp, lags[:, DAMPED], window, stepped=np.array([False, True])[:, None, None])
    held, way = np.asarray(caught(damped, ramp, motion, window)), ramp.angle(window)
    words = [[_word(held[m, k], motion.turned[m, k], way[k, 0]) for k in (STAND, GROUND)] for m in (0, 1)]
    worst = np.argmin(held[1], axis=-1)[:, None]  # a start that failed, where one did
    times, paths = _paths(damped, ramp, np.take_along_axis(lags[:, DAMPED], worst, axis=-1))
    fastest = np.array(fastest_ramp(place, start, end, lags))
    lost = ~held[0].all(
        axis=-1
    )  # then the fastest ramp lies below this one, whatever the ramps beside it did
    fastest[lost, DAMPED] = np.minimum(fastest[lost, DAMPED], PROOF[-2] * ramp.rate)
    return Judged(place, settling, settled, words[0], words[1], fastest, times, paths)


def _paths(place: Place, ramp: Ramp, lags: Array) -> tuple[Array, Array]:
    """Times, s, and the rotor's electrical angle on stand and ground, the field in jumps, for the figure: as long as
    the ground is followed, or as a rotor alone can be followed well."""
    alone = TURN / float(place.swing[STAND, 0])
    duration = min(float(place.window[GROUND, 0]), MOST_STEPS / IN_A_SWING * alone)
    steps = int(max(STEPS, IN_A_SWING * duration / alone))
    rotor = follow(place, ramp, lags, duration, steps, stepped=True, keep=True).rotor
    return duration / steps * np.arange(1, steps + 1), np.array(rotor)[:, :, 0].T


def _fastest(v: Values, place: int, damping: int) -> float | None:
    """The fastest ramp, Hz/s; None where none does."""
    ramp = float(judged(v).fastest[place, damping])
    return ramp or None


def told(ramp: float | None) -> str:
    """The fastest ramp in words."""
    if ramp is None:
        return "none"
    return show(ramp, "Hz/s") + (" or more" if ramp >= FASTEST else "")


def _places(v: Values) -> list[dict[str, Any]]:
    j = judged(v)
    return [
        {
            "place": name,
            "inertia": float(j.place.inertia[k, DAMPED]),
            "swing": float(j.place.swing[k, DAMPED]) / TURN,
            "settling": float(j.settling[k, DAMPED]),
            "synchronises": j.outcomes[k],
            "fastest": _fastest(v, k, DAMPED),
            "undamped": _fastest(v, k, UNDAMPED),
        }
        for k, name in ((STAND, "stand, chain off"), (GROUND, "ground"))
    ]


SEEN = {"yes": "runs up", "slips": "slips", "twitches": "twitches"}


def _forced_start(v: Values) -> Report:
    j = judged(v)
    ground, stand = (SEEN[j.outcomes[k]] for k in (GROUND, STAND))
    swings = [float(x) / TURN for x in j.place.swing[:, DAMPED]]
    ramp = Ramp(float(v["start_frequency"]), float(v["frequency_ramp"]), float(v["end_frequency"]))
    if ground == stand:
        aside = f"on the stand and on the ground, at {show(ramp.rate, 'Hz/s')}"
    else:
        aside = f"on the ground; on the stand it {stand}, at {show(ramp.rate, 'Hz/s')} both"
    with_sensors = float(standing.standing_torque_worst(v["emf_constant"], v["stall_current"], 0.0))
    return Report(
        ground.capitalize(),
        aside,
        f"On the ground the field has to drag along {show(v['inertia_ratio'], '')} times the rotor's own inertia. It "
        f"swings {show(swings[GROUND], '')} times a second there and {show(swings[STAND], '')} on the stand, and what "
        "can't follow within one swing falls out of step. Fastest ramp: "
        f"{told(_fastest(v, GROUND, DAMPED))} on the ground, {told(_fastest(v, STAND, DAMPED))} on the stand.",
        findings(
            v,
            j.outcomes,
            j.stepped,
            j.settled[:, DAMPED].tolist(),
            j.settling[:, DAMPED].tolist(),
            swings,
            with_sensors,
        ),
        (lambda uid: forced_start(uid, j.times, ramp.angle(j.times), j.paths, j.stepped),),
    )


FORCED_START = Calculator(
    id="forced-start",
    title="Forced start",
    chapter="drive",
    question="Does it start without sensors, on the stand and on the ground?",
    asks=(
        "emf_constant",
        "phase_current_limit",
        "start_frequency",
        "frequency_ramp",
        "start_hold",
        "sensing_emf",
        "rotor_inertia",
        "total_mass",
        "slope",
        "driver_teeth",
        "driven_teeth",
        "wheel_diameter",
        "slack",
        "damping",
    ),
    gives=(
        Result("synchronises", "In step on the ground", made=lambda v: judged(v).outcomes[GROUND]),
        Result("synchronises_stand", "In step on the stand", made=lambda v: judged(v).outcomes[STAND]),
        Result(
            "fastest_ramp", "Fastest ramp on the ground", "Hz/s", made=lambda v: _fastest(v, GROUND, DAMPED)
        ),
        Result(
            "fastest_ramp_undamped",
            "The same without damping",
            "Hz/s",
            made=lambda v: _fastest(v, GROUND, UNDAMPED),
        ),
        Result("end_frequency", "Frequency at which the ramp ends", "Hz"),
        Result("push_speed", "Speed to push it to instead", "km/h"),
        Result("push_wheel_speed", "The driven wheel's speed then", "rpm"),
        Result("inertia_ratio", "Inertia on the ground over the rotor's own"),
        Result(
            "places",
            "Stand and ground",
            columns=(
                Column("place", "where"),
                Column("inertia", "inertia at the shaft", "kg*m**2"),
                Column("swing", "swings at", "Hz"),
                Column("settling", "at rest after a hold of", "s"),
                Column("synchronises", "in step"),
                Column("fastest", "fastest ramp", "Hz/s"),
                Column("undamped", "without damping", "Hz/s"),
            ),
            made=_places,
        ),
    ),
    report=_forced_start,
    rules={
        "sensing_speed": step(forced.sensing_speed),
        "end_frequency": step(forced.end_frequency),
        "push_speed": step(forced.push_speed),
        "push_wheel_speed": step(forced.wheel_speed),
        "reflected_inertia": step(forced.reflected_inertia),
        "inertia_ratio": step(forced.inertia_ratio),
        "rolling_force": step(road.rolling_force),
        "grade_force": step(road.grade_force),
        "rolling_torque": step(gearing.torque_needed, force="rolling_force"),
        "slope_torque": step(gearing.torque_needed, force="grade_force"),
    },
    reads=(
        "torque_constant",
        "stall_current",
        "pole_pairs",
        "rotor_inertia",
        "reflected_inertia",
        "slack",
        "breakaway_torque",
        "still_drag",
        "rolling_torque",
        "slope_torque",
        "damping",
        "start_frequency",
        "frequency_ramp",
        "start_hold",
        "emf_constant",
        "line_inductance",
        "hot_line_resistance",
        "supply_voltage",
        "sensing_emf",
        "breakaway_needed",
    ),
)
