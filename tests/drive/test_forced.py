"""Forced start: pull-in limits by theory, an independent solution, energy, and what more mass and finer steps do."""

from __future__ import annotations

import contextlib
import io
import json
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from calc import cli
from calc.drive import forced, pulling
from calc.drive.pulling import TURN, Place, Ramp, caught, fastest_ramp, follow, start_lags

PULL, PAIRS, ROTOR, LOAD = 14.0, 8.0, 0.0035, 0.145
STILL = Ramp(0.0, 1.0, 0.0)
ENDLESS = 1e6  # Hz: the ramp goes on for as long as anybody looks


def place(load: Any = LOAD, slack: Any = 0.0, damping: Any = 0.0, **other: Any) -> Place:
    """A rotor, and what hangs on it, without friction unless given."""
    given = {"rotor_friction": 0.0, "load_friction": 0.0, "slope_torque": 0.0, **other}
    given.setdefault("rotor_drag", given["rotor_friction"])
    return Place(PULL, PAIRS, ROTOR, load, slack, damping=damping, **given)


def cart(masses: Any = 1.0, damping: float = 0.05, slope: float = 5.5) -> Place:
    """Something like the harvest cart, its mass times `masses`."""
    m = np.asarray(masses, dtype=float)
    parts = (PULL, PAIRS, ROTOR, LOAD * m, np.radians(4.0), 0.45, 0.45, 1.6 * m, slope * m, damping)
    return Place(*(np.broadcast_to(np.asarray(x, dtype=float), m.shape) for x in parts))


def settled(where: Place) -> np.ndarray:
    return start_lags(where, np.ones(np.shape(where.load_inertia), dtype=bool), 5)


def solved(where: Place, ramp: Ramp, lag: float, duration: float, until: Any = None) -> Any:
    """The same by scipy, rotor and load as one body that moves forward all the time."""
    total = where.rotor_inertia + where.load_inertia

    def slopes(t: float, y: np.ndarray) -> list[float]:
        friction = np.tanh(y[1] / 1e-4) * (where.rotor_friction + where.load_friction)
        pulled = where.pull * np.sin(ramp.angle(t) - where.pole_pairs * y[0])
        return [y[1], (pulled - friction - where.slope_torque - where.damping * y[1]) / total]

    start = [-lag / where.pole_pairs, 0.0]
    return solve_ivp(slopes, (0, duration), start, method="LSODA", rtol=1e-9, atol=1e-11, dense_output=True)


def test_small_swings_have_the_period_of_theory_and_of_an_independent_solution() -> None:
    """A rotor held by a field is a pendulum: period 2π·√(J/(K·p))."""
    period = TURN / forced.swing_speed(PULL, PAIRS, ROTOR)
    durations = np.linspace(0.0, 3.0 * period, 90)[1:]
    ours = follow(place(0.0), STILL, 0.02, durations).lag
    assert ours == pytest.approx(0.02 * np.cos(TURN * durations / period), abs=1e-4)
    other = solved(place(0.0), STILL, 0.02, 3.0 * period).sol(durations)[0]
    assert ours == pytest.approx(-PAIRS * other, abs=1e-4)


@pytest.mark.parametrize("lag", [0.3, 1.5, 3.0])
def test_without_damping_the_energy_stays(lag: float) -> None:
    where = place(LOAD)
    durations = np.linspace(0.2, 1.0, 40) * where.window
    end = follow(where, STILL, lag, durations)
    slip = PAIRS * end.speed / where.swing
    energy = forced.swing_energy(end.lag, slip, 0.0)
    assert energy == pytest.approx(1.0 - np.cos(lag), rel=2e-3, abs=1e-3)


def test_damping_takes_its_share_of_a_swing() -> None:
    """The amplitude of a damped swing falls as exp(−B·t/2J)."""
    where = place(0.0, damping=0.05)
    periods = np.arange(1, 4) * TURN / np.sqrt(where.swing**2 - (0.05 / (2 * ROTOR)) ** 2)
    ours = follow(where, STILL, 0.05, periods).lag
    assert ours == pytest.approx(0.05 * np.exp(-0.05 * periods / (2 * ROTOR)), rel=0.01)


