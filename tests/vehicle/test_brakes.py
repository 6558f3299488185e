"""Stopping, locking, parking and heat: by hand, by balances of force and energy, and by published values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import cli, standards
from calc.sheet import Sheet
from calc.vehicle import brakes, holding
from tests.test_answers import answer
from tests.test_verdict import changed, check, without

G = 9.80665
FRAME = ("two", 0.0, 1.2, 0.5, 0.6)  # both wheels, level, wheelbase, cog, height
SLOPES, PARTS = st.floats(0.0, 0.4), st.floats(0.0, 1.0)


@pytest.mark.parametrize(
    ("slowing", "delay", "metres"), [(7.0, 0.0, 64.3), (5.0, 0.0, 90.0), (7.0, 0.5, 79.3), (5.0, 0.5, 105.0)]
)
def test_a_textbooks_car(slowing: float, delay: float, metres: float) -> None:
    """College Physics (OpenStax), example 2.12: 30 m/s on dry and wet concrete."""
    assert brakes.stopping_distance(30.0, delay, slowing) == pytest.approx(metres, rel=3e-3)


def test_a_roads_sight_distance_uphill() -> None:
    """60 mph, 2.5 s, 11.2 ft/s², +5 %: 522.1 ft; that formula rounds its units and takes the slope for its sine."""
    net = 11.2 * 0.3048 + brakes.slope_pull(0.05)
    assert brakes.stopping_distance(60 * 0.44704, 2.5, net) / 0.3048 == pytest.approx(522.1, rel=1e-3)


@given(st.floats(0.5, 20), st.floats(0.1, 9), st.floats(0.0, 0.3), st.floats(50, 500))
def test_brake_work_is_motion_and_height(speed: float, slowing: float, slope: float, mass: float) -> None:
    """Over the braking distance force · way = energy of motion + weight · height lost."""
    net = brakes.net_deceleration(slowing / G, slope)
    if net <= 0.05:
        return
    way = float(brakes.stopping_distance(speed, 0.0, net))
    lost = way * slope / np.sqrt(1 + slope**2)
    assert mass * slowing * way == pytest.approx(
        brakes.motion_energy(mass, speed) + brakes.height_energy(mass, lost), rel=1e-9
    )


def stepped(speed: float, delay: float, brake: float, slope: float, rolling: float = 0.0) -> float:
    """Way to standing by small steps in time: the slope pulls all the while, the brake from `delay` on."""
    step, way, time = 1e-4, 0.0, 0.0
    angle = np.arctan(slope)
    while speed > 0.0 and time < 60.0:
        held = brake if time >= delay else rolling * G * np.cos(angle)
        faster = speed + (G * np.sin(angle) - held) * step
        way += (speed + faster) / 2 * step
        speed, time = faster, time + step
    return way


@pytest.mark.parametrize(
    ("kmh", "delay", "brake", "slope"),
    [
        (11.0, 1.5, 3.2, 0.12),
        (12.0, 1.0, 3.0, 0.08),
        (20.0, 2.0, 2.5, 0.2),
        (9.0, 1.5, 3.2, 0.0),
        (5.0, 0.0, 2.0, 0.1),
    ],
)
def test_what_it_gathers_before_the_brake_bites_counts(
    kmh: float, delay: float, brake: float, slope: float
) -> None:
    """Against stepping in time; 11 km/h, 1.5 s, 3.2 m/s², 12 %: 11.6 m, where the gathering left out makes 6.9."""
    net, pull = brakes.net_deceleration(brake / G, slope), brakes.slope_pull(slope)
    told = float(brakes.stopping_distance(kmh / 3.6, delay, net, pull))
    assert told == pytest.approx(stepped(kmh / 3.6, delay, brake, slope), rel=2e-3)


def test_rolling_left_out_is_on_the_safe_side_and_no_more_than_a_ninth() -> None:
    """11 km/h, 1.5 s, 3.2 m/s², 12 %: 10.5 m with a rolling coefficient of 0.025, 6.88 m with nothing gathered."""
    net, pull = brakes.net_deceleration(3.2 / G, 0.12), brakes.slope_pull(0.12)
    told = float(brakes.stopping_distance(11 / 3.6, 1.5, net, pull))
    rolled = stepped(11 / 3.6, 1.5, 3.2, 0.12, 0.025)
    assert rolled == pytest.approx(10.5, abs=0.05) and rolled < told < 1.12 * rolled
    assert brakes.stopping_distance(11 / 3.6, 1.5, net) == pytest.approx(6.88, abs=0.01)


def test_the_verdict_and_the_page_count_it(cart: Sheet) -> None:
    """12 km/h down 8 %, 1 s, 3 m/s²: the brake bites at 14.8 km/h."""
    pull = G * np.sin(np.arctan(0.08))
    v, d = 12 / 3.6, 3.0 - pull
    way = v + pull / 2 + (v + pull) ** 2 / (2 * d)
    assert check(cart, "brakes").have == pytest.approx(way, rel=1e-6)
    r = answer("brakes")["results"]
    assert r["stopping_distance"]["value"] == pytest.approx(way, rel=1e-6)
    assert r["stopping_level"]["value"] == pytest.approx(v + v * v / 6.0, rel=1e-6)
    capped = r["sight_cap"]["value"] / 3.6
    assert stepped(capped, 1.0, 3.0, 0.08) == pytest.approx(14.0, rel=2e-3)


@given(st.floats(0.1, 60), st.floats(0.0, 3.0), st.floats(0.01, 9), st.floats(0.0, 3.0))
def test_the_speed_for_a_distance_needs_that_distance(
    way: float, delay: float, net: float, pull: float
) -> None:
    speed = brakes.speed_for_distance(way, delay, net, pull)
    there = brakes.stopping_distance(speed, delay, net, pull)
    assert there == pytest.approx(way, rel=1e-6) if speed > 0.0 else there >= way * (1 - 1e-6)


def test_what_each_axle_holds_by_hand() -> None:
    """w 1.2, a 0.5, h 0.6, grip 0.5, level: front 0.5·0.5/(1.2 − 0.3) = 0.2778; rear 0.5·0.7/(1.2 + 0.3) = 0.2333."""
    assert brakes.brake_cap("front", *FRAME, 0.5) == pytest.approx(0.25 / 0.9)
    assert brakes.brake_cap("rear", *FRAME, 0.5) == pytest.approx(0.35 / 1.5)
    assert brakes.brake_cap("none", *FRAME, 0.5) == 0.0


@given(PARTS, SLOPES, st.floats(0.3, 1.0), st.floats(0.1, 0.9), st.floats(0.1, 1.0))
def test_at_the_cap_no_tyre_is_beyond_its_grip(
    part: float, slope: float, h: float, place: float, grip: float
) -> None:
    """Loads by moments at the cap: neither axle asks more than grip · load, none carries less than nothing."""
    base = 1.3
    a = place * base
    force = float(brakes.split_cap("both", "two", part, slope, base, a, h, grip))
    cosine = 1 / np.sqrt(1 + slope**2)
    front = (cosine * a + force * h) / base
    rear = cosine - front
    assert rear >= -1e-9
    assert part * force <= grip * front + 1e-9
    assert (1 - part) * force <= grip * rear + 1e-9


@given(SLOPES, st.floats(0.1, 0.9), st.floats(0.1, 1.0))
def test_the_split_as_the_loads_are_holds_the_whole_grip(slope: float, place: float, grip: float) -> None:
    base, h = 1.3, 0.6
    a = place * base
    cosine = 1 / np.sqrt(1 + slope**2)
    whole = grip * cosine
    part = (cosine * a + whole * h) / base / cosine
    if part >= 1.0:  # over the front before that
        return
    assert brakes.split_cap("both", "two", part, slope, base, a, h, grip) == pytest.approx(whole)


@given(PARTS, SLOPES, st.floats(0.1, 1.0))
def test_an_unmeasured_split_is_never_counted_too_well(part: float, slope: float, grip: float) -> None:
    frame = ("two", slope, 1.3, 0.5, 0.6, grip)
    assert brakes.brake_cap("both", *frame) <= brakes.split_cap("both", "two", part, *frame[1:]) + 1e-12


def test_a_high_short_vehicle_goes_over_the_front() -> None:
    """Behind the centre of gravity 0.3 m, height 1 m: the rear lifts at 0.3 of the weight, grip 1 or not."""
    front, _, tips = brakes.lock_shares(1.0, "two", 0.0, 1.0, 0.7, 1.0, 1.0)
    assert tips == pytest.approx(0.3) and front > tips


def test_steeper_than_the_brakes_hold_runs_away_and_says_so() -> None:
    data = answer("brakes", "slope=30 %", "grip=0.25 ± 0.01, measured")
    assert data["results"]["stopping_distance"]["value"] is None
    assert any(f["severity"] == "stop" and "doesn't stop" in f["text"] for f in data["findings"])


def test_downhill_is_longest_and_the_level_is_between() -> None:
    r = answer("brakes")["results"]
    down, level, up = (r[k]["value"] for k in ("stopping_distance", "stopping_level", "stopping_uphill"))
    assert down > level > up
    v = 12 / 3.6
    assert level == pytest.approx(v * 1.0 + v * v / 6.0, rel=1e-6)  # 3 m/s², 1 s


def test_energy_and_heat_of_a_lorry() -> None:
    """College Physics (OpenStax), example 14.2: 10 t down 75 m, a tenth of the heat in 100 kg … 800 J/(kg·K): 92 K.

    The book takes 10 % of what 10 t lose in 750 m of road at 10 %: m·g·75 m into 100 kg.
    """
    heat = brakes.height_energy(10_000.0, 75.0)
    assert brakes.heat_rise(heat, 1.0, 100.0, 800.0) == pytest.approx(92.0, rel=0.01)


def test_parking_by_hand_and_the_worse_way_round() -> None:
    """300 kg, grip 0.4, rear axle, 10 %: nose down the rear carries (0.7·cos − 0.6·sin)/1.2."""
    cosine = 1 / np.sqrt(1.01)
    held = holding.parking_grip("rear", "two", 0.1, 1.2, 0.5, 0.6, 300.0, 0.4)
    assert held == pytest.approx(0.4 * 300 * G * (0.7 * cosine - 0.6 * 0.1 * cosine) / 1.2)
    assert holding.parking_held(100.0, held) == 100.0


@pytest.mark.parametrize(("speed", "k", "metres"), [(40 / 3.6, 90, 21.78), (40 / 3.6, 70, 26.86)])
def test_published_distances(speed: float, k: float, metres: float) -> None:
    """Directive 93/14/EEC: 0.1·V + V²/k at 40 km/h."""
    assert brakes.published_distance(speed, k) == pytest.approx(metres, rel=5e-4)


def test_the_directives_own_decelerations_go_with_their_k() -> None:
    """V²/k is v²/(2·d) with d = k/25.92; the directive rounds down to tenths."""
    for row in standards.rows("braking_93_14"):
        if row["k"]:
            assert float(row["deceleration"]) == pytest.approx(float(row["k"]) / 25.92, abs=0.08)


def test_one_brake_is_a_stop() -> None:
    found = answer("brakes", "second_axle=none")["findings"]
    assert any(f["severity"] == "stop" and "Only one brake" in f["text"] for f in found)


def test_the_motor_is_never_counted() -> None:
    """More field, more current: the distance is the same."""
    one = answer("brakes")["results"]["stopping_distance"]
    two = answer("brakes", "field_current=5 A", "phase_current_limit=200 A")["results"]["stopping_distance"]
    assert one == two


@pytest.mark.parametrize("key", ["deceleration", "sight_distance", "braked_axle", "reaction_time", "grip"])
def test_a_missing_entry_never_makes_the_brakes_ok(cart: Sheet, key: str) -> None:
    assert check(cart, "brakes").severity == "ok"
    assert check(without(cart, key), "brakes").severity != "ok"


@pytest.mark.parametrize("key", ["second_axle", "second_deceleration", "parking_axle", "parking_force"])
def test_nor_second_brake_and_parking(cart: Sheet, key: str) -> None:
    which = "second-brake" if key.startswith("second") else "parking"
    assert check(without(cart, key), which).severity != "ok"


def test_grip_caps_what_the_lever_gave(cart: Sheet) -> None:
    """A brake that gave 8 m/s² somewhere dry doesn't on grip 0.25."""
    weak = changed(cart, deceleration="8 m/s², measured", grip="0.15 ± 0.01, measured")
    assert check(weak, "brakes").severity == "stop"


