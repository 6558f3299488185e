"""Tipping and sliding: by moments, by limits, and by the textbook's figure where it is right."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.drive import launch
from calc.sheet import Sheet
from calc.vehicle import stability
from tests.test_answers import answer
from tests.test_verdict import changed, check, without

G = 9.80665
PLACE, HEIGHT, TRACK, SLOPE = (
    st.floats(0.1, 0.9),
    st.floats(0.3, 1.2),
    st.floats(0.4, 1.5),
    st.floats(0.0, 0.3),
)


@pytest.mark.parametrize(
    ("track", "height", "share", "degrees"),
    [(1.5, 0.5, 1.5, 56.31), (0.8, 0.7, 0.5714, 29.745), (1.2, 0.6, 1.0, 45.0)],
)
def test_static_stability_of_four_wheels(track: float, height: float, share: float, degrees: float) -> None:
    """t/(2h), as a road-safety agency defines its static stability factor."""
    found = stability.tip_share("4", "front", 1.3, track, 0.5, height)
    assert found == pytest.approx(share, rel=1e-4)
    assert np.degrees(stability.tip_angle(found)) == pytest.approx(degrees, rel=1e-4)


def moment_share(corners, cog, height, forward, down):
    """The pull to +y at which the first edge's moment is nought, edge by edge, by cross products."""
    best = np.inf
    for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
        edge = np.array([x2 - x1, y2 - y1, 0.0])
        edge = edge / np.linalg.norm(edge)
        arm = np.array([cog - x1, -y1, height])

        def about(force, edge=edge, arm=arm):
            return float(np.dot(np.cross(arm, force), edge))

        still, side = about(np.array([forward, 0.0, -down])), about(np.array([0.0, 1.0, 0.0]))
        if abs(side) > 1e-12 and -still / side > 0:
            best = min(best, -still / side)
    return best


@given(PLACE, HEIGHT, TRACK, st.floats(-0.15, 0.15), st.floats(0.8, 1.0), st.sampled_from(["front", "rear"]))
def test_three_wheels_by_moments_about_each_edge(place, height, track, forward, down, single) -> None:
    """The closed form against vectors: position × force about the edges of the triangle."""
    base, half = 1.3, track / 2
    cog = place * base
    corners = (
        [(0.0, -half), (base, 0.0), (0.0, half)]
        if single == "front"
        else [(base, -half), (base, half), (0.0, 0.0)]
    )
    found = stability.tip_share("3", single, base, track, cog, height, forward, down)
    load_left = down * (base - cog) - forward * height if single == "front" else down * cog + forward * height
    lone = down * base - load_left
    if load_left <= 0.01 or lone <= 0.01:  # it goes over front or back instead
        return
    assert found == pytest.approx(moment_share(corners, cog, height, forward, down), rel=1e-9)


@given(PLACE, HEIGHT, TRACK, SLOPE, SLOPE, st.sampled_from(["front", "rear"]))
def test_three_wheels_never_stand_more_than_four(place, height, track, slope, side, single) -> None:
    rest = (1.3, track, place * 1.3, height)
    assert stability.tip_share("3", single, *rest) < stability.tip_share("4", single, *rest)
    assert stability.corner_tip_share("3", single, *rest, slope, side) <= stability.corner_tip_share(
        "4", single, *rest, slope, side
    )


def test_three_wheels_with_the_single_one_far_away_are_like_four() -> None:
    """All the weight on the pair: the triangle's edge runs along the vehicle, and t/(2h) is right again."""
    far = stability.tip_share("3", "front", 1000.0, 0.8, 0.1, 0.6)
    assert far == pytest.approx(stability.tip_share("4", "front", 1000.0, 0.8, 0.1, 0.6), rel=1e-3)
    assert stability.tip_distance("3", "front", 1000.0, 0.8, 0.5) == pytest.approx(0.4, rel=1e-3)


def test_a_delta_by_hand() -> None:
    """w 1.3, t 0.8, a 0.5, h 0.6: 0.8/1.2 · 0.8/1.3 = 0.4103; e = 0.4·0.8/√(1.69 + 0.16) = 0.23527 m."""
    share = stability.tip_share("3", "front", 1.3, 0.8, 0.5, 0.6)
    assert share == pytest.approx(0.8 / 1.2 * 0.8 / 1.3)
    assert stability.tip_distance("3", "front", 1.3, 0.8, 0.5) == pytest.approx(0.235268, rel=1e-5)


def test_braking_in_the_bend_costs_a_delta_and_helps_a_tadpole() -> None:
    rest = (1.3, 0.8, 0.6, 0.6)
    assert stability.tip_share("3", "front", *rest, 0.3) < stability.tip_share("3", "front", *rest)
    assert stability.tip_share("3", "rear", *rest, 0.3) > stability.tip_share("3", "rear", *rest)


@given(SLOPE, st.floats(0.0, 0.6))
def test_pulls_of_the_weight_add_up_to_the_weight(slope: float, side: float) -> None:
    assert sum(np.square(stability.pulls(slope, side))) == pytest.approx(1.0)


