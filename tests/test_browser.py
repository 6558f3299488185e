"""The page's edge: what holds an answer up and what doesn't; a file's entries in the form's boxes and back."""

from __future__ import annotations

import json
from typing import Any

import pytest

from calc import browser, sheet

SENSORS = {"pole_pairs": "7", "slots": "42"}


def ask(**request: Any) -> dict[str, Any]:
    return json.loads(browser.handle(json.dumps(request)))


def test_a_bad_entry_holds_up_only_what_uses_it() -> None:
    """Sensors don't care about the charger; the charger's own calculator and the verdict do."""
    entries = SENSORS | {"charger_voltage": "plenty"}
    sound = ask(op="run", calculator="sensor-slots", entries=SENSORS)
    assert ask(op="run", calculator="sensor-slots", entries=entries)["html"] == sound["html"]
    for request in ({"op": "run", "calculator": "pack"}, {"op": "verdict"}, {"op": "record"}):
        reply = ask(**request, entries=entries)
        assert [p["field"] for p in reply["problems"]] == ["charger_voltage"]
        assert "plenty" in reply["problems"][0]["text"]


def test_a_bad_optional_entry_of_a_calculator_is_told() -> None:
    reply = ask(op="run", calculator="sensor-slots", entries=SENSORS | {"sensor_slots": "left"})
    assert [p["field"] for p in reply["problems"]] == ["sensor_slots"]


def test_what_an_older_book_called_otherwise_is_named_and_never_in_the_way() -> None:
    entries = SENSORS | {"coil_colour": "brown"}
    assert ask(op="run", calculator="sensor-slots", entries=entries)["kind"] == "result"
    assert "coil_colour is no quantity of this book" in ask(op="verdict", entries=entries)["html"]
    saved = ask(op="save", entries=entries)
    assert "slots = 42" in saved["toml"]
    assert "coil_colour" in saved["notes"][0]
    assert ask(op="save", entries=SENSORS)["notes"] == []


@pytest.mark.parametrize(
    ("typed", "value", "spread", "basis"),
    [
        ("20 Ah ± 1 Ah, measured", "20", "1 Ah", "measured"),
        ("20 A*hour, rated", "20", "", "rated"),
        ("20000 mAh, rated", "20000 mAh", "", "rated"),
        ("20", "20", "", ""),
    ],
)
def test_the_box_shows_a_unit_once_and_the_file_stays_as_written(
    typed: str, value: str, spread: str, basis: str
) -> None:
    """The display unit stands beside the box; any other is left in it. Saved unchanged, not a letter moves."""
    written = f'# mine\nformat = 1\n[pack]\npack_capacity = "{typed}"  # from the seller\n'
    opened = ask(op="open", toml=written)
    assert opened["entries"] == {"pack_capacity": {"value": value, "spread": spread, "basis": basis}}
    text = value + (f" ± {spread}" if spread else "") + (f", {basis}" if basis else "")
    assert ask(op="save", entries={"pack_capacity": text}, document=opened["document"])["toml"] == written
    changed = ask(op="save", entries={"pack_capacity": "21, measured"}, document=opened["document"])["toml"]
    assert sheet.read(changed).entries["pack_capacity"].value == pytest.approx(21 * 3600)
    assert "# from the seller" in changed


def test_a_bad_entry_that_the_verdict_does_not_use_holds_it_not_up() -> None:
    entries = {"series": "16", "trials": "ABC, 123, exploded"}
    reply = json.loads(browser.handle(json.dumps({"op": "verdict", "view": "home", "entries": entries})))
    assert reply["kind"] == "result"
    assert [p["field"] for p in reply["problems"]] == ["trials"]  # told, and in nobody's way
    entries["series"] = "many"
    reply = json.loads(browser.handle(json.dumps({"op": "verdict", "view": "home", "entries": entries})))
    assert [p["field"] for p in reply["problems"]] == ["series"]
