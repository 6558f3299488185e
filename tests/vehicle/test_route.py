"""A route: slopes from heights, walked in time, reduced for the draws, judged."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from calc import cli, sheet
from calc.build import Build, Input, Values
from calc.calculators.ride.places import CUTOFF, DRIVEN, PROTECTION, RESERVE, places
from calc.drive.inverter import steady_state
from calc.entries import parse
from calc.fields import FIELDS
from calc.vehicle import ride, road, route
from calc.vehicle.gearing import motor_speed_at, wheel_force
from calc.vehicle.walk import charge_ends


def build(**texts: str) -> Build:
    """The worked example with some entries in place of its own."""
    given = {key: parse(FIELDS[key], text) for key, text in texts.items()}
    return Build.of([("given", given), ("demo", sheet.demo().entries)])


def values(**texts: str) -> Values:
    return build(**texts).nominal()


def wild(rows: int, seed: int, steep: float = 3.0) -> str:
    """A route of all kinds of going, as one would paste it."""
    rng = np.random.default_rng(seed)
    slope = 2.0 * np.convolve(rng.normal(0.0, steep, rows), np.ones(8) / 8.0, "same")
    lines = [
        f"{rng.integers(5, 40)};{g:.2f};{rng.choice(['measured', 'gravel', 'field', 'road'])};{rng.choice([8, 10, 12])}"
        for g in slope - slope.mean()
    ]
    return "distance (m);slope (%);surface;speed (km/h)\n" + "\n".join(lines)


def answer(*words: str) -> Mapping[str, Any]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", "ride", *words, "--json"]) == 0
    data: Mapping[str, Any] = json.loads(out.getvalue())
    return data


def test_a_straight_ramp_keeps_its_slope_and_noise_is_smoothed() -> None:
    """Bound from geometry: the smoothing can't change a straight line, nor the climb from end to end."""
    way = np.linspace(0.0, 800.0, 161)
    assert route.smoothed_slopes(way, 0.06 * way) == pytest.approx(np.full(160, 0.06), abs=1e-9)
    noisy = 0.06 * way + np.random.default_rng(4).normal(0.0, 1.0, len(way))
    slopes = route.smoothed_slopes(way, noisy)
    raw = np.diff(noisy) / np.diff(way)
    assert np.std(slopes) < 0.15 * np.std(raw)
    assert float((slopes * np.diff(way)).sum()) == pytest.approx(noisy[-1] - noisy[0], abs=1e-9)
    far = np.array([0.0, 300.0, 500.0, 900.0])
    hill = np.array([100.0, 118.0, 112.0, 112.0])
    assert route.smoothed_slopes(far, hill) == pytest.approx(np.diff(hill) / np.diff(far), abs=0.012)
    short = np.array([0.0, 3.0, 10.0])
    assert route.smoothed_slopes(short, 200.0 + 0.1 * short) == pytest.approx([0.1, 0.1])


def test_heights_and_slopes_of_one_ramp_give_one_ride() -> None:
    points = "distance, height, speed; " + "; ".join(f"{20 * k}, {200 + k:g}, 8" for k in range(41))
    by_heights, by_slope = values(route=points), values(route="800 m, 5 %, , 8 km/h")
    for node in ("energy_per_distance", "mean_power", "run_time", "walk_energy", "walk_time", "charge_left"):
        assert float(by_heights[node]) == pytest.approx(float(by_slope[node]), rel=1e-4), node


def test_heights_that_no_wheel_climbs_are_an_answer_without_numbers() -> None:
    data = answer("route=distance, height; 0, 200; 100, 260; 200, 330")
    assert data["findings"][0]["severity"] == "stop" and "row" in data["findings"][0]["text"]
    assert data["results"]["run_time"]["value"] is None