def test_the_level_counts_where_it_is_the_longer(cart: Sheet) -> None:
    """A crawl downhill doesn't hide a fast level: 40 km/h with 3 m/s² and 1 s are 11.1 + 20.6 m."""
    fast = changed(cart, descent_speed="4 km/h", road_speed="40 km/h")
    j = check(fast, "brakes")
    assert j.have == pytest.approx(11.111 + 20.576, rel=1e-3) and j.severity == "stop"


def test_a_split_that_counts_for_nothing_is_said() -> None:
    said = answer("brakes", "braked_axle=rear", "front_brake_share=40 %")["findings"]
    assert any("counts for nothing" in f["text"] for f in said)
    assert not any(
        "counts for nothing" in f["text"] for f in answer("brakes", "braked_axle=rear")["findings"]
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("deceleration=-3 m/s²", "Deceleration of the working brake"),
        ("deceleration=30 m/s²", "Deceleration of the working brake"),
        ("deceleration=3 m/s", "Deceleration of the working brake"),
        ("reaction_time=10 s", "Time until the brake bites"),
        ("front_brake_share=140 %", "Part of the braking force"),
        ("braked_axle=middle", "Axle that the working brake"),
        ("sight_distance=", "Free way ahead"),
        ("brake_mass=0 kg", "Mass of the discs"),
    ],
)
def test_bad_entries_are_refused_by_name(words: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["run", "brakes", words]) == 2
    told = capsys.readouterr()
    assert said in told.err and "Traceback" not in told.err and not told.out


