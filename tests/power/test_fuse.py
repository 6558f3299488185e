"""Fuses: the published gates, what they guard, what they must break; and what a wrong one gets."""

from __future__ import annotations

import numpy as np
import pytest

from calc.power import fuse
from tests.power.test_conductor import command


@pytest.mark.parametrize(
    ("kind", "multiple", "least", "most"),
    [
        ("blade", 1.35, 0.75, 600),
        ("blade", 2.0, 0.15, 5),
        ("blade", 3.5, 0.08, 0.5),
        ("large-blade", 1.35, 60, 1800),
        ("large-blade", 6.0, 0.04, 1),
    ],
)
def test_the_published_gates(kind, multiple, least, most):
    """ISO 8820-3 and the large blade, at second hand (reference values, section 8)."""
    assert float(fuse.stands_for(kind, multiple, 30.0)) == pytest.approx(least)
    assert float(fuse.opens_by(kind, multiple, 30.0)) == pytest.approx(most)


def test_below_the_first_gate_nothing_is_sure_to_open_and_the_rating_is_held():
    for kind in fuse.RATINGS:
        assert np.isinf(fuse.opens_by(kind, 1.1, 20.0)) and np.isinf(fuse.stands_for(kind, 1.0, 20.0))


def test_the_table_tells_what_a_fuse_carries_for_good_from_what_is_not_said():
    """Blades carry 1.10 times their rating for 100 h at least (ISO 8820-3); of tubes nothing is said (UL 248)."""
    blade, tube = (
        command("fuse", f"fuse_kind={kind}")["results"]["gate"]["value"] for kind in ("blade", "tube")
    )
    assert blade[0]["least"] == 360000.0 and blade[0]["most"] is None
    assert tube[0]["least"] is None and tube[0]["most"] is None


def test_a_fuse_never_may_take_longer_at_more_current():
    multiples = np.linspace(1.0, 12.0, 400)
    for kind, ratings in fuse.RATINGS.items():
        for rating in map(float, ratings):
            most, least = fuse.opens_by(kind, multiples, rating), fuse.stands_for(kind, multiples, rating)
            assert np.all(np.diff(most[np.isfinite(most)]) <= 1e-9), (kind, rating)
            assert np.all(least <= most), (kind, rating)


def test_a_cartridge_that_opens_at_1_6_is_smaller_than_the_cable():
    """IEC 60364-4-43: In ≤ Iz and 1.6·In ≤ 1.45·Iz, so In ≤ 0.906·Iz; a blade opens at 1.35, so In ≤ Iz."""
    assert fuse.guarded_rating("gG", 100.0) == pytest.approx(90.6, abs=0.05)
    assert fuse.guarded_rating("blade", 30.0) == 30.0
    # Small cartridges open at 1.9 and 2.1 times their rating: 17 A of cable carry no 16 A fuse, but one of 12.97 A.
    assert fuse.guarded_rating("gG", np.array([17.0, 4.0])) == pytest.approx(
        [17 * 1.45 / 1.9, 4 * 1.45 / 2.1]
    )


@pytest.mark.parametrize(
    ("rating", "hours", "holds", "opens"),
    [
        (2.0, 1, 1.5, 2.1),
        (10.0, 1, 1.5, 1.9),
        (63.0, 1, 1.25, 1.6),
        (100.0, 2, 1.25, 1.6),
        (315.0, 3, 1.25, 1.6),
    ],
)
def test_the_hours_and_currents_of_a_cartridge_go_by_its_rating(rating, hours, holds, opens):
    """IEC 60269-1: 1.5/2.1 to 4 A, 1.5/1.9 below 16 A, 1.25/1.6 above (second hand); 1, 2, 3 h from memory."""
    assert fuse.opens_by("gG", opens, rating) == pytest.approx(hours * 3600.0)
    assert np.isinf(fuse.opens_by("gG", opens - 0.01, rating))
    assert np.isinf(fuse.stands_for("gG", holds, rating))


@pytest.mark.parametrize(
    ("rating", "holds_10s", "opens_5s", "holds_100ms", "opens_100ms"),
    [(16, 33, 65, 85, 150), (80, 215, 425, 610, 1100), (250, 750, 1650, 2590, 4500)],
)
def test_the_gates_of_a_cartridge(rating, holds_10s, opens_5s, holds_100ms, opens_100ms):
    """IEC 60269-1, table of gates, at second hand; the same from memory."""
    for amps, time, seconds in (
        (holds_10s, fuse.stands_for, 10.0),
        (opens_5s, fuse.opens_by, 5.0),
        (holds_100ms, fuse.stands_for, 0.1),
        (opens_100ms, fuse.opens_by, 0.1),
    ):
        assert time("gG", amps / rating, float(rating)) == pytest.approx(seconds)