def test_a_route_of_one_row_is_a_duty_of_one_row() -> None:
    for text, share in (
        ("900 m, 4 %, measured, 8 km/h", "8 km/h, 4 %, 100 %"),
        ("5 km, 0 %", "12 km/h, 0 %, 30 %"),
    ):
        along, duty = values(route=text), values(duty=share)
        for node in ("energy_per_distance", "mean_power", "run_time", "ride_range", "field_share"):
            assert float(along[node]) == pytest.approx(float(duty[node]), rel=1e-9), node
        assert float(along["winding_rise"]) == pytest.approx(float(duty["winding_rise"]), rel=1e-9)


def test_energy_of_a_route_is_conserved() -> None:
    """What the cells give is what road, machine, controller, field, electronics and the pack itself take."""
    v = values(route=wild(300, 2))
    w = v["walk"]
    wheel = road.road_load(v["total_mass"], w.slope, w.rolling, v["drag_area"], w.speed) * w.speed
    motor = motor_speed_at(w.speed, v["gear_ratio"], v["wheel_diameter"])
    n = motor * 30 / np.pi / 1000  # thousands of turns a minute; drag as docs/method-drive.md, Losses, has it
    iron, rest = v["friction_torque"] * v["iron_share"], v["friction_torque"] * (1.0 - v["iron_share"])
    drag = iron * (0.5 + 0.5 * n) + rest * (0.9 + 0.1 * n * n)
    shaft = wheel_force(w.torque - drag, v["gear_ratio"], v["wheel_diameter"], v["drive_efficiency"])
    pulls = wheel > 0.0
    assert (shaft * w.speed)[pulls] == pytest.approx(wheel[pulls])
    copper = np.square(w.line_current) * v["hot_line_resistance"]
    bus = (w.torque * motor + copper) / v["controller_efficiency"] + v["field_drain"] + v["idle_power"]
    assert w.voltage * w.current == pytest.approx(bus)
    assert w.power == pytest.approx(bus + np.square(w.current) * v["pack_resistance"])
    charge = float((w.current * w.time).sum()) / float(v["pack_capacity"])
    assert 1.0 - v["charge_left"] == pytest.approx(charge)
    # Climb and fall are geometry, whatever the classes: their distance and rise are the route's.
    rise = sum(speed * slope * share for speed, slope, share in v["duty"])
    assert rise * w.time.sum() == pytest.approx(float((w.slope * w.length).sum()), abs=1e-6)
    assert v["mean_speed"] * w.time.sum() == pytest.approx(float(w.length.sum()))


@pytest.mark.parametrize("steep", [0.5, 2.0, 4.0])
def test_the_classes_of_a_route_take_what_the_whole_takes(steep: float) -> None:
    """docs/method-power.md states 1.5 % of the mean power and of the copper's heat; at most a dozen classes."""
    for seed in range(6):
        v = values(route=wild(800, seed, steep))
        w = v["walk"]
        assert len(v["duty"]) <= 12
        assert float(v["mean_power"]) == pytest.approx(v["walk_energy"] / v["walk_time"], rel=0.015)
        heat = (np.square(w.line_current) * w.time).sum() / w.time.sum()
        squares = sum(
            np.square(i) * share for i, (_, _, share) in zip(v["duty_currents"], v["duty"], strict=True)
        )
        assert float(squares) == pytest.approx(float(heat), rel=0.015)


