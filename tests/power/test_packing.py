"""The pack's windows, its cells' current, cold, packs side by side, and the search for counts."""

from __future__ import annotations

import numpy as np
import pytest

from calc.power import pack, packing
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
        ({"ceiling": 50.0}, "over the controller's ceiling"),
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
    told = command("pack", "descent_speed=25 km/h", "coldest_day=-3 C")
    assert any(f["severity"] == "stop" and "charges cells at −3 °C" in f["text"] for f in told["findings"])
    mild = command("pack", "descent_speed=25 km/h", "coldest_day=3 C")
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
        (["charger_voltage=58.5 V"], "charger", "overcharges"),
        (["charger_voltage=58.5 ± 0.1 V"], "charger", "a little over"),
        (["charger_voltage=48 V"], "charger", "never fills"),
        (["descent_speed=45 km/h", "controller_voltage_max=63 V"], "made downhill", "ceiling"),
    ],
)
def test_a_window_that_does_not_nest_says_why_and_what_to_do(words, window, fault):
    """A charger of 58.5 V is judged by its ±: as a guess it may bring more than 59.2 V to 16 LFP cells."""
    plain, told = command("pack"), command("pack", *words)
    row = next(row for row in told["results"]["windows"]["value"] if row["window"] == window)
    assert fault in row["fault"]
    assert [f for f in told["findings"] if f not in plain["findings"] and f["do"]]


def test_the_demo_nests():
    assert all(row["fault"] == "" for row in results()["windows"])


def test_a_board_that_does_not_guard_is_a_stop_with_the_reason_first():
    told = command("pack", "protection_voltage_max=64 V")
    assert any(f["severity"] == "stop" and f["text"].startswith("Fire risk") for f in told["findings"])


def test_shares_over_draws_are_arrays():
    assert np.shape(pack.pack_share(2, np.linspace(1.0, 2.0, 5))) == (5,)
