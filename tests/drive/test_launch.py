"""Moving off: grip, weight on the wheels, acceleration and a stall's heat, by hand and by published values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import calculators
from calc.answer import Answer, evaluate
from calc.drive import launch, positions, standing
from calc.entries import parse
from calc.fields import FIELDS
from calc.machine import endurance
from calc.sheet import Sheet, demo
from calc.vehicle import road
from tests.test_verdict import changed, check, without

G = 9.80665
LENGTHS = st.floats(0.3, 3.0)
SLOPES = st.floats(0.0, 0.4)


def test_road_load_of_a_light_vehicle() -> None:
    """180 kg, 0.015, 0.7 m², 25 km/h, 8 %: 26.394 + 140.766 + 20.677 = 187.836 N (closed form, worked beforehand)."""
    assert road.road_load(180.0, 0.08, 0.015, 0.7, 25 / 3.6) == pytest.approx(187.836, rel=1e-4)


# Weight on the axles


def test_weight_on_the_level_is_that_of_a_lever() -> None:
    """A centre of gravity 0.4 m in front of the rear axle of 1.2 m: a third in front, two thirds behind."""
    assert launch.front_share(0.0, 1.2, 0.4, 0.6) == pytest.approx(1 / 3)
    assert launch.rear_share(0.0, 1.2, 0.4, 0.6) == pytest.approx(2 / 3)


@given(SLOPES, LENGTHS, st.floats(0.1, 0.9), st.floats(0.1, 1.5), st.floats(0.0, 3.0))
def test_weight_transfer_is_the_balance_of_moments(
    slope: float, base: float, at: float, height: float, gained: float
) -> None:
    """Forces and moments about the rear contact, 100 kg, worked from vectors: nothing turns, nothing lifts."""
    angle, mass = np.arctan(slope), 100.0
    rear = launch.rear_share(slope, base, at * base, height, gained) * mass * G
    front = launch.front_share(slope, base, at * base, height, gained) * mass * G
    assert rear + front == pytest.approx(mass * G * np.cos(angle))
    # About the rear contact: weight's part along the road and inertia at the height of the centre of gravity push back.
    back = (mass * G * np.sin(angle) + mass * gained) * height
    assert front * base + back == pytest.approx(mass * G * np.cos(angle) * at * base, abs=1e-6)


@given(LENGTHS, st.floats(0.1, 0.9), st.floats(0.3, 1.5))
def test_it_tips_where_the_front_carries_nothing(base: float, at: float, height: float) -> None:
    slope = launch.tip_slope(at * base, height)
    assert launch.front_share(slope, base, at * base, height) == pytest.approx(0.0, abs=1e-9)


def test_a_slope_loads_the_rear_and_unloads_the_front() -> None:
    """By hand: 8 % on 1.35 m with the centre of gravity 0.56 m forward and 0.62 m up: (0.79 + 0.08·0.62)/1.35·cos θ."""
    share = launch.driven_share(0.08, 1.35, 0.56, 0.62, "rear", "two")
    assert share == pytest.approx((0.79 + 0.08 * 0.62) / 1.35 / np.sqrt(1 + 0.08**2))
    assert launch.driven_share(0.08, 1.35, 0.56, 0.62, "front", "two") < 0.56 / 1.35
    assert launch.driven_share(0.08, 1.35, 0.56, 0.62, "rear", "one") == pytest.approx(share / 2)


# Rubber on concrete, standing and sliding: dry 1.0 and .7, wet .7 and .5 (OpenStax, read); dry asphalt .65, dry
# concrete .75, wet grass .2 (Noon 1994, second hand). All the weight on driven wheels holds a slope of the grip.
@pytest.mark.parametrize("grip", [1.0, 0.7, 0.5, 0.65, 0.75, 0.2])
def test_all_wheels_hold_a_slope_as_steep_as_the_grip(grip: float) -> None:
    weight_on_all = 1.0 / np.sqrt(1.0 + grip**2)
    assert launch.grip_force(100.0, grip, weight_on_all) == pytest.approx(road.grade_force(100.0, grip))


def test_published_grips_are_within_what_may_be_entered() -> None:
    low, high = FIELDS["grip"].limits()
    assert all(low <= grip <= high for grip in (1.0, 0.7, 0.5, 0.65, 0.75, 0.2))


# Gathering way


@given(st.floats(50.0, 500.0), st.floats(5.0, 2000.0))
def test_a_constant_force_gathers_by_the_closed_form(mass: float, force: float) -> None:
    speeds = np.linspace(0.0, launch.WALKING_PACE, 9)
    seconds, metres = launch.gathering(speeds, np.full(9, force), mass)
    assert seconds == pytest.approx(mass * 1.4 / force)
    assert (
        force * metres == pytest.approx(launch.moving_energy(mass, 1.4)) == pytest.approx(0.5 * mass * 1.96)
    )


def test_a_falling_force_does_the_work_that_is_in_the_motion() -> None:
    """F = 300 N − 100 N·s/m·v on 200 kg, integrated by hand: t = m/k·ln(F0/F1), and work = energy."""
    speeds = np.linspace(0.0, 1.4, 9)
    forces = 300.0 - 100.0 * speeds
    seconds, metres = launch.gathering(speeds, forces, 200.0)
    assert seconds == pytest.approx(2.0 * np.log(300 / 160), rel=2e-3)
    mean_force = launch.moving_energy(200.0, 1.4) / metres
    assert 160.0 < mean_force < 300.0


def test_the_rotor_weighs_as_much_as_its_energy_says() -> None:
    """½·J·ω² = ½·m·v² with ω = v·2·n/d: 0.0035 kg·m² at 8.18 : 1 on 360 mm is 7.23 kg."""
    assert launch.moved_mass(0.0, 0.0035, 90 / 11, 0.36) == pytest.approx(7.231, abs=0.002)


# Stalled


def test_ten_amperes_on_each_square_millimetre_warm_copper_by_half_a_kelvin_a_second() -> None:
    """J = 10 A/mm², 20 °C: 0.50 K/s (ρ 0.01724 Ω·mm²/m, 385 J/(kg·K), 8.89 g/cm³; 2 %). Star: one of three coils, the
    line's resistance that of two, 1 m of 1 mm² each."""
    ohms, mass = 2 * 0.01724, 3 * 0.00889
    kelvin = 293.15
    seconds = launch.stall_time(10.0, ohms, mass, "star", kelvin, kelvin + 0.5)
    assert 0.5 / seconds == pytest.approx(0.50, rel=0.02)


