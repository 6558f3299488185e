"""Centre of gravity by scales: a made vehicle comes back, contradictions are refused, the spread is honest."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import cli
from calc.build import Build
from calc.sheet import Sheet
from calc.vehicle import weighing
from tests.test_answers import answer
from tests.test_verdict import changed, without

BASE, RADIUS = 1.3, 0.2


def scales(a: float, h: float, mass: float, block: float) -> tuple[float, float, float]:
    """What scales show, by moments about the rear contact of a rigid body turned about the rear axle."""
    lean = math.asin(block / BASE)
    # The body's point (a, h − r) from the rear axle, turned; both contacts lie straight under their axles.
    cog = a * math.cos(lean) - (h - RADIUS) * math.sin(lean)
    front = mass * cog / (BASE * math.cos(lean))
    return block, front, mass - front


@given(st.floats(0.2, 1.1), st.floats(0.25, 1.2), st.floats(40, 600), st.floats(0.05, 0.5))
def test_a_made_vehicle_comes_back(a: float, h: float, mass: float, block: float) -> None:
    rows = [scales(a, h, mass, 0.0), scales(a, h, mass, block), scales(a, h, mass, block / 2)]
    assert weighing.cog_from_axle(rows, BASE) == pytest.approx(a)
    assert weighing.cog_height(rows, BASE, 2 * RADIUS) == pytest.approx(h)
    assert weighing.weighed_mass(rows) == pytest.approx(mass)


def test_errors_of_the_scales_stay_within_the_spread() -> None:
    """Each reading off by up to 0.5 kg, a thousand times: nearly all heights within what is told."""
    rng = np.random.default_rng(6)
    a, h, mass, error = 0.55, 0.65, 280.0, 0.5
    rows = [scales(a, h, mass, 0.0), scales(a, h, mass, 0.2)]
    share = weighing.cog_height_spread(rows, BASE, 2 * RADIUS, error)
    within = 0
    for _ in range(1000):
        off = [(b, f + rng.uniform(-error, error), r + rng.uniform(-error, error)) for b, f, r in rows]
        within += abs(weighing.cog_height(off, BASE, 2 * RADIUS) - h) <= share * h
    assert within >= 950
    assert share < 0.12  # and it isn't so wide that it says nothing


def test_a_higher_block_tells_more() -> None:
    def spread(block: float) -> float:
        rows = [scales(0.55, 0.65, 280.0, 0.0), scales(0.55, 0.65, 280.0, block)]
        return float(weighing.cog_height_spread(rows, BASE, 2 * RADIUS, 0.5))

    assert spread(0.3) < spread(0.2) < spread(0.1)


def test_rows_that_disagree_widen_the_spread() -> None:
    good = [scales(0.55, 0.65, 280.0, 0.0), scales(0.55, 0.65, 280.0, 0.2), scales(0.55, 0.65, 280.0, 0.25)]
    bad = [*good[:2], scales(0.55, 0.85, 280.0, 0.25)]
    assert weighing.cog_height_spread(bad, BASE, 0.4, 0.2) > 2 * weighing.cog_height_spread(
        good, BASE, 0.4, 0.2
    )


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("200 mm, 90 kg, 150 kg", "Weigh it level too"),
        ("0 mm, 100 kg, 140 kg", "front wheels on a block"),
        ("0 mm, 100 kg, 140 kg; 200 mm, 70 kg, 140 kg", "takes no weight away"),
        ("0 mm, 100 kg, 140 kg; 200 mm, 110 kg, 130 kg", "doesn't fall"),
        ("0 mm, 0 kg, 0 kg; 200 mm, 90 kg, 150 kg", "both nothing"),
        ("0 mm, 100 kg; 200 mm, 90 kg, 150 kg", ""),
        ("0 mm, heavy, 140 kg; 200 mm, 90 kg, 150 kg", "heavy"),
        ("0 mm, 100 kg, 140 kg; 900 mm, 60 kg, 180 kg", "600"),
    ],
)
def test_contradictions_are_refused_by_name(
    rows: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["run", "cog-weighing", f"cog_weighing={rows}"]) == 2
    err = capsys.readouterr().err
    assert words in err and "Traceback" not in err and "eighing" in err


def test_a_block_as_high_as_half_the_wheelbase_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    rows = "cog_weighing=0 mm, 100 kg, 140 kg; 400 mm, 60 kg, 180 kg"
    assert cli.main(["run", "cog-weighing", rows, "wheelbase=700 mm"]) == 2
    assert "steeper than it is safe" in capsys.readouterr().err


def test_weighing_is_the_other_way_to_give_both_places(cart: Sheet) -> None:
    """Entered directly, the direct value counts; by scales, verdict and start go by them, spread and all."""
    by_scales = Build.of([("sheet", cart.entries)])
    assert float(by_scales.nominal()["cog_height"]) == pytest.approx(0.62, abs=0.01)
    drawn = np.asarray(by_scales.drawn()["cog_height"])
    assert 0.003 < float(np.std(drawn)) < 0.02
    direct = changed(cart, cog_height="800 mm, measured")
    assert float(Build.of([("sheet", direct.entries)]).nominal()["cog_height"]) == pytest.approx(0.8)
    none = without(cart, "cog_weighing")
    assert Build.of([("sheet", none.entries)]).input("cog_height").source == "usual"


def test_a_load_left_at_home_is_noticed() -> None:
    found = answer("cog-weighing", "cog_weighing=0 mm, 80 kg, 120 kg; 200 mm, 70 kg, 130 kg")["findings"]
    assert any("stood on the scales" in f["text"] and f["severity"] == "caution" for f in found)


def test_a_block_in_centimetres_is_a_stop_and_gives_no_height() -> None:
    """20 cm typed as 20: by h − r = w·share·√(w² − H²)/H the height above the axles comes out ten times too large."""
    given = (
        "cog_weighing=0 mm, 140 kg, 154 kg; 20 mm, 122 kg, 172 kg; 20 mm, 122 kg, 172 kg",
        "wheelbase=1350",
    )
    wrong = answer("cog-weighing", *given)
    stop = next(f for f in wrong["findings"] if f["severity"] == "stop")
    assert "higher than the cart" in stop["text"] and "20 cm is 200" in stop["do"]
    assert wrong["results"]["cog_height"]["value"] is None
    right = answer("cog-weighing", given[0].replace("20 mm", "200 mm"), given[1])
    assert right["results"]["cog_height"]["value"] < 1000 and not any(
        f["severity"] == "stop" for f in right["findings"]
    )


def test_a_low_block_is_asked_for_even_where_the_height_is_a_carts() -> None:
    """A block of 30 mm whose scales hardly moved: the height looks right, and the block still isn't."""
    found = answer(
        "cog-weighing", "cog_weighing=0 mm, 140 kg, 154 kg; 30 mm, 138.5 kg, 155.5 kg", "wheelbase=1350"
    )
    said = [f for f in found["findings"] if "shifts hardly any weight" in f["text"]]
    assert [f["severity"] for f in said] == ["caution"]
    assert not any("Good enough" in f["text"] for f in found["findings"])
