"""Star and delta: invariants of reconnecting, the ring's current, and which one a build needs."""

from __future__ import annotations

import json

import numpy as np
import pytest

from calc.answer import Answer, evaluate
from calc.calculators.connection import STAR_DELTA
from calc.calculators.standing import STANDING_START
from calc.cli import main
from calc.entries import Entry, parse_all
from calc.fields import FIELDS
from calc.machine import connection
from calc.sheet import Sheet


def answer(cart: Sheet | None = None, **texts: str) -> Answer:
    entries = parse_all(texts, FIELDS)
    return evaluate(
        STAR_DELTA, [("given", entries), ("sheet", cart.entries)] if cart else [("sheet", entries)]
    )


def words(a: Answer) -> str:
    return " ".join(f"{f.severity}: {f.text} {f.do}" for f in a.findings)


MACHINE = {
    "emf_constant": "18 V/krpm",
    "line_resistance": "90 mΩ",
    "line_inductance": "300 µH",
    "connection": "star",
}


def test_reconnecting_keeps_what_it_must(cart: Sheet) -> None:
    """Identities of the same coils: Ke, Kt by 1/√3, R and L by 1/3, current and no-load speed by √3, Kt/√R the same."""
    star, delta = answer(cart, **MACHINE).results["both"]
    root = np.sqrt(3)
    for key in ("emf_constant", "torque_constant"):
        assert delta[key] == pytest.approx(star[key] / root, rel=1e-12)
    for key in ("line_resistance", "line_inductance"):
        assert delta[key] == pytest.approx(star[key] / 3, rel=1e-12)
    for key in ("current", "no_load_speed"):
        assert delta[key] == pytest.approx(star[key] * root, rel=1e-12)
    assert delta["copper_loss"] == pytest.approx(star["copper_loss"], rel=1e-12)
    ratios = [row["torque_constant"] / np.sqrt(row["line_resistance"]) for row in (star, delta)]
    assert ratios[0] == pytest.approx(ratios[1], rel=1e-12)


def test_resistances_of_coils_joined_by_hand() -> None:
    """Three coils of 30 mΩ (Sarafianos and others 2015): a delta shows 20 mΩ between leads, a star 60 mΩ."""
    coil = 0.030
    delta = 1 / (1 / coil + 1 / (2 * coil))
    assert delta == pytest.approx(0.020)
    ratio = connection.IMPEDANCE_RATIO
    assert connection.in_connection(2 * coil, ratio, "star", "delta") == pytest.approx(delta)
    assert connection.in_connection(delta, ratio, "delta", "star") == pytest.approx(2 * coil)


def test_hottest_coil_by_current_division() -> None:
    """Stalled in one sector: a star's two coils in series, a delta's one beside two."""
    current, coil = 60.0, 0.030
    direct, round_ = current * 2 / 3, current / 3
    whole = coil * (direct**2 + 2 * round_**2)
    assert coil * direct**2 / whole == pytest.approx(connection.HOTTEST_COIL["delta"])
    assert connection.HOTTEST_COIL["star"] == 0.5


def test_ring_current_by_summing_three_coils() -> None:
    """An open corner shows three third-harmonic volts in step; closed, they meet three coils in series."""
    coil_resistance, speed, pairs, leakage, inductance = 0.030, 200.0, 8, 0.4, 130e-6
    v3 = 0.5
    z = 3 * complex(coil_resistance, 3 * pairs * speed * leakage * 1.5 * inductance)
    between = coil_resistance / 1.5
    current = connection.circulating_current(3 * v3, speed, pairs, between, inductance, leakage)
    assert current == pytest.approx(abs(3 * v3 / z))
    assert connection.circulating_loss(current, between) == pytest.approx(3 * current**2 * coil_resistance)