def test_the_hottest_coil_by_kirchhoff() -> None:
    """Three equal coils of 1 Ω: in delta one beside two in series, 2/3 and 1/3 of the current; in star two."""
    delta = np.array([2 / 3, 1 / 3, 1 / 3]) ** 2
    assert delta.max() / delta.sum() == pytest.approx(launch.hottest_share("delta"))
    star = np.array([1.0, 1.0, 0.0])
    assert star.max() / star.sum() == pytest.approx(launch.hottest_share("star"))
    # All of it is the line's: current squared times the resistance between two leads, 2/3 Ω and 2 Ω.
    assert launch.stall_loss(1.0, 2 / 3) == pytest.approx(delta.sum())
    assert launch.stall_loss(1.0, 2.0) == pytest.approx(star.sum())


@pytest.mark.parametrize("connection", ["star", "delta"])
def test_a_stall_as_long_as_it_may_last_warms_the_coil_to_its_limit(connection: str) -> None:
    """The time to a temperature and the rise in a time are one heating, seen from its two sides."""
    ohms, mass, cold, limit = 0.036, 0.75, 343.15, 428.15
    seconds = launch.stall_time(100.0, ohms, mass, connection, cold, limit)
    share = launch.hottest_share(connection)
    assert endurance.pulse_rise(100.0, ohms, cold, seconds, mass, share) == pytest.approx(
        limit - cold, rel=1e-9
    )


def test_stall_time_is_the_integral_of_the_heating() -> None:
    """Stepped with a small step, resistance growing with temperature (NBS Handbook 100: 0.00393 per kelvin)."""
    kelvin, seconds, step = 343.15, 0.0, 0.002
    while kelvin < 428.15:
        ohms = 0.036 * (1 + 0.00393 * (kelvin - 293.15))
        kelvin += 2 / 3 * 100**2 * ohms / (0.75 / 3 * 385) * step
        seconds += step
    assert launch.stall_time(100.0, 0.036, 0.75, "delta", 343.15, 428.15) == pytest.approx(seconds, rel=1e-3)
    assert launch.stall_time(100.0, 0.036, 0.75, "delta", 430.0, 428.15) == 0.0
    assert np.isfinite(launch.stall_time(0.0, 0.036, 0.75, "delta", 343.15, 428.15))


