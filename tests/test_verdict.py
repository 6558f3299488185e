"""The whole-build verdict on the two invented builds, and how it judges, names and mends."""

from __future__ import annotations

import numpy as np
import pytest

from calc import sheet, view, view_verdict
from calc.build import Build
from calc.checks import CHECKS, Judged, Lever
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.levers import mend
from calc.sheet import Sheet
from calc.verdict import judge


def changed(s: Sheet, **texts: str) -> Sheet:
    return Sheet({**s.entries, **parse_all(texts, FIELDS)}, s.document)


def without(s: Sheet, *keys: str) -> Sheet:
    return Sheet({k: e for k, e in s.entries.items() if k not in keys}, s.document)


def check(s: Sheet, check_id: str) -> Judged:
    return next(j for j in judge(s).checks if j.check.id == check_id)


def test_the_harvest_cart_passes(cart: Sheet) -> None:
    assert judge(cart).severity == "ok"


def test_the_first_attempt_stops_for_the_reasons_it_was_made_for(attempt: Sheet) -> None:
    stops = {j.check.id for j in judge(attempt).checks if j.severity == "stop"}
    assert {"sensors", "pack-low", "slope", "start"} <= stops


def test_margins_are_what_the_design_says(cart: Sheet) -> None:
    """floor (have − need)/need, ceiling (limit − value)/limit, at the stated values."""
    v = Build.of([("sheet", cart.entries)]).nominal()
    assert check(cart, "start").margin == pytest.approx(
        (v["start_torque_worst"] - v["breakaway_needed"]) / v["breakaway_needed"]
    )
    assert check(cart, "pack-high").margin == pytest.approx((63 - 58.4) / 63, rel=1e-9)
    assert check(cart, "sensors").margin is None


def test_a_chance_is_the_share_of_draws_that_pass(cart: Sheet) -> None:
    """Slope needed against slope force: a triangle cut where the force stands, worked out by hand.

    With everything else exact, the check passes while the drawn mass stays under the mass that the force holds.
    """
    exact = {k: e._replace(spread=0.0) for k, e in cart.entries.items()}
    base = Sheet(exact)
    v = Build.of([("sheet", exact)]).nominal()
    mass = float(
        v["climb_force"] / v["climb_load"] * v["total_mass"]
    )  # drag at 5 km/h is under 0.4 % of the load
    wide = changed(
        without(base, "vehicle_mass", "rider_mass", "load_mass"),
        total_mass=f"{mass:.6f} kg ± 40 kg, measured",
    )
    assert check(wide, "slope").chance == pytest.approx(0.5, abs=0.03)


def test_severity_follows_the_chance(cart: Sheet) -> None:
    seen = set()
    for volts in range(40, 56):
        j = check(changed(cart, controller_voltage_cutoff=f"{volts} V ± 2 V, measured"), "pack-low")
        assert j.chance is not None
        assert j.severity == ("ok" if j.chance >= 0.95 else "stop" if j.chance < 0.5 else "caution")
        seen.add(j.severity)
    assert seen == {"ok", "caution", "stop"}


def test_what_is_missing_is_a_caution_with_what_to_enter(cart: Sheet) -> None:
    j = check(without(cart, "charger_voltage"), "charger")
    assert (j.severity, j.margin, j.chance) == ("caution", None, None)
    assert "full voltage of the charger" in j.text
    assert ("charger_voltage", None) in [
        (n.field, n.share) for n in judge(without(cart, "charger_voltage")).measure_next
    ]


def test_an_empty_sheet_gets_a_verdict_and_not_an_error() -> None:
    v = judge(Sheet())
    assert v.severity == "caution"
    assert v.measure_next


def test_extremes_are_shown_as_more_or_fewer_than() -> None:
    def said(share: float) -> str:
        return view_verdict.chance(Judged(CHECKS[0], "ok", "", "", 0.1, share))

    assert "more than 99.8 %" in said(1.0)
    assert "fewer than 0.2 %" in said(0.0)
    assert "99.9 of 100" in said(0.9995)
    assert "0.1 of 100" in said(0.0005)


