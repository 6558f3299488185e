"""What the verdict says for somebody's safety: pack, charger, speed, and what rests on a guess."""

from __future__ import annotations

import json

import numpy as np
import pytest

from calc import view_verdict
from calc.build import Build, Input
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.levers import mend
from calc.sheet import Sheet
from calc.told.power import over_full
from calc.verdict import judge
from tests.test_verdict import changed, check, without


def test_a_safety_check_in_doubt_is_a_stop(cart: Sheet) -> None:
    j = check(changed(cart, charger_voltage="58.6 V ± 0.5 V, measured"), "charger")
    assert j.chance is not None and 0.5 < j.chance < 0.95
    assert j.severity == "stop"


def test_a_safety_check_on_a_usual_value_is_never_ok(cart: Sheet) -> None:
    j = check(without(cart, "chemistry"), "charger")
    assert j.chance == 1.0
    assert j.severity == "caution"
    assert "Cell chemistry" in j.do


def test_a_charger_over_the_full_voltage_is_a_stop_with_the_reason_first(cart: Sheet) -> None:
    j = check(changed(cart, charger_voltage="67.2 V, measured"), "charger")
    assert j.severity == "stop"
    assert "67.2 V" in j.text and "Fire" in j.do


def test_a_protection_by_groups_is_judged_by_groups(cart: Sheet) -> None:
    """It counts before the pack's volts: 3.9 V lets LFP be overcharged; 3.1 V opens on the hill, 2.6 V doesn't."""
    high = check(changed(cart, group_voltage_max="3.9 V, rated"), "overcharge")
    assert high.severity == "stop" and high.need == pytest.approx(3.8)
    assert check(changed(cart, group_voltage_min="3.1 V, rated"), "protection").severity == "stop"
    held = check(changed(cart, group_voltage_min="2.6 V, rated", protection_voltage_min="50 V"), "protection")
    assert held.severity == "ok" and held.need == pytest.approx(2.6 * 16 - 61.39 * 0.010, rel=1e-4)


def test_nothing_is_tuned_to_suit_a_wrong_charger(attempt: Sheet) -> None:
    charger = next(j for j in mend(judge(attempt)).checks if j.check.id == "charger")
    assert charger.severity == "stop"
    assert charger.lever is None


def test_cells_are_not_drained_for_a_low_cut_out(cart: Sheet) -> None:
    """A controller that goes on to 20 V doesn't make 30 V right for sixteen LFP cells (2.5 V each at least)."""
    j = check(changed(cart, controller_voltage_cutoff="20 V, measured", reserve_charge="0 %"), "pack-low")
    assert j.need == pytest.approx(40)
    assert j.severity == "stop"


def test_sixty_volts_and_what_is_not_judged_are_said(cart: Sheet) -> None:
    high = judge(changed(cart, series="20", controller_voltage_max="90 V, measured"))
    assert any("60 V" in f.text for f in high.findings)
    assert not any("60 V" in f.text for f in judge(cart).findings)
    assert "brakes" in view_verdict.verdict(judge(cart))["not_judged"]


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"series": "17", "controller_voltage_max": "90 V, measured"}, "the full pack 62"),
        ({"charger_voltage": "60.5 V ± 0.1 V, measured"}, "the charger, at most 60.6 V"),
        ({"descent_speed": "30 km/h"}, "the machine at its fastest"),
    ],
)
def test_the_voltage_class_is_judged_full_charging_and_downhill(
    cart: Sheet, changes: dict[str, str], named: str
) -> None:
    """Class A ends at 60 V of direct current (UN R100, ISO 6469-4): 17 LFP cells have 62.05 V full."""
    found = [f for f in judge(changed(cart, **changes)).findings if "voltage class A" in f.text]
    assert len(found) == 1 and named in found[0].text
    assert "licensed" in found[0].do and "orange" in found[0].do and "0.1 ohm" in found[0].do


def test_a_fast_build_is_warned_of_whatever_was_wished(cart: Sheet) -> None:
    """From 15 km/h on, brakes, helmet and rider are spoken of even where that speed was asked for."""
    texts = [f.text for f in judge(changed(cart, road_speed="24 km/h")).findings]
    assert any("At full throttle it reaches" in text for text in texts)
    slow = changed(cart, gear_ratio="20", road_speed="9 km/h")
    assert not any("At full throttle" in f.text for f in judge(slow).findings)