def test_a_jump_in_frequency_pulls_in_up_to_twice_the_swing() -> None:
    """From rest in line with the field, no load, no ramp: the pendulum's separatrix, start ≤ 2·√(K·p/J)/2π."""
    where = place()
    limit = 2.0 * where.swing / TURN
    for share, held in ((0.97, True), (1.03, False)):
        ramp = Ramp(share * limit, 1e-6, ENDLESS)
        assert bool(caught(where, ramp, follow(where, ramp, 0.0, where.window), where.window)) is held
        turned = solved(where, ramp, 0.0, where.window).y[0][-1] * PAIRS
        assert (ramp.angle(where.window) - turned < np.pi) == held


def test_the_fastest_ramp_is_that_of_a_load_put_on_at_once() -> None:
    """J·α ≤ 0.7246·K without damping: a constant push on a pendulum at rest takes it over the top where
    √(1 − τ²) + 1 = τ·(π − asin τ). Solved here for itself."""
    low, high = 0.5, 0.9
    for _ in range(50):
        middle = 0.5 * (low + high)
        over = np.sqrt(1 - middle**2) + 1 < middle * (np.pi - np.arcsin(middle))
        low, high = (low, middle) if over else (middle, high)
    assert low == pytest.approx(0.7246, abs=1e-4)
    found = fastest_ramp(place(), 1e-6, ENDLESS, np.zeros(1))
    share = found * TURN / PAIRS * (ROTOR + LOAD) / PULL
    assert share == pytest.approx(low, rel=0.02)
    loaded = fastest_ramp(place(load_friction=2.0), 1e-6, ENDLESS, np.zeros(1))
    assert (loaded * TURN / PAIRS * (ROTOR + LOAD) + 2.0) / PULL == pytest.approx(low, rel=0.02)


@pytest.mark.parametrize("damping", [0.0, 0.05])
def test_one_start_agrees_with_an_independent_solution(damping: float) -> None:
    where = place(rotor_friction=0.45, load_friction=1.6, slope_torque=2.0, damping=damping)
    ramp, lag = Ramp(2.0, 15.0, 18.0), 0.2
    durations = np.linspace(0.1, 1.0, 30) * where.window
    ours = follow(where, ramp, lag, durations)
    other = solved(where, ramp, lag, float(where.window)).sol(durations)
    assert ours.turned == pytest.approx(PAIRS * other[0] + lag, rel=5e-3, abs=5e-3 * np.pi)
    assert ours.speed == pytest.approx(other[1], rel=5e-3, abs=5e-3 * float(np.max(other[1])))


def test_a_slack_chain_is_free_travel_and_then_an_impact() -> None:
    """Rotor alone to the end of the travel; momentum is kept, speeds become one; both go on together."""
    slack, lag = np.radians(4.0), 1.2
    where, ramp = place(slack=slack), Ramp(1.0, 5.0, ENDLESS)

    def free(t: float, y: np.ndarray) -> list[float]:
        return [y[1], PULL * np.sin(ramp.angle(t) - PAIRS * y[0]) / ROTOR]

    def taut(t: float, y: np.ndarray) -> float:
        return float(y[0] - slack + lag / PAIRS)

    taut.terminal = True  # type: ignore[attr-defined]
    alone = solve_ivp(free, (0, 1), [-lag / PAIRS, 0.0], events=taut, rtol=1e-10, atol=1e-12)
    hit, (angle, speed) = alone.t[-1], alone.y[:, -1]
    total = ROTOR + LOAD

    def together(t: float, y: np.ndarray) -> list[float]:
        return [y[1], PULL * np.sin(ramp.angle(t) - PAIRS * y[0]) / total]

    durations = np.linspace(hit, 0.06, 12)[1:]
    start = [angle, ROTOR * speed / total]
    after = solve_ivp(together, (hit, 0.06), start, t_eval=durations, rtol=1e-10, atol=1e-12)
    ours = follow(where, ramp, lag, durations, 800)
    assert ours.speed == pytest.approx(after.y[1], rel=5e-3)
    assert ours.turned == pytest.approx(PAIRS * after.y[0] + lag, rel=5e-3)