def test_star_has_nothing_in_a_ring_and_delta_only_what_was_measured(cart: Sheet) -> None:
    star, delta = answer(cart).results["both"]
    assert star["circulating_current"] == 0
    assert delta["circulating_current"] > 0
    a = answer(**MACHINE)
    assert a.results["circulating_current"] is None
    assert "open one corner" in words(a)


def opened(third: float, sign: int) -> tuple[float, float]:
    """Volts across an opened corner and across one right coil, one coil times `sign`; sampled, fundamental 1."""
    turn = np.arange(3600) * 2 * np.pi / 3600
    coils = [np.sin(turn - k * 2 * np.pi / 3) + third * np.sin(3 * turn) for k in range(3)]
    gap = coils[0] + coils[1] + sign * coils[2]
    return float(np.sqrt(np.mean(gap**2))), float(np.sqrt(np.mean(coils[0] ** 2)))


@pytest.mark.parametrize("third", [0.0, 0.05, 0.1, 0.3, 0.6])
@pytest.mark.parametrize("volts", [0.5, 2.8, 11.0])
def test_a_coil_turned_over_is_told_at_any_field(cart: Sheet, third: float, volts: float) -> None:
    """Three coils in series, one reversed: √(4·E1² + E3²) at the corner over √(E1² + E3²), whatever the field."""
    gap, coil = opened(third, -1)
    assert gap / coil == pytest.approx(np.sqrt((4 + third**2) / (1 + third**2)))
    row = f"600 rpm, {gap / coil * volts:.4f} V, {volts} V"
    a = answer(cart, corner_test=row)
    assert "stop: The opened corner" in words(a)
    assert a.report.headline == "don't close the ring"
    assert a.results["circulating_current"] is None and a.results["suits"] is None
    assert a.results["both"][1]["circulating_current"] is None
    assert "Leave it" not in words(a) and "tay with" not in words(a)
    # Also where the winding should have no third harmonic, and where nothing of the vehicle is known.
    assert "turned over" in words(answer(cart, corner_test=row, coil_span="2", layers="2"))
    assert "turned over" in words(answer(**MACHINE, corner_test=row))


def test_thirteen_volts_at_low_field_are_a_turned_coil(cart: Sheet) -> None:
    """The worked machine at 1 A of field: 6.9 V a coil at 1500 rpm; 13.7 V at its corner is under one coil's 16.5 V at
    the working 4 A, and two coils' all the same."""
    assert answer(cart, corner_test="1500 rpm, 13.7 V, 6.9 V").report.headline == "don't close the ring"


@pytest.mark.parametrize("third", [0.0, 0.05, 0.1, 0.15])
def test_a_right_ring_passes(cart: Sheet, third: float) -> None:
    """The same coils all one way round: 3·E3 at the corner, nothing of the fundamental."""
    gap, coil = opened(third, 1)
    a = answer(cart, corner_test=f"600 rpm, {gap:.4f} V, {coil:.4f} V")
    assert gap / coil == pytest.approx(3 * third / np.hypot(1, third), abs=1e-9)
    assert a.report.headline == "stay with delta"
    assert "turned over" not in words(a)


@pytest.mark.parametrize("swapped", [0.0, 0.1, 0.3])
def test_swapped_columns_of_a_turned_coil_do_not_pass(cart: Sheet, swapped: float) -> None:
    """Half a coil or a little more is what a turned coil shows with the two readings in each other's place."""
    gap, coil = opened(swapped, -1)
    a = answer(cart, corner_test=f"600 rpm, {coil:.4f} V, {gap:.4f} V")
    assert a.report.headline == "don't close the ring yet"
    assert "caution: The opened corner" in words(a)
    assert a.results["circulating_current"] is None and a.results["suits"] is None


def test_one_bad_row_is_enough(cart: Sheet) -> None:
    a = answer(cart, corner_test="600 rpm, 0.2 V, 2.8 V; 600 rpm, 5.5 V, 2.8 V")
    assert a.report.headline == "don't close the ring"