def test_a_fast_build_is_warned_of_when_no_speed_was_wished(cart: Sheet) -> None:
    """15 km/h is the line when nobody said what they want; the text then names no wish."""
    warned = [
        f.text for f in judge(without(cart, "road_speed", "duty")).findings if "At full throttle" in f.text
    ]
    assert len(warned) == 1 and "wanted" not in warned[0]
    slow = without(changed(cart, gear_ratio="20"), "road_speed", "duty")
    assert not any("At full throttle" in f.text for f in judge(slow).findings)


def test_half_as_fast_again_as_wished_is_warned_of_at_a_walk(cart: Sheet) -> None:
    slow = changed(cart, gear_ratio="20", road_speed="5 km/h")
    assert any("where 5 km/h are wanted" in f.text for f in judge(slow).findings)


def test_a_charger_a_little_over_full_is_a_caution_of_the_verdict(cart: Sheet) -> None:
    """16 LFP cells are full at 58.4 V; boards level them within 0.025 V each, 0.4 V: 58.6 V is between."""
    assert check(changed(cart, charger_voltage="58.6 V ± 1 V, measured"), "charger").severity == "stop"
    over = check(changed(cart, charger_voltage="58.6 V ± 0.1 V, measured"), "charger")
    assert over.severity == "caution" and over.do.startswith("Turn it down before it is joined")
    far = check(changed(cart, charger_voltage="67.2 V, measured"), "charger")
    assert "a little over" not in far.text and "Turn it down" not in far.do
    assert check(cart, "charger").severity == "ok"
    # 0.05 V a cell, which one cell stands, is too much for sixteen: the highest takes more than its part.
    assert check(changed(cart, charger_voltage="59.2 V ± 0.05 V, measured"), "charger").severity == "stop"


@pytest.mark.parametrize("cells", range(4, 61))
def test_a_charger_of_exactly_the_full_voltage_is_not_over_it(cart: Sheet, cells: int) -> None:
    own = Build.of([("sheet", changed(cart, series=str(cells)).entries)])
    full = float(own.nominal()["voltage_full"])
    entry = parse_all({"charger_voltage": f"{full:.2f} V ± 0.01 V, measured"}, FIELDS)["charger_voltage"]
    charger = Input("charger_voltage", entry.value, entry.spread, entry.basis, "sheet")
    assert over_full(charger, full, full + 1.0) == []


def test_a_safety_stop_that_rests_on_a_guess_says_so_and_how_to_measure(cart: Sheet) -> None:
    """58.4 V with nobody's word for it: it would fit, and what stops it is that it may be 5 % more."""
    j = check(changed(cart, charger_voltage="58.4 V"), "charger")
    assert j.severity == "stop" and j.margin is not None and j.margin > 0
    assert "58.4 V counts as a guess, ± 2.92 V" in j.text
    assert j.do.startswith("Fire risk. Measure before") and "voltmeter" in j.do and "Don't charge" in j.do
    wrong = check(changed(cart, charger_voltage="67.2 V"), "charger")
    assert wrong.do.startswith("Fire risk")


@pytest.mark.parametrize(
    ("changes", "amps"),
    [
        ({"coldest_charge": "20 °C ± 1 °C, measured"}, 50.0),
        ({"coldest_charge": "10 °C ± 1 °C, measured"}, 20.0),
        ({"coldest_charge": "3 °C ± 1 °C, measured"}, 10.0),
        ({"coldest_charge": "-1 °C ± 1 °C, measured"}, 0.0),
        ({"ambient_temperature": "46 °C ± 0.5 °C, measured"}, 0.0),
    ],
)
def test_the_charge_is_judged_at_both_ends_of_the_year(
    cart: Sheet, changes: dict[str, str], amps: float
) -> None:
    """50 A a cell; 0.1C, 0.2C and 0.5C from 0, 5 and 15 °C, none below 0 and above 45 °C (reference values, 7)."""
    j = check(changed(cart, **changes), "charge-current")
    assert j.have == pytest.approx(amps)
    assert j.severity == ("ok" if amps == 50.0 else "stop")


def test_who_rides_in_frost_and_says_no_more_is_told_not_to_charge(cart: Sheet) -> None:
    """The room is warm, but nobody said that the pack waits there first."""
    frost = without(changed(cart, coldest_day="-5 °C ± 1 °C, measured"), "coldest_charge")
    j = check(frost, "charge-current")
    assert j.have == 0.0 and j.severity == "stop" and "−5 °C" in j.text
    assert check(without(cart, "coldest_charge", "coldest_day"), "charge-current").have == pytest.approx(50.0)


