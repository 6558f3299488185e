"""Heat: published values, an independent solution of the three bodies, energy balance, limits, what a maker sees."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calc.answer import Answer, evaluate
from calc.build import Build
from calc.calculators.excitation import FIELD_SUPPLY
from calc.calculators.heat import WINDING_HEAT
from calc.cli import main
from calc.entries import parse_all
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.machine import endurance, heat, heat_run, losses
from calc.machine.copper import hot_resistance, temperature_by_resistance
from calc.machine.excitation import NEVER, standing_temperature
from calc.machine.heat import Losses, Network, Temperatures
from calc.machine.thermal_class import CLASS_LIMIT, HOT_SPOT, allowed_temperature
from calc.sheet import Sheet
from calc.vehicle import warm
from tests.test_verdict import changed, check, without

ZERO = 273.15
COLD = Temperatures(300.0, 300.0, 300.0)
USUAL = heat.network(0.12, 0.8, 1.2, 0.7, 3.5, 2.2, 1.8)
RPM = 2 * np.pi / 60


def answer(cart: Sheet | None = None, **texts: str) -> Answer:
    layers = [("given", parse_all(texts, FIELDS))]
    return evaluate(WINDING_HEAT, [*layers, ("sheet", cart.entries)] if cart else layers)


def words(a: Answer) -> str:
    return " ".join(f"{f.severity}: {f.text} {f.do}" for f in a.findings)


def solved(n: Network, p: Losses, start: Temperatures, time: float, air: float) -> np.ndarray:
    """The three balances of docs/method-drive.md, written out once more and left to scipy."""

    def climb(_: float, t: np.ndarray) -> list[float]:
        w, b, r = t
        return [
            (p.winding * (1 + 0.00393 * (w - 293.15)) - n.winding_body * (w - b)) / n.winding_heat,
            (p.body + n.winding_body * (w - b) - n.rotor_body * (b - r) - n.body_air * (b - air))
            / n.body_heat,
            (p.rotor * (1 + 0.00393 * (r - 293.15)) + n.rotor_body * (b - r) - n.rotor_air * (r - air))
            / n.rotor_heat,
        ]

    run = solve_ivp(climb, (0, time), list(start), method="LSODA", rtol=1e-10, atol=1e-9)
    assert run.success
    return run.y[:, -1]


# Published values


def test_resistance_tells_temperature() -> None:
    """Reference 9: 0.0300 Ω at 20 °C and 0.0376 Ω hot are 84.47 °C with K = 234.5; 59.5 K over air of 25 °C."""
    assert temperature_by_resistance(0.0376, 0.0300) - ZERO == pytest.approx(84.47, abs=0.05)
    (by_row,) = heat_run.row_temperatures([(0.0, 0.0376, 1.0, 293.0, 293.0)], 0.0300)
    constant = 234.5
    assert by_row - ZERO == pytest.approx(0.0376 / 0.0300 * (constant + 20) - constant, abs=0.05)
    assert by_row - (25 + ZERO) == pytest.approx(59.5, rel=5e-3)


@pytest.mark.parametrize(("seconds", "share"), [(500.0, 0.632121), (1500.0, 0.950213)])
def test_one_body_alone_warms_by_the_exponential(seconds: float, share: float) -> None:
    """Reference 9: 2,000 J/K and 0.25 K/W have τ = 500 s; 100 W end at 25 K; 63.2 % of it after τ."""
    alone = Network(1e-9, 4.0, 1e-9, 1.0, 300.0, 2000.0, 1000.0)
    after = heat.after(alone, Losses(0.0, 100.0, 0.0), COLD, seconds, 300.0)
    assert after.body - 300.0 == pytest.approx(25.0 * share, rel=1e-5)
    assert heat.steady(alone, Losses(0.0, 100.0, 0.0), 300.0).body - 300.0 == pytest.approx(25.0, rel=1e-6)


def test_adiabatic_copper() -> None:
    """Reference 9: 10 A/mm² at 20 °C warm copper by 0.50 K/s (ρ 0.01724 Ω·mm²/m, 385 J/(kg·K), 8.89 g/cm³)."""
    section, length = 1e-6, 3.0
    ohms = 0.01724e-6 * length / section
    rise = endurance.pulse_rise(10.0, ohms, 293.15, 1.0, 8890 * section * length, 1.0 / 3.0)
    assert rise == pytest.approx(0.50, rel=0.02)


@pytest.mark.parametrize(("kind", "limit"), [("A", 105), ("E", 120), ("B", 130), ("F", 155), ("H", 180)])
def test_class_limits(kind: str, limit: float) -> None:
    """Reference 8: IEC 60085 at second hand, and a life halved by each 10 K or so."""
    assert CLASS_LIMIT[kind] - ZERO == pytest.approx(limit)
    assert allowed_temperature(kind) - ZERO == pytest.approx(limit - HOT_SPOT)
    assert endurance.life_factor(CLASS_LIMIT[kind] + 10, CLASS_LIMIT[kind]) == pytest.approx(0.5)


def test_copper_loss_of_the_measured_claw_pole_machine() -> None:
    """Reference 2.1: delta, 0.030 Ω a phase, so 0.020 Ω between leads. 60 A: one coil 40 A, two in series 20 A."""
    between = 0.030 * 0.060 / 0.090
    assert between == pytest.approx(0.020)
    coils = 40**2 * 0.030 + 2 * 20**2 * 0.030
    p = warm.point_losses(60.0, 0.0, between, 100.0, 0.3, 0.5, 5.0, 1.90, 0.6)
    assert p.winding == pytest.approx(coils)
    assert p.winding * hot_resistance(1.0, 100 + ZERO) == pytest.approx(coils * 2.497 / 1.90, rel=1e-3)
    assert p.rotor == pytest.approx(25 * 1.90)


# The three bodies


@pytest.mark.parametrize("time", [3.0, 60.0, 900.0, 2e4])
@pytest.mark.parametrize("watts", [(60, 30, 40), (400, 30, 40), (2000, 100, 20), (0, 0, 150)])
def test_three_bodies_against_an_independent_solution(time: float, watts: tuple[float, ...]) -> None:
    """The middle two have no end to the heating at this cooling; cut at NEVER they can't be compared."""
    p = Losses(*(float(w) for w in watts))
    there = solved(USUAL, p, Temperatures(330.0, 310.0, 350.0), time, 300.0)
    ours = heat.after(USUAL, p, Temperatures(330.0, 310.0, 350.0), time, 300.0)
    for mine, other in zip(ours, there, strict=True):
        if other < NEVER:
            assert mine == pytest.approx(other, abs=1e-4 * max(1.0, abs(other - 300.0)))
        else:
            assert mine == NEVER


