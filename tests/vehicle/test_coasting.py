"""Coast-down: the exact solution against stepping in time, values that come back, and rows that are refused."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.build import Build, Input
from calc.cli import main
from calc.errors import NoSolution
from calc.vehicle import coast_fit, coasting
from calc.vehicle.road import GRAVITY, road_load

MASS, MOVED, DENSITY = 203.0, 210.7, 1.2
SHEET = "docs/examples/harvest-cart.toml"


def stepped(start: float, coefficient: float, slope: float, area: float, marks: list[float]) -> list[float]:
    """Times of passing the marks by small steps of the road load itself (Runge-Kutta), none where it stops before."""
    speed, way, clock, step, times = start, 0.0, 0.0, 2e-3, []

    def slowing(v: float) -> float:
        # The road load of the vehicle, its sea-level air swapped for the test's.
        return -float(road_load(MASS, slope, coefficient, area * DENSITY / 1.225, v)) / MOVED

    while speed > 0.05 and len(times) < len(marks):
        middle = speed + slowing(speed) * step / 2
        after = speed + slowing(middle) * step
        gained = (speed + 4 * (speed + after) / 2 + after) / 6 * step
        if way + gained >= marks[len(times)]:
            times.append(clock + (marks[len(times)] - way) / gained * step)
        speed, way, clock = after, way + gained, clock + step
    return times


def rows_of(coefficient: float, area: float, slope: float, starts: list[float], marks: list[float]) -> tuple:
    rows = []
    for run, start in enumerate(starts, 1):
        way = "out" if run % 2 else "back"
        there = slope if way == "out" else -slope
        times = stepped(start, coefficient, there, area, marks)
        rows += [(run, way, mark, time) for mark, time in zip(marks, times, strict=False)]
    return tuple(rows)


def values(coasted: coast_fit.Coasted, drag_area: float = 0.65) -> tuple[float, float]:
    c = coasting.rolling_coefficient(coasted, MOVED, MASS, DENSITY, drag_area, 0.0)
    return float(c), float(coasting.drag_area(coasted, MOVED, DENSITY, 0.4, 0.9))


def test_time_without_air_is_the_schoolbooks() -> None:
    """From 6 to 4 m/s at 0.2 m/s²: 10 s over 50 m."""
    t = coast_fit.time_between(np.array(6.0), np.array(4.0), np.array(0.2), 0.0, np.array(50.0))
    assert float(t) == pytest.approx(10.0)


def test_time_without_rolling_is_the_logarithms() -> None:
    """Drag alone: 1/v − 1/v₀ = k·t."""
    t = coast_fit.time_between(np.array(6.0), np.array(4.0), np.array(0.0), 0.01, np.array(40.5))
    assert float(t) == pytest.approx((1 / 4 - 1 / 6) / 0.01)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.008, 0.05), st.floats(0.3, 1.5), st.floats(-0.004, 0.004))
def test_what_went_in_comes_back(coefficient: float, area: float, slope: float) -> None:
    """Exact times of runs at two speeds, by stepping: rolling, drag and slope are found again."""
    rows = rows_of(coefficient, area, slope, [8.0, 8.0, 4.5, 4.5], [4.0, 8.0, 12.0, 16.0])
    free = coast_fit.coasted(rows).free
    assert free is not None
    assert free.rolling * MOVED / (MASS * GRAVITY) == pytest.approx(coefficient, rel=0.01)
    assert free.slope * MOVED / (MASS * GRAVITY) == pytest.approx(slope, abs=2e-4)
    assert 2 * free.drag * MOVED / DENSITY == pytest.approx(area, rel=0.05)


def test_the_errors_hold_what_they_promise() -> None:
    """Times off by a film's random 0.02 s: the truth lies within ± in some 95 of 100 tests."""
    exact = rows_of(0.025, 0.8, 0.002, [6.5, 6.4, 6.6, 6.4, 4.6, 4.9], [10.0, 20.0, 30.0, 40.0])
    draw, within = np.random.default_rng(1), 0
    for _ in range(60):
        rows, off = [], {}
        for run, way, mark, time in exact:
            first = off.setdefault(run, draw.normal(0, 0.02))
            rows.append((run, way, mark, time + draw.normal(0, 0.02) - first))
        free = coast_fit.coasted(tuple(rows)).free
        assert free is not None
        true = 0.025 * MASS * GRAVITY / MOVED
        within += abs(free.rolling - true) < free.errors[0]
    assert within >= 53


def test_slow_runs_tell_rolling_alone_with_the_drag_area_stated() -> None:
    rows = rows_of(0.025, 0.8, 0.0, [3.0, 3.0, 2.9, 2.9], [4.0, 8.0, 12.0])
    found = coast_fit.coasted(rows)
    assert not found.told
    assert values(found, 0.8)[0] == pytest.approx(0.025, rel=0.01)
    assert values(found)[1] == pytest.approx(0.65)
    assert coasting.drag_spread(found, 0.4, 0.9) == pytest.approx(0.25 / 0.65)
    assert values(found, 0.4)[0] > values(found, 0.9)[0]


def test_both_ways_take_the_slope_off_and_one_way_leaves_it_open() -> None:
    both = coast_fit.coasted(rows_of(0.02, 0.6, 0.005, [6.0, 6.0, 4.0, 4.0], [5.0, 10.0, 15.0, 20.0]))
    assert values(both, 0.6)[0] == pytest.approx(0.02, rel=0.01)
    out = rows_of(0.02, 0.6, 0.005, [6.0, 6.0, 4.0, 4.0], [5.0, 10.0, 15.0, 20.0])
    alone = coast_fit.coasted(tuple(row for row in out if row[1] == "out"))
    assert not alone.both_ways
    assert values(alone, 0.6)[0] == pytest.approx(0.025, rel=0.05)
    assert coasting.rolling_spread(alone) > 0.15 > coasting.rolling_spread(both)


