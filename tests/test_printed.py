"""Sheets to print, as the command line and the page give them: what they say, and when there is none."""

from __future__ import annotations

import json
import re

import pytest

from calc import browser, cli, printed
from calc.entries import parse_all
from calc.errors import InputError
from calc.fields import FIELDS
from calc.sheet import Sheet, demo
from tests.plain import spaces

MACHINE = {"name": "bench", "slots": "48", "pole_pairs": "8", "coil_span": "3", "connection": "delta"}


def build(**entries: str) -> Sheet:
    return Sheet(parse_all({**MACHINE, **entries}, FIELDS))


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({}, "Each sensor in the middle of its slot"),
        ({"connection": "star"}, "3.0 mm against the arrow"),
        ({"connection": "star"}, "over a tooth"),
        (
            {"slots": "81", "coil_span": "5", "layers": "2", "sensor_slots": "0, 44, 27"},
            "From the middle of their",
        ),
        ({"slots": "72", "pole_pairs": "6", "coil_span": "6", "layers": "2"}, "dashed place"),
        ({"slots": "72", "pole_pairs": "6", "coil_span": "5", "layers": "2"}, "one slot on"),
    ],
)
def test_what_the_sheet_says_of_the_places(entries: dict[str, str], words: str) -> None:
    """92 mm, 8 pole pairs in star: 30° electrical are 3.75° of shaft, 3.01 mm of bore (π·92·3.75/360)."""
    html = printed.page("sensor-template", build(bore_diameter="92 mm", **entries), demo=False)
    assert words in spaces(" ".join(re.findall(r">([^<]+)</text>", html)))


@pytest.mark.parametrize("sensor_slots", ["0, 2, 2", "0, 6, 12", "0, 2, 60"])
def test_slots_that_do_not_work_give_no_template(sensor_slots: str) -> None:
    html = printed.page(
        "sensor-template", build(bore_diameter="92 mm", sensor_slots=sensor_slots), demo=False
    )
    assert "No template yet" in html and "<svg" not in html


def test_demo_values_are_said_on_the_sheet_and_own_ones_dated() -> None:
    assert "DEMO VALUES" in printed.page("sensor-template", demo(), demo=True)
    own = printed.page("sensor-template", build(bore_diameter="92 mm"), demo=False, today="3 May 2027")
    assert "DEMO" not in own and "Printed 3 May 2027" in own


def test_without_a_bore_there_is_no_template_at_a_wrong_scale() -> None:
    html = printed.page("sensor-template", build(), demo=False)
    assert "No template yet" in html and "Bore of the stator" in html and "<svg" not in html


def test_from_the_command_line(tmp_path, capsys) -> None:
    """The cart's template into a file: millimetres in width, height and viewBox, so that 1 is 1 mm."""
    out = tmp_path / "template.html"
    assert cli.main(["print", "sensor-template", "--out", str(out)]) == 0
    html = out.read_text("utf-8")
    width, height, box = re.search(
        r'<svg[^>]* width="(\d+)mm" height="(\d+)mm" viewBox="([^"]+)"', html
    ).groups()
    assert box == f"0 0 {width} {height}"
    assert (
        int(width) <= 210 - 2 * 12 and int(height) <= 279.4 - 2 * 12
    )  # A4's width and Letter's height, 12 mm margins


def test_in_the_page_it_is_that_of_the_command_line() -> None:
    entries = {key: value for key, value in MACHINE.items() if key != "name"} | {"bore_diameter": "92 mm"}
    request = {"op": "record", "sheet": "sensor-template", "entries": entries, "today": "3 May 2027"}
    reply = json.loads(browser.handle(json.dumps(request)))
    assert reply["kind"] == "result"
    own = Sheet(parse_all(entries, FIELDS))
    assert reply["html"] in printed.page("sensor-template", own, demo=False, today="3 May 2027")


def test_without_counts_the_fields_are_named() -> None:
    request = {"op": "record", "sheet": "sensor-template", "entries": {"bore_diameter": "92 mm"}}
    reply = json.loads(browser.handle(json.dumps(request)))
    assert reply["kind"] == "invalid" and {"slots", "pole_pairs"} <= {p["field"] for p in reply["problems"]}


def test_a_sheet_there_is_not_is_refused_with_those_there_are() -> None:
    with pytest.raises(InputError) as refused:
        printed.page("sensor-templat", demo(), demo=True)
    assert "sensor-template" in refused.value.problems[0].text