@given(
    st.tuples(
        *(st.floats(*span) for span in ((0.005, 2), (0.05, 5), (0.05, 20), (0.05, 20), (0.3, 60), (0.1, 40)))
    ),
    st.floats(1, 30),
    st.floats(0, 300),
    st.floats(0, 300),
)
def test_any_machine_ends_in_balance_and_gets_there(
    machine: tuple[float, ...], cooling: float, winding: float, rotor: float
) -> None:
    n = heat.network(*machine, cooling)
    assert min(n) > 0
    p = Losses(winding, 20.0, rotor)
    end = heat.steady(n, p, 300.0)
    if max(end) >= NEVER:
        return
    assert heat.residual(n, p, end, 300.0) < 1e-9
    stays = heat.after(n, p, end, 3600.0, 300.0)
    late = heat.after(n, p, COLD, 1e7, 300.0)
    for kelvin, same, last in zip(end, stays, late, strict=True):
        assert same == pytest.approx(kelvin, rel=1e-6)
        assert last == pytest.approx(kelvin, rel=0.02)


def test_heat_put_in_is_heat_held_and_heat_passed_on() -> None:
    """Energy over ten minutes: made less passed to the air is what the masses hold, by small steps of the way there."""
    p, times = Losses(150.0, 40.0, 50.0), np.linspace(0, 600, 20001)
    t = heat.after(USUAL, p, COLD, times, 300.0)
    made = p.winding * hot_resistance(1.0, t.winding) + p.body + p.rotor * hot_resistance(1.0, t.rotor)
    gone = USUAL.body_air * (t.body - 300.0) + USUAL.rotor_air * (t.rotor - 300.0)
    held = sum(
        c * (k[-1] - 300.0)
        for c, k in zip((USUAL.winding_heat, USUAL.body_heat, USUAL.rotor_heat), t, strict=True)
    )
    assert np.trapezoid(made - gone, times) == pytest.approx(held, rel=1e-6)


