"""Field coil and supply: published currents, resistance rise, first principles, and what a maker sees."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.answer import Answer, evaluate
from calc.build import Build
from calc.calculators.excitation import FIELD_SUPPLY
from calc.calculators.excitation.worth import start_torque
from calc.cli import main
from calc.entries import parse_all
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.machine import copper, excitation
from calc.machine.emf import emf_at, saturation
from calc.machine.thermal_class import CLASS_LIMIT, allowed_temperature
from calc.sheet import Sheet

RPM = 2 * np.pi / 60
# Sarafianos and others 2015, at second hand: line-line rms volts at 2000 rpm for 1 to 5 A of field.
MEASURED = tuple(
    (2000 * RPM, amps, volts)
    for amps, volts in zip((1, 2, 3, 4, 5), (9.73, 16.67, 20.40, 21.73, 22.40), strict=True)
)


def answer(cart: Sheet | None = None, **texts: str) -> Answer:
    """The calculator's answer for entries typed over a sheet, or alone."""
    entries = parse_all(texts, FIELDS)
    layers = [("given", entries)]
    return evaluate(FIELD_SUPPLY, [*layers, ("sheet", cart.entries)] if cart else [("sheet", entries)])


def words(a: Answer) -> str:
    return " ".join(f"{f.severity}: {f.text} {f.do}" for f in a.findings)


def test_field_of_a_measured_machine() -> None:
    """Sarafianos and others 2015: 1.90 Ω and 0.2 H at 12 V give 6.32 A cold, 4.81 A at 100 °C, 0.105 s cold."""
    given_ = {
        "field_resistance": "1.9 Ω",
        "brush_drop": "0 V",
        "field_inductance": "0.2 H",
        "field_voltage": "12 V",
    }
    hot = answer(**given_, field_temperature="100 °C").results
    assert hot["field_current"] == pytest.approx(4.81, rel=1.5e-3)
    assert hot["resistance_hot"] == pytest.approx(2.497, rel=1e-3)
    assert [row["current"] for row in hot["supply"]][:2] == pytest.approx([6.32, 4.81], rel=1.5e-3)
    assert hot["supply_current_most"] == pytest.approx(6.32, rel=1e-3)
    assert hot["supply_rating"] == pytest.approx(12 * 6.316, rel=1e-3)
    cold = answer(**given_, field_temperature="20 °C").results
    assert cold["time_constant"] == pytest.approx(0.105, abs=0.5e-3)


def test_temperature_by_resistance_rise() -> None:
    """Resistance-rise method with the constant 234.5 (UL motor text): .0300 Ω at 20 °C, .0376 Ω hot is 84.47 °C."""
    celsius = copper.temperature_by_resistance(0.0376, 0.0300) - 273.15
    assert celsius == pytest.approx(84.47, rel=1e-3)
    r = answer(field_resistance="3 Ω", field_hot_resistance="3.76 Ω", field_current="4 A").results
    assert r["field_temperature"] - 273.15 == pytest.approx(84.47, rel=1e-3)
    assert r["resistance_hot"] == pytest.approx(3.76)


def test_hot_and_cold_readings_of_different_coils_are_refused_in_words() -> None:
    a = answer(field_resistance="2.6 Ω", field_hot_resistance="9 Ω", field_current="4 A")
    assert a.results["field_power"] is None
    assert "two readings of one coil" in words(a)


def test_brushes_cost_what_they_drop_times_the_current() -> None:
    cold = 293.15
    assert copper.field_power(4.0, 2.6, cold, 0.6) - copper.field_power(4.0, 2.6, cold, 0.0) == pytest.approx(
        2.4
    )


def test_decay_and_rise_against_a_solution_in_time() -> None:
    amps, ohm, henry, drop = 4.0, 3.2, 0.25, 1.6
    current, step, time = amps, 1e-5, 0.0
    while current > amps / 20:
        current -= step * (ohm * current + drop) / henry
        time += step
    assert excitation.decay_time(amps, ohm, henry, drop) == pytest.approx(time, rel=1e-3)
    assert excitation.rise_time(0.1, 0.0, 4.0, 0.95) == pytest.approx(0.3, rel=2e-3)  # three time constants
    assert excitation.rise_time(0.1, 3.5, 4.0, 0.8) == 0.0