def test_the_fastest_speed_is_where_full_throttle_holds_the_road() -> None:
    """Against the solution in time: at the speed had, full throttle from the pack's own sag makes the torque needed.

    docs/method-power.md states 1 %, and 5 % by the corner where the battery limit hands over (the 9 % climb). The
    solver knows ideal switches: what the controller loses is taken off its limit, and put on the pack's sag.
    """
    v = values(route="300 m, 0 %, , 60 km/h; 300 m, 9 %, , 35 km/h; 300 m, 14 %, , 35 km/h")
    w, passed = v["walk"], v["controller_efficiency"]
    k, steep = (int(np.flatnonzero(w.slope > least)[3]) for least in (0.05, 0.1))
    assert [w.limit[piece] for piece in (0, k, steep)] == ["voltage", "voltage", "battery limit"]
    assert w.speed[k] < 0.95 * w.wanted[k]
    for piece, close in ((0, 0.01), (k, 0.05), (steep, 0.01)):
        found = steady_state(
            motor_speed_at(w.speed[piece], v["gear_ratio"], v["wheel_diameter"]),
            v["emf_constant"],
            v["hot_line_resistance"],
            v["line_inductance"],
            v["pole_pairs"],
            w.open_voltage[piece],
            v["pack_resistance"] / passed,
            v["phase_current_limit"],
            v["battery_current_limit"] * passed,
            v["switching_error"],
            extra_current=passed * (v["field_drain"] + v["idle_power"]) / w.open_voltage[piece],
            armature_per_ampere=v["armature_per_ampere"],
        )
        assert float(found.torque) == pytest.approx(float(w.torque[piece]), rel=close)
    # Where the battery limit holds it, the drive takes just that from the pack; field and electronics come beside.
    beside = (v["field_drain"] + v["idle_power"]) / w.voltage[steep]
    assert w.current[steep] - beside == pytest.approx(float(v["battery_current_limit"]), rel=0.01)


def test_part_load_draws_agree_with_the_solution_in_time() -> None:
    """The closed form behind every draw of the ride, against throttle in time: docs/method-power.md states 2 %."""
    v = values()
    speed = motor_speed_at(np.repeat([4.0, 8.0, 12.0], 79) / 3.6, v["gear_ratio"], v["wheel_diameter"])
    motor, throttle = np.asarray(speed), np.tile(np.linspace(0.02, 0.8, 79), 3)
    found = steady_state(
        motor,
        v["emf_constant"],
        v["hot_line_resistance"],
        v["line_inductance"],
        v["pole_pairs"],
        v["rested_voltage"],
        v["pack_resistance"],
        v["phase_current_limit"],
        v["battery_current_limit"],
        v["switching_error"],
        armature_per_ampere=v["armature_per_ampere"],
        throttle=throttle,
    )
    other = float(v["field_drain"] + v["idle_power"])
    solved = found.battery_current * found.bus_voltage / v["controller_efficiency"] + other
    closed: Any = ride.electrical_power(
        found.torque,
        motor,
        v["emf_constant"],
        v["hot_line_resistance"],
        v["controller_efficiency"],
        v["field_drain"],
        v["idle_power"],
        v["switching_error"],
    )
    used = found.found & (found.torque > 1.0) & (found.torque < 12.0)
    assert np.count_nonzero(used) > 12
    assert closed[used] == pytest.approx(solved[used], rel=0.02)


def test_places_tell_which_limit_binds_where() -> None:
    climb = "500 m, 0 %, , 10 km/h; 200 m, 9 %, , 25 km/h; 300 m, 0 %, , 10 km/h"
    v = values(route=climb, pack_current_limit="35 A, rated", battery_current_limit="40 A, rated")
    found = {row["limit"]: row for row in places(v)}
    assert found[PROTECTION]["start"] == pytest.approx(500.0)
    assert found[PROTECTION]["end"] == pytest.approx(700.0)
    assert found[PROTECTION]["current"] > 35.0
    slow = found["battery current limit"]
    assert slow["speed"] < slow["speed_wanted"] and slow["start"] == pytest.approx(500.0)
    assert all(row["start"] < row["end"] <= 1000.0 + 1e-6 for row in found.values())
    assert CUTOFF in {row["limit"] for row in places(values(route=climb, controller_voltage_cutoff="56.5 V"))}
    down = {row["limit"] for row in places(values(route="400 m, 0 %; 400 m, -9 %, , 40 km/h"))}
    assert DRIVEN in down and RESERVE not in down


