"""Roller chain: handbook values, hand-worked cases, and the answer's words."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import standards
from calc.errors import NoSolution
from calc.sheet import Sheet
from calc.vehicle import chain
from tests.test_cli import run
from tests.test_verdict import changed, check

HP = 745.7


@pytest.mark.parametrize(
    ("size", "pounds"), [("25", 780), ("35", 1760), ("41", 1500), ("40", 3125), ("50", 4880), ("60", 7030)]
)
def test_strength_of_ansi_b29_1(size, pounds):
    """Two reference tables of ANSI B29.1; 12,500·p² for 40, 50, 60 by the rule of thumb."""
    assert chain.chain_strength(size) == pytest.approx(pounds * 4.448222, rel=1e-3)
    if size in ("40", "50", "60"):
        assert 12500 * (chain.pitch(size) / 0.0254) ** 2 == pytest.approx(pounds, rel=2e-3)


@pytest.mark.parametrize(
    ("size", "newtons"),
    [
        ("05B", 4400),
        ("06B", 8900),
        ("08A", 13800),
        ("08B", 17800),
        ("10A", 21800),
        ("10B", 22200),
        ("12A", 31100),
    ],
)
def test_strength_of_iso_606(size, newtons):
    """Bhandari, table 14.1, as quoted: where newer tables give more the lower counts."""
    assert chain.chain_strength(size) == newtons


def test_a_size_without_a_published_strength_asks_for_the_packet():
    with pytest.raises(NoSolution) as none:
        chain.chain_strength("420")
    assert "420" in none.value.text and "tensile strength" in none.value.do


@pytest.mark.parametrize(("teeth", "millimetres"), [(21, 127.816), (80, 485.229)])
def test_pitch_diameters_of_the_textbook(teeth, millimetres):
    """Bhandari, example 14.6: pitch 19.05 mm."""
    assert chain.pitch_diameter(19.05, teeth) == pytest.approx(millimetres, rel=2e-5)


@pytest.mark.parametrize(
    ("small", "large", "pitches", "links", "handbook"),
    [(20, 63, 36, 114.805, 114.80), (35, 70, 40, 133.277, 133.276), (10, 42, 25, 77.041, 77.038)],
)
def test_length_by_tangents_and_arcs(small, large, pitches, links, handbook):
    """Beside the handbook's approximation, reference section 5."""
    found = chain.links_between(1.0, small, large, pitches)
    assert found == pytest.approx(links, rel=1e-5)
    assert found == pytest.approx(handbook, rel=1e-4)


def test_centre_distance_of_the_textbook():
    """Bhandari, example 14.3: 21 and 63 teeth, about 500 mm, pitch 12.7: 122 links, 500.805 mm by approximation."""
    assert chain.links(12.7, 21, 63, 500.0) == 122
    assert chain.center_distance_exact(12.7, 21, 63, 122) == pytest.approx(500.805, rel=1e-4)


@given(st.integers(8, 30), st.integers(8, 120), st.floats(0.0, 80.0))
def test_the_exact_distance_holds_just_its_links(small, large, more):
    center = chain.least_center(1.0, small, large) + more
    links = chain.links(1.0, small, large, center)
    exact = chain.center_distance_exact(1.0, small, large, links)
    assert links % 2 == 0
    assert chain.links_between(1.0, small, large, exact) == pytest.approx(links, abs=1e-6)


def test_equal_sprockets_are_a_belt_by_hand():
    """17 and 17 teeth at 30 pitches: 60 + 17 links, half a turn of wrap."""
    assert chain.links_between(1.0, 17, 17, 30.0) == pytest.approx(77.0)
    assert chain.wrap(1.0, 17, 17, 30.0) == pytest.approx(np.pi)


@pytest.mark.parametrize(("teeth", "percent"), [(9, 6.155), (11, 4.106), (17, 1.712), (21, 1.121)])
def test_variation_of_speed(teeth, percent):
    """In the form of Shigley, reference section 5; against the pin's path: greatest less least speed over a tooth."""
    assert 100 * chain.speed_variation(teeth) == pytest.approx(percent, rel=5e-4)
    half = math.pi / teeth
    radius = 0.5 / math.sin(half)
    fastest, slowest = radius, radius * math.cos(half)
    mean = teeth / (2 * math.pi)
    assert chain.speed_variation(teeth) == pytest.approx((fastest - slowest) / mean)


@pytest.mark.parametrize(("teeth", "percent"), [(9, 6.031), (11, 4.051), (17, 1.703), (25, 0.7885)])
def test_chordal_dip(teeth, percent):
    assert 100 * chain.chordal_dip(teeth) == pytest.approx(percent, rel=5e-4)


@pytest.mark.parametrize(("teeth", "rpm", "horsepower"), [(17, 1000, 5.475), (11, 1800, 4.664)])
def test_power_rating(teeth, rpm, horsepower):
    """Size 40: plates govern at 1,000 rpm, rollers at 1,800 (plates alone 5.807 hp); reference section 5."""
    found = chain.rating("40", chain.pitch("40"), teeth, rpm * math.pi / 30)
    assert found == pytest.approx(horsepower * HP, rel=1e-3)


def test_tension_and_safety_of_the_textbook():
    """Bhandari, example 14.7: 10B, 19 teeth, 1,400 rpm, 11.67 kW · 1.11: 1840.6 N, safety 12.06."""
    speed = 1400 * math.pi / 30
    torque = 11670 * 1.11 / speed
    pull = chain.tension(torque, chain.pitch_diameter(chain.pitch("10B"), 19))
    assert pull == pytest.approx(
        1840.6, rel=6e-3
    )  # there by the chain's mean speed, here by the pitch circle
    by_speed = 11670 * 1.11 / chain.chain_speed(19, chain.pitch("10B"), speed)
    assert by_speed == pytest.approx(1840.6, rel=3e-3)
    assert chain.safety_factor(22200.0, by_speed) == pytest.approx(12.06, rel=3e-3)


