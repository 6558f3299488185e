"""Torque over speed: ends, limits, connections, fields; against published values and the solver itself."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stderr, redirect_stdout

import numpy as np
import pytest

from calc import sheet
from calc.build import Build
from calc.calculators.speed import sweeps
from calc.cli import main
from calc.drive import curve
from calc.drive.curve import Machine, Supply
from calc.drive.inverter import Steady, steady_state
from calc.drive.standing import torque_constant
from calc.machine.inductance import inductance_at
from calc.spec import MOST_ROWS, Result, shortened

CART = "docs/examples/harvest-cart.toml"


def command(*words):
    """The command line's JSON, or its exit code and what it says."""
    out, said = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(said):
        code = main(["run", *words, "--json"])
    return json.loads(out.getvalue()) if code == 0 else (code, said.getvalue())


MACHINE = Machine(0.0895, 0.03, 200e-6, 0.0, 0.0)
STIFF = Supply(48.0, 0.0, 0.0, 100.0, 40.0, 1.0)


def swept(machine=MACHINE, supply=STIFF, count=40):
    speed = curve.speeds_for(machine, supply.open_voltage, count)
    return speed, curve.sweep([speed], [machine], supply, 8)[0]


def test_a_sweep_is_the_steady_state_of_each_lane():
    speeds = [np.array([50.0, 200.0]), np.array([100.0])]
    other = MACHINE._replace(line_inductance=100e-6)
    first, second = curve.sweep(speeds, [MACHINE, other], STIFF, 8)
    alone = steady_state(100.0, 0.0895, 0.03, 100e-6, 8, 48.0, 0.0, 100.0, 40.0, 0.0)
    assert first.torque.shape == (2,)
    assert second.torque[0] == pytest.approx(float(alone.torque), rel=1e-6)


def test_torque_never_rises_beyond_the_corner():
    _, found = swept()
    after = int(np.argmax(found.torque))
    assert np.all(np.diff(found.torque[after:]) <= 1e-6)


def test_it_ends_where_torque_is_friction():
    speed, found = swept(count=120)
    end = curve.ends_at(speed, found.torque, 0.3)
    there = steady_state(end, 0.0895, 0.03, 200e-6, 8, 48.0, 0.0, 100.0, 40.0, 0.0)
    assert float(there.torque) == pytest.approx(0.3, abs=0.02)
    assert curve.ends_at(speed, found.torque, 1e3) == 0.0


def test_without_inductance_it_ends_near_1_045_times_the_supply():
    """The zero of the closed form in DESIGN 6: peak EMF between leads = 1.045 of the supply, with no friction."""
    machine = MACHINE._replace(line_inductance=5e-9)
    speed, found = swept(machine, Supply(48.0, 0.0, 0.0, 1e6, 1e6, 1.0), 120)
    end = curve.ends_at(speed, found.torque, 0.0)
    assert np.sqrt(2.0) * 0.0895 * end / 48.0 == pytest.approx(1.045, rel=0.01)


def test_a_curve_that_does_not_end_has_no_no_load_speed():
    """Much advance with inductance pulls on to about three times the usual end: said, never a number made up."""
    answer = command("torque-speed", "timing_advance=30 deg")
    last = answer["results"]["curve"]["value"][-1]
    assert answer["results"]["no_load_speed"]["value"] is None and last["torque"] > 1.0
    assert any("still pulls" in f["text"] and f["severity"] == "stop" for f in answer["findings"])
    early = command("torque-speed")["results"]["advances"]["value"]
    assert [row["no_load_speed"] is None for row in early] == [False, False, False, True]


def test_what_holds_it():
    speed, found = swept()
    words = curve.limited_by(found, 100.0)
    order = [w for w, before in zip(words, [None, *words], strict=False) if w != before]
    assert order == ["phase limit", "battery limit", "voltage"]
    assert found.battery_current[words.index("battery limit")] == pytest.approx(40.0, rel=1e-5)
    assert speed[words.index("voltage")] > speed[words.index("battery limit")]


def test_the_battery_limit_is_what_leaves_the_pack():
    """A controller of 90 % draws its 40 A from the pack, and 36 A reach the bus: U·36 A = T·ω + copper, and the pack
    sags by 0.05 ohm under 40 A and 3 A beside them."""
    pack = Supply(48.0, 0.05, 3.0, 100.0, 40.0, 0.9)
    speed, found = swept(supply=pack)
    held = [k for k, word in enumerate(curve.limited_by(found, 100.0)) if word == "battery limit"]
    assert len(held) > 5
    assert np.allclose(found.bus_voltage[held], 48.0 - 0.05 * 43.0)
    taken = found.torque * speed + found.copper_loss
    assert np.allclose(taken[held], 0.9 * 40.0 * found.bus_voltage[held], rtol=1e-5)