# Each rotor position


@given(st.floats(0.02, 0.4), st.floats(1.0, 500.0), st.floats(-0.5, 0.5))
def test_arches_have_the_mean_and_the_least_of_the_closed_form(
    constant: float, amps: float, late: float
) -> None:
    """3/π·cos ε and cos(30° + |ε|): reference values, and the mean over a turn by the trapezoid rule."""
    angles, torques = positions.along_turn(constant, amps, [late] * 6, 400)
    mean = float(((torques[1:] + torques[:-1]) * np.diff(angles)).sum() / 2.0) / (2 * np.pi)
    assert mean == pytest.approx(float(standing.standing_torque(constant, amps, late)), rel=1e-4)
    least = float(standing.standing_torque_worst(constant, amps, late))
    assert torques.min() == pytest.approx(least, rel=1e-6)
    assert min(s.least for s in positions.sectors(constant, amps, [late] * 6)) == pytest.approx(
        least, rel=1e-6
    )


def test_late_sensors_are_weakest_before_a_change_and_early_ones_after() -> None:
    late = positions.sectors(0.1, 100.0, [0.2] * 6)[0]
    early = positions.sectors(0.1, 100.0, [-0.2] * 6)[0]
    assert late.last < late.first and early.first < early.last


def told(calculator: str = "standing-start", **texts: str) -> Answer:
    entries = {key: parse(FIELDS[key], text) for key, text in texts.items()}
    return evaluate(calculators.find(calculator), [("given", entries), ("demo", demo().entries)])


def test_the_worst_sector_is_that_beside_the_sensor_that_is_off(cart: Sheet) -> None:
    """One sensor forward by 1.5 mm of a 92 mm bore, 8 pairs: 15° late at both of its edges, sectors beside them."""
    entries = {**cart.entries, "sensor_offsets": parse(FIELDS["sensor_offsets"], "0 mm; -1.5 mm; 0 mm")}
    answer = evaluate(calculators.find("standing-start"), [("sheet", entries)])
    even = evaluate(calculators.find("standing-start"), [("sheet", cart.entries)])
    assert even.results["worst_sector"].startswith("every sector")
    # Sensor 2 switches between 100 and 110, and between 011 and 001; earlier still, so the sector that begins there.
    assert answer.results["worst_sector"].startswith("lamps 110, 001")
    least = min(min(r["first"], r["last"]) for r in answer.results["positions"])
    assert least < even.results["torque_with_current"]
    assert any("off their places" in f.text for f in answer.findings)


def test_contract_values_are_those_of_the_closed_form() -> None:
    r = told(alignment_error="10°", emf_constant="0.1 V·s/rad", phase_current_limit="100 A").results
    unit = np.sqrt(2) * 0.1 * 100
    assert r["torque_available"] == pytest.approx(0.94042 * unit, rel=3e-5)  # 3/π·cos 10°
    assert r["torque_available_worst"] == pytest.approx(np.cos(np.radians(40)) * unit)
    assert r["margin"] == pytest.approx(r["torque_available_worst"] / r["torque_needed"] - 1)
    assert r["breakaway_needed"] == pytest.approx(r["torque_needed"] + 0.45)


def test_too_little_grip_is_a_stop_in_answer_and_verdict(cart: Sheet) -> None:
    """0.15 on 0.62 of 293 kg are 270 N, under the 301 N that the slope asks."""
    found = told(grip="0.15 ± 0.01, measured").findings
    assert any(f.severity == "stop" and "They spin" in f.text for f in found)
    judged = check(changed(cart, grip="0.15 ± 0.01, measured"), "grip")
    assert judged.severity == "stop" and "N before the driven wheels slip" in judged.text
    assert check(cart, "grip").severity == "ok"


def test_one_driven_wheel_of_two_holds_half(cart: Sheet) -> None:
    two, one = (check(changed(cart, driven_wheels=how), "grip").have for how in ("two", "one"))
    assert one == pytest.approx(two / 2)


def test_tipping_backwards_is_told() -> None:
    tall = told(cog_from_axle="100 mm", cog_height="1400 mm", slope="8 %")
    assert any("tips over backwards as it stands" in f.text and f.severity == "stop" for f in tall.findings)
    hard = told(cog_from_axle="150 mm", cog_height="1000 mm", slope="8 %")
    assert any("lifts the front wheels" in f.text and f.severity == "stop" for f in hard.findings)
    assert not any("front wheels" in f.text or "backwards" in f.text for f in told().findings)