def over_backwards(
    rear: float, front: float, grip: float, slope: float, base: float, at: float, h: float
) -> bool:
    """Rolling backwards, brakes pulled slowly up to `rear` and `front` (as shares of the weight): does the front lift?

    By stepping: the force of each axle is the lesser of its brake and grip times its load, the loads those of moments
    about the contacts with the last step's forces.
    """
    cosine = 1 / np.hypot(1, slope)
    behind = ahead = 0.0
    for pulled in np.minimum(np.linspace(0.0, 2.0, 4000), 1.0):
        carried = (cosine * at - (behind + ahead) * h) / base
        if carried <= 0.0:
            return True
        behind += 0.1 * (min(pulled * rear, grip * (cosine - carried)) - behind)
        ahead += 0.1 * (min(pulled * front, grip * carried) - ahead)
    return False


@given(
    st.floats(0.0, 0.3), st.floats(0.15, 1.0), st.floats(0.1, 0.7), st.floats(0.0, 1.0), st.floats(0.15, 0.6),
    st.floats(0.3, 1.0),
)  # fmt: skip
def test_braking_while_rolling_back_by_stepping(
    slope: float, grip: float, brake: float, front: float, at: float, h: float
) -> None:
    lift = float(holding.back_lift(slope, at, h))
    rear = float(holding.rear_braking_split(brake * G, "both", front))
    given_ = float(holding.back_braking(rear, 0.0, "two", slope, grip))
    if abs(given_ - lift) < 0.02 * lift:
        return
    assert (given_ > lift) == over_backwards((1 - front) * brake, front * brake, grip, slope, 0.9, at, h)