def test_thermal_resistances_are_what_a_still_machine_would_show() -> None:
    """One watt in one part alone, air at 20 °C and no growth of copper: the rises are those that were entered."""
    n = heat.network(0.12, 0.8, 1.2, 0.7, 3.5, 2.2, 1.0)
    body = heat.steady(n, Losses(0.0, 1.0, 0.0), 293.15)
    rotor = heat.steady(n, Losses(0.0, 0.0, 1e-6), 293.15)
    assert body.body - 293.15 == pytest.approx(0.8)
    assert (rotor.rotor - 293.15) * 1e6 == pytest.approx(1.2, rel=1e-5)
    assert body.rotor - 293.15 == pytest.approx(heat.THROUGH_BODY * 0.8)


def test_a_still_rotor_ends_where_the_field_supply_says() -> None:
    n = heat.network(0.12, 0.8, 1.2, 0.7, 3.5, 2.2, 1.0)
    end = heat.steady(n, Losses(0.0, 0.0, 9.0 * 2.6), 300.0).rotor
    assert end == pytest.approx(float(standing_temperature(3.0, 2.6, 1.2, 300.0)))


def test_current_for_ever_ends_at_the_limit() -> None:
    p = Losses(0.0, 30.0, 40.0)
    amps = endurance.continuous_current(USUAL, p, 0.036, "F", 300.0)
    end = heat.steady(USUAL, p._replace(winding=amps**2 * 0.036), 300.0)
    assert end.winding == pytest.approx(allowed_temperature("F"))
    hot = endurance.continuous_current(USUAL, Losses(0.0, 400.0, 40.0), 0.036, "A", 300.0)
    assert hot == 0.0


def test_time_to_the_limit_is_when_the_independent_solution_is_there() -> None:
    p, limit = Losses(400.0, 30.0, 40.0), float(allowed_temperature("F"))
    time = endurance.time_to(USUAL, p, COLD, limit, 300.0)
    assert time is not None
    assert solved(USUAL, p, COLD, time, 300.0)[0] == pytest.approx(limit, abs=0.05)
    assert endurance.time_to(USUAL, Losses(20.0, 0.0, 0.0), COLD, limit, 300.0) is None
    assert endurance.time_to(USUAL, p, Temperatures(limit + 1, 300.0, 300.0), limit, 300.0) == 0.0


def test_a_pull_at_stall_and_how_long_it_may_last_are_one_formula(cart: Sheet) -> None:
    """Warmed for just as long as a stall may last, the coil stands at the limit."""
    a = answer(cart)
    v = Build.of([("sheet", cart.entries)], WINDING_HEAT.rules).nominal()
    rise = endurance.pulse_rise(
        v["stall_current"],
        v["line_resistance"],
        v["row_temperature"],
        a.results["stall_time"],
        v["winding_mass"],
        2 / 3,
    )
    assert v["row_temperature"] + rise == pytest.approx(allowed_temperature("F"))


# Losses


def test_losses_grow_with_speed_as_their_kinds_do() -> None:
    slow, fast = 100 * RPM, 200 * RPM
    assert losses.fan_loss(0.3, 0.5, fast) == pytest.approx(8 * losses.fan_loss(0.3, 0.5, slow))
    assert losses.rubbing_loss(0.3, 0.5, fast) == pytest.approx(2 * losses.rubbing_loss(0.3, 0.5, slow))
    assert 2 < losses.iron_loss(0.3, 0.5, fast) / losses.iron_loss(0.3, 0.5, slow) < 4
    assert losses.iron_loss(0.3, 0.5, slow, 0.5) == pytest.approx(losses.iron_loss(0.3, 0.5, slow) / 4)