@pytest.mark.parametrize("start", [1.0, 3.0])
def test_the_fastest_ramp_holds_over_its_whole_length(start: float) -> None:
    """An independent solution follows each ramp to its end and two swings more."""
    where = place(rotor_friction=0.45, load_friction=1.6, slope_torque=2.0, damping=0.05)
    lags = settled(where)
    fastest = float(fastest_ramp(where, start, 18.0, lags))
    for share, held in ((0.05, True), (0.3, True), (0.96, True), (1.06, False)):
        ramp = Ramp(start, share * fastest, 18.0)
        duration = ramp.time + 2.0 * TURN / where.swing
        behind = [
            ramp.angle(duration) - PAIRS * solved(where, ramp, float(lag), duration).y[0][-1] for lag in lags
        ]
        assert (max(behind) < np.pi) == held, share


def test_more_mass_never_gives_a_faster_ramp() -> None:
    where = cart(np.linspace(0.2, 1.4, 13))
    found = fastest_ramp(where, 2.0, 18.0, settled(where))
    assert found[0] > found[-1]
    assert np.all(np.diff(found) <= 1e-9)


@pytest.mark.parametrize("slope", [0.0, 2.5, 5.5])
@pytest.mark.parametrize("damping", [0.0, 0.05])
@pytest.mark.parametrize("start", [1.0, 3.0])
def test_half_the_step_gives_the_same_fastest_ramp(start: float, damping: float, slope: float) -> None:
    where = cart(damping=damping, slope=slope)
    whole, half = (fastest_ramp(where, start, 18.0, settled(where), steps=n * pulling.STEPS) for n in (1, 2))
    assert half == pytest.approx(whole, rel=0.02)


def test_twice_the_swings_give_the_same_fastest_ramp() -> None:
    where = cart()
    short = fastest_ramp(where, 2.0, 18.0, settled(where))
    long = fastest_ramp(where, 2.0, 18.0, settled(where), 2 * pulling.STEPS, 2 * pulling.SWINGS)
    assert long == pytest.approx(short, rel=0.02)


def test_a_field_in_jumps_pulls_as_the_smooth_one_of_its_mean() -> None:
    """Where jumps come faster than the swing: on the ground, within a tenth."""
    where = cart(slope=2.5)
    lags = settled(where)
    fastest = float(fastest_ramp(where, 2.0, 18.0, lags))
    for share, held in ((0.3, True), (0.9, True), (1.1, False)):
        ramp = Ramp(2.0, share * fastest, 18.0)
        motion = follow(where, ramp, lags, where.window, 800, stepped=True)
        assert bool(caught(where, ramp, motion, where.window).all()) is held, share


def test_the_hump_is_a_pendulums() -> None:
    assert forced.hump(0.0) == pytest.approx(2.0)
    assert forced.hump(1.0) == pytest.approx(0.0, abs=1e-12)
    assert forced.swing_energy(np.pi, 0.0, 0.0) == pytest.approx(2.0)
    assert forced.swing_energy(0.0, 2.0, 0.0) == pytest.approx(2.0)
    share = np.array([0.1, 0.5, 0.9])
    top = np.pi - np.arcsin(share)
    assert forced.swing_energy(top, 0.0, share) == pytest.approx(forced.hump(share))
    assert forced.swing_energy(np.arcsin(share) + TURN, 0.0, share) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("friction", "drag", "damping"),
    [(0.45, 0.45, 0.0), (0.45, 0.45, 0.05), (0.1, 0.1, 0.05), (0.45, 0.2, 0.05)],
)
def test_a_held_rotor_is_at_rest_when_it_is_said_to_be(friction: float, drag: float, damping: float) -> None:
    where = place(0.0, rotor_friction=friction, rotor_drag=drag, damping=damping)
    time = float(forced.settling_time(PULL, PAIRS, ROTOR, friction, drag, damping))
    end = follow(where, STILL, 2.6, time, 4000)
    assert abs(end.lag) < 2.0 * friction / PULL
    assert follow(where, STILL, 2.6, 0.3 * time, 4000).lag != pytest.approx(end.lag, abs=1e-3)


def test_friction_holds_either_way() -> None:
    """On a slope that friction holds, a field too weak to move it leaves it where it was."""
    where = place(load_friction=5.0, slope_torque=4.0)
    lags = np.array([-0.05, 0.0, 0.3, 0.6])  # 14·sin, from −0.7 to 7.9 N·m: between 4 − 5 and 4 + 5
    assert follow(where, STILL, lags, 1.0).turned == pytest.approx(0.0, abs=1e-12)
    rolls = place(load_friction=3.0, slope_torque=4.0)
    assert follow(rolls, STILL, 0.0, 0.2).turned < 0.0