def test_a_centre_of_gravity_beyond_the_front_axle_is_refused_as_it_stands() -> None:
    found = told(cog_from_axle="1500 mm", wheelbase="1300 mm").findings
    assert any(f.severity == "stop" and "on its nose" in f.text for f in found)


def test_what_does_not_start_gathers_no_way() -> None:
    stuck = told(slope="30 %")
    assert stuck.results["launch_time"] is None and stuck.results["launch_distance"] is None
    assert "doesn't reach walking pace" in stuck.report.why
    free = told(slope="0 %").results
    assert free["launch_time"] < told().results["launch_time"]


def test_sticking_that_eats_the_margin_stops_the_start() -> None:
    """9.3 N·m in the worst place, 6.96 for slope and rolling: 3 N·m of sticking are too much."""
    found = told(breakaway_torque="3 N·m").findings
    assert any(f.severity == "stop" and "stands still" in f.text for f in found)


def test_a_delta_stalls_shorter_than_a_star_of_the_same_leads() -> None:
    seconds = {
        how: told(connection=how, alignment_error="0°").results["stall_time"] for how in ("star", "delta")
    }
    assert seconds["star"] / seconds["delta"] == pytest.approx((2 / 3) / 0.5)


def test_a_stall_lasts_as_long_on_both_pages() -> None:
    """From where the ride leaves the winding: start and heat end at the same temperature, 145 °C in class F."""
    heat = told("winding-heat")
    at = next(row["temperature"] for row in heat.results["after_ride"] if "heaviest" in row["part"])
    start = told(winding_temperature=f"{at - 273.15} °C")
    assert start.results["stall_time"] == pytest.approx(heat.results["stall_time"], rel=1e-9)


EXTREMES = (
    {"phase_current_limit": "1 A"},
    {"phase_current_limit": "2000 A"},
    {"slope": "40 %"},
    {"grip": "0.05"},
    {"grip": "1.2"},
    {"wheelbase": "200 mm", "cog_from_axle": "4000 mm", "cog_height": "2500 mm"},
    {"winding_temperature": "200 °C"},
    {"winding_temperature": "-20 °C"},
    {"winding_mass": "50 g"},
    {"alignment_error": "180°"},
    {"driven_axle": "front", "driven_wheels": "one"},
    {"sensor_kind": "unipolar", "sensor_threshold": "50 mT", "sensor_field": "55 mT"},
    {"sensor_offsets": "50 mm; -50 mm; 0 mm"},
    {"sensor_spacing": "60", "sensor_slots": "0, 1, 2"},
)


@pytest.mark.parametrize("texts", EXTREMES)
def test_extremes_are_answered(texts: dict[str, str]) -> None:
    answer = told(**texts)
    assert answer.report.headline and "nan" not in answer.report.headline
    for key, value in answer.results.items():
        if isinstance(value, float):
            assert np.isfinite(value), key
    for draw in answer.report.figures:
        assert "nan" not in draw("f")


@given(st.floats(0.0, 0.25), st.floats(0.3, 0.8), st.floats(0.3, 1.2), st.floats(0.0, 4.0))
def test_a_start_that_lifts_the_front_is_like_the_slope_that_tips_it(
    slope: float, at: float, height: float, gained: float
) -> None:
    """The front axle's moment: nothing is left on it exactly where the start's slope is the tipping slope."""
    base, mass = 1.4, 250.0
    like = launch.start_slope(slope, 300.0 + mass * gained, 1e9, 300.0, mass)
    front = launch.front_share(slope, base, at, height, gained)
    assert (like > launch.tip_slope(at, height)) == (front < 0.0)
    assert launch.start_slope(slope, 1e9, 200.0, 300.0, mass) == pytest.approx(max(slope, launch.LEAST_START))