@pytest.mark.parametrize(
    ("metres", "density"),
    [
        (0, 1.2250),
        (250, 1.19587),
        (500, 1.16727),
        (1000, 1.11166),
        (1500, 1.05810),
        (2000, 1.00655),
        (3000, 0.90925),
    ],
)
def test_density_of_the_standard_atmosphere(metres: float, density: float) -> None:
    """Check values of two public libraries that agree (section 6), at the standard's own temperature there."""
    level = metres / (1 + metres / 6356766)
    assert coasting.air_density(metres, 288.15 - 0.0065 * level) == pytest.approx(density, rel=2e-5)


GOOD = "1, out, 5 m, 1.0 s; 1, out, 10 m, 2.1 s; 1, out, 15 m, 3.3 s; "


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        (GOOD + "2, back, 10 m, 2.0 s; 2, back, 5 m, 1.0 s", "order"),
        (GOOD + "1, back, 20 m, 4.7 s", "own number"),
        (GOOD + "2, back, 5 m, 1.2 s; 2, back, 10 m, 2.1 s; 2, back, 15 m, 2.9 s", "faster at its end"),
        (GOOD + "2, back, 5 m, 1 s", "one row"),
        ("1, out, 5 m, 1 s; 1, out, 10 m, 2.1 s; 2, back, 5 m, 1 s; 2, back, 10 m, 2.1 s", "too few"),
        (GOOD + "2, sideways, 5 m, 1 s", "isn't one of the choices"),
        (GOOD + "2, back, 5 m, 0 s", "0.05"),
        (
            "1, out, 1 m, 0.1 s; 1, out, 2 m, 0.23 s; 1, out, 3 m, 0.45 s; "
            "2, back, 1 m, 0.1 s; 2, back, 2 m, 0.23 s; 2, back, 3 m, 0.45 s",
            "can be believed",
        ),
    ],
)
def test_rows_that_cannot_be_are_refused(capsys: pytest.CaptureFixture[str], runs: str, said: str) -> None:
    code = main(["run", "coast-down", f"coast_runs={runs}", "total_mass=200 kg"])
    told = capsys.readouterr()
    if code == 2:
        assert said in told.err
    else:
        stops = [line for line in told.out.splitlines() if line.startswith("stop")]
        assert len(stops) == 1 and said in stops[0] and "Do:" in stops[0]
    assert "nan" not in told.out + told.err


def test_the_demo_comes_back(capsys: pytest.CaptureFixture[str]) -> None:
    """The cart's rows were made with 0.025 and 0.8 m² and a film's errors."""
    assert main(["run", "coast-down", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["results"]
    assert abs(told["rolling_coefficient"]["value"] - 0.025) < told["rolling_off"]["value"]
    assert abs(told["drag_area"]["value"] - 0.8) < told["drag_off"]["value"]
    assert told["slope"]["value"] == pytest.approx(0.2, abs=0.06)


def test_the_sheet_takes_both_and_what_is_typed_stands_before_it(capsys: pytest.CaptureFixture[str]) -> None:
    def inputs(*given: str) -> dict:
        assert main(["run", "gearing", "--sheet", SHEET, *given, "--json"]) == 0
        return json.loads(capsys.readouterr().out)["inputs"]

    measured = inputs()
    assert measured["rolling_coefficient"]["from"] == measured["drag_area"]["from"] == "computed"
    assert measured["rolling_coefficient"]["spread"] > 0
    typed = inputs("rolling_coefficient=0.03")
    assert typed["rolling_coefficient"]["value"] == pytest.approx(0.03)
    assert typed["drag_area"]["value"] == pytest.approx(measured["drag_area"]["value"])


def test_draws_carry_the_spread_of_the_rows() -> None:
    rows = rows_of(0.025, 0.8, 0.0, [6.6, 6.5, 6.6, 6.5, 4.6, 4.6], [10.0, 20.0, 30.0, 40.0])
    entered = {
        "coast_runs": Input("coast_runs", rows, 0.0, "", "sheet"),
        "total_mass": Input("total_mass", 203.0, 0.0, "measured", "sheet"),
        "wheel_inertia": Input("wheel_inertia", 0.25, 0.0, "measured", "sheet"),
        "wheel_diameter": Input("wheel_diameter", 0.36, 0.0, "measured", "sheet"),
    }
    drawn = Build(entered).drawn()["rolling_coefficient"]
    assert drawn.shape == (2000,)
    spread = coasting.rolling_spread(coast_fit.coasted(rows))
    assert np.std(drawn) / np.mean(drawn) == pytest.approx(spread / 6**0.5, rel=0.3)


def test_a_chain_left_on_takes_the_machine_off(capsys: pytest.CaptureFixture[str]) -> None:
    """Same times: the machine's drag was part of them, so the ground's share is less."""

    def answer(*given: str) -> dict:
        assert main(["run", "coast-down", "--sheet", SHEET, *given, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    off, on = answer("coast_chain=off"), answer("coast_chain=on")
    assert on["results"]["rolling_coefficient"]["value"] < off["results"]["rolling_coefficient"]["value"]
    assert any("dragged along" in f["text"] for f in on["findings"])
    assert off["results"] == answer()["results"]


def test_too_few_rows_raise() -> None:
    with pytest.raises(NoSolution):
        coast_fit.coasted(((1, "out", 5.0, 1.0), (1, "out", 10.0, 2.1)))