def test_star_is_delta_turned_by_root_three():
    """Same coils: EMF constant ×√3, impedance ×3; torque for a current ×√3, no-load speed /√3 (reference values 3)."""
    delta, free = MACHINE, Supply(48.0, 0.0, 0.0, 1e6, 1e6, 1.0)
    star = Machine(0.0895 * np.sqrt(3), 0.09, 600e-6, 0.0, 0.0)
    speeds = [curve.speeds_for(m, 48.0, 80) for m in (delta, star)]
    ends = [
        curve.ends_at(s, f.torque, 0.0)
        for s, f in zip(speeds, curve.sweep(speeds, [delta, star], free, 8), strict=True)
    ]
    assert ends[0] / ends[1] == pytest.approx(np.sqrt(3), rel=2e-3)


def test_direct_current_formula_by_hand():
    """K = (3/π)·√2·0.0895 = 0.1209; at 100 rad/s (48 − 12.09)/0.03 = 1197 A, more than the limit of 100 A."""
    constant = torque_constant(0.0895)
    assert curve.direct_current_torque(100.0, 0.0895, 0.03, 48.0, 100.0) == pytest.approx(100 * constant)
    assert curve.direct_current_torque(390.0, 0.0895, 0.03, 48.0, 100.0) == pytest.approx(
        constant * (48.0 - constant * 390.0) / 0.03
    )


def test_no_more_comes_out_than_goes_in():
    speed, found = swept()
    taken = found.battery_current * found.bus_voltage
    share = np.asarray(curve.efficiency(speed, found.torque, taken, 0.3, 0.95, 40.0))
    assert np.all((share >= 0.0) & (share < 1.0)) and share.max() > 0.6
    ideal = np.asarray(curve.efficiency(speed, found.torque, taken, 0.3, 1.0, 0.0))
    assert np.all(ideal[share > 0.0] > share[share > 0.0])


def test_inductance_of_the_measured_claw_pole_machine():
    """Sarafianos et al. 2015, read through an open repository (reference values 2.1): 4 % from 1 to 4.75 A."""
    emf = {1.0: 9.73, 2.0: 16.67, 3.0: 20.40, 4.0: 21.73, 4.75: 22.2325}
    measured = {1.0: 295e-6, 2.0: 270e-6, 3.0: 230e-6, 4.0: 189e-6, 4.75: 170e-6}
    for current, inductance in measured.items():
        told = inductance_at(measured[1.0], 0.18, emf[1.0], 1.0, emf[current], current)
        assert told == pytest.approx(inductance, rel=0.04)


def held_back(rpm: float) -> float:
    """The demo machine's drag, by hand (docs/method-drive.md, Losses): iron 0.5 + 0.5·n, the rest 0.9 + 0.1·n²."""
    values = Build.of([("demo", sheet.demo().entries)]).nominal()
    friction, iron, n = float(values["friction_torque"]), float(values["iron_share"]), rpm / 1000.0
    return friction * (iron * (0.5 + 0.5 * n) + (1.0 - iron) * (0.9 + 0.1 * n * n))


def test_the_demo_curve():
    answer = command("torque-speed")["results"]
    rows = answer["curve"]["value"]
    assert 30 < len(rows) <= 60
    assert rows[-1]["speed"] <= answer["no_load_speed"]["value"] * 1.001
    most = max((r["torque"] - held_back(r["speed"])) * r["speed"] * np.pi / 30 for r in rows)
    assert answer["peak_power"]["value"] == pytest.approx(most, rel=1e-6)
    assert all(r["torque"] > held_back(r["speed"]) for r in rows)
    assert all(0.0 <= r["efficiency"] < 100.0 for r in rows)
    fields = answer["fields"]["value"]
    assert fields[0]["best_field"] > fields[-1]["best_field"]


def test_efficiency_at_part_load_is_that_of_the_machine_at_part_throttle():
    """Half the shaft torque, by the throttle that gives it, searched for by halving: within a percent point."""
    values = Build.of([("demo", sheet.demo().entries)]).nominal()
    machine, supply = sweeps.present(values), sweeps.feed(values)
    other = float(values["field_drain"]) + float(values["idle_power"])
    for row in command("torque-speed")["results"]["efficiency_map"]["value"]:
        speed, low, high = row["speed"] * np.pi / 30.0, 0.0, 1.0
        friction = held_back(row["speed"])
        for _ in range(30):
            duty = (low + high) / 2.0
            (found,) = curve.sweep([np.array([speed])], [machine], supply, 8.0, throttles=[np.array([duty])])
            low, high = (low, duty) if found.torque[0] - friction > row["most"] / 2.0 else (duty, high)
        power = (
            found.battery_current[0] * found.bus_voltage[0] / float(values["controller_efficiency"]) + other
        )
        assert row["load_50"] == pytest.approx(100.0 * row["most"] / 2.0 * speed / power, abs=1.0)
        curve_rows = command("torque-speed")["results"]["curve"]["value"]
        full = np.interp(row["speed"], *([r[k] for r in curve_rows] for k in ("speed", "efficiency")))
        assert row["load_100"] == pytest.approx(full, abs=1.0)


