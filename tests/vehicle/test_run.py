"""Gathering speed, grip while it does, and a solid axle in a turn: closed cases and what energy says."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.cli import main
from calc.drive import launch
from calc.sheet import Sheet
from calc.vehicle import run, scrub
from calc.vehicle.road import GRAVITY, road_load
from tests.test_verdict import changed, check, without

FRAME = (1.35, 0.56, 0.62, "rear", "two")


def test_a_constant_force_has_a_closed_form() -> None:
    """100 N on 250 kg: 5 m/s after 12.5 s and 31.25 m."""
    speeds = np.linspace(0.0, 5.0, 21)
    times, distances = run.times(speeds, np.full(21, 100.0), 250.0)
    assert times[-1] == pytest.approx(12.5)
    assert distances[-1] == pytest.approx(31.25)
    assert launch.gathering(speeds, np.full(21, 100.0), 250.0) == pytest.approx((12.5, 31.25))


def test_work_at_the_rim_is_energy_of_motion_and_what_the_road_takes() -> None:
    speeds = run.grid(6.0, [], 400)
    pull = 400.0 - 40.0 * speeds
    load = road_load(250.0, 0.03, 0.02, 0.8, speeds)
    _, distances = run.times(speeds, pull - load, 270.0)
    work = np.trapezoid(pull, distances)
    taken = np.trapezoid(load, distances)
    assert work == pytest.approx(taken + 0.5 * 270.0 * speeds[-1] ** 2, rel=1e-4)


def test_it_stops_being_told_where_nothing_is_left() -> None:
    speeds = np.linspace(0.0, 4.0, 5)
    times, _ = run.times(speeds, np.array([50.0, 20.0, -1.0, 5.0, 5.0]), 100.0)
    assert len(times) == 2
    assert run.times(speeds, np.full(5, -1.0), 100.0) == ([], [])


def test_wheels_count_as_a_rolling_hoop_does() -> None:
    """A hoop of mass m rolling has twice m to be sped up: J = m·r²."""
    assert run.run_mass(100.0, 3.0 * 0.18**2, 0.36) == pytest.approx(103.0)


@given(
    st.floats(-0.2, 0.3),
    st.floats(0.1, 0.9),
    st.sampled_from(["rear", "front"]),
    st.sampled_from(["one", "two"]),
)
def test_held_force_is_grip_on_the_load_that_the_pull_itself_makes(slope, grip, axle, wheels) -> None:
    """Put back: the load on the axle at that acceleration, times grip, is the force."""
    load = float(road_load(290.0, slope, 0.02, 0.0, 0.0))
    held = float(launch.held_force(load, 300.0, 290.0, slope, grip, 1.35, 0.56, 0.62, axle, wheels))
    gained = (held - load) / 300.0
    share = launch.rear_share if axle == "rear" else launch.front_share
    there = share(slope, 1.35, 0.56, 0.62, gained) * (0.5 if wheels == "one" else 1.0)
    whole = grip * 290.0 * GRAVITY / np.sqrt(1 + slope**2) * (0.5 if wheels == "one" else 1.0)
    if 0.0 < held < whole:
        assert held == pytest.approx(grip * 290.0 * GRAVITY * there, rel=1e-9)


def test_at_steady_speed_it_is_the_grip_at_a_crawl() -> None:
    share = launch.driven_share(0.08, *FRAME)
    crawl = float(launch.grip_force(290.0, 0.5, share))
    assert float(launch.held_force(crawl, 300.0, 290.0, 0.08, 0.5, *FRAME)) == pytest.approx(crawl)


def test_scrub_by_hand() -> None:
    """293 kg, 58.5 % rear, 0.5, 0.8 m, 1.35 m, 2.5 m: 0.5·293·9.80665·0.585·0.4 = 336.2 N·m (docs/method.md)."""
    moment = scrub.scrub_moment(293.0, 0.5, 0.585, 0.8)
    assert moment == pytest.approx(336.2, abs=0.1)
    assert scrub.scrub_force(moment, 2.5) == pytest.approx(134.5, abs=0.1)
    assert scrub.slide_share(0.8, 2.5) == pytest.approx(0.16)


@given(st.floats(0.1, 1.0), st.floats(0.3, 1.5), st.floats(1.0, 20.0), st.floats(0.3, 0.8))
def test_scrub_by_sliding_and_by_steering_agree(grip, track, radius, rear) -> None:
    """Work of two sliding tyres for each metre, and the backward part of what the front tyres push, are one number."""
    weight = 250.0 * GRAVITY
    moment = scrub.scrub_moment(250.0, grip, rear, track)
    sliding = 2 * grip * weight * rear / 2 * scrub.slide_share(track, radius)
    share = scrub.steering_share(250.0, grip, 1 - rear, moment, 1.3, radius)
    sideways = share * grip * weight * (1 - rear)
    assert scrub.scrub_force(moment, radius) == pytest.approx(sliding)
    assert sideways * np.sin(np.arctan(1.3 / radius)) == pytest.approx(sliding)


def test_grip_doesnt_matter_to_the_steering() -> None:
    shares = [
        scrub.steering_share(250.0, grip, 0.4, scrub.scrub_moment(250.0, grip, 0.6, 0.8), 1.3, 3.0)
        for grip in (0.2, 0.9)
    ]
    assert shares[0] == pytest.approx(shares[1])


def answer(capsys: pytest.CaptureFixture[str], *given: str) -> dict:
    assert main(["run", "gearing", *given, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_the_run_of_the_cart(capsys: pytest.CaptureFixture[str]) -> None:
    rows = answer(capsys)["results"]["run"]["value"]
    for name in ("level_time", "level_distance", "slope_time"):
        told = [row[name] for row in rows if row[name] is not None]
        assert told == sorted(told) and len(told) > 2
    assert all(row["slope_time"] is None or row["slope_time"] > row["level_time"] for row in rows)
    icy = answer(capsys, "grip=0.15")["results"]["run"]["value"]
    assert icy[0]["level_time"] > rows[0]["level_time"]


def test_one_wheel_has_no_scrub_and_less_grip(capsys: pytest.CaptureFixture[str]) -> None:
    both, one = (answer(capsys, "track=800 mm", f"driven_wheels={n}") for n in ("two", "one"))
    assert both["results"]["scrub_force"]["value"] > 100
    assert one["results"]["scrub_force"]["value"] is None
    assert any("they spin" in f["text"] for f in one["findings"])


def test_a_short_wide_nose_light_cart_runs_straight_on(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer(capsys, "track=1500 mm", "cog_from_axle=250 mm", "turn_radius=1.5 m")
    assert told["results"]["steering_share"]["value"] > 100
    assert any("runs straight on" in f["do"] and f["severity"] == "stop" for f in told["findings"])


OVERPOWERED = {
    "track": "1000 mm, measured",
    "wheelbase": "900 mm, measured",
    "cog_from_axle": "270 mm, measured",
    "turn_radius": "1.6 m, measured",
}


def test_a_solid_axle_that_overpowers_the_steering_is_a_stop(cart: Sheet) -> None:
    """By moments of forces: the axle's two tyres slide, each µ·N/2 on t/2; the front ones push µ·N_front across their
    own way. Track 1 m, wheelbase 0.9, 30 % in front, 1.6 m: 149 % of that is wanted. Grip falls out."""
    short = changed(without(cart, "cog_weighing"), **OVERPOWERED, cog_height="620 mm, measured")
    rear, front = 0.63 / 0.9 * 100, 0.27 / 0.9 * 100
    resists = 2 * (0.5 * rear / 2) * (1.0 / 2)
    forces = 0.5 * front * 0.9 * np.cos(np.arctan(0.9 / 1.6))
    judged = check(short, "steering")
    assert judged.have == pytest.approx(resists / forces, rel=1e-9) and judged.have == pytest.approx(
        1.49, abs=0.01
    )
    assert judged.severity == "stop" and "straight on" in judged.do
    assert check(changed(short, driven_wheels="one"), "steering").severity == "ok"
    assert check(changed(short, driven_axle="front"), "steering").severity == "ok"
    assert check(changed(short, wheels="3", single_wheel="rear"), "steering").severity == "ok"
    assert check(changed(short, wheels="3", single_wheel="front"), "steering").severity == "stop"


def test_steering_waits_for_what_it_needs_and_rests_on_nothing_usual(cart: Sheet) -> None:
    assert check(cart, "steering").severity == "ok"
    assert check(without(cart, "track"), "steering").missing == ("track",)
    assert check(without(cart, "wheels"), "steering").missing == ("wheels",)
    usual = check(without(cart, "turn_radius"), "steering")
    assert usual.severity == "caution" and "tightest turn" in usual.do
    heavy = check(changed(cart, track="1000 mm ± 10 mm, measured"), "steering")
    assert heavy.severity == "caution" and "steer wide" in heavy.do