def test_at_its_own_speed_the_parts_are_the_friction_that_was_measured() -> None:
    at = losses.MEASURED_AT
    parts = (losses.iron_loss, losses.rubbing_loss, losses.fan_loss)
    assert sum(part(0.3, 0.4, at) for part in parts) == pytest.approx(0.3 * at)
    assert losses.iron_share(0.3, 0.18) == pytest.approx(0.4)
    assert losses.iron_share(0.3, 0.5) == 0.0


# The heat run


def run(lead: float, tau: float, times: tuple[float, ...], body: float = 70.0) -> list[heat_run.HeatRow]:
    """Rows of a winding of 36 mΩ that falls towards its body."""
    kelvins = [body + ZERO + lead * np.exp(-t / tau) for t in times]
    return [
        (t, 5.0 * float(hot_resistance(0.036, k)), 5.0, body + ZERO, 22.0 + ZERO)
        for t, k in zip(times, kelvins, strict=True)
    ]


def test_a_heat_run_is_drawn_back_to_the_moment_of_stopping() -> None:
    at = heat_run.stopped(run(18.0, 35.0, (10.0, 20.0, 35.0)), 0.036)
    assert at.winding - ZERO == pytest.approx(88.0, abs=1e-6)
    assert 0.5 < at.error < 6


def test_a_heat_run_gives_back_the_resistances_it_was_made_with() -> None:
    at = heat_run.stopped(run(18.0, 35.0, (10.0, 20.0, 35.0)), 0.036)
    watts = 50.0**2 * float(hot_resistance(0.036, 88 + ZERO))
    assert heat_run.winding_thermal_resistance(at, 0.036, 50.0) == pytest.approx(18 / watts)
    assert heat_run.body_thermal_resistance(at, 0.036, 50.0) == pytest.approx(48 / watts)


def test_a_larger_current_leaves_less_open() -> None:
    weak, strong = (heat_run.stopped(run(lead, 35.0, (5.0, 15.0, 25.0)), 0.036) for lead in (8.0, 40.0))
    assert heat_run.winding_resistance_spread(strong) < heat_run.winding_resistance_spread(weak)


def test_spread_of_a_heat_run_reaches_the_draws(cart: Sheet) -> None:
    drawn = Build.of([("sheet", cart.entries)]).drawn()
    told = answer(cart).results["winding_by_run"]
    assert np.shape(drawn["winding_thermal_resistance"]) == (2000,)
    assert 0.05 < np.std(drawn["winding_thermal_resistance"]) / told < 0.6


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (run(18.0, 35.0, (10.0,)), "two times"),
        (run(1.0, 35.0, (10.0, 20.0)), "above the body"),
        ([(5.0, 5.0, 5.0, 350.0, 295.0), (9.0, 4.0, 5.0, 350.0, 295.0)], "Row 1"),
        ([(5.0, 0.001, 5.0, 350.0, 295.0), (9.0, 0.2, 5.0, 350.0, 295.0)], "Row 1"),
    ],
)
def test_a_heat_run_that_tells_nothing_says_what_to_do(rows: list[heat_run.HeatRow], told: str) -> None:
    with pytest.raises(NoSolution) as none:
        heat_run.stopped(rows, 0.036)
    assert told in none.value.text and none.value.do


def test_a_body_as_cold_as_the_air_is_no_heat_run() -> None:
    cold = heat_run.stopped(run(18.0, 35.0, (10.0, 20.0), body=23.0), 0.036)
    with pytest.raises(NoSolution, match="too short or too weak"):
        heat_run.body_thermal_resistance(cold, 0.036, 50.0)


# What a maker sees


