"""Filling and emptying the bus; joining packs: published figures, balances, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from calc.answer import evaluate
from calc.calculators.precharge import PRECHARGE
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.power import cells, joining, precharge
from tests.power.test_conductor import command


def test_a_published_filling():
    """Reference values, section 8: 100 Ω, 1 mF, 58.4 V."""
    words = [
        "bus_capacitance=1000 uF",
        "precharge_resistor=100 ohm",
        "supply_voltage=58.4 V",
        "idle_power=0 W",
    ]
    told = {key: item["value"] for key, item in command("precharge", *words)["results"].items()}
    assert told["peak_current"] == pytest.approx(0.584, rel=2e-3)
    assert told["resistor_power"] == pytest.approx(34.1, rel=2e-3)
    assert told["energy"] == pytest.approx(1.705, rel=2e-3)
    assert told["time"] == pytest.approx(0.29957, rel=1e-4)
    assert 58.4 * (1 - precharge.left_over(1e-3, 100.0, 0.5, "off", 58.4, 0.0)) == pytest.approx(
        58.007, rel=1e-5
    )


@pytest.mark.parametrize(("constants", "share"), [(1, 0.63212), (2, 0.86466), (3, 0.95021), (5, 0.99326)])
def test_charged_fractions(constants, share):
    assert 1.0 - precharge.left_over(2e-3, 50.0, constants * 0.1, "off", 48.0, 0.0) == pytest.approx(
        share, abs=1e-5
    )


def test_the_heat_of_a_filling_is_what_the_current_leaves_in_the_resistor():
    """∫ I²R dt by small steps against ½CU², for two resistors."""
    for ohms in (20.0, 300.0):
        time = np.linspace(0.0, 12 * 2e-3 * ohms, 200001)
        current = 48.0 / ohms * np.exp(-time / (2e-3 * ohms))
        heat = np.trapezoid(current**2 * ohms, time)
        assert precharge.pulse_energy(2e-3, 48.0) == pytest.approx(heat, rel=1e-5)


def test_electronics_hold_the_bus_where_the_resistor_gives_what_they_take():
    held = float(precharge.held_voltage(58.4, 100.0, 5.0))
    assert (58.4 - held) / 100.0 * held == pytest.approx(5.0)
    assert precharge.held_voltage(58.4, 100.0, 9.0) == 0.0
    told = command("precharge", "idle_power=9 W", "precharge_electronics=on")
    assert any("never comes up" in f["text"] for f in told["findings"])
    assert any(f["severity"] == "stop" and "contacts weld" in f["text"] for f in told["findings"])
    assert told["results"]["inrush"]["value"] == pytest.approx(58.4 / 22.8e-3, rel=1e-3)


def test_a_resistor_that_empties_the_bus_divides_the_volts_while_it_fills():
    """Followed in small steps: C·du/dt = (U − u)/R − u/B, 100 Ω and 220 Ω, 2 mF: 58.4 · 220/320 V at the end."""
    u, step = 0.0, 1e-5
    for _ in range(int(0.3 / step)):
        u += step / 2e-3 * ((58.4 - u) / 100.0 - u / 220.0)
    left = precharge.left_over_bled(2e-3, 100.0, 0.3, "off", 58.4, 0.0, 220.0)
    assert 58.4 * (1.0 - left) == pytest.approx(u, rel=1e-3)
    late = precharge.left_over_bled(2e-3, 100.0, 30.0, "off", 58.4, 0.0, 220.0)
    assert 58.4 * (1.0 - late) == pytest.approx(58.4 * 220.0 / 320.0)
    told = command("precharge", "bleed_resistor=220 ohm", "precharge_electronics=off")
    assert told["results"]["inrush"]["value"] == pytest.approx(18.25 / 22.8e-3, rel=0.01)
    assert any(f["severity"] == "stop" and "weld" in f["text"] for f in told["findings"])


def test_a_resistor_too_small_for_the_protection_is_a_stop():
    told = command("precharge", "precharge_resistor=0.1 ohm", "pack_current_limit=100 A")
    assert any(f["severity"] == "stop" and "first moment" in f["text"] for f in told["findings"])


def test_an_emptied_bus_is_at_the_voltage_said():
    seconds = float(precharge.emptying_time(2e-3, 2200.0, 58.4, 5.0))
    assert 58.4 * np.exp(-seconds / (2e-3 * 2200.0)) == pytest.approx(5.0)
    assert precharge.emptying_time(2e-3, 2200.0, 4.0, 5.0) == 0.0


def test_a_small_resistor_that_could_burn_is_a_stop():
    told = command("precharge", "precharge_rating=0.25 W")
    assert any(f["severity"] == "stop" and f["text"].startswith("Fire risk") for f in told["findings"])


BUS = "bus_capacitance=2 mF, rated"
PULSED = [
    BUS,
    "precharge_rating=5 W, rated",
    "precharge_energy=40 J, rated",
    "switch_make_rating=60 A, rated",
]


def test_tries_a_minute_are_the_watts_over_the_heat_of_one():
    """½·2 mF·(58.4 V)² = 3.41 J: 5 W stand 88 a minute, of 2 s each no more than 30. A short: 34.1 W · 2 s = 68.2 J,
    4.4 a minute, and more than one pulse of 40 J."""
    told = command("precharge", *PULSED, "precharge_time=2 s")
    results = {key: item["value"] for key, item in told["results"].items()}
    assert results["energy"] == pytest.approx(3.411, rel=1e-3)
    assert results["tries_per_minute"] == pytest.approx(30.0)
    assert results["short_energy"] == pytest.approx(68.2, rel=1e-3)
    assert results["short_tries_per_minute"] == pytest.approx(5 * 60 / 68.2, rel=1e-3)
    texts = [f["text"] for f in told["findings"]]
    assert any("4.4 tries a minute" in text for text in texts)
    assert any("68.2 J in a resistor for 40 J" in text for text in texts)
    slow = command("precharge", BUS, "precharge_rating=0.1 W, rated", "precharge_time=1 s")["results"]
    assert slow["tries_per_minute"]["value"] == pytest.approx(0.1 * 60 / 3.411, rel=1e-3)


def test_a_resistor_for_less_than_one_filling_is_a_stop():
    told = command("precharge", BUS, "precharge_energy=3 J, rated")
    assert any(f["severity"] == "stop" and "pulses of 3 J" in f["text"] for f in told["findings"])
    row = command("precharge", BUS, "precharge_energy=9 J, rated")
    assert any(
        f["severity"] == "caution" and "3 tries in a row are 10.2 J" in f["text"] for f in row["findings"]
    )


def test_what_is_left_to_close_on_is_held_against_what_the_switch_may_make():
    """With 4.7 kΩ across the bus 100/4,800 of the volts is missing for good: 1.22 V, 53.4 A over 22.8 mΩ."""
    bled = ["bleed_resistor=4.7 kohm, rated", *PULSED[:3]]
    good = command("precharge", *bled, PULSED[3])
    assert good["results"]["inrush"]["value"] == pytest.approx(58.4 * 100 / 4800 / 22.8e-3, rel=0.005)
    assert all("may close on" not in f["text"] for f in good["findings"])
    weak = command("precharge", *bled, "switch_make_rating=50 A, rated")
    assert any(f["severity"] == "stop" and "may close on 50 A" in f["text"] for f in weak["findings"])
    unsaid = command("precharge", "precharge_rating=50 W, rated")
    assert any("What it may close on isn't entered" in f["text"] for f in unsaid["findings"])
    assert any("What pulse the resistor stands isn't entered" in f["text"] for f in unsaid["findings"])


def test_the_stop_must_break_what_the_fuse_lets_through():
    """61.4 A at full throttle, a main fuse of 80 A."""
    unsaid = command("precharge", "precharge_rating=50 W, rated")["findings"]
    assert any("may break isn't entered" in f["text"] and "Alternating" in f["do"] for f in unsaid)
    small = command("precharge", "switch_break_rating=70 A, rated", "fuse_rating=80 A")["findings"]
    assert any(f["severity"] == "stop" and "break 80 A; they are for 70 A" in f["text"] for f in small)
    enough = command("precharge", "switch_break_rating=80 A, rated", "fuse_rating=80 A")["findings"]
    assert not any("break" in f["text"] for f in enough)


def test_electronics_and_a_bleed_resistor_together_hold_the_bus_down():
    """84 V, 5 W, 47 ohm: 81.1 V alone; with 2.2 kohm across, (84 - u)/47 = 5/u + u/2200 by hand gives 79.3 V, under
    95 %."""
    given_ = (
        "supply_voltage=84 V",
        "idle_power=5 W",
        "precharge_resistor=47 ohm",
        "precharge_electronics=on",
    )
    alone = command("precharge", *given_)
    assert alone["results"]["held"]["value"] == pytest.approx(81.1, abs=0.05)
    both = command("precharge", *given_, "bleed_resistor=2.2 kohm")
    u = both["results"]["held"]["value"]
    assert (84.0 - u) / 47.0 == pytest.approx(5.0 / u + u / 2200.0)
    assert u == pytest.approx(79.3, abs=0.05)
    assert both["results"]["held"]["value"] < 0.95 * 84.0 < alone["results"]["held"]["value"]
    first = both["findings"][0]
    assert first["severity"] == "stop" and "counted as empty" in first["text"]
    assert any("ends at 79.3 V at best" in f["text"] for f in both["findings"])


def test_the_resistors_shown_fill_it_in_time():
    told = command("precharge")
    rows = told["results"]["resistors"]["value"]
    assert rows and all(row["time"] <= told["inputs"]["precharge_time"]["value"] + 1e-9 for row in rows)


def test_two_packs_of_the_reference():
    """Reference values, section 7: 16S LFP at 80 and 30 %, 74 mΩ: 1.662 V, 22.5 A."""
    told = command("join-packs", "state_of_charge=80 %, 30 %", "loop_resistance=74 mohm", "series=16")
    assert told["results"]["equalising_current"]["value"] == pytest.approx(22.5, rel=0.03)
    assert any(f["severity"] == "stop" and "Fire risk" in f["text"] for f in told["findings"])


def test_what_is_lost_is_what_the_current_leaves_in_the_loop():
    course = joining.levelling("nmc", 13.0, 0.9, 0.4, 0.1, 20.0 * 3600.0, 20.0 * 3600.0)
    heat = np.trapezoid(course.current**2 * 0.1, course.time)
    assert joining.lost_energy("nmc", 13.0, 0.9, 0.4, 20.0 * 3600.0, 20.0 * 3600.0) == pytest.approx(
        heat, rel=0.01
    )
    moved = np.trapezoid(course.current, course.time) / (20.0 * 3600.0)
    assert moved == pytest.approx(0.25 * (1 - joining.LEVEL / 2.0), rel=0.01)


def test_at_the_charge_to_wait_for_the_current_is_what_may_flow():
    until = joining.wait_until("nmc", 13.0, 0.3, 0.1, 10.0)
    apart = 13.0 * (cells.open_circuit_voltage("nmc", until) - cells.open_circuit_voltage("nmc", 0.3))
    assert apart / 0.1 <= 10.0
    assert joining.equalising_current("nmc", 13.0, until + 0.01, 0.3, 0.1) > 10.0
    assert joining.wait_until("nmc", 13.0, 0.3, 10.0, 10.0) == 1.0


@pytest.mark.parametrize("charges", ["60 %, 10 %", "10 %, 60 %"])
def test_what_may_flow_is_what_the_smaller_pack_stands(charges: str) -> None:
    """A fifth of 10 Ah each hour is 2 A; cells for 50 A in 100 Ah are cells for 5 A in 10 Ah. Either may be charged."""
    given_ = ("series=8", "parallel=1", "chemistry=lfp", "cell_capacity=100 Ah", f"state_of_charge={charges}")
    small = command("join-packs", *given_, "other_capacity=10 Ah", "loop_resistance=50 mohm")
    assert 0.08 < small["results"]["wait_voltage"]["value"] <= 2.0 * 0.05
    assert any("2 A are taken" in f["text"] and "smaller pack" in f["text"] for f in small["findings"])
    cells_ = command("join-packs", *given_, "other_capacity=10 Ah", "cell_charge_limit=15 A")
    assert any("1.5 A are taken" in f["text"] for f in cells_["findings"])
    equal = command("join-packs", *given_, "cell_charge_limit=50 A")
    assert any("20 A are taken" in f["text"] for f in equal["findings"])


def test_unequal_packs_end_at_what_both_hold_together():
    """100 Ah at 80 % and 40 Ah at 30 %: (80 + 12)/140 = 65.7 %; 14.3 Ah move, whatever the curve."""
    assert joining.level_charge(0.8, 0.3, 100.0, 40.0) == pytest.approx(92 / 140)
    for first, second in (((0.8, 100.0), (0.3, 40.0)), ((0.3, 40.0), (0.8, 100.0))):
        course = joining.levelling(
            "nmc", 13.0, first[0], second[0], 0.1, first[1] * 3600.0, second[1] * 3600.0
        )
        moved = np.trapezoid(course.current, course.time) / 3600.0
        assert moved == pytest.approx(100 * (0.8 - 92 / 140), rel=0.01)
        assert course.fuller[-1] - course.emptier[-1] == pytest.approx(0.5 * joining.LEVEL / 2.0, rel=1e-6)
        heat = np.trapezoid(course.current**2 * 0.1, course.time)
        lost = joining.lost_energy("nmc", 13.0, first[0], second[0], first[1] * 3600.0, second[1] * 3600.0)
        assert lost == pytest.approx(heat, rel=0.01)
    told = command("join-packs", "state_of_charge=80 %, 30 %", "other_capacity=40 Ah")
    assert told["results"]["level_charge"]["value"] == pytest.approx(100 * 92 / 140)
    assert any("14.3 Ah move across, 35.7 % of what the smaller holds" in f["text"] for f in told["findings"])


def test_the_wait_is_told_in_volts_that_a_meter_reads():
    """20 A may flow through 45.6 mΩ: 0.912 V apart, whatever the charge."""
    told = command("join-packs", "joining_current=20 A", "loop_resistance=45.6 mohm")
    assert told["results"]["wait_voltage"]["value"] == pytest.approx(20 * 45.6e-3, rel=0.02)
    assert any("0.912 V apart by the meter" in f["do"] for f in told["findings"])


def test_how_much_charge_a_voltmeter_does_not_see():
    """From the table of cells: LFP has 3.30 V near 50 % and hardly more at 65 %; NMC climbs all the way."""
    flat, steep = (joining.hidden_charge(kind, 16.0, 0.1) for kind in ("lfp", "nmc"))
    volts = 16.0 * np.asarray(cells.open_circuit_voltage("lfp", np.array([flat.low, flat.high])))
    assert volts[1] - volts[0] <= 0.1 + 1e-9 and flat.share > 0.15 > 0.02 > steep.share
    # No other two charges as far apart are as near in volts.
    starts = np.linspace(0.0, 1.0 - flat.share - 0.005, 500)
    wider = cells.open_circuit_voltage("lfp", starts + flat.share + 0.005) - cells.open_circuit_voltage(
        "lfp", starts
    )
    assert np.all(16.0 * wider > 0.1)
    said = [f["text"] for f in command("join-packs", "chemistry=lfp")["findings"]]
    assert any(text.startswith("Volts level, charge not") for text in said)
    said = [f["text"] for f in command("join-packs", "chemistry=nmc")["findings"]]
    assert not any(text.startswith("Volts level, charge not") for text in said)


def test_level_packs_may_be_joined():
    told = command("join-packs", "state_of_charge=71 %, 70 %", "joining_current=20 A")
    assert told["results"]["equalising_current"]["value"] < 20.0
    assert all(f["severity"] != "stop" for f in told["findings"])


def test_shares_add_up_and_less_resistance_gives_more():
    parts = joining.shares(np.array([10.0, 20.0, 40.0]))
    assert parts.sum() == pytest.approx(1.0) and list(parts) == sorted(parts, reverse=True)
    assert joining.shares(np.array([1.0, 2.0]))[0] == pytest.approx(2.0 / 3.0)


@pytest.mark.parametrize(
    ("ohms", "severity", "said"),
    [("1 ohm", "stop", "3411 W"), ("150 ohm", "caution", "22.7 W"), ("4700 ohm", "ok", "0.726 W")],
)
def test_what_a_bleed_resistor_takes_is_judged(ohms: str, severity: str, said: str) -> None:
    """58.4² V² over its ohms, all the time: 3411 W, 22.7 W and 0.726 W."""
    told = command("precharge", "supply_voltage=58.4 V, measured", f"bleed_resistor={ohms}")
    found = [f for f in told["findings"] if "all the time the pack is on" in f["text"]]
    assert [f["severity"] for f in found] == [severity]
    assert said in found[0]["text"]


def test_a_bus_that_may_never_fill_isnt_told_a_time_first() -> None:
    """100 Ω fill it in a second by themselves; electronics of 20 W that start early hold it down."""
    given = {"chemistry": "nmc", "series": "13", "bus_capacitance": "2200 µF", "precharge_resistor": "100 Ω"}
    given |= {"precharge_time": "2 s", "idle_power": "20 W", "pack_capacity": "20 Ah"}

    def headline(electronics: str) -> str:
        entries = parse_all({**given, "precharge_electronics": electronics}, FIELDS)
        return evaluate(PRECHARGE, [("sheet", entries)]).report.headline

    assert headline("on").startswith("may never fill")
    assert headline("off").endswith(" s")
