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
    assert float(fuse.stands_for(kind, multiple)) == pytest.approx(least)
    assert float(fuse.opens_by(kind, multiple)) == pytest.approx(most)


def test_below_the_first_gate_nothing_is_sure_to_open_and_the_rating_is_held():
    for kind in fuse.RATINGS:
        assert np.isinf(fuse.opens_by(kind, 1.1)) and np.isinf(fuse.stands_for(kind, 1.0))


def test_the_table_tells_what_a_fuse_carries_for_good_from_what_is_not_said():
    """Blades carry 1.10 times their rating for 100 h at least (ISO 8820-3); of tubes nothing is said (UL 248)."""
    blade, tube = (
        command("fuse", f"fuse_kind={kind}")["results"]["gate"]["value"] for kind in ("blade", "tube")
    )
    assert blade[0]["least"] == 360000.0 and blade[0]["most"] is None
    assert tube[0]["least"] is None and tube[0]["most"] is None


def test_a_fuse_never_may_take_longer_at_more_current():
    multiples = np.linspace(1.0, 12.0, 400)
    for kind in fuse.RATINGS:
        most, least = fuse.opens_by(kind, multiples), fuse.stands_for(kind, multiples)
        assert np.all(np.diff(most[np.isfinite(most)]) <= 1e-9)
        assert np.all(least <= most)


def test_a_cartridge_that_opens_at_1_6_is_smaller_than_the_cable():
    """IEC 60364-4-43: In ≤ Iz and 1.6·In ≤ 1.45·Iz, so In ≤ 0.906·Iz; a blade opens at 1.35, so In ≤ Iz."""
    assert fuse.guarded_rating("gG", 100.0) == pytest.approx(90.6, abs=0.05)
    assert fuse.guarded_rating("blade", 100.0) == 100.0


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
        (["opens_short=20 s"], "the cable stands it"),
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