def test_a_ring_that_carries_a_third_harmonic_warms_the_winding(cart: Sheet) -> None:
    """By hand: the corner's volts over three coils in series, 4.5 times R between leads; only in a closed ring."""
    strong = changed(cart, corner_test="600 rpm, 1 V, 2.8 V")
    v = Build.of([("sheet", strong.entries)]).nominal()
    speed = float(v["duty_speeds"][0])
    volts = 1.0 / 2.8 * float(v["emf_constant"]) * speed
    ohms = 4.5 * float(v["line_resistance"])
    reactance = 4.5 * float(v["leakage_share"] * v["line_inductance"]) * 3 * 8 * speed
    loss = volts**2 / (ohms**2 + reactance**2) * ohms
    assert float(v["duty_rings"][0]) == pytest.approx(loss)
    none = Build.of([("sheet", cart.entries)]).nominal()
    assert v["row_temperature"] > none["row_temperature"]
    star = Build.of([("sheet", changed(strong, connection="star").entries)]).nominal()
    assert all(float(watts) == 0.0 for watts in star["duty_rings"])
    told = evaluate(WINDING_HEAT, [("sheet", strong.entries)]).results["losses"]
    assert any(row["loss"] == "current round the delta" and row["power"] > 1.0 for row in told)


def test_a_turned_coil_stops_the_heat_and_a_doubtful_one_is_counted(cart: Sheet) -> None:
    """The corner at 600 rpm beside 2.8 V of one coil: 5.4 V is a coil turned over, 1.9 V is neither right nor that."""
    turned = changed(cart, corner_test="600 rpm, 5.4 V, 2.8 V")
    judged = check(turned, "heat")
    assert judged.severity == "stop" and "turned over" in judged.text
    doubtful = Build.of([("sheet", changed(cart, corner_test="600 rpm, 1.9 V, 2.8 V").entries)]).nominal()
    right = Build.of([("sheet", cart.entries)]).nominal()
    assert doubtful["hottest_temperature"] > right["hottest_temperature"] + 1.0


def test_the_rides_rows_against_the_independent_solution(cart: Sheet) -> None:
    """The rows of ten minutes after each other, again and again, stepped through by scipy: the body within 2 K."""
    v = Build.of([("sheet", changed(cart, starts_per_hour="0").entries)]).nominal()
    t = COLD._replace(winding=303.15, body=303.15, rotor=303.15)
    given = (
        v["friction_torque"],
        v["iron_share"],
        v["field_current"],
        v["field_resistance"],
        v["brush_drop"],
    )
    for _ in range(30):
        rows = zip(v["duty"], v["duty_speeds"], v["duty_currents"], v["duty_rings"], strict=True)
        for (_, _, share), speed, amps, ring in rows:
            p = warm.point_losses(amps, ring, v["line_resistance"], speed, *given)
            n = heat.network(
                v["winding_thermal_resistance"],
                v["body_thermal_resistance"],
                v["field_thermal_resistance"],
                v["winding_mass"],
                v["body_mass"],
                v["rotor_mass"],
                heat.cooling(speed, v["fan_gain"]),
            )
            t = Temperatures(*solved(n, p, t, 600.0 * share, 303.15))
    ours = v["ride_temperatures"]
    assert ours.body == pytest.approx(t.body, abs=2.0)
    assert ours.rotor == pytest.approx(t.rotor, abs=2.0)


def test_more_current_less_air_and_more_starts_are_hotter(cart: Sheet) -> None:
    base = answer(cart).results["hottest_temperature"]
    for change in (
        {"load_mass": "150 kg"},
        {"fan_gain": "0"},
        {"starts_per_hour": "120"},
        {"start_time": "6 s"},
        {"ambient_temperature": "40 °C"},
    ):
        assert answer(cart, **change).results["hottest_temperature"] > base, change


def test_full_field_at_standstill_is_a_finding_with_the_way_out(cart: Sheet) -> None:
    hot = {"field_current": "5 A", "field_thermal_resistance": "4 K/W"}
    bare = without(cart, "field_hold_current")
    bad = answer(bare, **hot)
    assert bad.results["standing_field"][0]["temperature"] is None
    assert "stop: Full field with the rotor still, and its fan with it: the coil has no end" in words(bad)
    supply = evaluate(FIELD_SUPPLY, [("given", parse_all(hot, FIELDS)), ("sheet", bare.entries)])
    told = next(f for f in supply.findings if f.text.startswith("Full field"))
    assert told.severity == "stop" and told.text in words(bad)  # one judgement on both pages
    good = answer(cart, field_hold_current="1 A")
    held = good.results["standing_field"][1]["temperature"]
    assert held == pytest.approx(float(standing_temperature(1.0, 2.6, 1.1, 303.15)))