def test_measure_next_names_the_guess_that_decides(cart: Sheet) -> None:
    """One guess made so wide that it alone decides must carry nearly all of the share."""
    v = judge(changed(cart, emf_constant="8 V/krpm ± 5 V/krpm, guess"))
    assert v.measure_next[0].field == "emf_constant"
    assert v.measure_next[0].share > 0.8
    assert sum(n.share for n in v.measure_next if n.share) <= 1 + 1e-9


def test_what_to_measure_says_for_which_checks(cart: Sheet) -> None:
    """A wide EMF constant decides start and slope, and nothing of the charger."""
    first = judge(changed(cart, emf_constant="8 V/krpm ± 5 V/krpm, guess")).measure_next[0]
    named = {c.id for c in first.checks}
    assert {"start", "slope"} <= named and not named & {"charger", "park", "corner"}
    waits = next(
        n for n in judge(without(cart, "charger_voltage")).measure_next if n.field == "charger_voltage"
    )
    assert "charger" in {c.id for c in waits.checks}


def test_a_check_that_a_guess_decides_asks_to_measure_before_it_asks_to_change(cart: Sheet) -> None:
    """With the same number measured, the same shortfall is a matter of change alone."""
    j = check(changed(cart, emf_constant="8 V/krpm ± 5 V/krpm, guess"), "start")
    assert (
        j.severity != "ok"
        and j.do.startswith("First measure or enter “EMF constant")
        and "Gear lower" in j.do
    )
    far = check(changed(cart, emf_constant="1 V/krpm ± 0.1 V/krpm, measured"), "start")
    assert far.severity == "stop" and "First measure" not in far.do


def test_what_a_stopped_check_of_safety_waits_for_stands_first(cart: Sheet) -> None:
    """Without a speed downhill a usual one stands in; where that stops the brakes, it is what to enter first."""
    bare = changed(without(cart, "descent_speed"), sight_distance="7 m")
    j = check(bare, "brakes")
    assert j.severity == "stop" and "“Fastest speed downhill”" in j.do
    first = judge(bare).measure_next[0]
    assert first.field == "descent_speed" and "brakes" in {c.id for c in first.checks}


def test_an_entry_that_no_draw_could_mend_is_not_asked_for_first(cart: Sheet) -> None:
    """A fuse for 1 A of breaking current stays too small whatever number of cells is side by side."""
    j = check(changed(without(cart, "parallel"), fuse_breaking="1 A, rated"), "fuse-breaks")
    assert j.severity == "stop" and j.chance == 0.0 and "First enter" not in j.do


def test_a_measured_value_is_not_worth_measuring(cart: Sheet) -> None:
    v = judge(changed(cart, emf_constant="8 V/krpm ± 5 V/krpm, measured"))
    assert "emf_constant" not in [n.field for n in v.measure_next]


def test_a_lever_mends_its_check_and_leaves_no_other_worse(cart: Sheet) -> None:
    weak = changed(cart, driver_teeth="24")
    before = judge(weak)
    mended = mend(before)
    levers = [j for j in mended.checks if j.lever]
    assert levers
    for j in levers:
        assert j.lever is not None
        after = judge(Sheet({**weak.entries, **parse_all({j.lever.field: view_text(j.lever)}, FIELDS)}))
        order = {"ok": 0, "caution": 1, "stop": 2}
        assert next(k for k in after.checks if k.check.id == j.check.id).severity == "ok"
        assert all(
            order[a.severity] <= order[b.severity] for a, b in zip(after.checks, before.checks, strict=True)
        )


def view_text(lever: Lever) -> str:
    f = FIELDS[lever.field]
    number = view.number(lever.value, f.unit)
    return f"{number:.0f}" if f.kind == "count" else f"{number} ± {abs(number) * 0.02}, measured"