def test_still_rotor_ends_where_its_watts_leave_it() -> None:
    for amps in (1.0, 3.0, 5.0):
        end = float(excitation.standing_temperature(amps, 2.6, 1.1, 303.15))
        watts = amps**2 * float(copper.hot_resistance(2.6, end))
        assert end - 303.15 == pytest.approx(1.1 * watts)
    volts_end = float(excitation.standing_temperature_at_volts(13.0, 0.6, 2.6, 1.1, 303.15))
    watts = 12.4**2 / float(copper.hot_resistance(2.6, volts_end))
    assert volts_end - 303.15 == pytest.approx(1.1 * watts)


def test_heating_without_end_is_said_not_computed() -> None:
    assert excitation.standing_temperature(12.0, 2.6, 2.0, 303.15) == excitation.NEVER
    a = answer(field_current="12 A", field_resistance="2.6 Ω", field_thermal_resistance="2 K/W, measured")
    assert a.results["standing_temperature"] is None
    assert "no end" in words(a)


def test_a_heating_nobody_measured_is_never_ok() -> None:
    """A usual value says nothing of this rotor, however cool it would stay."""
    cool = {"field_current": "1 A", "field_resistance": "2.6 Ω"}
    assert "caution: Full field with the rotor still" in words(answer(**cool))
    assert "ok: Full field with the rotor still" in words(
        answer(**cool, field_thermal_resistance="1 K/W, measured")
    )
    warm = words(
        answer(field_current="4.8 A", field_resistance="2.6 Ω", field_thermal_resistance="1.1 K/W, measured")
    )
    assert "ok: Full field with the rotor still" in warm
    worse = words(
        answer(field_current="4.8 A", field_resistance="2.6 Ω", field_thermal_resistance="1.1 K/W, guess")
    )
    assert "caution: Full field with the rotor still" in worse and "may go" in worse


@pytest.mark.parametrize("thermal", ["1.4 K/W ± 0.6 K/W, guess", "1.2 K/W, measured"])
@pytest.mark.parametrize("kind", ["B", "F"])
def test_the_hold_current_offered_never_cooks_the_coil(thermal: str, kind: str) -> None:
    """At the worst heating that was called believable it ends under the class less its hot spot."""
    given_ = {
        "field_resistance": "2.2 ohm",
        "field_thermal_resistance": thermal,
        "insulation_class": kind,
        "ambient_temperature": "40 degC",
    }
    cooks = answer(**given_, field_current="9 A")
    assert "stop: Full field with the rotor still" in words(cooks)
    offered = float(words(cooks).split("Hold ")[1].split(" A")[0])
    known = cooks.build.input("field_thermal_resistance")
    worst = excitation.standing_temperature(offered, 2.2, known.value + known.spread, 313.15)
    assert float(worst) < allowed_temperature(kind) < CLASS_LIMIT[kind]
    holds = words(answer(**given_, field_current="9 A", field_hold_current=f"{offered} A"))
    assert "caution: Full field with the rotor still" in holds and "does fall back to it" in holds
    still_hot = words(answer(**given_, field_current="9 A", field_hold_current="6 A"))
    assert "stop: Full field with the rotor still" in still_hot and "too much as well" in still_hot


@given(st.floats(0.1, 10), st.floats(0.3, 5), st.sampled_from("AEBFH"))
def test_standing_current_ends_at_what_the_class_allows(ohm: float, thermal: float, kind: str) -> None:
    """IEC 60085 thermal classes, at second hand, 10 K off for the hottest spot."""
    power = excitation.standing_power(thermal, 303.15, kind)
    amps = excitation.standing_current(power, ohm, kind)
    limit = float(allowed_temperature(kind))
    assert limit == CLASS_LIMIT[kind] - 10.0
    if thermal * amps**2 * ohm * copper.COPPER_COEFFICIENT < 0.94:
        assert excitation.standing_temperature(amps, ohm, thermal, 303.15) == pytest.approx(limit)


def test_classes_are_those_of_the_standard() -> None:
    """IEC 60085 at second hand: A 105, E 120, B 130, F 155, H 180 °C."""
    celsius = {kind: round(limit - 273.15) for kind, limit in CLASS_LIMIT.items()}
    assert celsius == {"A": 105, "E": 120, "B": 130, "F": 155, "H": 180}


