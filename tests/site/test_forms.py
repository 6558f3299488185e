"""Forms as people use them: a guess nobody called one, pasted readings, ways to a field and ways back."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

SHEET = "decide/build-sheet.html"
GEARING = "decide/gearing.html"
PACK = "power/pack.html"
SENSORS = "sense/sensor-slots.html"
PACKED = {"series": "16", "pack_capacity": "100 Ah", "chemistry": "lfp"}
HOME = {"total_mass": "250", "slope": "8", "road_speed": "12", "series": "16", "pack_capacity": "40"}
GEARS = {
    "driver_teeth": "14", "driven_teeth": "70", "wheel_diameter": "400", "slope": "5 %", "road_speed": "10",
    "total_mass": "200 kg", "phase_current_limit": "100 A",
} | PACKED  # fmt: skip
KEPT = "Turnabout.store.ready.then(() => Turnabout.entries.texts(Turnabout.store.all()))"


UNFOLD = "document.querySelector('[data-check=waiting] details').open = true"


def stored(page: Page, root: str, values: dict[str, str]) -> None:
    """Put entries into the store from a page without scripts of ours."""
    entries = {key: {"value": text, "spread": "", "basis": "", "time": 1} for key, text in values.items()}
    text = json.dumps({"format": 1, "entries": entries, "saved": None, "document": None})
    page.goto(root + "changes.html")
    page.evaluate("text => localStorage.setItem('turnabout.build', text)", text)


def live(page: Page) -> None:
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "live", timeout=60_000)


def notice(page: Page, text: str) -> Any:
    return page.locator(".ta-notice").filter(has_text=text)


def test_an_example_is_never_mixed_with_ones_own(page: Page, served: str, tmp_path: Path) -> None:
    """Its invented numbers would pass for measured ones; a file's may fill gaps."""
    stored(page, served, {"series": "15"})
    page.goto(served + SHEET)
    page.click("[data-example=harvest-cart]")
    choices = page.locator("dialog button")
    expect(choices.first).to_be_visible(timeout=60_000)
    assert choices.all_inner_texts() == [
        "Take the new one",
        "Save mine to a file, then take the new one",
        "Keep mine",
    ]
    page.keyboard.press("Escape")
    assert page.evaluate(KEPT) == {"series": "15"}
    file = tmp_path / "build.toml"
    file.write_text('format = 1\n[pack]\nseries = 14\npack_capacity = "40 Ah, rated"\n', encoding="utf-8")
    page.set_input_files("input[type=file]", file)
    page.get_by_role("button", name="Keep mine, fill its gaps").click()
    expect(page.locator("[name=pack_capacity]")).to_have_value("40")
    assert page.evaluate(KEPT) == {"series": "15", "pack_capacity": "40, rated"}


def test_each_way_back_leads_on_to_the_one_before(page: Page, served: str) -> None:
    """One message at a time; nothing that was here is out of reach, not even what was left by going back."""
    stored(page, served, {"series": "15"})
    page.goto(served + SHEET)
    for example in ("harvest-cart", "first-attempt"):
        page.click(f"[data-example={example}]")
        page.get_by_role("button", name="Take the new one", exact=True).click(timeout=60_000)
        expect(notice(page, "is open")).to_contain_text(example.replace("-", " "))
    attempt = page.evaluate(KEPT)
    assert page.locator(".ta-notice").count() == 1
    page.get_by_role("button", name="Bring back").click()
    assert page.evaluate(KEPT)["series"] == "16"
    page.get_by_role("button", name="Bring back what was here before that (1 entry)").click()
    assert page.evaluate(KEPT) == {"series": "15"}
    page.fill("[name=series]", "14")
    page.get_by_role("button", name="Take the other one again").click()
    assert len(page.evaluate(KEPT)) > 20
    page.get_by_role("button", name="Bring back").click()
    assert page.evaluate(KEPT) == {"series": "14"}
    assert attempt["series"] == "13"


def test_a_number_counts_as_a_guess_until_somebody_says(page: Page, served: str) -> None:
    """The form says so, at sight and to a screen reader; nothing is stored for it."""
    page.goto(served + GEARING)
    field = page.locator("[data-field=wheel_diameter]")
    said, group = field.get_by_text("Counts as a guess until you say"), field.locator(".ta-basis")
    expect(said).to_be_hidden()
    page.fill("[name=wheel_diameter]", "400")
    expect(said).to_be_visible()
    expect(group).to_have_accessible_description("Counts as a guess until you say.")
    assert page.evaluate(KEPT) == {"wheel_diameter": "400"}
    field.locator("[data-basis=rated]").click()
    expect(said).to_be_hidden()
    expect(group).to_have_accessible_description("")
    field.locator("[data-basis=rated]").click()
    expect(said).to_be_visible()
    page.fill("[name=wheel_diameter]", "40 cm, measured")
    expect(said).to_be_hidden()