def test_a_build_that_is_ok_needs_no_lever(cart: Sheet) -> None:
    assert all(j.lever is None for j in mend(judge(cart)).checks)


def test_the_same_sheet_gives_the_same_chances(attempt: Sheet) -> None:
    assert view_verdict.verdict(judge(attempt)) == view_verdict.verdict(judge(sheet.read(attempt.document)))


def test_every_check_can_fail_and_can_pass(cart: Sheet) -> None:
    """No check is decoration: for each there is a change to the cart that turns it."""
    turns = {
        "start": {"slope": "39 %"},
        "slope": {"slope": "39 %"},
        "grip": {"grip": "0.1 ± 0.01, measured"},
        "speed": {"road_speed": "60 km/h"},
        "run-time": {"ride_time": "3000 min"},
        "ride-rows": {"duty": "60 km/h, 20 %, 100 %"},
        "heat": {
            "winding_thermal_resistance": "1.2 K/W, measured",
            "body_thermal_resistance": "4 K/W, measured",
        },
        "field-heat": {"field_hold_current": "6 A"},
        "pack-current": {"pack_current_limit": "20 A, measured"},
        "pack-low": {"controller_voltage_cutoff": "60 V"},
        "pack-high": {"controller_voltage_max": "50 V, measured"},
        "charger": {"charger_voltage": "84 V, measured"},
        "charge-current": {"charger_current": "80 A, measured"},
        "sensors": {"sensor_slots": "0, 3, 6"},
        "insulation": {"insulation_resistance": "4 kΩ, measured"},
        "overspeed": {"descent_speed": "60 km/h"},
        "chain": {"chain_size": "25"},
        "joint": {"nut_torque": "30 N·m, measured"},
        "shaft": {"sprocket_overhang": "80 mm, measured"},
        "mount": {"bolt_size": "M6", "bolt_class": "4.8", "bolt_spacing": "10 mm, measured"},
        "descent-charge": {"descent_speed": "60 km/h"},
        "precharge-power": {"precharge_rating": "1 W, rated"},
        "precharge-pulse": {"precharge_energy": "1 J, rated"},
        "guarded": {"protection_kind": "pack"},
        "run-flat": {"group_voltage_min": "1.5 V, rated"},
        "charger-kind": {"charger_kind": "lead"},
        "charge-lead": {"charger_lead_section": "0.5 mm², rated"},
        "charge-port": {"charge_port": "nothing"},
        "brake-heat": {"descent_height": "200 m, measured"},
        "backwards": {"cog_from_axle": "80 mm, measured", "cog_height": "1150 mm, measured"},
        "rolling-back": {
            "cog_from_axle": "160 mm, measured",
            "cog_height": "760 mm, measured",
            "front_brake_share": "0 %, measured",
        },
        "steering": {"track": "1500 mm, measured", "cog_from_axle": "270 mm, measured"},
        "stoppable": {"throttle_returns": "no"},
        "guard": {"guard_opening": "40 mm, measured", "guard_distance": "10 mm, measured"},
        "electric-brake": {"electric_brake": "unknown"},
        "bus-rise": {"bus_capacitance": "300 µF, rated"},  # an upper bound: no more than a caution
        "field-supply": {"field_supply_volts": "12 V, measured"},
        "precharge": {"precharge_time": "0.2 s, measured"},
        "protection": {"protection_voltage_min": "50 V, measured"},
        "overcharge": {"protection_voltage_max": "66 V, rated"},
        "cell-current": {"cell_current_limit": "50 A, rated"},
        "conductor": {"cross_section": "4 mm²"},
        "fuse-voltage": {"fuse_voltage": "32 V"},
        "fuse-breaks": {"fuse_breaking": "1 kA"},
        "fuse-guards": {"fuse_rating": "160 A"},
        "fuse-short": {"opens_short": "30 s, measured"},
        "switch-make": {"switch_make_rating": "30 A, rated"},
        "switch-break": {"switch_break_rating": "60 A, rated"},
        "brakes": {"sight_distance": "5 m, measured"},
        "second-brake": {"second_deceleration": "1 m/s², measured"},
        "parking": {"parking_force": "150 N, measured"},
        "side-slope": {"side_slope": "55 %, measured"},
        "bend": {"corner_radius": "2 m, measured"},
        "rider": {"riders": "grown, alone; child, beside"},
    }
    assert set(turns) == {c.id for c in CHECKS}
    for check_id, change in turns.items():
        assert check(cart, check_id).severity == "ok", check_id
        worst = "caution" if next(c for c in CHECKS if c.id == check_id).bound else "stop"
        assert check(changed(cart, **change), check_id).severity == worst, check_id