PARTS = (1.9, 353.15, 0.5, 0.85, 0.025)


def always(current: np.ndarray) -> np.ndarray:
    return current > 0.0


def test_optimum_is_least_by_every_neighbour_and_torque_per_watt_falls() -> None:
    curve = saturation(MEASURED)
    best = float(excitation.best_field(8.0, curve, always, *PARTS))
    least = float(excitation.total_loss(best, 8.0, curve, *PARTS))
    tried = np.linspace(curve.low, curve.high, 997)
    assert least <= float(np.min(excitation.total_loss(tried, 8.0, curve, *PARTS))) * 1.0001
    assert curve.low < best < curve.high
    more = float(excitation.best_field(16.0, curve, always, *PARTS))
    assert more > best  # more torque makes more field worth its watts


def test_optimum_stays_inside_what_starts() -> None:
    curve = saturation(MEASURED)
    free = float(excitation.best_field(2.4, curve, always, *PARTS))
    held = float(excitation.best_field(2.4, curve, lambda i: i > free + 0.5, *PARTS))
    assert held == pytest.approx(free + 0.5, abs=0.02)
    with pytest.raises(NoSolution, match="does this build start"):
        excitation.best_field(50.0, curve, lambda i: i > 1e3, *PARTS)


@pytest.mark.parametrize("field_current", [2.0, 3.0, 4.0, 5.0])
def test_a_start_with_less_field_is_the_standing_starts(cart: Sheet, field_current: float) -> None:
    """Weaker, more inductance, less field at the sensors: the same numbers entered as a machine of their own."""
    direct = {
        "line_inductance": "130 uH",
        "sensed_share": "60 %",
        "leakage_share": "30 %",
        "sensor_field": "100 mT",
    }
    build = Build.of([("given", parse_all(direct, FIELDS)), ("sheet", cart.entries)]).nominal()
    found = float(start_torque(build, build["saturation"], field_current))
    constant, here = (float(emf_at(build["saturation"], i)) for i in (field_current, 4.0))
    bend = constant / field_current / (here / 4.0)
    own = {
        "field_current": f"{field_current} A",
        "line_inductance": f"{130 * (0.3 + 0.7 * bend)} uH",
        "sensor_field": f"{100 * constant / here} mT",
    }
    entries = parse_all({**direct, **own}, FIELDS)
    alone = Build.of([("given", entries), ("sheet", cart.entries)]).nominal()
    assert found == pytest.approx(float(alone["start_torque_worst"]), rel=1e-9)


def test_the_field_is_not_turned_down_below_what_starts(cart: Sheet) -> None:
    """A resistor as supply makes little field look cheap; on a steeper slope the start needs it all the same."""
    steep = {"field_supply_efficiency": "25 %", "slope": "6 %"}
    a = answer(cart, **steep)
    best = a.results["best_field"]
    build = Build.of([("given", parse_all(steep, FIELDS)), ("sheet", cart.entries)]).nominal()
    need = 1.2 * float(build["breakaway_needed"])
    assert start_torque(build, build["saturation"], best) >= need
    assert start_torque(build, build["saturation"], best - 0.05) < need  # else it would have gone lower
    assert "less than a fifth in hand" in words(a)
    none = answer(cart, field_supply_efficiency="25 %", slope="14 %")
    assert none.results["best_field"] is None and "Turn the field" not in words(none)


def test_optimum_of_draws_is_that_of_each() -> None:
    curve = saturation(MEASURED)
    torques = np.array([2.0, 8.0, 16.0])
    many = excitation.best_field(torques, curve, always, *PARTS)
    assert many == pytest.approx([float(excitation.best_field(t, curve, always, *PARTS)) for t in torques])


def test_demo_has_an_optimum_with_its_watts(cart: Sheet) -> None:
    a = answer(cart)
    r = a.results
    assert r["least_loss"] <= r["present_loss"]
    need = 1.2 * float(a.build.nominal()["breakaway_needed"])
    starting = [row["total_loss"] for row in r["worth"] if row["start_torque"] >= need * (1.0 - 1e-9)]
    assert min(starting) == pytest.approx(r["least_loss"])
    per_watt = [row["torque_per_watt"] for row in r["worth"]]
    assert per_watt == sorted(per_watt, reverse=True)
    assert {"least loss", "now"} <= {row["note"] for row in r["worth"]}
    assert r["reconnect_speed"] > 0
    assert len(a.report.figures) == 1 and "least" in a.report.figures[0]("u")