def test_a_cold_morning_takes_the_pack_to_the_cut_out_and_is_named(cart: Sheet) -> None:
    weak = changed(
        cart, cell_resistance="3 mΩ ± 0.1 mΩ, measured", controller_voltage_cutoff="43 V, measured"
    )
    warm = check(changed(weak, coldest_day="20 °C ± 2 °C, measured"), "pack-low")
    cold = check(changed(weak, coldest_day="-5 °C ± 2 °C, measured"), "pack-low")
    assert warm.severity == "ok" and cold.severity == "stop" and "−5 °C" in cold.text


def test_what_a_check_of_safety_waits_for_is_named_before_the_rest(cart: Sheet) -> None:
    bare = without(cart, "charger_voltage", "ride_time", "controller_voltage_max")
    missing = [n.field for n in judge(bare).measure_next if n.share is None]
    assert missing.index("charger_voltage") < missing.index("ride_time")


CLOSE_CALLS = {
    "run-flat": ({"protection_voltage_min": "33 V, rated"}, "under the cells' least"),
    "insulation": ({"insulation_resistance": "0.6 MΩ, measured"}, "clean, dry, and measure again"),
    "charge-current": ({"ambient_temperature": "43 °C ± 0.5 °C, measured"}, "in the shade first"),
}


@pytest.mark.parametrize("check_id", CLOSE_CALLS)
def test_between_what_is_good_and_what_is_stopped_is_a_caution(cart: Sheet, check_id: str) -> None:
    """Within what the check stands, and short of what guide and sheet call good: all three say the same."""
    change, words = CLOSE_CALLS[check_id]
    judged = check(changed(cart, **change), check_id)
    assert judged.severity == "caution" and words in f"{judged.text} {judged.do}".lower()
    assert words not in check(cart, check_id).text


def test_groups_that_were_measured_apart_stop_the_verdict_as_they_stop_the_charging(cart: Sheet) -> None:
    """A group under its least is never charged, and no check of the whole pack sees it."""
    volts = ["3.3 V"] * 16
    volts[8] = "2.3 V"
    told = judge(changed(cart, group_voltages="; ".join(volts)))
    assert told.severity == "stop" and any("group 9 stands at 2.3 V" in f.text for f in told.findings)
    assert judge(changed(cart, group_voltages="; ".join(["3.3 V"] * 16))).severity == "ok"


def test_an_insulation_test_counts_at_the_least_that_it_lets_be_believed(cart: Sheet) -> None:
    """A meter that shows 47.5 of 48 V: 0.105 MΩ, and a winding on the case reads the same."""
    judged = check(changed(cart, insulation_test="48 V, 47.5 V, 48 V"), "insulation")
    assert judged.severity == "stop" and judged.have == pytest.approx(0.0, abs=1.0)
    assert check(cart, "insulation").have > 1e6
    typed = check(changed(cart, insulation_resistance="0.2 MΩ, measured"), "insulation")
    assert typed.have == pytest.approx(0.2e6)


def test_a_guess_beside_readings_is_the_one_to_clear(cart: Sheet) -> None:
    """The guess counts as it was typed; what to do names it, and offers to clear it alone."""
    rows = "1500 rpm, 1 A, 6.9 V; 1500 rpm, 3 A, 15 V; 1500 rpm, 4 A, 16.6 V; 1500 rpm, 5 A, 17.3 V"
    guess = next(
        f
        for f in judge(changed(cart, emf_constant="9 V/krpm", emf_test=rows)).findings
        if f.text.startswith("EMF constant was entered as 9 V/krpm")
    )
    assert guess.do == "Clear EMF constant." and guess.clears == (("emf_constant",),)
    sure = judge(changed(cart, emf_constant="9 V/krpm, measured", emf_test=rows)).findings
    assert any(f.do == "Clear one of the two." and len(f.clears) == 2 for f in sure)


def test_one_row_of_insulation_is_no_ok(cart: Sheet) -> None:
    """Stator and field are two windings; a grounded brush is the usual fault."""
    rows = list(cart.entries["insulation_test"].value)
    one = cart.entries | {"insulation_test": cart.entries["insulation_test"]._replace(value=tuple(rows[:1]))}
    judged = check(Sheet(one), "insulation")
    assert judged.severity == "caution" and "two windings" in judged.text and "other winding" in judged.do