def test_draws_are_the_last_axis_and_two_thousand(cart: Sheet) -> None:
    drawn = Build.of([("sheet", cart.entries)]).drawn()
    assert np.shape(drawn["torque_needed"]) == (2000,)


def test_a_field_fed_through_a_resistor_costs_what_the_resistor_costs(cart: Sheet) -> None:
    """A quarter of the efficiency is four times the drain: (drain of 25 %) − (drain of 100 %) = 3 × coil power."""
    v = Build.of([("sheet", cart.entries)]).nominal()
    poor = Build.of([("sheet", changed(cart, field_supply_efficiency="25 %").entries)]).nominal()
    full = Build.of([("sheet", changed(cart, field_supply_efficiency="100 %").entries)]).nominal()
    assert poor["field_drain"] - full["field_drain"] == pytest.approx(3 * v["field_power"])
    assert poor["run_time"] < full["run_time"]


def test_a_want_is_not_worth_measuring(cart: Sheet) -> None:
    named = {n.field for n in judge(changed(cart, ride_time="700 min", road_speed="20 km/h")).measure_next}
    assert not named & {"ride_time", "road_speed", "climb_speed"}


def test_a_cheaper_comparison_has_the_same_order_as_the_one_it_stands_for(cart: Sheet) -> None:
    """Top speed against the wanted one, and force against load at the wanted one, draw by draw."""
    for wanted in ("20 km/h", "24 km/h", "28 km/h", "32 km/h"):
        drawn = Build.of([("sheet", changed(cart, road_speed=wanted).entries)]).drawn()
        for one in (c for c in CHECKS if c.decided_by):
            close = np.abs(one.margin(drawn)) < 1e-3  # the search for top speed ends a little short of it
            same = np.sign(one.margin(drawn)) == np.sign(one.drawn_margin(drawn))
            assert np.all(same | close), wanted


def test_nothing_is_named_twice_among_what_to_measure() -> None:
    texts = {"total_mass": "250 kg", "slope": "8 %", "series": "16", "pack_capacity": "40 Ah"}
    texts |= {"gear_ratio": "3", "wheel_diameter": "500 mm"}
    named = [n.field for n in judge(Sheet(parse_all(texts, FIELDS))).measure_next]
    assert len(named) == len(set(named)) and "pole_pairs" in named


def test_minutes_of_a_ride_that_cannot_be_driven_are_no_ok(cart: Sheet) -> None:
    """Steep and fast enough that full throttle doesn't do: the minutes are told, and that they wait for the drive."""
    assert check(cart, "run-time").severity == "ok"
    steep = changed(cart, duty="12 km/h, 25 %, 10 %; 8 km/h, 0 %, 90 %")
    assert check(steep, "ride-rows").severity == "stop"
    minutes = check(steep, "run-time")
    assert minutes.severity == "caution" and "as if every part of the ride could be driven" in minutes.text


def test_no_torque_at_all_is_said_and_no_negative_percent(cart: Sheet) -> None:
    fast = check(changed(cart, duty="60 km/h, 0 %, 100 %"), "ride-rows")
    assert fast.severity == "stop" and fast.have < 0
    assert "gives no torque: the machine brakes" in fast.text and "%" not in fast.text.split("Holds")[0]