ROLLS_BACK = {
    "braked_axle": "rear",
    "deceleration": "4.1 m/s², measured",
    "second_axle": "front",
    "wheelbase": "900 mm, measured",
    "cog_from_axle": "290 mm, measured",
    "cog_height": "760 mm, measured",
    "grip": "0.8 ± 0.02, measured",
}


def test_a_rear_brake_that_throws_it_over_backwards_is_a_stop(cart: Sheet) -> None:
    """8 %, a 290 mm, h 760 mm: the front lifts at cos·a/h = 0.380 of the weight, the brake gives 0.418, tyres 0.797."""
    high = changed(without(cart, "cog_weighing", "front_brake_share"), **ROLLS_BACK)
    judged = check(high, "rolling-back")
    assert judged.have is not None and judged.need is not None
    assert judged.have / G == pytest.approx(0.380, abs=1e-3)
    assert judged.need / G == pytest.approx(0.418, abs=1e-3)
    assert judged.severity == "stop" and "brake gently" in judged.do
    assert check(cart, "rolling-back").severity == "ok"
    slippery = check(changed(high, grip="0.3 ± 0.02, measured"), "rolling-back")
    assert slippery.severity == "ok" and slippery.need / G == pytest.approx(0.3 * 0.9968, abs=1e-3)
    both = check(changed(high, second_axle="rear"), "rolling-back")
    assert both.need / G == pytest.approx((4.1 + 2.1) / G, abs=1e-3)
    gentle = changed(high, braked_axle="front", second_axle="front")
    assert check(gentle, "rolling-back").severity == "ok"
    waits = check(without(high, "deceleration"), "rolling-back")
    assert waits.missing == ("deceleration",)
    words = [f"{key}={text}" for key, text in ROLLS_BACK.items()]
    found = [f for f in answer("brakes", *words)["findings"] if "over backwards" in f["text"]]
    assert [f["severity"] for f in found] == ["stop"] and "nobody behind it" in found[0]["do"]
