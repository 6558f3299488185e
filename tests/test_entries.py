"""The text grammar, over every field and its whole range."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import units
from calc.entries import Entry, parse, parse_all, parts, written
from calc.errors import InputError
from calc.fields import BASES, FIELDS

NUMBERS = sorted(key for key, f in FIELDS.items() if f.kind == "number")


def read(key: str, text: object) -> Entry:
    return parse(FIELDS[key], text)


@pytest.mark.parametrize(
    ("text", "value", "spread", "basis"),
    [
        ("75 kg ± 2 kg, measured", 75, 2, "measured"),
        ("75 ± 2, measured", 75, 2, "measured"),
        ("75 kg +- 2 kg, measured", 75, 2, "measured"),
        ("75 kg +/- 2 kg , measured", 75, 2, "measured"),
        ("75 kg ± 4 %, rated", 75, 3, "rated"),
        ("75 kg, from a label", 75, 75 * 0.05, "rated"),
        ("75", 75, 75 * 0.20, "guess"),
        ("165 lb ± 2 kg", 165 * 0.45359237, 2, "guess"),
        ("7.5e1 kg", 75, 15, "guess"),
    ],
)
def test_value_spread_and_basis(text: str, value: float, spread: float, basis: str) -> None:
    entry = read("rider_mass", text)
    assert entry.value == pytest.approx(value)
    assert entry.spread == pytest.approx(spread)
    assert entry.basis == basis


def test_a_percentage_of_a_percentage_field_is_in_points() -> None:
    """A slope of 8 % ± 1 % lies between 7 % and 9 %."""
    assert read("slope", "8 % ± 1 %").spread == pytest.approx(0.01)


def test_a_spread_of_a_temperature_is_a_difference() -> None:
    entry = read("field_temperature", "176 °F ± 18 °F, measured")
    assert entry.value == pytest.approx(353.15)
    assert entry.spread == pytest.approx(10.0)


@pytest.mark.parametrize("sign", ["°", " deg", " degrees"])
def test_a_slope_in_degrees_is_the_tangent_and_is_echoed(sign: str) -> None:
    """tan 5° = 0.087489, tan 6° = 0.105104 (any table of tangents)."""
    entry = read("slope", f"5{sign} ± 1{sign}, measured")
    assert entry.value == pytest.approx(0.087489, abs=1e-6)
    assert entry.value + entry.spread == pytest.approx(0.105104, abs=1e-6)
    assert "was read as 8.75 %" in entry.notes[0]


def test_a_row_of_a_ride_takes_degrees_too_and_says_so() -> None:
    rows = read("duty", "10 km/h, 0°, 80 %; 5 km/h, -3°, 20 %").value
    assert rows[1][1] == pytest.approx(-math.tan(math.radians(3)))
    assert "slope (% or °)" in FIELDS["duty"].allowed()


def test_a_slope_and_its_spread_may_differ_in_unit() -> None:
    """8 % is 4.574°; one degree more is tan 5.574° = 9.760 %. A share of the value stays a share."""
    assert read("slope", "8 % ± 1°").spread == pytest.approx(0.0176, abs=1e-4)
    assert read("slope", "5° ± 10 %").spread == pytest.approx(0.00875, abs=1e-5)


@pytest.mark.parametrize("text", ["45°", "89°", "90°", "135°", "180 deg", "-5°", "25°", "8 % ± 60°"])
def test_a_slope_that_cannot_be_ridden_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="0 to 40 %, or degrees"):
        read("slope", text)


@given(st.floats(0, 21.8), st.floats(0, 15))
def test_degrees_of_slope_round_trip_by_the_form(angle: float, wide: float) -> None:
    entry = read("slope", f"{angle!r}° ± {wide!r}°, measured")
    assert entry.value == pytest.approx(math.tan(math.radians(angle)), rel=1e-9, abs=1e-12)
    form = parts(FIELDS["slope"], entry)
    again = read("slope", f"{form['value']} ± {form['spread']}, {form['basis']}")
    assert (again.value, again.spread) == (entry.value, entry.spread)


def test_a_single_comma_is_a_decimal_point_and_is_echoed() -> None:
    entry = read("rider_mass", "75,5 kg")
    assert entry.value == pytest.approx(75.5)
    assert "75.5" in entry.notes[0]
    assert read("rolling_coefficient", "0,025").value == pytest.approx(0.025)


@pytest.mark.parametrize("text", ["1,500", "1,500.5", "1.500,5", "1,2,3", "12,345 kg"])
def test_ambiguous_numbers_are_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"ambiguous|outside"):
        read("total_mass", text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "nan",
        "inf",
        "-inf",
        "1e999",
        "kg",
        "75 V",
        "75 kg ±",
        "75 kg ± -2 kg",
        "75 kg ± 1e300 kg",
        "75 kg, sure",
        "5000 kg",
        "-3",
        "75;80",
    ],
)
def test_bad_input_names_field_given_allowed_and_an_example(text: str) -> None:
    with pytest.raises(InputError) as raised:
        read("rider_mass", text)
    (problem,) = raised.value.problems
    assert problem.field == "rider_mass"
    assert problem.label == "Mass of the rider"
    assert f"“{text}”" in problem.text
    assert "5 to 300 kg" in problem.text
    assert "75 kg" in problem.text


def test_all_problems_come_at_once() -> None:
    with pytest.raises(InputError) as raised:
        parse_all({"rider_mass": "heavy", "slope": "90 %", "connection": "ring", "series": "16"}, FIELDS)
    assert {p.field for p in raised.value.problems} == {"rider_mass", "slope", "connection"}


def test_choices_take_value_or_label_and_name_the_nearest() -> None:
    assert read("connection", " Delta ").value == "delta"
    assert read("sensor_spacing", "120°").value == "120"
    with pytest.raises(InputError, match="did you mean delta"):
        read("connection", "detla")


def test_counts_are_whole_and_have_no_spread() -> None:
    assert read("pole_pairs", "8").value == 8
    assert read("pole_pairs", 8).value == 8
    for text in ("7.5", "7 ± 1"):
        with pytest.raises(InputError):
            read("pole_pairs", text)


def test_lists_and_tables_from_text_and_from_toml() -> None:
    assert read("sensor_slots", "0, 2, 4").value == read("sensor_slots", [0, 2, 4]).value == (0, 2, 4)
    rows = read("duty", "10 km/h, 0 %, 80 %; 5, 8, 20").value
    assert (
        rows
        == read(
            "duty", [{"speed": "10 km/h", "slope": 0, "share": 80}, {"speed": 5, "slope": 8, "share": "20 %"}]
        ).value
    )
    assert rows[1][1] == pytest.approx(0.08)


@pytest.mark.parametrize(
    ("key", "given_", "says"),
    [
        ("sensor_slots", "0, two, 4", "“two”"),
        ("sensor_slots", [0, 1.5], "1.5"),
        ("duty", "10, 0", "row 1"),
        ("duty", "10, 0, 80; 5, 8, much", "row 2, share of the time"),
        ("duty", "", "0 rows"),
        ("duty", "10, 0, 0; 5, 8, 0", "add up to nothing"),
        ("duty", [{"sped": 3}], "sped"),
        ("rider_mass", True, "True"),
        ("rider_mass", [75], "list"),
    ],
)
def test_bad_lists_and_tables_say_where(key: str, given_: object, says: str) -> None:
    with pytest.raises(InputError) as raised:
        read(key, given_)
    assert says in str(raised.value)


def test_python_callers_may_give_pint_quantities() -> None:
    registry: pint.UnitRegistry = pint.UnitRegistry()
    entry = read("wheel_diameter", registry.Quantity(20, "inch"))
    assert entry.value == pytest.approx(0.508)


@pytest.mark.parametrize("key", list(FIELDS))
def test_every_fields_own_example_is_accepted(key: str) -> None:
    f = FIELDS[key]
    if f.sample():
        parse(f, f.sample())


@given(st.sampled_from(NUMBERS), st.floats(0, 1), st.floats(0, 1), st.sampled_from(list(BASES)))
def test_text_round_trips_over_the_whole_range_in_every_unit(
    key: str, share: float, spread: float, basis: str
) -> None:
    f = FIELDS[key]
    low, high = f.limits()
    si = low + share * (high - low)
    for unit in f.units:
        if f.is_slope and unit == "deg":
            continue  # not linear: tested by itself
        shown, wide = float(units.from_si(si, unit)), spread * (high - low) / units.TABLE[unit][0]
        text = f"{shown!r} {units.symbol(unit)} ± {wide!r} {units.symbol(unit)}, {basis}"
        entry = parse(f, text)
        assert entry.value == pytest.approx(si, rel=1e-9, abs=1e-9 * max(abs(low), abs(high)))
        assert entry.spread == pytest.approx(spread * (high - low), rel=1e-9)
        assert entry.basis == basis
        form = parts(f, entry)
        again = parse(f, f"{form['value']} ± {form['spread']}, {form['basis']}")
        assert (again.value, again.spread, again.basis) == (entry.value, entry.spread, entry.basis)


@given(st.sampled_from(list(FIELDS)), st.text(max_size=30))
def test_any_text_is_an_entry_or_a_message(key: str, text: str) -> None:
    try:
        entry = parse(FIELDS[key], text)
    except InputError as error:
        assert error.problems[0].text
    else:
        if FIELDS[key].kind == "number":
            assert math.isfinite(entry.value)
            assert math.isfinite(entry.spread)


def test_words_that_mean_a_choice_are_taken_and_none_is_guessed_into_its_opposite() -> None:
    """Uphill is riding, never “did you mean downhill”; a space is a hyphen; backwards is backward."""
    uphill = read("cut_outs", "uphill, 4 s, after letting go, 100 %")
    assert uphill.value[0][:3] == ("riding", 4.0, "at-once")
    assert read("cut_outs", "switching on, 1 s, at once").value[0][:3] == ("switching-on", 1.0, "at-once")
    assert read("trials", "ABC, 123, smooth, backwards").value[0][3] == "backward"
    for wrong in ("uphil, 4 s", "up, 4 s", "down, 4 s"):
        with pytest.raises(InputError) as raised:
            read("cut_outs", wrong)
        assert "downhill?" not in raised.value.problems[0].text
        assert "switching-on, standing, riding or downhill" in raised.value.problems[0].text


def test_every_other_word_for_a_choice_means_one() -> None:
    for known in FIELDS.values():
        for f in (known, *known.columns):
            assert {value for _, value in f.also} <= {value for value, _ in f.choices}


def test_the_hint_of_a_table_lists_its_words() -> None:
    assert "what it was doing: switching-on, standing, riding or downhill" in FIELDS["cut_outs"].allowed()
    assert "smooth, rough, locks or nothing" in FIELDS["trials"].allowed()


def test_a_comma_in_a_table_of_one_column_is_a_decimal_and_echoed() -> None:
    volts = read("group_voltages", "3,31\n3,32 V\n3.30")
    assert [row[0] for row in volts.value] == pytest.approx([3.31, 3.32, 3.30])
    assert any("3,31 was read as 3.31" in note for note in volts.notes)


def test_a_row_of_the_wrong_length_is_told_by_the_labels() -> None:
    with pytest.raises(InputError) as raised:
        read("insulation_test", "48, 0,4, 48, 1")
    text = raised.value.problems[0].text
    assert "5 cells" in text and "insulation_test" not in text and "coil_voltage" not in text
    with pytest.raises(InputError) as raised:
        read("insulation_test", "48")
    assert "has 1 cell, not" in raised.value.problems[0].text


def test_a_ratio_may_be_written_as_one_and_a_number_never_elsewhere() -> None:
    """The answer itself prints 8.18 : 1."""
    for text in ("8:1", "8 : 1", "8 :1, measured"):
        assert read("gear_ratio", text).value == 8.0
    with pytest.raises(InputError):
        read("road_speed", "8:1")


@pytest.mark.parametrize(
    ("key", "typed", "kept"),
    [
        ("slope", "8", "8 %"),
        ("emf_constant", "9,2", "9.2 V/krpm"),
        ("total_mass", "95 +- 3, measured", "95 kg ± 3, measured"),
        ("slope", "5° ± 1°", "5° ± 1°"),
        ("gear_ratio", "8", "8"),
        ("connection", "star", "star"),
    ],
)
def test_a_file_keeps_the_unit_and_a_point(key: str, typed: str, kept: str) -> None:
    entry = read(key, typed)
    again = read(key, written(FIELDS[key], entry))
    assert (again.value, again.spread, again.basis) == (entry.value, entry.spread, entry.basis)
    assert written(FIELDS[key], entry).replace(" °", "°") == kept


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [("gear_ratio", "54/9", 6.0), ("gear_ratio", "9 : 2, measured", 4.5), ("slope", "1:10", 0.1)],
)
def test_a_ratio_is_the_number_it_is(key: str, text: str, value: float) -> None:
    assert read(key, text).value == pytest.approx(value)


def test_a_ratio_to_nothing_and_one_of_a_length_are_refused() -> None:
    for key, text in (("gear_ratio", "6/0"), ("wheel_diameter", "1000/2")):
        with pytest.raises(InputError):
            read(key, text)


@pytest.mark.parametrize(
    ("key", "text", "meant"),
    [
        ("wheel_diameter", "16", "16 in"),
        ("cell_capacity", "2500", "2500 mAh"),
        ("center_distance", "45", "45 cm"),
    ],
)
def test_a_bare_number_of_another_unit_is_asked_about(key: str, text: str, meant: str) -> None:
    """An inch where millimetres are the display unit: refused, and the unit that it fits is named."""
    with pytest.raises(InputError) as refused:
        read(key, text)
    assert f"{meant}" in refused.value.problems[0].text
    assert read(key, meant).value > 0
    with pytest.raises(InputError) as named:
        read("wheel_diameter", "16 mm")
    assert "?)" not in named.value.problems[0].text


def test_a_decimal_comma_is_echoed_with_its_unit() -> None:
    assert read("line_resistance", "0,05 Ω").notes[0].endswith("was read as 0.05 Ω.")
    assert read("line_resistance", "36,5 ± 0,5").notes[0].endswith("was read as 36.5 ± 0.5 mΩ.")