def test_every_size_has_a_pitch_and_a_name():
    for row in standards.rows("chains"):
        assert 0.006 < chain.pitch(row["size"]) < 0.02 and row["label"]


def told(*words: str) -> dict:
    return json.loads(run("run", "chain", *words, "--json")[1])


def test_the_demos_chain():
    """√2·E·I at 100 A and the cold coil's 5.23 A of field: by the spin test's rows 17.3 V at 5 A and 0.7 V an ampere,
    and 2.1 % of ± on top, for the rows end there."""
    found = told()
    volts = (17.3 + 0.7 * 0.23) * 1.021
    results = found["results"]
    assert results["links"]["value"] % 2 == 0
    constant = volts / 1.5 / 1000 * 30 / math.pi
    pull = 2 * math.sqrt(2) * constant * 100 / (results["driver_pitch_diameter"]["value"] / 1000)
    assert results["tension"]["value"] == pytest.approx(pull, rel=1e-2)
    assert not any(f["severity"] == "stop" for f in found["findings"])


def test_what_hurts_is_a_stop():
    weak = told("chain_size=25")["findings"]
    assert weak[0]["severity"] == "stop" and "too weak" in weak[0]["text"]
    touching = told("center_distance=100 mm")["findings"]
    assert any("touch" in f["text"] and f["severity"] == "stop" for f in touching)
    large = told("chain_size=08B")["findings"]
    assert any("drags on the ground" in f["text"] and f["severity"] == "stop" for f in large)
    cycle = told("chain_size=half-inch")
    assert cycle["findings"][0]["severity"] == "stop" and "tensile strength" in cycle["findings"][0]["do"]
    named = told("chain_size=half-inch", "chain_strength=8 kN, rated")
    assert named["results"]["safety_factor"]["value"] is not None


def test_a_jackshafts_second_chain_counts(cart: Sheet) -> None:
    """By hand: torque times 36/11 at 12 teeth instead of 11: 3.0 times the pull."""
    two = changed(cart, jackshaft_driven_teeth="36", jackshaft_driver_teeth="12", driven_teeth="30")
    one, both = check(cart, "chain"), check(two, "chain")
    first, second = (chain.pitch_diameter(1.0, n) for n in (11, 12))
    assert both.need / one.need == pytest.approx(36 / 11 * first / second)
    assert both.severity == "stop"


def test_a_jackshafts_second_chain_is_rated_too():
    """08B, 12 teeth at 161 rpm by hand: 0.004·12^1.08·161^0.9·0.5^2.965 = 0.725 hp = 541 W."""
    teeth = ("driver_teeth=12", "jackshaft_driven_teeth=36", "jackshaft_driver_teeth=12", "driven_teeth=40")
    given_ = (
        "chain_size=08B",
        "motor_speed=483 rpm",
        "climb_speed=6 km/h",
        "slope=12 %",
        "wheel_diameter=660 mm",
    )
    two = told(*given_, *teeth)
    results = two["results"]
    assert results["rating"]["value"] == pytest.approx(541, rel=5e-3)
    assert any("from jackshaft to axle" in f["text"] and f["severity"] == "caution" for f in two["findings"])
    assert any("enter its two sprockets as a drive of its own" in f["do"] for f in two["findings"])
    one = told(*given_, "driver_teeth=12", "driven_teeth=120")["results"]
    assert one["rating"]["value"] > 2 * results["rating"]["value"]


def test_rating_asked_counts_the_drives_loss():
    assert chain.rating_needed(400.0, 2.0, 0.9) == pytest.approx(1.3 * 800.0 / 0.9)


def test_the_fast_end_decides_where_rollers_do():
    """10B, 10/65 teeth on 360 mm at 38 km/h: 3640 rpm, 17000·(10/3640)^1.5·0.625^0.8 = 1.68 hp = 1253 W; on the climb
    it carries more than it is asked for."""
    fast = ("chain_size=10B", "driver_teeth=10", "driven_teeth=65", "road_speed=38 km/h")
    data = told(*fast)
    r = {key: one["value"] for key, one in data["results"].items()}
    rpm = 38 / 3.6 / 0.18 * 6.5 * 30 / math.pi
    assert r["level_rating"] == pytest.approx(17000 * (10 / rpm) ** 1.5 * 0.625**0.8 * HP, rel=1e-6)
    assert (
        r["level_rating"] == pytest.approx(1253, abs=2) and r["level_rating_needed"] > 1.4 * r["level_rating"]
    )
    assert r["rating"] > r["rating_needed"]
    said = [f for f in data["findings"] if "are asked" in f["text"]]
    assert len(said) == 1 and said[0]["text"].startswith("At 38 km/h on the level")
    slow = told(*fast[:3], "road_speed=10 km/h")
    assert not any("are asked" in f["text"] for f in slow["findings"])


def test_gearing_and_chain_agree_on_few_teeth():
    few, enough = (" ".join(f["text"] for f in told(f"driver_teeth={n}")["findings"]) for n in (10, 11))
    assert "wavers by 5 %" in few and "wavers" not in enough


def test_a_chain_that_nobody_entered_is_never_ok(attempt: Sheet) -> None:
    assert check(attempt, "chain").missing