def test_ring_current_follows_the_working_field(cart: Sheet) -> None:
    """A corner read at a quarter of the field shows a coil's share; the ring has that share of the working EMF."""
    low = answer(cart, corner_test="600 rpm, 0.2 V, 2 V").results["circulating_current"]
    high = answer(cart, corner_test="600 rpm, 0.4 V, 4 V").results["circulating_current"]
    assert low == pytest.approx(high)
    speed, per_speed = 150.0, 0.1
    assert connection.corner_voltage(0.1, per_speed, "delta", speed) == pytest.approx(1.5)
    assert connection.corner_voltage(0.1, per_speed * np.sqrt(3), "star", speed) == pytest.approx(1.5)


def test_rows_that_differ_are_named(cart: Sheet) -> None:
    assert "differ by" in words(answer(cart, corner_test="600 rpm, 0.4 V, 2.8 V; 600 rpm, 0.2 V, 2.8 V"))


def test_a_meter_past_its_frequency_is_named(cart: Sheet) -> None:
    """8 pole pairs: 24 periods of the third harmonic a turn, 600 Hz at 1500 rpm, 400 Hz at 1000 rpm."""
    assert connection.third_frequency(1500 * np.pi / 30, 8) == pytest.approx(600)
    fast = words(answer(cart, corner_test="1500 rpm, 0.5 V, 6.9 V"))
    assert "caution: At 1500 rpm the third harmonic has 600 Hz" in fast and "1000 rpm or slower" in fast
    assert "Hz" not in words(answer(cart, corner_test="900 rpm, 0.3 V, 4.1 V"))


def test_a_row_without_the_coils_volts_is_refused_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", "star-delta", "corner_test=1500 rpm, 13.7 V"]) == 2
    assert "coil" in capsys.readouterr().err


def test_a_right_corner_without_a_speed_says_so() -> None:
    a = answer(**MACHINE, corner_test="600 rpm, 0.2 V, 2.8 V")
    assert a.results["circulating_current"] is None
    assert "no coil is turned over" in words(a)


def test_chorded_winding_has_no_third_harmonic() -> None:
    """Pitch 2/3 kills the third harmonic: 48 slots, 16 poles, span 2, two layers."""
    chorded = answer(**MACHINE, slots="48", pole_pairs="8", coil_span="2", layers="2")
    assert "cancels the third harmonic" in words(chorded)


def test_sensors_move_by_30_degrees(cart: Sheet) -> None:
    """One slot per pole and phase, full pitch: right in a slot for delta, 30° out for star."""
    star, delta = answer(cart).results["both"]
    assert delta["alignment_error"] == pytest.approx(0, abs=1e-9)
    assert abs(star["alignment_error"]) == pytest.approx(np.pi / 6)
    star, delta = answer(cart, alignment_error="10 deg").results["both"]
    assert delta["alignment_error"] == pytest.approx(np.radians(10))
    assert star["alignment_error"] == pytest.approx(np.radians(-20))


def test_two_slots_per_pole_and_phase_are_15_degrees_out_both_ways(cart: Sheet) -> None:
    rows = answer(cart, slots="96", coil_span="6", layers="1", sensor_slots="0, 4, 8").results["both"]
    assert [abs(row["alignment_error"]) for row in rows] == pytest.approx([np.pi / 12] * 2)


@pytest.mark.parametrize(
    ("texts", "headline", "verdicts"),
    [
        ({}, "stay with delta", ["suits", "suits"]),
        ({"phase_current_limit": "50 A"}, "change to star", ["suits", "too weak"]),
        ({"slope": "12 %"}, "neither", ["too weak", "too weak"]),
        ({"phase_current_limit": "20 A"}, "neither", None),
        ({"road_speed": "20 km/h"}, "stay with delta", ["too slow", "suits"]),
        (
            {"road_speed": "20 km/h", "connection": "star", "emf_constant": "19 V/krpm"},
            "change to delta",
            None,
        ),
        ({"road_speed": "20 km/h", "phase_current_limit": "50 A"}, "neither", ["too slow", "too weak"]),
    ],
)
def test_choice_by_current_limit_and_speed(
    cart: Sheet, texts: dict[str, str], headline: str, verdicts: list[str] | None
) -> None:
    a = answer(cart, **texts)
    assert a.report.headline == headline
    if verdicts:
        assert [row["suits"] for row in a.results["suits"]] == verdicts


