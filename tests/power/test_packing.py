"""The pack's windows, its cells' current, cold, packs side by side, and the search for counts."""

from __future__ import annotations

import numpy as np
import pytest

from calc.power import boxing, pack, packing
from tests.power.test_conductor import command

CELL = packing.Cell("lfp", 100 * 3600.0, 0.8e-3, 10e-3, 100.0, 2.0, 1e-3, 35.0)
WISH = packing.Wish(3000 * 3600.0, 61.4, 63.0, 42.0, 58.4, 40.0, 30e-3)


def results(*words):
    return {key: item["value"] for key, item in command("pack", *words)["results"].items()}


def test_every_count_that_fits_is_found_and_no_smaller_one_would_do():
    """Against trying every count one by one."""
    for energy in (1000.0, 3000.0, 9000.0):
        wish = WISH._replace(energy=energy * 3600.0, mass=None, volume=None, charger=None)
        tried = [packing.option(wish, CELL, n, p, 0.15) for n in range(1, 25) for p in range(1, 8)]
        fits = [one for one in tried if not one.fault]
        found = packing.options(wish, CELL, 0.15, 8)[0]
        assert not found.fault and found.cells == min(one.cells for one in fits)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"ceiling": 50.0}, "over what the controller stands"),
        ({"floor": 60.0, "ceiling": None}, "cut-out"),
        ({"energy": 60e6}, "too little energy"),
        ({"mass": 10.0}, "too heavy"),
        ({"volume": 10e-3}, "doesn't fit"),
        ({"charger": 84.0}, "another charger"),
        ({"current": 150.0}, "than a cell gives"),
    ],
)
def test_why_a_pack_does_not_fit(change, fault):
    assert fault in packing.option(WISH._replace(**change), CELL, 16, 1, 0.15).fault
    assert packing.option(WISH, CELL, 16, 1, 0.15).fault == ""


def test_the_search_stands_in_the_answer_with_the_fewest_cells_first():
    rows = results("energy_wanted=6000 Wh")["options"]
    fits = [row["cells"] for row in rows if not row["fault"]]
    assert fits == sorted(fits) and all(row["energy"] >= 6000 for row in rows if not row["fault"])
    assert rows[0]["cells"] == rows[0]["series"] * rows[0]["parallel"]


def test_a_cell_has_its_part_of_the_current_and_more_is_a_stop():
    told = command("pack", "parallel=2", "cell_current_limit=20 A")
    values = {key: item["value"] for key, item in told["results"].items()}
    assert values["cell_current"] == pytest.approx(values["one_pack_current"] / 2)
    assert any(f["severity"] == "stop" and "each cell" in f["text"] for f in told["findings"])


def test_the_best_of_several_packs_gives_most():
    """Two packs, one with twice the resistance: two thirds. Equal ones: each its part."""
    assert pack.pack_share(2, 2.0) == pytest.approx(2.0 / 3.0)
    assert pack.pack_share(4, 1.0) == pytest.approx(0.25) and pack.pack_share(1, 3.0) == 1.0
    told = results("packs_parallel=2", "parallel=2", "pack_mismatch=1.5")
    assert told["one_pack_current"] == pytest.approx(0.6 * 2 * told["cell_current"])


def test_cold_cells_sag_more():
    assert pack.cold_factor(273.15) == pytest.approx(2.0) and pack.cold_factor(308.0) == 1.0
    warm, cold = results("coldest_day=25 C"), results("coldest_day=0 C")
    assert cold["sag"] > warm["sag"] and cold["resistance"] == warm["resistance"]
    assert cold["sag"] - warm["sag"] == pytest.approx(16 * 0.8e-3 * 61.4, rel=0.01)


def test_cold_is_judged_on_the_coldest_day_and_cables_on_the_hottest():
    """Twice the resistance at 0 °C: 16 · 0.8 mΩ more at 61.4 A. The hottest day leaves the volts alone."""
    hot = results("coldest_day=25 C", "ambient_temperature=45 C")
    assert hot["sag"] == pytest.approx(results("coldest_day=25 C", "ambient_temperature=30 C")["sag"])
    assert results("coldest_day=0 C", "ambient_temperature=45 C")["sag"] > hot["sag"]
    # A sheet that has but one temperature, and that a cold one: no day is warmer than the hottest.
    assert results("ambient_temperature=-5 C")["sag"] == pytest.approx(results("coldest_day=-5 C")["sag"])
    carries = [
        command("conductor", *words)["results"]["ampacity"]["value"]
        for words in (["coldest_day=-20 C"], ["coldest_day=20 C"], ["ambient_temperature=45 C"])
    ]
    assert carries[0] == carries[1] > carries[2]


