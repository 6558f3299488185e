"""The build sheet: read, kept with its comments, written, started from nothing."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import sheet
from calc.errors import InputError
from calc.fields import FIELDS
from calc.sheet import Sheet


def texts_of(s: Sheet) -> dict[str, str]:
    return {key: entry.as_typed for key, entry in s.entries.items()}


def test_saving_what_was_opened_changes_nothing(cart: Sheet) -> None:
    assert sheet.write(texts_of(cart), cart.document) == cart.document


def test_a_change_keeps_comments_and_unknown_keys() -> None:
    text = '# mine\nformat = 1\n[rider]\nrider_mass = "70 kg, guess"  # Monday\nshoe = 43\n[paint]\ncolour = "red"\n'
    opened = sheet.read(text)
    assert opened.unknown == ("rider.shoe", "paint.colour")
    out = sheet.write({"rider_mass": "72 kg, measured", "slope": "8 %"}, opened.document)
    assert "# mine" in out and "# Monday" in out and "shoe = 43" in out and 'colour = "red"' in out
    again = sheet.read(out)
    assert again.entries["rider_mass"].value == 72
    assert again.entries["slope"].value == pytest.approx(0.08)


def test_an_entry_taken_out_leaves_the_file() -> None:
    out = sheet.write({"slope": "8 %"}, 'format = 1\n[rider]\nrider_mass = "70 kg"\n[ride]\nslope = "8 %"\n')
    assert "rider_mass" not in out
    assert "slope" in out


def test_every_kind_round_trips(cart: Sheet) -> None:
    again = sheet.read(sheet.write(texts_of(cart)))
    for key, entry in cart.entries.items():
        if key == "duty":
            for row, other in zip(entry.value, again.entries[key].value, strict=True):
                assert other == pytest.approx(row)
        else:
            assert again.entries[key].value == entry.value, key
            assert again.entries[key].spread == entry.spread, key


def uncommented(line: str) -> str:
    return line[2:] if re.match(r"# (\[\[|\w+ = )", line) else line


def test_the_template_is_a_sheet_with_nothing_in_it_and_its_examples_can_be_read() -> None:
    lines = sheet.template().splitlines()
    assert sheet.read("\n".join(lines)).entries == {}
    examples = dict.fromkeys(FIELDS, "")
    for line in lines:
        if line.startswith("#   For example: ") and (key := line.split()[3]) in examples:
            examples[key] = line.removeprefix("#   For example: ")
    for key, example in examples.items():
        if FIELDS[key].table and not FIELDS[key].is_own_table:
            assert key in sheet.read(f"[{FIELDS[key].table}]\n{example}").entries, key
    assert not any(', measured"' in line for line in lines[3:]), "no example is somebody's measured number"


def test_a_blank_left_in_the_template_is_refused_by_name() -> None:
    """Taking the # away enters nothing: every quantity of the sheet waits for a number of one's own."""
    with pytest.raises(InputError) as found:
        sheet.read("\n".join(map(uncommented, sheet.template().splitlines())))
    blank = {p.field for p in found.value.problems if "blank that nobody filled in" in p.text}
    assert blank == {key for key, f in FIELDS.items() if f.table}
    assert sheet.read('[build]\nnotes = "seat ___ low"').entries["notes"].value == "seat ___ low"


def test_new_never_overwrites(tmp_path: Path) -> None:
    file = tmp_path / "build.toml"
    sheet.create(file)
    file.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="exists already"):
        sheet.create(file)
    assert file.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[rider", "can't be read|isn't a TOML"),
        ("format = 2", "format"),
        ('format = "1"', "format"),
        ("[rider]\nrider_mass = nan", "nan"),
        ("[rider]\nrider_mass = 4000", "4000"),
        ("[rider]\nrider_mass = true", "True"),
        ("[ride]\nduty = 5", "5"),
    ],
)
def test_a_sheet_that_cannot_be_used_says_why(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        sheet.read(text)


def test_every_problem_of_a_file_at_once() -> None:
    with pytest.raises(InputError) as raised:
        sheet.read('[rider]\nrider_mass = "x"\n[ride]\nslope = "200 %"\n')
    assert len(raised.value.problems) == 2


def test_a_key_in_the_wrong_table_is_kept_and_sent_home() -> None:
    opened = sheet.read('[ride]\nrider_mass = "70 kg"\n')
    assert "rider_mass" not in opened.entries
    assert "[rider]" in opened.notes[0]


def test_a_file_that_is_not_there_or_not_text(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        sheet.load(tmp_path / "none.toml")
    (tmp_path / "photo.toml").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(InputError, match="UTF-8"):
        sheet.load(tmp_path / "photo.toml")


@given(st.text(max_size=200))
def test_any_text_is_a_sheet_or_a_message(text: str) -> None:
    try:
        sheet.read(text)
    except InputError as error:
        assert error.problems


@given(st.dictionaries(st.sampled_from(["name", "notes"]), st.text(max_size=40)))
def test_hostile_text_stays_text(texts: dict[str, str]) -> None:
    out = sheet.write(texts)
    data = tomllib.loads(out)
    assert (
        {key: data["build"][key] for key in texts} == {key: text.strip() for key, text in texts.items()}
        if texts
        else True
    )
