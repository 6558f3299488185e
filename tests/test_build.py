"""Layers, alternatives, usual values and what is missing."""

from __future__ import annotations

import pytest

from calc.answer import evaluate
from calc.build import Build
from calc.calculators import CALCULATORS
from calc.entries import parse_all
from calc.errors import InputError
from calc.fields import FIELDS
from calc.sheet import Sheet


def layer(**texts: str) -> dict:
    return parse_all(texts, FIELDS)


def test_the_nearest_layer_wins() -> None:
    build = Build.of([("given", layer(slope="5 %")), ("sheet", layer(slope="8 %", road_speed="12 km/h"))])
    assert build.nominal()["slope"] == pytest.approx(0.05)
    assert build.input("slope").source == "given"
    assert build.input("road_speed").source == "sheet"


def test_a_nearer_direct_value_hides_the_parts() -> None:
    parts = layer(vehicle_mass="100", rider_mass="70", load_mass="30")
    assert Build.of([("sheet", parts)]).nominal()["total_mass"] == pytest.approx(200)
    both = Build.of([("given", layer(total_mass="250")), ("sheet", parts)])
    assert both.nominal()["total_mass"] == pytest.approx(250)
    assert not both.clashes


def test_a_nearer_part_hides_the_direct_value() -> None:
    sheet = layer(total_mass="250", vehicle_mass="100", load_mass="30")
    build = Build.of([("given", layer(rider_mass="90")), ("sheet", sheet)])
    assert build.nominal()["total_mass"] == pytest.approx(220)


def test_both_ways_in_one_layer_the_direct_counts_and_both_numbers_are_shown(cart: Sheet) -> None:
    answer = evaluate(
        CALCULATORS["standing-start"], [("sheet", {**cart.entries, **layer(total_mass="250 kg")})]
    )
    assert answer.build.nominal()["total_mass"] == pytest.approx(250)
    text = next(f.text for f in answer.findings if "entered as" in f.text)
    assert "250 kg" in text
    assert "293 kg" in text


def test_a_packs_capacity_either_way() -> None:
    cells = Build.of([("sheet", layer(parallel="2", cell_capacity="20 Ah"))])
    whole = Build.of([("sheet", layer(pack_capacity="40 Ah", parallel="2"))])
    assert cells.nominal()["pack_capacity"] == pytest.approx(40 * 3600)
    assert whole.nominal()["cell_capacity"] == pytest.approx(20 * 3600)
    assert Build.of([]).missing("usable_energy", "cell_resistance") != []


def test_a_usual_range_stands_in_and_says_so() -> None:
    item = Build.of([]).input("emf_constant")
    assert item.basis == item.source == "usual"
    assert item.guessed


def test_what_is_missing_is_named_with_both_ways_to_give_it() -> None:
    with pytest.raises(InputError) as raised:
        evaluate(CALCULATORS["standing-start"], [("sheet", layer(emf_constant="10"))])
    said = {p.field: p.text for p in raised.value.problems}
    assert set(said) == {"slope", "total_mass", "gear_ratio", "series", "pack_capacity"}
    assert "mass of the vehicle" in said["total_mass"]


def test_what_a_calculator_does_not_use_gets_a_caution(cart: Sheet) -> None:
    answer = evaluate(CALCULATORS["pack"], [("given", layer(slope="5 %")), ("demo", cart.entries)])
    assert any("isn't used" in f.text for f in answer.findings)


def test_takes_is_read_off_the_graph() -> None:
    takes = CALCULATORS["standing-start"].takes
    for key in (
        "emf_constant",
        "phase_current_limit",
        "slope",
        "rolling_coefficient",
        "alignment_error",
        "rider_mass",
        "total_mass",
    ):
        assert key in takes
    assert "ride_time" not in takes


def test_cells_in_parallel_alone_is_a_question_and_not_a_fault() -> None:
    with pytest.raises(InputError) as raised:
        evaluate(CALCULATORS["pack"], [("sheet", layer(parallel="2", series="16"))])
    assert "pack_capacity" in {p.field for p in raised.value.problems}


def test_a_pack_known_as_a_whole_hides_the_cells_of_the_layer_below() -> None:
    """A small pack over a sheet of large cells: resistance follows the small one."""
    sheet = layer(cell_capacity="100 Ah", resistance_capacity="100 mΩ·Ah")
    build = Build.of([("given", layer(pack_capacity="20 Ah")), ("sheet", sheet)])
    assert build.nominal()["cell_resistance"] == pytest.approx(5e-3)


@pytest.mark.parametrize(
    ("texts", "direct"),
    [
        ({"total_mass": "200", "rider_mass": "120"}, "Total mass"),
        ({"pack_capacity": "20", "cell_capacity": "100"}, "Capacity of the pack"),
        ({"gear_ratio": "6", "driver_teeth": "10"}, "Gear ratio"),
    ],
)
def test_part_of_the_other_way_in_the_same_layer_is_said(texts: dict[str, str], direct: str) -> None:
    clashes = Build.of([("given", layer(**texts))]).clashes
    assert [FIELDS[c.direct].label.startswith(direct) for c in clashes] == [True]


def test_a_usual_count_of_poles_tells_nothing_of_sensors(cart: Sheet) -> None:
    own = {k: e for k, e in cart.entries.items() if k != "pole_pairs"}
    assert Build.of([("sheet", own)]).missing("sensors_usable") == ["pole_pairs"]
    assert Build.of([("sheet", own)]).missing("torque_available_worst") == ["pole_pairs"]