def test_no_end_to_the_heating_is_said_and_no_number(cart: Sheet) -> None:
    bad = answer(
        cart,
        winding_thermal_resistance="2 K/W",
        phase_current_limit="400 A",
        load_mass="290 kg",
        slope="25 %",
    )
    assert bad.results["steady_temperature"] is None and bad.results["residual"] is None
    assert bad.results["time_to_limit"] is not None
    assert "heat the winding without end; its limit comes after" in bad.report.why


def test_extremes_are_finite_or_none(cart: Sheet) -> None:
    for texts in (
        {"motor_speed": "0", "current": "0 A"},
        {"motor_speed": "30000 rpm", "current": "2000 A"},
        {"starts_per_hour": "600", "start_time": "60 s"},
        {"phase_current_limit": "2 A"},
        {"insulation_class": "A", "ambient_temperature": "50 °C"},
    ):
        for name, value in answer(cart, **texts).results.items():
            if isinstance(value, float):
                assert np.isfinite(value), (texts, name)


def test_the_verdict_judges_the_hold_current_where_there_is_one(cart: Sheet) -> None:
    hot = changed(cart, field_thermal_resistance="2 K/W ± 0.05 K/W, measured")
    assert check(hot, "field-heat").severity == "ok"
    assert check(without(hot, "field_hold_current"), "field-heat").severity == "stop"
    assert "4 A" in check(without(hot, "field_hold_current"), "field-heat").text


def test_a_field_coil_that_cooks_on_the_ride_stops_whatever_is_held(cart: Sheet) -> None:
    """A hold current mends the standing rotor, not one that the ride heats at full field."""
    hot = changed(cart, field_thermal_resistance="7 K/W ± 0.1 K/W, measured", fan_gain="0")
    assert check(hot, "field-heat").severity == "stop"
    assert "After the ride the field coil" in words(answer(hot))


def test_a_temperature_at_work_that_the_losses_deny_is_named(cart: Sheet) -> None:
    assert "by its losses it comes to" not in words(answer(cart))
    far = words(answer(changed(cart, winding_temperature="130 °C", field_temperature="150 °C")))
    assert "temperature of the winding at work" in far and "temperature of the field coil at work" in far


def test_the_verdicts_heat_is_the_calculators(cart: Sheet) -> None:
    judged = check(cart, "heat")
    assert judged.have is not None
    assert judged.have + 303.15 == pytest.approx(answer(cart).results["hottest_temperature"])
    assert judged.need == pytest.approx(155 - HOT_SPOT - 30)


def test_unknown_cooling_is_a_caution(cart: Sheet) -> None:
    bare = without(cart, "heat_run", "fan_gain")
    assert "was not measured" in words(answer(bare))
    assert "was not measured" not in words(answer(cart))


def test_friction_that_the_field_takes_away_is_named(cart: Sheet) -> None:
    assert "can't take friction away" in words(answer(cart, unexcited_torque="0.6 N·m, measured"))
    assert "can't take friction away" not in words(answer(cart))


def test_the_demos_heat_run_stays_while_one_types(cart: Sheet) -> None:
    typed = answer(cart, current="60 A")
    assert typed.results["winding_by_run"] == answer(cart).results["winding_by_run"]
    assert "not measured" not in words(typed)


def test_the_command_line_answers(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", "winding-heat", "current=80 A", "motor_speed=400 rpm", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert {"steady_temperature", "time_to_limit", "continuous_current"} <= set(data["results"])
    assert data["results"]["continuous_current"]["unit"] == "A"
    assert data["inputs"]["current"]["from"] == "given"
    assert main(["run", "winding-heat", "heat_run=10 s, 220 mV"]) == 2