SEEN = {
    "insulation": {"insulation_resistance": "20 MΩ, guess"},
    "guard": {"guard_opening": "0 mm, guess"},
    "brakes": {"deceleration": "3.5 m/s², guess"},
    "fuse-voltage": {"fuse_voltage": "125 V, guess"},
    "fuse-breaks": {"fuse_breaking": "50 kA, guess"},
    "switch-break": {"switch_break_rating": "900 A, guess"},
}


@pytest.mark.parametrize("check_id", SEEN)
def test_what_can_be_seen_is_no_ok_as_a_guess(cart: Sheet, check_id: str) -> None:
    """However much a guess leaves in hand, somebody has to look."""
    judged = check(changed(without(cart, "insulation_test"), **SEEN[check_id]), check_id)
    assert (
        judged.chance == 1.0 and judged.severity == "caution" and judged.do.startswith("Measure or read it")
    )


@pytest.mark.parametrize("rows", ["child, sight, 4.5 km/h", "learner, alone, 8 km/h", "grown, alone, 8 km/h"])
def test_whoever_nobody_walks_beside_is_judged_downhill_too(cart: Sheet, rows: str) -> None:
    """A controller's limit holds nothing on a slope: 30 km/h there is above any such rider's cap."""
    down = changed(cart, riders=rows, descent_speed="30 km/h", road_speed="4 km/h")
    assert check(down, "rider").severity == "stop"
    beside = changed(down, riders="child, beside, 4.5 km/h")
    assert check(beside, "rider").severity == "ok"


def test_volts_and_current_of_the_speed_that_it_drives_itself_to(cart: Sheet) -> None:
    """72 on 11 teeth and 30° of advance go three times as fast as the 12 km/h downhill: throttle shut there, it stops
    both, with sensors in wrong slots too; a limit set for each rider mends it."""
    tall = changed(
        cart, timing_advance="30°", driven_teeth="72", slope="3 %, measured", riders="grown, alone"
    )
    v = Build.of([("sheet", tall.entries)]).nominal()
    volts, amps = check(tall, "overspeed"), check(tall, "descent-charge")
    assert (volts.severity, amps.severity) == ("stop", "stop")
    share = np.sqrt(2) * float(v["emf_constant"] * v["top_speed"] * 2 * v["gear_ratio"] / v["wheel_diameter"])
    assert volts.have == pytest.approx(share * (16 * 3.65 - 60 * 0.0228) / float(v["supply_voltage"]))
    assert "with a full pack" in volts.text and "at its reserve" in amps.text
    assert "speed limit set in" in volts.do and "speed limit set in" in amps.do
    assert 42.0 < amps.have < 50.0  # followed in time with the throttle shut there: 15 to 42 A
    astray = changed(tall, sensor_slots="0, 3, 6")
    assert check(astray, "overspeed").severity == "stop"
    assert "as if the sensors were mended" in check(astray, "overspeed").text
    held = changed(tall, riders="grown, alone, 15 km/h")
    assert check(held, "overspeed").severity == check(held, "descent-charge").severity == "ok"
    assert "greatest limit set for a rider" in check(held, "overspeed").text
    nobody = check(without(tall, "riders"), "overspeed")
    assert nobody.have == pytest.approx(volts.have)


@pytest.mark.parametrize("answer", ["on", "unknown"])
def test_a_controller_that_sends_current_back_is_a_stop(cart: Sheet, answer: str) -> None:
    judged = check(changed(cart, electric_brake=answer), "electric-brake")
    assert judged.severity == "stop" and "clamp meter" in judged.do
    assert check(without(cart, "electric_brake"), "electric-brake").missing == ("electric_brake",)


def test_what_the_pages_call_close_is_no_ok_of_the_verdict(cart: Sheet) -> None:
    """A parking brake with a tenth in hand, a side slope of two thirds of what tips it, a reaction of no time."""
    pull = float(check(cart, "parking").need)
    held = check(changed(cart, parking_force=f"{1.1 * pull:.0f} N ± 1 N, measured"), "parking")
    assert held.severity == "caution" and "Chock it" in held.do
    side = check(cart, "side-slope").need
    leaning = check(changed(cart, side_slope=f"{66 * side:.1f} % ± 0.1 %, measured"), "side-slope")
    assert leaning.severity == "caution" and "never along" in leaning.do
    quick = check(changed(cart, reaction_time="0.2 s, measured"), "brakes")
    assert quick.severity == "caution"