def test_push_speed_is_where_the_emf_is_enough() -> None:
    speed = forced.sensing_speed(1.5, 0.1)
    assert speed * 0.1 == pytest.approx(1.5)
    assert forced.end_frequency(speed, 8) == pytest.approx(15.0 * 8 / TURN)
    assert forced.push_speed(speed, 8.0, 0.36) == pytest.approx(forced.wheel_speed(speed, 8.0) * 0.18)


def test_the_vehicle_as_the_shaft_feels_it() -> None:
    """At one speed both have the same energy of motion: ½·J·ω² = ½·m·v² + ½·wheels·ω_w²."""
    inertia = forced.reflected_inertia(293.0, 0.25, 8.18, 0.36)
    shaft = 20.0
    wheel = shaft / 8.18
    assert 0.5 * inertia * shaft**2 == pytest.approx(
        0.5 * 293.0 * (wheel * 0.18) ** 2 + 0.5 * 0.25 * wheel**2
    )


def answer(*words: str) -> dict[str, Any]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", "forced-start", *words, "--json"]) == 0
    return json.loads(out.getvalue())


def severities(data: dict[str, Any]) -> list[str]:
    return [f["severity"] for f in data["findings"]]


def test_the_cart_spins_on_the_stand_and_twitches_on_the_ground() -> None:
    data = answer()
    found = {name: item["value"] for name, item in data["results"].items()}
    assert (found["synchronises_stand"], found["synchronises"]) == ("yes", "twitches")
    assert found["inertia_ratio"] > 30 and "stop" in severities(data)
    assert 5 < found["fastest_ramp"] < 60
    slower = answer(f"frequency_ramp={0.8 * found['fastest_ramp']} Hz/s")
    assert slower["results"]["synchronises"]["value"] == "yes"
    assert "stop" not in severities(slower)


def stepped(where: Place, ramp: Ramp, lags: np.ndarray, drag: float, sticking: float) -> np.ndarray:
    """Electrical angle of the rotor behind the field, rad, by plain small steps: one rigid body, Coulomb friction that
    brakes with `drag` while it turns and holds with `sticking` at rest. Followed to the ramp's end and two swings on.
    """
    total = where.rotor_inertia + where.load_inertia
    swing = TURN / float(where.swing)
    duration, dt = ramp.time + 2.0 * swing, swing / 1500.0
    rotor, speed = -np.asarray(lags) / where.pole_pairs, np.zeros(len(lags))
    for k in range(int(duration / dt)):
        pulled = where.pull * np.sin(ramp.angle((k + 0.5) * dt) - where.pole_pairs * rotor)
        push = pulled - where.damping * speed
        resting = speed == 0.0
        direction = np.where(resting, np.sign(push), np.sign(speed))
        free = push - direction * np.where(resting, sticking, drag)
        after = speed + free / total * dt
        held = resting & (np.abs(push) <= sticking)
        after = np.where(held, 0.0, after)
        turned_back = ~resting & (after * speed < 0.0) & (np.abs(push) <= sticking)
        speed = np.where(turned_back, 0.0, after)
        rotor = rotor + speed * dt
    return ramp.angle(duration) - where.pole_pairs * rotor


def test_the_fastest_ramp_holds_from_every_start_angle_by_plain_steps() -> None:
    """A light rotor, 30 A at 9 V/krpm, no hold: of 48 starts each pulls in at the ramp told and at slower ones, and not
    every one a fifth above. With the sticking as a friction that brakes all the time it would be twice as fast."""
    pull, stand = 3.0 / np.pi * np.sqrt(2.0) * 0.08594 * 30.0, {"load_inertia": 0.0, "slack": 0.0}
    parts = {
        "pole_pairs": 6.0,
        "rotor_inertia": 0.004,
        "load_friction": 0.0,
        "slope_torque": 0.0,
        "damping": 0.0,
    }
    where = Place(pull=pull, rotor_friction=0.45, rotor_drag=0.15, **stand, **parts)
    lags = start_lags(where, np.asarray(False), 48)
    told = float(fastest_ramp(where, 2.0, 13.33, lags))
    assert 20.0 < told < 30.0
    for share, held in ((0.1, True), (0.5, True), (0.9, True), (1.0, True), (1.2, False)):
        behind = stepped(where, Ramp(2.0, share * told, 13.33), lags, 0.15, 0.45)
        assert bool((np.cos(behind) > 0.0).all() and np.ptp(np.round(behind / TURN)) <= 1.0) is held, share
    dragging = where._replace(rotor_drag=0.45)
    assert float(fastest_ramp(dragging, 2.0, 13.33, lags)) > 2.0 * told