def slipping_force(
    pull: float, load: float, mass: float, moved: float, slope: float, grip: float, frame
) -> float:
    """What reaches the ground when the throttle is opened slowly to `pull`, by stepping: at each step the rear wheels
    carry what moments about the front contact give with the inertia at the last step's force, never more than all."""
    base, at, height = frame
    cosine, sine = 1 / np.hypot(1, slope), slope / np.hypot(1, slope)
    force = min(load, pull)
    for _ in range(4000):
        inertia = mass * max(force - load, 0.0) / moved
        rear = (mass * G * (cosine * (base - at) + sine * height) + inertia * height) / base
        holds = grip * min(rear, mass * G * cosine)
        wanted = min(pull, holds)
        force += np.clip(wanted - force, -pull / 400, pull / 400)
    return float(force)


@given(
    st.floats(0.0, 0.3),
    st.floats(0.2, 1.2),
    st.floats(0.2, 0.6),
    st.floats(0.3, 1.0),
    st.floats(100.0, 1500.0),
)
def test_tyres_hold_what_the_gathering_of_way_loads_them_with(
    slope: float, grip: float, at: float, height: float, pull: float
) -> None:
    """Against stepping in time: a crawl's grip is too little, and the formula is where the stepping comes to rest."""
    frame, mass, moved = (0.9, at, height), 85.0, 97.6
    load = float(road.road_load(mass, slope, 0.025, 0.0, 0.0))
    crawl = float(launch.grip_force(mass, grip, launch.driven_share(slope, *frame, "rear", "two")))
    if crawl < 1.02 * load or pull < load or abs(1 - grip * height / 0.9 * mass / moved) < 0.1:
        return
    held = float(launch.held_force(load, moved, mass, slope, grip, *frame, "rear", "two"))
    assert held >= crawl - 1e-9
    stepped = slipping_force(pull, load, mass, moved, slope, grip, frame)
    assert min(pull, held) == pytest.approx(stepped, rel=2e-3)


LIFTED = {
    "vehicle_mass": "40 kg, measured",
    "rider_mass": "45 kg, measured",
    "load_mass": "0 kg, measured",
    "slope": "10 %, measured",
    "wheelbase": "900 mm, measured",
    "cog_from_axle": "320 mm, measured",
    "cog_height": "520 mm, measured",
    "grip": "0.75 ± 0.03, measured",
    "wheel_diameter": "300 mm, measured",
    "driver_teeth": "10",
    "driven_teeth": "90",
}


def test_a_short_light_cart_lifts_though_a_crawl_s_grip_would_not_lift_it(cart: Sheet) -> None:
    """By hand: 85 kg, front off at g·(cos·a/h − sin) = 5.03 m/s²; that takes 97.6 kg · 5.03 + 104 N = 595 N, and with
    all of the weight on them the rear tyres hold 0.75 · 85 · g · cos = 622 N; a crawl's 437 N give 3.4 m/s²."""
    lifted = changed(without(cart, "cog_weighing"), **LIFTED)
    judged = check(lifted, "backwards")
    cosine, sine = 1 / np.hypot(1, 0.1), 0.1 / np.hypot(1, 0.1)
    lift = G * (cosine * 0.32 / 0.52 - sine)
    moved = 85 + 0.0035 * (2 * 9 / 0.3) ** 2
    needed = moved * lift + 85 * G * (sine + 0.02537 * cosine)
    whole = 0.75 * 85 * G * cosine
    assert lift == pytest.approx(5.03, abs=0.01) and whole > needed > 0.75 * 85 * G * 0.7
    assert judged.severity == "stop" and judged.need is not None and judged.have is not None
    assert judged.need == pytest.approx(
        0.1 + (whole - needed + moved * lift) / moved / (G * cosine), rel=1e-3
    )
    for calculator in ("standing-start", "gearing"):
        found = evaluate(calculators.find(calculator), [("sheet", lifted.entries)]).findings
        assert any(f.severity == "stop" and "lifts the front wheels" in f.text for f in found), calculator
    gentle = changed(lifted, phase_current_limit="60 A, measured")
    assert check(gentle, "backwards").severity == "ok"


def test_late_sensors_that_the_current_pulls_right_are_no_fault() -> None:
    """20° late, pulled 23.8° early: more is left than without the pull, which is told as ok with nothing to do."""
    a = told(alignment_error="20°")
    found = next(f for f in a.findings if "makes up for it at the start" in f.text)
    assert (found.severity, found.do) == ("ok", "")
    assert a.results["torque_with_current"] > a.results["torque_available_worst"]
    assert not any("is left in the worst position" in f.text for f in a.findings)
    right = told(alignment_error="0°")
    assert any("is left in the worst position" in f.text and f.severity != "ok" for f in right.findings)
