"""What ten more minutes cost in cells: closed cases, and a build made anew with those cells."""

from __future__ import annotations

import pytest

from calc import sheet
from calc.build import Build, Values
from calc.calculators.ride import RIDE
from calc.entries import parse
from calc.fields import FIELDS

SMALL = {"parallel": "20", "cell_capacity": "5 Ah", "cell_resistance": "16 mΩ", "cell_mass": "70 g"}


def values(**texts: str) -> Values:
    given = {key: parse(FIELDS[key], text) for key, text in texts.items()}
    return Build.of([("given", given), ("demo", sheet.demo().entries)], RIDE.rules).nominal()


def test_a_build_with_those_cells_lasts_as_long_as_told() -> None:
    """An independent way: enter the cells and their mass, and ask how long it lasts."""
    v = values(**SMALL)
    cost = v["more"]
    again = values(**{**SMALL, "parallel": str(20 + cost.parallel), "load_mass": f"{90 + cost.mass} kg"})
    assert float(again["run_time"]) == pytest.approx(float(v["run_time"]) + cost.time, rel=1e-6)
    assert cost.time >= 600.0
    one_less = values(
        **{**SMALL, "parallel": str(19 + cost.parallel), "load_mass": f"{90 + cost.mass - 16 * 0.07} kg"}
    )
    assert cost.parallel == 1 or float(one_less["run_time"]) < float(v["run_time"]) + 600.0


def test_weightless_cells_cost_the_mean_power_for_ten_minutes() -> None:
    light = values(
        **{**SMALL, "cell_mass": "5 g", "pack_lead_resistance": "0.5 mΩ", "cell_resistance": "0.05 mΩ"}
    )
    cost = light["more"]
    assert cost.weightless == pytest.approx(float(light["mean_power"]) * 600.0)
    assert cost.energy == pytest.approx(cost.weightless, rel=0.01)
    heavy = values(**{**SMALL, "cell_mass": "300 g"})["more"]
    assert heavy.energy > 1.05 * heavy.weightless


def test_cells_that_weigh_more_than_they_bring_are_said_to() -> None:
    lead = values(**{**SMALL, "cell_mass": "20 kg", "cell_capacity": "0.5 Ah"})["more"]
    assert lead.parallel is None and lead.energy is None