def test_optimum_at_the_end_of_the_test_asks_for_more(cart: Sheet) -> None:
    light = {"slope": "0 %", "load_mass": "0 kg", "field_resistance": "1 ohm"}
    light |= {"line_inductance": "130 uH", "sensed_share": "60 %"}
    a = answer(cart, emf_test="1500 rpm, 0.5 A, 3.6 V; 1500 rpm, 1 A, 6.9 V; 1500 rpm, 1.5 A, 9.9 V", **light)
    assert a.results["best_field"] == pytest.approx(1.5)
    assert "More than you tested would still pay" in words(a)


@pytest.mark.parametrize(
    ("emf_test", "said"),
    [
        (None, "can't be told without a spin test"),
        ("1500 rpm, 4 A, 16.6 V", "one field current only"),
        ("1500 rpm, 1 A, 20 V; 1500 rpm, 4 A, 5 V", "More field never gives less"),
    ],
)
def test_without_a_curve_the_optimum_is_null_and_says_why(emf_test: str | None, said: str) -> None:
    load = {
        "vehicle_mass": "150 kg",
        "rider_mass": "80 kg",
        "load_mass": "20 kg",
        "slope": "8 %",
        "gear_ratio": "8",
    }
    given_ = {"field_current": "4 A", "wheel_diameter": "360 mm", **load}
    a = answer(**given_, **({"emf_test": emf_test} if emf_test else {}))
    assert a.results["best_field"] is None and a.results["worth"] is None
    assert a.results["field_power"] > 0  # the rest is answered all the same
    assert said in words(a)


def test_hold_current_saves_what_the_pack_no_longer_gives(cart: Sheet) -> None:
    a = answer(cart)
    assert 0 < a.results["hold_power"] < a.results["field_drain"]
    assert "saved in each hour" in words(a)
    assert "saves nothing" in words(answer(cart, field_hold_current="6 A"))
    assert "codes are worthless" in words(answer(cart, field_hold_current="0 A"))


def test_volts_that_do_not_pass_the_brushes_are_named() -> None:
    a = answer(field_voltage="0.3 V", brush_drop="0.6 V", field_resistance="2.6 Ω")
    assert a.results["field_current"] == 0
    assert "don't pass the brushes" in words(a)


def test_a_coil_for_more_volts_than_the_pack_has_is_named(cart: Sheet) -> None:
    assert "step up" in words(answer(cart, field_resistance="12 Ω"))


def test_every_answer_is_finite_over_the_whole_range(cart: Sheet) -> None:
    for key in (
        "field_resistance",
        "field_current",
        "field_inductance",
        "brush_drop",
        "field_thermal_resistance",
    ):
        f = FIELDS[key]
        for value in (f.low, f.high):
            for value_ in answer(cart, **{key: f"{value} {f.units[0]}"}).results.values():
                if isinstance(value_, float | np.floating):
                    assert np.isfinite(value_), key


def test_command_line_gives_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    line = [
        "run",
        "field-supply",
        "field_resistance=1.9 ohm",
        "field_voltage=12 V",
        "field_temperature=100 degC",
    ]
    assert main([*line, "brush_drop=0", "--json"]) == 0
    results = json.loads(capsys.readouterr().out)["results"]
    assert results["field_current"]["value"] == pytest.approx(4.81, rel=1.5e-3)
    for key in ("field_power", "resistance_hot", "supply_rating", "time_constant"):
        assert results[key]["value"] > 0


def test_the_wait_is_that_of_a_cold_coil() -> None:
    """0.25 H over 2.6 ohm is 0.096 s, five of them 0.48 s; warm it is quicker, but a ride begins cold."""
    a = answer(
        field_resistance="2.6 ohm",
        field_inductance="0.25 H",
        field_current="4 A",
        field_temperature="80 degC",
    )
    assert "0.29 s to 0.48 s to come" in words(a)
    assert a.results["time_constant"] == pytest.approx(0.25 / (2.6 * (1 + 0.00393 * 60)), rel=1e-3)
