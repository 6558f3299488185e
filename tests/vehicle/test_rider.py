"""The rider cap: the least of ground and people, what sets it, and what hands must not reach."""

from __future__ import annotations

import numpy as np
import pytest

from calc.sheet import Sheet
from calc.vehicle import gearing, rider
from tests.test_answers import answer
from tests.test_verdict import changed, check, without


def test_a_child_never_alone_and_nobody_faster_than_who_walks_beside() -> None:
    assert rider.people_cap("child", "alone") == 0.0
    for kind in ("grown", "learner", "child"):
        assert rider.people_cap(kind, "beside") == pytest.approx(5 / 3.6)
        assert rider.people_cap(kind, "sight") >= rider.people_cap("child", "sight")


def test_the_cap_is_the_least_of_the_three() -> None:
    r = answer("rider-cap", "riders=grown, alone; learner, sight; child, beside")["results"]
    ground = min(r["sight_cap"]["value"], r["bend_cap"]["value"])
    caps = [row["cap"] for row in r["riders_table"]["value"]]
    assert caps == pytest.approx([ground, min(ground, 8.0), 5.0])
    assert r["rider_cap"]["value"] == pytest.approx(5.0)


def test_half_of_the_pull_is_left_in_the_bend() -> None:
    assert rider.bend_cap(10.0) ** 2 == pytest.approx(0.5 * 10.0**2)


def test_the_controllers_limit_is_the_cap_at_the_wheel() -> None:
    data = answer(
        "rider-cap",
        "riders=child, beside, 5 km/h",
        "wheel_diameter=360 mm",
        "driver_teeth=11",
        "driven_teeth=90",
    )
    rpm = data["results"]["limit_speed_motor"]["value"]
    speed = gearing.road_speed(rpm / 60 * 6.283185307, 90 / 11, 0.36)
    assert speed * 3.6 == pytest.approx(5.0, rel=1e-6)
    assert any("no way to limit speed" in f["text"] for f in data["findings"])


def test_teeth_bring_the_top_speed_down_in_proportion() -> None:
    assert rider.teeth_for(60, 20.0, 15.0) == 80.0
    assert rider.teeth_for(60, 20.0, 14.9) == 81.0


def test_a_rider_without_a_limit_on_a_fast_machine_is_a_stop(cart: Sheet) -> None:
    assert check(cart, "rider").severity == "ok"
    assert check(changed(cart, riders="child, beside"), "rider").severity == "stop"
    assert check(changed(cart, riders="child, alone, 3 km/h"), "rider").severity == "stop"
    assert check(without(cart, "riders"), "rider").severity == "caution"


def test_downhill_no_limit_holds_so_a_grown_rider_s_cap_has_to(cart: Sheet) -> None:
    """14 km/h is the cart's cap for the grown: 18 km/h downhill is over it, for 11 km/h set or for nothing set."""
    assert check(changed(cart, descent_speed="18 km/h"), "rider").severity == "stop"
    walked = changed(cart, descent_speed="18 km/h", riders="grown, beside, 4.5 km/h; child, beside, 4.5 km/h")
    assert check(walked, "rider").severity == "ok"  # whoever walks beside holds it down the slope

    def said(down: str) -> list[str]:
        found = answer("rider-cap", "riders=grown, alone, 11 km/h", f"descent_speed={down}")["findings"]
        return [f["severity"] for f in found if f["text"].startswith("Downhill it is let run")]

    assert said("18 km/h") == ["stop"] and not said("12 km/h")


def test_nobody_is_told_more_than_was_judged() -> None:
    open_ = [("grown", "alone", None), ("child", "beside", None)]
    assert rider.told_caps(open_, [4.0, 1.4], 3.0) == [3.0, 1.4]
    assert rider.told_caps(open_, [4.0, 1.4], 6.0) == [4.0, 1.4]
    assert rider.told_caps([("grown", "alone", 2.0), ("child", "beside", 1.0)], [4.0, 1.4], 3.0) == [2.0, 1.0]


def test_hands_are_judged_where_they_were_tried() -> None:
    def stops(*words: str) -> str:
        return " ".join(f["text"] for f in answer("rider-cap", *words)["findings"] if f["severity"] == "stop")

    assert not stops()
    assert "drives on" in stops("throttle_returns=no")
    assert "Nobody reaches" in stops("stop_reach=none")
    assert "walks beside" in stops("stop_reach=rider")