def test_a_long_curve_is_read_all_along_and_a_ranking_from_its_top():
    curve_result, ranking = Result("a", "A", sweep=True), Result("b", "B")
    rows = [{"n": n} for n in range(60)]
    kept, word = shortened(curve_result, rows)
    assert (kept[0], kept[-1], len(kept)) == (rows[0], rows[-1], MOST_ROWS) and "60" in word
    assert shortened(ranking, rows)[0] == rows[:MOST_ROWS]
    assert shortened(ranking, rows[:3]) == (rows[:3], "")


@pytest.mark.parametrize(
    ("words", "severity", "said"),
    [
        ([], "ok", "12 km/h on the level"),
        (["road_speed=45 km/h"], "stop", "the curve has ended"),
        (["slope=30 %"], "stop", "not so much at any speed"),
    ],
)
def test_the_speeds_that_are_wanted_are_told(words, severity, said):
    findings = command("torque-speed", "--sheet", CART, *words)["findings"]
    assert any(f["severity"] == severity and said in f["text"] + f["do"] for f in findings)


def test_where_no_state_was_found_no_torque_is_told():
    """A gap isn't bridged, nor is the first value found drawn back to standstill."""
    speed = np.linspace(10.0, 120.0, 12)
    torque = np.where((speed < 35.0) | (speed == 70.0), np.nan, 5.0 - speed / 60.0)
    found = Steady(*(torque for _ in Steady._fields))
    line = sweeps.Line("side", speed, found, 0.0 * speed, 120.0, True, np.inf)
    told = [sweeps.torque_at(line, at) for at in (5.0, 35.0, 45.0, 65.0, 75.0, 100.0, 130.0)]
    assert told == [None, None, pytest.approx(4.25), None, None, pytest.approx(5.0 - 100.0 / 60.0), None]


def test_a_curve_that_does_not_start_itself_has_no_no_load_speed():
    told = command("torque-speed", "--sheet", "docs/examples/first-attempt.toml")["results"]
    for row in (*told["advances"]["value"], *told["connections"]["value"]):
        assert row["no_load_speed"] is None or row["no_load_speed"] > 0.0


def test_below_the_best_torque_the_advice_is_to_gear_lower():
    findings = command("torque-speed", "--sheet", "docs/examples/first-attempt.toml")["findings"]
    level = next(f for f in findings if "on the level is not reached" in f["text"])
    assert "gear lower" in level["do"]


def test_curves_over_the_controllers_volts_are_marked():
    """Peak between leads √2·E·ω: at the speed told it is what the controller stands."""
    found = command("torque-speed")
    values = Build.of([("demo", sheet.demo().entries)]).nominal()
    text = next(f["text"] for f in found["findings"] if "own volts pass" in f["text"])
    assert "30° earlier" in text
    rpm = 63.0 / np.sqrt(2.0) / float(values["emf_constant"]) * 30 / np.pi
    assert f"{rpm:.0f} rpm" in text
    strong = command("torque-speed", "controller_voltage_max=100 V, rated")
    assert not any("own volts pass" in f["text"] for f in strong["findings"])


def test_a_given_supply_is_stiff():
    stiff = command("torque-speed", "supply_voltage=48 V", "battery_current_limit=30 A")["results"]["curve"][
        "value"
    ]
    assert max(r["battery_current"] for r in stiff) == pytest.approx(30.0, rel=1e-4)


@pytest.mark.parametrize(
    ("entry", "name"),
    [
        ("line_inductance=0 uH", "Inductance"),
        ("phase_current_limit=0 A", "Phase current limit"),
        ("pole_pairs=-2", "Pole pairs"),
    ],
)
def test_what_no_machine_has_is_refused_by_name(entry, name):
    code, said = command("torque-speed", entry)
    assert code == 2 and name in said


def test_a_field_current_that_was_not_tried_is_named():
    answer = command("torque-speed", "field_current=12 A")
    assert any("field" in f["text"] and f["severity"] == "stop" for f in answer["findings"])


def test_a_pack_below_the_cut_out_stops():
    answer = command("torque-speed", "controller_voltage_cutoff=52 V")
    assert any("cuts out" in f["text"] for f in answer["findings"])


def test_on_a_given_supply_the_battery_limit_is_the_mean_bus_current() -> None:
    """Stiff 48 V, 20 A: where the limit binds, 960 W leave the bus, whatever the controller's efficiency is said to be;
    all of it is shaft and copper."""
    words = (
        "emf_constant=0.1 V·s/rad",
        "line_resistance=60 mΩ",
        "line_inductance=100 µH",
        "winding_temperature=20 °C",
        "pole_pairs=8",
        "supply_voltage=48 V",
        "phase_current_limit=120 A",
        "battery_current_limit=20 A",
        "alignment_error=0°",
        "controller_efficiency=80 %",
    )
    rows = command("torque-speed", *words)["results"]["curve"]["value"]
    held = [row for row in rows if row["limit"] == "battery limit"]
    assert len(held) > 10
    for row in held:
        assert row["battery_current"] == pytest.approx(20.0, rel=1e-3)
        shaft, copper = row["torque"] * row["speed"] * np.pi / 30.0, 1.5 * 0.06 * row["line_current"] ** 2
        assert shaft + copper == pytest.approx(960.0, rel=1e-3)