def test_a_tube_above_30_a_may_take_twice_as_long():
    """UL 248-14: 2 min at twice the rating up to 30 A, 4 min from 35 A on (reference values, section 8)."""
    assert fuse.opens_by("tube", 2.0, 30.0) == pytest.approx(120.0)
    assert fuse.opens_by("tube", 2.0, 40.0) == pytest.approx(240.0)


def test_a_reading_counts_for_its_own_fuse_and_from_its_current_on_alone():
    """0.02 s read for 80 A at 1,100 A. Another fuse, or a weaker short: the gate of the kind."""
    cart = ["--sheet", "docs/examples/harvest-cart.toml"]

    def told(*words):
        found = command("fuse", *cart, *words)
        texts = [f["text"] for f in found["findings"] if "isn't used" in f["text"]]
        return found["results"]["opens_by"]["value"], texts

    assert told() == (pytest.approx(0.02), [])
    time, said = told("fuse_rating=100 A")
    assert time == pytest.approx(float(fuse.opens_by("gG", 11.86, 100.0)), rel=0.01)
    assert len(said) == 1 and "of a fuse of 80 A; 100 A is fitted" in said[0]
    time, said = told("cell_resistance=1.5 mΩ")
    assert time > 0.1 and len(said) == 1 and "read at 1100 A" in said[0]


def test_an_older_sheet_with_a_time_alone_is_asked_for_the_rest_and_the_time_does_not_count():
    told = command("fuse", "opens_short=0.001 s")
    assert told["results"]["opens_by"]["value"] == pytest.approx(0.1)
    assert any(
        "nobody said for which fuse" in f["text"] and "rating of the fuse whose curve was read" in f["do"]
        for f in told["findings"]
    )


def test_the_demo_fuse_holds_guards_and_breaks():
    told = command("fuse")
    results = {key: item["value"] for key, item in told["results"].items()}
    assert results["holds"] is True and results["rating"] == 80.0
    assert results["breaking_needed"] == pytest.approx(16 * 3.65 / (0.6 * 16 * 0.8e-3), rel=1e-9)
    assert results["opens_by"] < results["cable_stands"]
    assert all(f["severity"] != "stop" for f in told["findings"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["fuse_voltage=32 V"], "can't open"),
        (["fuse_breaking=1 kA"], "bursts or arcs"),
        (["cross_section=4 mm2"], "The fuse guards the cable"),
        (["opens_short=20 s", "opens_short_rating=80 A", "opens_short_current=900 A"], "the cable stands it"),
    ],
)
def test_a_fuse_that_can_hurt_is_a_stop_with_the_reason_first(words, said):
    stops = [f for f in command("fuse", *words)["findings"] if f["severity"] == "stop"]
    assert any(said in f["text"] + f["do"] and f["text"].startswith("Fire risk") for f in stops)


def test_without_a_data_sheet_the_widest_gate_counts():
    """A large blade fuse at six times its rating and more is only sure to open within a second."""
    told = command(
        "fuse",
        "fuse_kind=large-blade",
        "fuse_rating=100 A",
        "chemistry=lfp",
        "series=8",
        "--sheet",
        "docs/examples/first-attempt.toml",
    )
    assert told["results"]["opens_by"]["value"] >= 1.0


@pytest.mark.parametrize(("celsius", "amps"), [(25, 40), (65, 34), (85, 30), (110, 25), (125, 22)])
def test_heat_takes_from_what_a_fuse_carries_as_a_data_sheet_says(celsius, amps):
    """Large blade of 40 A (reference values, section 8, second hand); four fifths of that are for good."""
    assert fuse.lasting_rating(amps * 0.8, celsius + 273.15) == pytest.approx(40.0)


def test_a_hot_day_asks_for_a_larger_fuse():
    """61.4 A: four fifths of 80 A hold it at 25 °C; at 50 °C, of 80·0.8·(1 − 0.15·25/40) = 58 A, they don't."""
    words = ["ambient_temperature=50 °C"]
    assert command("fuse", "ambient_temperature=25 °C")["results"]["holds"]["value"] is True
    told = command("fuse", *words)
    assert told["results"]["holds"]["value"] is False
    assert any("72.5 % of 80 A" in f["text"] and "50 °C" in f["text"] for f in told["findings"])


def test_a_rating_of_nothing_is_refused_by_name():
    code, said = command("fuse", "fuse_rating=0 A")
    assert code == 2 and "Rated current of the main fuse: “0 A”" in said and "0.1 to 1000 A" in said