@pytest.mark.parametrize("limit", ["50 A", "100 A", "180 A"])
def test_a_connection_starts_what_the_standing_start_says_of_it(cart: Sheet, limit: str) -> None:
    """The very star and the very delta, entered as machines of their own with their sensors right."""
    given = {"phase_current_limit": limit, "alignment_error": "0 deg", "sensed_share": "60 %"}
    both, suits = (answer(cart, **given).results[key] for key in ("both", "suits"))
    for row, told in zip(both, suits, strict=True):
        entries = parse_all({"connection": row["connection"], **given}, FIELDS)
        entries |= {
            key: Entry(row[key], 0.0, "measured", "")
            for key in ("emf_constant", "line_resistance", "line_inductance")
        }
        start = evaluate(STANDING_START, [("given", entries), ("sheet", cart.entries)]).results
        assert told["start_torque"] == pytest.approx(start["torque_with_current"], rel=1e-9)
        assert ("weak" in told["suits"]) == (start["torque_with_current"] < start["breakaway_needed"])


def test_sensors_out_of_place_are_mended_before_coils_are_unsoldered(cart: Sheet) -> None:
    """Sensors 20° early leave too little in delta; right ones do: stay, and put them right."""
    a = answer(cart, alignment_error="-20 deg")
    assert a.report.headline == "stay with delta" and "once its sensors are right" in a.report.aside
    assert "its sensors right" in words(a) and "put the sensors right" in words(a)


def test_a_start_that_more_current_only_spoils_wants_field_or_gear(cart: Sheet) -> None:
    """With six times the inductance the current's pull on the sensors grows as fast in star as in delta."""
    a = answer(cart, line_inductance="800 uH", sensed_share="60 %")
    assert a.report.headline == "neither"
    assert "stop: Neither: the machine's own current pulls" in words(
        a
    ) and "More field, a lower gear" in words(a)


def test_without_a_load_no_choice_is_claimed() -> None:
    a = answer(**MACHINE)
    assert a.results["suits"] is None
    assert a.report.headline == "star"


def test_a_connection_nobody_entered_is_said_to_be_taken(cart: Sheet) -> None:
    """The numbers are then those of the connection that is taken, in words and in values."""
    alone = {key: text for key, text in MACHINE.items() if key != "connection"}
    a, star = answer(**alone), answer(**{**MACHINE, "connection": "star"})
    assert "isn't entered: a star is taken" in words(a) and "isn't entered" not in words(star)
    assert a.results["both"] == star.results["both"]


def test_winding_that_cannot_be_wound_gives_no_timing(cart: Sheet) -> None:
    rows = answer(cart, slots="50", alignment_error="0 deg").results["both"]
    assert rows[0]["alignment_error"] is not None
    assert answer(slots="50", pole_pairs="8", **MACHINE).results["both"][0]["alignment_error"] is None


def test_command_line_gives_both_in_one_table(capsys: pytest.CaptureFixture[str]) -> None:
    line = [
        "run",
        "star-delta",
        "emf_constant=18 V/krpm",
        "line_resistance=90 mohm",
        "connection=star",
        "--json",
    ]
    assert main(line) == 0
    both = json.loads(capsys.readouterr().out)["results"]["both"]
    assert [row["connection"] for row in both["value"]] == ["star", "delta"]
    assert both["value"][1]["emf_constant"] == pytest.approx(18 / np.sqrt(3))
    assert both["columns"]["line_resistance"] == "mohm"