# ISO 13857 table 4 as reference pages quote it: up to this opening, so far behind.
TABLE = {
    "slot": ((4, 2), (6, 10), (8, 20), (10, 80), (12, 100), (20, 120), (120, 850)),
    "square": ((4, 2), (6, 5), (8, 15), (10, 25), (12, 80), (30, 120), (40, 200), (120, 850)),
    "round": ((4, 2), (6, 5), (8, 5), (10, 20), (12, 80), (30, 120), (40, 120), (120, 850)),
}


@pytest.mark.parametrize(
    ("shape", "opening", "far"), [(s, *pair) for s, pairs in TABLE.items() for pair in pairs]
)
def test_finger_reach(shape: str, opening: float, far: float) -> None:
    assert rider.stand_off(opening / 1000, shape, 1.0) == pytest.approx(far / 1000)
    if opening < 120:
        assert rider.stand_off((opening + 0.1) / 1000, shape, 1.0) >= far / 1000


def test_a_short_slot_stops_at_the_thumb() -> None:
    assert rider.stand_off(0.03, "slot", 0.065) == pytest.approx(0.2)
    assert rider.stand_off(0.03, "slot", 0.07) == pytest.approx(0.85)
    assert rider.stand_off(0.005, "slot", 0.065) == pytest.approx(0.01)


def test_a_guard_too_near_is_a_stop() -> None:
    found = answer(
        "guard-opening",
        "guard_opening=10 mm",
        "guard_shape=slot",
        "slot_length=300 mm",
        "guard_distance=40 mm",
    )
    assert found["findings"][0]["severity"] == "stop"


@pytest.mark.parametrize(
    ("throttle", "reach", "cord", "riders", "stops"),
    [
        ("yes", "both", "yes", [("child", "beside", 1.0)], True),
        ("no", "both", "yes", [("grown", "alone", None)], False),
        ("yes", "rider", "no", [("grown", "alone", None)], True),
        ("yes", "rider", "yes", [("grown", "alone", None), ("grown", "beside", None)], False),
        ("yes", "both", "no", [("learner", "sight", 2.0)], False),
        ("yes", "none", "yes", [("grown", "alone", None)], False),
    ],
)
def test_what_lets_itself_be_stopped(throttle, reach, cord, riders, stops) -> None:
    assert rider.stoppable(throttle, reach, cord, riders) == float(stops)
    assert bool(rider.stopping_faults(throttle, reach, cord, riders)) is not stops


def test_with_children_only_a_solid_guard_is_out_of_reach() -> None:
    """ISO 13857 table 4 by hand: 8 mm round 5 mm, a slot of 20 mm 120 mm; with a child an arm's reach, 850 mm."""
    grown, child = [("grown", "alone", None)], [("child", "beside", 1.0)]
    for opening, shape, reach in ((0.008, "round", 0.005), (0.02, "slot", 0.12), (0.0, "slot", 0.0)):
        stand_off = rider.stand_off(opening, shape, 0.3)
        assert stand_off == pytest.approx(reach)
        assert rider.guard_needed(stand_off, opening, grown) == pytest.approx(max(reach, 1e-3))
        assert rider.guard_needed(stand_off, opening, child) == pytest.approx(0.85 if opening else 1e-3)
    assert rider.guard_given(0.0, 0.0) > 0.5 > rider.guard_given(0.1, 0.02)
    many = rider.stand_off(np.array([0.003, 0.009, 0.5]), "square", np.full(3, 0.3))
    assert many == pytest.approx([0.002, 0.025, 0.85])


def test_a_solid_guard_is_told_as_one(cart: Sheet) -> None:
    """No millimetres where there is no opening."""
    solid = check(changed(cart, guard_opening="0 mm, measured"), "guard")
    assert solid.severity == "ok" and "nothing can be reached" in solid.text and "mm" not in solid.text
    open_ = check(changed(cart, guard_opening="10 mm", guard_distance="200 mm"), "guard")
    assert "200 mm from the guard's opening" in open_.text
