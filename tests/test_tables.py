"""Tables of readings: typed, pasted from a spreadsheet, kept in a file; optional cells, choices and words in them."""

from __future__ import annotations

import pytest

from calc import forms, sheet, view
from calc.entries import parse
from calc.errors import InputError
from calc.fields import FIELDS

SPIN = FIELDS["emf_test"]
TYPED = "2000 rpm, 1 A, 9.7 V; 2000 rpm, 2.5 A, 16.7 V"


@pytest.mark.parametrize(
    "pasted",
    [
        "2000, 1, 9.7\n2000, 2.5, 16.7\n",
        "2000\t1\t9.7\n2000\t2.5\t16.7",
        "2000\t1\t9,7\n2000\t2,5\t16,7",
        "speed, field_current, voltage\n2000, 1, 9.7\n2000, 2.5, 16.7",
        "Speed (rpm)\tField current (A)\tVolts between two leads (V)\n2000\t1\t9.7\n2000\t2.5\t16.7",
        "voltage (mV); speed; note; field current\n9700;2000;cold;1\n16700;2000;;2.5",
        "speed, field current, volts\n2000, 1, 9.7\n2000, 2.5, 16.7",
        "n, I, U\n2000, 1, 9.7, ,\n\n2000, 2500 mA, 16.7,,",
    ],
    ids=[
        "lines",
        "tabs",
        "decimal-commas",
        "keys-on-top",
        "labels-on-top",
        "another-order",
        "some-own-words",
        "own-words-on-top",
    ],
)
def test_a_paste_means_what_the_typed_rows_mean(pasted: str) -> None:
    rows = parse(SPIN, TYPED).value
    entry = parse(SPIN, pasted)
    assert len(entry.value) == 2
    for row, other in zip(entry.value, rows, strict=True):
        assert row == pytest.approx(other)
    assert parse(SPIN, entry.as_typed).value == entry.value  # what is kept can be read again


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("2000, 1,5, 9,7", "5 cells, not 3 cells"),
        ("2000, 1,5, 9,7", "with a point"),
        ("2000, 1,5, 9,7", "speed, field current, "),  # by their labels
        ("2000\t1,500\t9.7", "ambiguous"),
        ("speed, field_current, voltage", "0 rows"),
        ("speed (m/s), field_current, volts\n2000, 1, 9.7", "m/s"),
        ("voltage, speed\n2000, 1", "there is no field current"),
        ("2000, 1, 9.7; many, 2, 16.7", "row 2, speed"),
        ("2000, , 9.7", "row 1, field current"),
        ([{"speed": 2000, "voltage": 9.7}], "row 1, field current"),
    ],
)
def test_what_cannot_be_told_is_refused_with_the_row(given: object, says: str) -> None:
    with pytest.raises(InputError, match=says):
        parse(SPIN, given)


def test_where_a_row_is_one_number_its_comma_is_a_decimals() -> None:
    """And it is said; two numbers on a line, and thousands, are refused all the same."""
    groups = FIELDS["group_voltages"]
    entry = parse(groups, "3,31\n3,3 V\n3.32")
    assert [row[0] for row in entry.value] == pytest.approx([3.31, 3.3, 3.32])
    assert "3,31 was read as 3.31" in entry.notes[0]
    assert parse(groups, entry.as_typed).value == entry.value
    for given, says in (("3.31, 3.32", "2 cells, not 1 cell "), ("3,310", "ambiguous")):
        with pytest.raises(InputError, match=says):
            parse(groups, given)


def test_an_optional_cell_may_be_missing_at_the_end_or_empty() -> None:
    rows = parse(FIELDS["resistance_test"], "180 mV, 5 A; 181 mV, 5 A, ; 179 mV, 5 A, 30 °C").value
    assert [row[2] for row in rows] == [None, None, pytest.approx(303.15)]
    assert parse(FIELDS["resistance_test"], [{"voltage": 180, "current": 5}]).value == rows[:1]


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("emf_test", TYPED),
        ("resistance_test", "180 mV, 5 A; 179 mV, 5 A, 30 °C"),
        ("trials", "ABC, 123, locks; ACB, 123, rough, backward"),
        ("lock_test", "A-BC, 100; AB-C, 110, no"),
        ("controller_table", "101, U, V; 001, W, V"),
    ],
)
def test_rows_come_back_from_a_file_and_are_shown(key: str, text: str) -> None:
    """Numbers, choices, words and missing cells: written, read, as data, to be read by people."""
    field, entry = FIELDS[key], parse(FIELDS[key], text)
    written = sheet.write({key: text})
    again = sheet.read(written).entries[key]
    for row, other in zip(again.value, entry.value, strict=True):
        for cell, same in zip(row, other, strict=True):
            assert cell == (pytest.approx(same) if isinstance(same, float) else same)
    assert sheet.write({key: again.as_typed}, written) == written
    assert [list(row) for row in view.value(field, entry.value)] == [[c.key for c in field.columns]] * len(
        entry.value
    )
    assert "None" not in view.shown(field, entry) + written


def test_a_decimal_comma_in_a_file_reaches_the_form_as_something_it_can_send_back() -> None:
    opened = sheet.read(
        '[[machine.emf_test]]\nspeed = "2000 rpm"\nfield_current = "1,5 A"\nvoltage = "9,7 V"\n'
    )
    entry = opened.entries["emf_test"]
    assert parse(SPIN, entry.as_typed).value == entry.value


def test_the_form_names_columns_and_units() -> None:
    html = forms.field(SPIN, "form")
    assert "speed (rpm), field current (A), volts between two leads (V)" in html
    assert "<textarea" in html