def test_the_reserve_is_reached_where_the_charge_says() -> None:
    """One long level stretch, small pack: distance to the reserve by charge = current · time, at a steady current."""
    v = values(route="60 km, 0 %, , 12 km/h", cell_capacity="25 Ah", reserve_charge="20 %")
    w = v["walk"]
    ends = charge_ends(w, 0.2)
    assert ends is not None
    by_hand = 0.8 * 25 * 3600 / float(w.current[: len(w.current) // 3].mean()) * 12 / 3.6
    assert ends == pytest.approx(by_hand, rel=0.01)
    stops = [f["text"] for f in answer("route=60 km, 0 %, , 12 km/h", "cell_capacity=25 Ah")["findings"]]
    assert any("down to the reserve" in text for text in stops)


def test_a_stretch_that_nothing_climbs_is_a_stop() -> None:
    data = answer("route=400 m, 0 %; 50 m, 38 %, sand, 8 km/h", "phase_current_limit=40 A")
    stops = [f["text"] for f in data["findings"] if f["severity"] == "stop"]
    assert any("it stands" in text and "38 %" in text for text in stops)
    assert any("can't be driven" in text for text in stops)
    assert any(row["speed"] == 0.0 for row in data["results"]["limits"]["value"])


def test_a_table_surface_has_its_own_doubt_and_a_measured_one_the_sheets() -> None:
    sand = build(route="400 m, 0 %, sand, 5 km/h").drawn()
    low, high = (float(np.quantile(sand["duty_rolling"][0], q)) for q in (0.0, 1.0))
    assert 0.2 <= low < 0.22 and 0.38 < high <= 0.4
    known = "0.025 ± 0.005, measured"
    own = build(route="400 m, 0 %, measured, 5 km/h", rolling_coefficient=known).drawn()
    assert np.ptp(own["duty_rolling"][0]) == pytest.approx(0.01, rel=0.05)
    assert np.ptp(np.asarray(build(route="400 m, 0 %, loose, 5 km/h").drawn()["duty_rolling"][0])) == 0.0


def test_the_nearer_of_rows_and_route_counts_and_both_in_one_are_told() -> None:
    data = answer("route=900 m, 0 %, , 9 km/h")
    assert "duty" in data["inputs"] and data["inputs"]["duty"]["from"] == "computed"
    both = answer("route=900 m, 0 %, , 9 km/h", "duty=5 km/h, 0 %, 100 %")
    assert any("was entered, and" in f["text"] for f in both["findings"])
    assert both["results"]["run_time"]["value"] == pytest.approx(
        answer("duty=5 km/h, 0 %, 100 %")["results"]["run_time"]["value"]
    )


def test_over_the_draws_classes_last_as_long_as_every_stretch() -> None:
    """Every stretch as a row of its own, drawn: docs/method-power.md states 1 % of the run time in every draw."""
    along = build(route=wild(180, 5).replace("gravel", "measured").replace("field", "").replace("road", ""))
    w = along.nominal()["walk"]
    rows = tuple(zip(w.speed.tolist(), w.slope.tolist(), (w.time / w.time.sum()).tolist(), strict=True))
    kept = {key: item for key, item in along.entered.items() if key != "route"}
    every = Build({**kept, "duty": Input("duty", rows, 0.0, "", "given")})
    assert len(rows) == 180 and len(along.nominal()["duty"]) <= 12
    ratio = along.drawn()["run_time"] / every.drawn()["run_time"]
    assert ratio.shape == (2000,)
    assert np.abs(ratio - 1.0).max() < 0.01


def test_the_verdict_judges_a_route() -> None:
    easy, steep = (build(route=text) for text in ("900 m, 2 %, , 9 km/h", "900 m, 2 %; 50 m, 30 %, sand"))
    assert float(easy.nominal()["least_reach"]) > 1.0
    assert np.all(easy.drawn()["least_reach"] > 1.0)
    assert float(steep.nominal()["least_reach"]) < 1.0