def test_few_start_angles_search_and_all_of_them_prove() -> None:
    """The ramp told from 48 angles is one that all 48 hold, with slower ones; no faster than that of the few."""
    where = cart(damping=0.0, slope=0.0)
    lags = start_lags(where, np.asarray(False), 48)
    told = fastest_ramp(where, 2.0, 18.0, lags)
    assert told <= fastest_ramp(where, 2.0, 18.0, lags[::8]) * (1 + 1e-9)
    for share in (0.05, 0.15, 0.4, 0.89, 1.0):
        ramp = Ramp(2.0, share * told, 18.0)
        assert caught(where, ramp, follow(where, ramp, lags, where.window), where.window).all(), share


def test_sticking_holds_at_rest_and_drag_brakes_a_turning_rotor() -> None:
    """A field that stands still: below the sticking nothing moves; above it the first swing loses 2·drag of the angle,
    not 2·sticking: cos is a straight line for small angles, so drag shifts the swing's middle by drag/pull."""
    where = place(0.0, rotor_friction=0.45, rotor_drag=0.2)
    still = follow(where, STILL, np.array([0.02, 0.03, -0.03]), 1.0)
    assert still.turned == pytest.approx(0.0, abs=1e-12)  # 14·0.03 = 0.42 N·m
    half_a_swing = 0.5 * TURN / where.swing
    swung = follow(where, STILL, 0.1, half_a_swing, 4000).lag
    assert swung == pytest.approx(-(0.1 - 2.0 * 0.2 / PULL), rel=0.02)


def test_without_a_hold_every_start_angle_counts() -> None:
    held, free = answer("slope=0"), answer("slope=0", "start_hold=0 s")
    assert free["results"]["fastest_ramp"]["value"] < held["results"]["fastest_ramp"]["value"]
    assert any("no hold" in f["text"] for f in free["findings"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("end_frequency=2 Hz", "start_frequency=3 Hz"), "no ramp to judge"),
        (("sensing_emf=0.05 V", "start_frequency=10 Hz"), "no ramp to judge"),
        (("phase_current_limit=1 A",), "next to no field or no current"),
    ],
)
def test_a_ramp_that_cannot_be_judged_is_an_answer(words: tuple[str, ...], said: str) -> None:
    data = answer(*words)
    assert data["results"]["fastest_ramp"]["value"] is None
    assert any(f["severity"] == "stop" and said in f["text"] for f in data["findings"])


def test_ramp_and_fastest_ramp_never_contradict_each_other() -> None:
    """Also where the vehicle is millions of times the rotor, or nothing beside it."""
    for words in (
        ("total_mass=3000 kg", "gear_ratio=0.2", "wheel_diameter=1500 mm"),
        ("rotor_inertia=0.00001 kg·m²",),
        ("rotor_inertia=1 kg·m²", "total_mass=10 kg", "gear_ratio=100", "frequency_ramp=0.2 Hz/s"),
    ):
        data = answer(*words)
        ramp = data["inputs"]["frequency_ramp"]["value"]
        for row in data["results"]["places"]["value"]:
            assert (row["synchronises"] == "yes") == ((row["fastest"] or 0.0) >= ramp), (words, row)


def test_a_load_beyond_the_pull_is_said() -> None:
    data = answer("slope=30 %", "load_mass=300 kg")
    assert data["results"]["fastest_ramp"]["value"] is None
    assert any("No ramp starts it" in f["text"] for f in data["findings"])


def test_an_end_that_the_current_cannot_follow_is_said() -> None:
    assert any("won't reach" in f["text"] for f in answer("end_frequency=400 Hz")["findings"])