@given(PLACE, HEIGHT, TRACK, SLOPE, st.sampled_from(["3", "4"]))
def test_at_the_side_limit_nothing_is_left_for_a_bend(place, height, track, slope, wheels) -> None:
    rest = (wheels, "front", 1.3, track, place * 1.3, height, slope)
    limit = stability.side_limit(*rest)
    if limit <= 1.1e-3 or limit > 1.5:
        return
    assert stability.corner_tip_share(*rest, limit) == pytest.approx(0.0, abs=2e-6)


def test_level_ground_is_the_bend_alone() -> None:
    """R 5 m, t 0.8, h 0.7: √(0.5714·g·5) = 5.293 m/s tips; grip 0.5 slides at √(0.5·g·5) = 4.951 m/s."""
    r = answer("stability", "wheels=4", "track=800 mm", "cog_height=700 mm", "cog_from_axle=500 mm",
               "corner_radius=5 m", "slope=0 %", "side_slope=0 %", "grip=0.5")["results"]  # fmt: skip
    assert r["tip_speed"]["value"] == pytest.approx(5.2932 * 3.6, rel=1e-4)
    assert r["slide_speed"]["value"] == pytest.approx(4.9514 * 3.6, rel=1e-4)
    assert r["speed_cap"]["value"] == pytest.approx(r["slide_speed"]["value"])
    assert r["tip_angle"]["value"] == pytest.approx(29.745, rel=1e-4)


def test_sliding_on_two_slopes_is_their_steepest_line() -> None:
    """Grip 0.5 holds where p² + q² is at most 0.25: 0.3 and 0.4."""
    assert stability.side_hold(9.0, 0.5, 0.3) == pytest.approx(0.4)
    assert stability.corner_slide_share(0.5, 0.3, 0.4) == pytest.approx(0.0, abs=1e-9)


def test_the_front_lifts_where_the_standing_start_says_it_does() -> None:
    """At the acceleration told, the front axle carries nothing."""
    gained = stability.lift_acceleration(0.1, 0.5, 0.7)
    assert launch.front_share(0.1, 1.2, 0.5, 0.7, gained) == pytest.approx(0.0, abs=1e-12)


def test_the_page_says_that_the_textbook_is_too_good_for_three_wheels() -> None:
    data = answer("stability", "wheels=3", "single_wheel=front")
    assert any("too good" in f["text"] for f in data["findings"])
    r = data["results"]
    assert r["tip_share"]["value"] < 0.7 * r["textbook"]["value"]
    assert not any("too good" in f["text"] for f in answer("stability", "wheels=4")["findings"])


def test_where_the_single_wheel_is_unsaid_the_worse_counts() -> None:
    unsaid = answer("stability", "wheels=3")["results"]["speed_cap"]["value"]
    both = [
        answer("stability", "wheels=3", f"single_wheel={w}")["results"]["speed_cap"]["value"]
        for w in ("front", "rear")
    ]
    assert unsaid == pytest.approx(min(both))


def test_a_higher_load_tips_sooner() -> None:
    rows = answer("stability")["results"]["loads"]["value"]
    angles = [row["angle"] for row in rows]
    assert angles == sorted(angles, reverse=True) and angles[-1] < angles[0]
    assert rows[1]["height"] - rows[0]["height"] == pytest.approx(100 * 90 / 293, rel=1e-6)


@pytest.mark.parametrize("key", ["wheels", "track", "corner_radius", "side_slope", "grip"])
def test_a_missing_entry_never_makes_the_bend_ok(cart: Sheet, key: str) -> None:
    assert check(cart, "bend").severity == "ok"
    assert check(without(cart, key), "bend").severity != "ok"


def test_a_centre_of_gravity_in_front_of_the_front_axle_is_a_stop() -> None:
    for one in ("stability", "brakes"):
        found = answer(one, "cog_from_axle=1400 mm")["findings"]
        assert found[0]["severity"] == "stop" and "on its nose" in found[0]["text"]


def test_the_bend_is_met_at_the_fastest_speed_downhill_too(cart: Sheet) -> None:
    """The cart's bend stands 19.8 km/h: 12 wanted on the level pass, 24 downhill don't, however slow the level is."""
    fast = changed(cart, descent_speed="24 km/h")
    judged, level = check(fast, "bend"), check(cart, "bend")
    assert (level.severity, judged.severity) == ("ok", "stop")
    assert judged.need == pytest.approx(24 / 3.6) and judged.have == pytest.approx(level.have)
    slow = check(changed(cart, descent_speed="4 km/h"), "bend")
    assert slow.need == pytest.approx(12 / 3.6)
    told = answer("stability", "descent_speed=24 km/h")["findings"]
    assert any(f["severity"] == "stop" and "downhill" in f["text"] for f in told)
    assert check(without(cart, "descent_speed"), "bend").severity == "caution"  # a rule stands in


def test_no_rider_is_let_faster_downhill_than_the_bend_and_the_brakes_are_judged_at(cart: Sheet) -> None:
    """Where nobody walks beside, the cap is held against the same speed: what stops the bend stops the rider."""
    for down in range(12, 30, 3):
        fast = changed(cart, descent_speed=f"{down} km/h")
        if check(fast, "bend").severity == "stop":
            assert check(fast, "rider").severity == "stop"