def test_a_frozen_pack_that_is_charged_downhill_is_a_stop():
    told = command("pack", "descent_speed=28 km/h", "coldest_day=-3 C")
    assert any(f["severity"] == "stop" and "charges cells at −3 °C" in f["text"] for f in told["findings"])
    mild = command("pack", "descent_speed=28 km/h", "coldest_day=3 C")
    assert all("charges cells at" not in f["text"] for f in mild["findings"])


@pytest.mark.parametrize(
    ("words", "window", "fault"),
    [
        (["protection_voltage_max=57 V"], "protection", "before the pack is full"),
        (["protection_voltage_max=64 V"], "protection", "overcharged"),
        (["protection_voltage_min=50 V"], "protection", "under throttle"),
        (["controller_voltage_max=55 V"], "controller", "over it"),
        (["controller_voltage_cutoff=49 V"], "controller", "cut-out"),
        (["charger_voltage=67 V"], "charger", "overcharges"),
        (["charger_voltage=58.5 V"], "charger", "measure it first"),
        (["charger_voltage=58.5 ± 0.1 V"], "charger", "a little over"),
        (["charger_voltage=48 V"], "charger", "never fills"),
        (
            ["descent_speed=45 km/h", "controller_voltage_max=63 V"],
            "made downhill",
            "what the controller stands",
        ),
    ],
)
def test_a_window_that_does_not_nest_says_why_and_what_to_do(words, window, fault):
    """A charger of 58.5 V is judged by its ±: as a guess it may bring more than 58.8 V to 16 LFP cells."""
    plain, told = command("pack"), command("pack", *words)
    row = next(row for row in told["results"]["windows"]["value"] if row["window"] == window)
    assert fault in row["fault"]
    assert [f for f in told["findings"] if f not in plain["findings"] and f["do"]]


@pytest.mark.parametrize(
    ("words", "fault", "severity"),
    [
        (["group_voltage_max=3.9 V"], "lets a group be overcharged", "stop"),
        (["group_voltage_max=3.6 V"], "opens before a group is full", "caution"),
        (["group_voltage_max=3.66 V", "charger_voltage=58.4 V"], "opens while charging", "caution"),
        (["group_voltage_min=3.1 V"], "opens under throttle", "stop"),
        (["group_voltage_min=1.5 V"], "run flat", "caution"),
        (["group_voltage_max=3.75 V", "group_voltage_min=2.5 V"], "", "ok"),
    ],
)
def test_the_protection_of_each_group_nests_round_one_cell(words, fault, severity):
    """LFP, 2.5 to 3.65 V; a board that guards it opens by 3.80 V and above 2.0 V."""
    told = command("pack", *words)
    rows = {row["window"]: row for row in told["results"]["group_windows"]["value"]}
    assert (rows["one cell"]["low"], rows["one cell"]["high"]) == (2.5, 3.65)
    assert fault in rows["protection, each group"]["fault"]
    own = [f for f in told["findings"] if " group" in f["text"] and "protection" in f["text"].lower()]
    assert [f["severity"] for f in own] == ([severity] if fault else [])


def test_a_group_under_load_keeps_what_the_leads_lose():
    """(47.78 V + 61.4 A · 10 mΩ)/16."""
    told = command("pack", "group_voltage_min=2.5 V")["results"]
    lowest = next(r["low"] for r in told["windows"]["value"] if r["window"] == "under load")
    group = next(r["low"] for r in told["group_windows"]["value"] if r["window"] == "a group under load")
    assert group == pytest.approx((lowest + 61.39 * 0.010) / 16, rel=1e-4)


def test_without_limits_for_groups_there_is_no_window_for_them():
    assert results("protection_voltage_max=59 V")["group_windows"] == []


def test_the_demo_nests():
    assert all(row["fault"] == "" for row in results()["windows"])


def test_a_board_that_does_not_guard_is_a_stop_with_the_reason_first():
    told = command("pack", "protection_voltage_max=64 V")
    assert any(f["severity"] == "stop" and f["text"].startswith("Fire risk") for f in told["findings"])


MM = 1e-3