def test_half_a_number_is_no_fault(page: Page, served: str) -> None:
    """While somebody types 14 its 1 is not called wrong; left at that, or left alone for a moment, it is."""
    stored(page, served, GEARS)
    page.goto(served + GEARING)
    live(page)
    said = "window.said = []; new MutationObserver(() => said.push(document.querySelector('.ta-problems').innerText))"
    page.evaluate(said + ".observe(document.querySelector('.ta-problems'), {childList: true, subtree: true})")
    page.fill("[name=driver_teeth]", "")
    page.locator("[name=driver_teeth]").press_sequentially("15", delay=150)
    expect(page.locator(".ta-answer .ta-big")).to_contain_text("4.67 : 1")  # 70 / 15
    assert page.evaluate("window.said") == []
    page.locator("[name=driver_teeth]").press("Backspace")
    page.keyboard.press("Tab")
    expect(page.locator(".ta-problems")).to_contain_text("5 to 200")
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "old")


SPIN = "2000, 1.5, 9.7; 2000, 2.5, 16.7"


@pytest.mark.parametrize(
    ("pasted", "sent"),
    [
        ("2000, 1.5, 9.7\n2000, 2.5, 16.7\n", SPIN),
        ("2000\t1.5\t9.7\r\n2000\t2.5\t16.7\r\n", SPIN),
        ("2000\t1,5\t9,7\n2000\t2,5\t16,7", SPIN),
        ("2000;1.5;9.7\n2000;2.5;16.7;", SPIN),
        ("2000;1,5;9,7\n2000;2,5;16,7", SPIN),
        ("2000,0;1,5;9,7", "2000.0, 1.5, 9.7"),
        ("speed;field current;volts\n2000;1,5;9,7", "speed, field current, volts; 2000, 1.5, 9.7"),
        (
            "2000 rpm, 1.5 A, 9.7 V; 2000 rpm, 2.5 A, 16.7 V",
            "2000 rpm, 1.5 A, 9.7 V; 2000 rpm, 2.5 A, 16.7 V",
        ),
    ],
)
def test_readings_are_pasted_as_they_come(page: Page, served: str, pasted: str, sent: str) -> None:
    """Lines of commas, spreadsheet cells, files with decimal commas: each a row, told back in the box when left."""
    page.goto(served + SHEET)
    page.fill("[name=emf_test]", pasted)
    page.focus("[name=slots]")
    assert page.evaluate(KEPT) == {"emf_test": sent}
    expect(page.locator("[name=emf_test]")).to_have_value(sent.replace("; ", "\n"))
    live(page)
    expect(page.locator(".ta-problems")).to_be_hidden()


def test_on_a_phone_a_row_is_entered_box_by_box(page: Page, served: str) -> None:
    """Each cell has its name and unit; a decimal comma is one, and what may be thousands is refused as ever."""
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(served + "convert/emf-test.html")
    page.get_by_text("Enter a row box by box").click()
    for row in (("2000", "1,5", "9,7"), ("2000", "2,5", "16,7")):
        for label, text in zip(("Speed", "Field current", "Volts"), row, strict=True):
            page.locator(".ta-cells").get_by_label(label).first.fill(text)
        page.get_by_role("button", name="Add the row").click()
    expect(page.locator("[name=emf_test]")).to_have_value(SPIN.replace("; ", "\n"))
    assert page.evaluate(KEPT) == {"emf_test": SPIN}
    first = page.locator(".ta-cells input").first
    expect(first).to_be_focused()
    expect(first).to_have_attribute("inputmode", "decimal")
    expect(first).to_have_accessible_description("rpm")
    live(page)
    page.locator(".ta-cells input").nth(1).fill("1,500")
    page.keyboard.press("Enter")
    expect(page.locator("#emf-test-emf_test-problem")).to_be_visible(timeout=60_000)
    page.set_viewport_size({"width": 1200, "height": 800})
    expect(page.locator(".ta-cells")).to_be_hidden()


@pytest.mark.parametrize(
    ("key", "pasted", "says"),
    [
        ("emf_test", "2000, 1,5, 9,7", "decimals are written with a point"),
        ("emf_test", "2000\t1,500\t9.7", "row 1"),
        ("corner_test", "1500,5;1,2", "2 cells, not 3 cells"),
    ],
)
def test_a_comma_that_may_be_either_is_refused(
    page: Page, served: str, key: str, pasted: str, says: str
) -> None:
    page.goto(served + SHEET)
    page.fill(f"[name={key}]", pasted)
    expect(page.locator(f"#sheet-{key}-problem")).to_contain_text(says, timeout=60_000)