def test_cells_of_more_resistance_than_any_of_their_kind_are_doubted_where_less_is_the_danger(
    cart: Sheet,
) -> None:
    """2.5 mΩ at 100 Ah is 250 mΩ·Ah; such cells have up to 150, and with 0.8 mΩ a short makes three times as much."""
    judged = check(
        changed(cart, cell_resistance="2.5 mΩ ± 0.2 mΩ, measured", fuse_breaking="20 kA, rated"),
        "fuse-breaks",
    )
    assert judged.severity == "caution" and "Measure one cell again" in judged.do


def test_a_doubt_that_no_guess_is_in_asks_for_the_mend(cart: Sheet) -> None:
    """A bend paced within ±1.5 m is measured; what there is to do is slower, not to measure something else."""
    judged = check(changed(cart, corner_radius="6 m ± 1.5 m, measured"), "rider")
    assert judged.severity == "stop" and judged.do.startswith("Set the controller's speed limit")


def test_what_contradicts_itself_is_said_beside_the_checks(cart: Sheet) -> None:
    """Another load on the scales than on the sheet; a child's mass and no child; a pack with a group unread."""

    def said(sheet: Sheet) -> str:
        return " ".join(f.text for f in judge(sheet).findings if f.severity == "caution")

    assert "stood on the scales" not in said(cart)
    assert "stood on the scales" in said(changed(cart, load_mass="140 kg ± 2 kg, measured"))
    light = changed(cart, rider_mass="25 kg ± 1 kg, measured")
    assert "child more often" in said(changed(light, riders="grown, alone"))
    assert "child more often" not in said(changed(light, riders="child, beside, 4.5 km/h"))
    assert "15 groups were measured" in said(changed(cart, group_voltages="; ".join(["3.3 V"] * 15)))


LOWEST = {
    "flat": {"slope": "0 %, measured"},
    "exactly flat": {"slope": "0 % ± 0 %, measured", "side_slope": "0 % ± 0 %, measured"},
    "flat, and too weak to gather way": {
        "slope": "0 % ± 0 %, measured",
        "phase_current_limit": "1 A, measured",
    },
    "hardly any descent": {"descent_height": "0.1 m, measured"},
    "a crawl": {"road_speed": "0.5 km/h", "climb_speed": "0.5 km/h", "descent_speed": "0.5 km/h"},
    "no second brake": {"second_axle": "none", "second_deceleration": "0 m/s²"},
    "hardly any parking brake": {"parking_force": "1 N, measured", "slope": "0 % ± 0 %, measured"},
    "no reaction, no way ahead": {"reaction_time": "0 s", "sight_distance": "1 m, measured"},
    "no wheels' inertia": {"wheel_inertia": "0 kg·m², measured", "slope": "0 % ± 0 %, measured"},
    "ice": {"grip": "0.05 ± 0, measured", "slope": "0 % ± 0 %, measured"},
}


@pytest.mark.parametrize("case", LOWEST)
@pytest.mark.filterwarnings("error")
def test_a_need_of_nothing_has_a_margin_all_the_same(cart: Sheet, case: str) -> None:
    """Entries at their lowest limits, level ground among them, are normal: every margin is a number that JSON takes."""
    told = view_verdict.verdict(judge(changed(cart, **LOWEST[case])))
    json.dumps(told, allow_nan=False)
    for judged in told["checks"]:
        assert judged["margin"] is None or np.isfinite(judged["margin"]), judged["id"]


def test_level_ground_is_parked_on_by_any_brake(cart: Sheet) -> None:
    judged = check(changed(cart, slope="0 % ± 0 %, measured"), "parking")
    assert judged.severity == "ok" and judged.margin is not None and judged.margin > 100.0
    steep = check(cart, "parking")
    assert steep.need == pytest.approx(293 * 9.80665 * np.sin(np.arctan(0.08)), rel=1e-6)


def test_too_many_volts_downhill_stop_a_build_whose_own_speed_nobody_knows(cart: Sheet) -> None:
    """The check waits for mass and pack; what the descent makes alone is told meanwhile."""
    bare = without(
        changed(cart, descent_speed="60 km/h"), "total_mass", "vehicle_mass", "rider_mass", "load_mass"
    )
    assert check(bare, "overspeed").missing
    told = judge(bare)
    assert told.severity == "stop" and any(
        "60 km/h downhill; the controller" in f.text for f in told.findings
    )
    slow = without(cart, "total_mass", "vehicle_mass", "rider_mass", "load_mass")
    assert not any("downhill; the controller" in f.text for f in judge(slow).findings)