def test_blocks_in_a_box_by_hand():
    """Cells of 160 × 52 × 118 mm, terminals up: 8 · 53 = 424 of 440 mm, 2 · 161 = 322 of 340, one layer of 133 in 200.

    Lying, terminals along the length: 3 · 133 = 399 of 440, 2 · 161 along the width, 3 · 53 = 159 of 200: 18.
    """
    found = boxing.blocks((440 * MM, 340 * MM, 200 * MM), (160 * MM, 52 * MM, 118 * MM))
    upright = next(one for one in found if one.terminals == "height" and "width" in one.laid)
    assert (upright.along, upright.cells) == ((8, 2, 1), 16)
    lying = next(one for one in found if one.terminals == "length" and "width" in one.laid)
    assert (lying.along, lying.cells) == ((3, 2, 3), 18)
    assert [one.cells for one in found] == sorted((one.cells for one in found), reverse=True)
    assert len({(one.terminals, one.laid) for one in found}) == 6


def test_a_box_of_exactly_the_cells_takes_them_and_one_a_hair_smaller_does_not():
    box = ((53 * 5) * MM, (161 * 2) * MM, 133 * MM)
    cell = (160 * MM, 52 * MM, 118 * MM)
    assert boxing.blocks(box, cell)[0].cells == 10
    assert max(one.cells for one in boxing.blocks((box[0] - 0.1 * MM, *box[1:]), cell)) == 8


def test_round_cells_staggered_and_in_squares():
    """18.5 mm with 1 mm of wrap, 195 × 97.5 mm, one layer of 71 mm: 10 · 5 in squares. Staggered, rows of 5 and 4 along
    the width, 16.89 mm apart: (195 − 19.5)/16.89 = 10.4, so 11 rows, 6 · 5 + 5 · 4 = 50 too."""
    found = boxing.rounds((195 * MM, 97.5 * MM, 71 * MM), 18.5 * MM, 65 * MM)
    up = {one.laid: one for one in found if one.terminals == "height"}
    assert (up["in squares"].along, up["in squares"].cells) == ((10, 5, 1), 50)
    assert up["staggered, rows along the width"].along == (11, 5, 1)
    assert up["staggered, rows along the width"].cells == 50
    # Rows of 10 and 9 along the length: (97.5 − 19.5)/16.89 = 4.6, so 5 rows, 3 · 10 + 2 · 9.
    assert up["staggered, rows along the length"].cells == 48
    assert boxing.rounds((10 * MM, 97.5 * MM, 71 * MM), 18.5 * MM, 65 * MM)[0].cells == 0


@pytest.mark.parametrize("turn", [(0, 1, 2), (2, 0, 1), (1, 2, 0)])
def test_turning_the_box_changes_nothing(turn):
    box = (0.31, 0.22, 0.17)
    turned = (box[turn[0]], box[turn[1]], box[turn[2]])
    for fill in (lambda b: boxing.blocks(b, (0.07, 0.03, 0.1)), lambda b: boxing.rounds(b, 0.021, 0.07)):
        assert sorted(o.cells for o in fill(box)) == sorted(o.cells for o in fill(turned))


BOX = ["box_length=440 mm", "box_width=340 mm", "box_height=140 mm"]
SIDES = ["cell_length=160 mm", "cell_width=52 mm", "cell_height=118 mm"]


def test_the_search_goes_by_layers_where_sides_are_known_and_by_volume_where_not():
    """Of 140 mm height the box takes 16 upright and 12 lying; by volume, seven tenths of 21 L, 14 cells of a litre."""
    told = results(*BOX, *SIDES, "energy_wanted=4300 Wh")
    assert told["box_holds"] == 16
    faults = {row["cells"]: row["fault"] for row in told["options"]}
    assert faults[16] == "" and all("room" in fault for cells, fault in faults.items() if cells > 16)
    by_volume = results("box_volume=21 L", "cell_volume=1 L", "energy_wanted=3800 Wh")
    assert by_volume["box_holds"] is None and by_volume["layouts"] == []
    faults = {row["cells"]: row["fault"] for row in by_volume["options"]}
    assert faults[14] == "" and "room" in faults[16]


def test_a_pack_that_does_not_fit_its_box_is_told_and_so_is_a_side_that_is_missing():
    upright = command("pack", *BOX[:2], "box_height=200 mm", *SIDES)["findings"]
    assert any("takes 16 such cells: terminals along its height" in f["text"] for f in upright)
    assert any("laid otherwise up to 18" in f["text"] for f in upright)
    small = command("pack", "box_length=300 mm", *BOX[1:], *SIDES)["findings"]
    assert any("takes 10 such cells" in f["text"] and "Never squeeze" in f["do"] for f in small)
    half = command("pack", *BOX[:2], *SIDES)["findings"]
    assert any("height of the box inside not entered" in f["text"] for f in half)


def test_shares_over_draws_are_arrays():
    assert np.shape(pack.pack_share(2, np.linspace(1.0, 2.0, 5))) == (5,)