def test_a_route_is_pasted_with_its_columns_named(page: Page, served: str) -> None:
    """Names parted by semicolons say that every line is; more columns than the table has are passed over, and named."""
    page.goto(served + SHEET)
    page.fill("[name=route]", "time;Distance [km];height;lat;lon;speed\n0;0;210;51;9;\n9;0,4;218,5;51;9;8\n")
    page.locator("[name=route]").blur()
    page.wait_for_function("() => Turnabout.store.isEmpty() === false")
    expect(page.locator("#sheet-route-problem")).to_be_hidden()
    page.reload()
    expect(page.locator("[name=route]")).to_have_value(
        "time, Distance [km], height, lat, lon, speed\n0, 0, 210, 51, 9\n9, 0.4, 218.5, 51, 9, 8"
    )
    page.fill("[name=route]", "distance;slope\n100;2\nfar;3")
    expect(page.locator("#sheet-route-problem")).to_contain_text("row 2, distance", timeout=60_000)


def test_a_box_shows_a_unit_once(page: Page, served: str, tmp_path: Path) -> None:
    page.goto(served + SHEET)
    file = tmp_path / "build.toml"
    file.write_text(
        '[pack]\npack_capacity = "40 Ah, rated"\n[gearing]\nwheel_diameter = "16 in"\n', encoding="utf-8"
    )
    page.set_input_files("input[type=file]", file)
    expect(page.locator("[name=pack_capacity]")).to_have_value("40", timeout=60_000)
    expect(page.locator("[name=wheel_diameter]")).to_have_value("16 in")
    assert page.locator("[data-field=pack_capacity] .ta-unit [aria-hidden]").inner_text() == "Ah"


def test_an_answer_leads_to_the_field_it_names(page: Page, root: str) -> None:
    """On this page into the field; else to its place on the build sheet; also from the answer of an earlier visit."""
    page.goto(root + "index.html")
    for key, text in HOME.items():
        page.fill(f"[name={key}]", text)
    live(page)
    page.locator(".ta-answer").get_by_role("link", name="question 6").click()
    expect(page.locator("[name=gear_ratio]")).to_be_focused()
    page.evaluate(UNFOLD)
    there = page.locator(".ta-answer a[href*='build-sheet.html#sheet-']").first
    key = there.get_attribute("data-field")
    page.wait_for_function(
        "() => Turnabout.store.isEmpty() === false && document.querySelector('.ta-status .ta-aside:not(:empty)')"
    )
    # Without Python the answer stays the one of an earlier visit.
    page.add_init_script("Object.defineProperty(window, 'Worker', {value: undefined})")
    page.goto(root + "changes.html")
    page.goto(root + "index.html")
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "last")
    page.evaluate(UNFOLD)
    page.locator(f".ta-answer a[data-field={key}]").first.click()
    expect(page.locator(f"#sheet-{key}")).to_be_focused()
    expect(page.locator(f"#sheet-{key}")).to_be_in_viewport()
    assert "build-sheet.html" in page.url


@pytest.mark.parametrize("width", [360, 1100])
def test_a_field_reached_by_its_address_stays_in_sight(page: Page, served: str, width: int) -> None:
    """Also when the answer above it changes while the page arrives: the worked example, then one's own."""
    page.set_viewport_size({"width": width, "height": 800})
    stored(page, served, HOME)
    for _ in ("without an answer kept", "with one"):
        page.goto(served + SHEET + "#sheet-emf_test")
        live(page)
        page.wait_for_function("() => document.querySelector('.ta-status .ta-aside:not(:empty)')")
        expect(page.locator("[name=emf_test]")).to_be_focused()
        expect(page.locator("[name=emf_test]")).to_be_in_viewport(ratio=1)
        page.goto(served + "changes.html")


def test_a_bad_entry_of_another_page_is_not_in_the_way(page: Page, served: str) -> None:
    """The sensors' answer comes; the pack's page, whose form has the field, says what is wrong."""
    stored(page, served, {"charger_voltage": "plenty", "pole_pairs": "7", "slots": "42"})
    page.goto(served + SENSORS)
    live(page)
    expect(page.locator(".ta-problems")).to_be_hidden()
    page.goto(served + PACK)
    expect(page.locator("#pack-charger_voltage-problem")).to_contain_text("plenty", timeout=60_000)


def test_the_record_carries_the_day(page: Page, served: str) -> None:
    stored(page, served, {"series": "15", "name": "bench cart"})
    page.goto(served + "sheets/build-record.html")
    live(page)
    year = page.evaluate("new Date().getFullYear()")
    expect(page.locator(".ta-answer .ta-big")).to_contain_text(f"{year}")
