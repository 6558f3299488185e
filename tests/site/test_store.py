"""What is entered is kept, shared, asked about, and never lost: the store, files, links, examples, starting over."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from calc.fields import FIELDS

GEARING = "decide/gearing.html"
EXAMPLES = Path(__file__).resolve().parents[2] / "docs" / "examples"
SHEET = "decide/build-sheet.html"
HOSTILE = "<img src=x onerror=alert(1)><script>alert(2)</script>"


def entry(value: str, time: int = 1, basis: str = "", spread: str = "") -> dict[str, Any]:
    return {"value": value, "spread": spread, "basis": basis, "time": time}


def stored(page: Page, served: str, text: str, key: str = "turnabout.build") -> None:
    """Put a text into the store as it would be found there, from a page without scripts of ours."""
    page.goto(served + "changes.html")
    page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, text])


def build(entries: dict[str, Any]) -> str:
    return json.dumps({"format": 1, "entries": entries, "saved": None, "document": None})


def notice(page: Page, text: str) -> Any:
    return page.locator(".ta-notice").filter(has_text=text)


def kept(page: Page) -> dict[str, str]:
    """The entries as text, after the store has spoken."""
    return page.evaluate("Turnabout.store.ready.then(() => Turnabout.entries.texts(Turnabout.store.all()))")


def start_over(page: Page) -> None:
    page.click("text=Start over")
    page.get_by_role("button", name="Clear", exact=True).click()
    expect(notice(page, "are cleared")).to_be_visible()


def test_left_at_the_last_key(page: Page, root: str) -> None:
    """Somebody types and goes to another page at once."""
    for round_ in range(5):
        page.goto(root + GEARING)
        page.fill("[name=wheel_diameter]", str(400 + round_))
        page.goto(root + SHEET)
        expect(page.locator("[name=wheel_diameter]")).to_have_value(str(400 + round_))


def test_two_tabs_merge(page: Page, root: str) -> None:
    page.goto(root + GEARING)
    other = page.context.new_page()
    other.goto(root + SHEET)
    page.fill("[name=driver_teeth]", "13")
    other.fill("[name=series]", "15")
    expect(other.locator("[name=driver_teeth]")).to_have_value("13")
    other.fill("[name=driver_teeth]", "14")
    page.focus("[name=driven_teeth]")  # a field that somebody is in is left alone until it is left
    expect(page.locator("[name=driver_teeth]")).to_have_value("14")
    page.reload()
    assert kept(page) == {"driver_teeth": "14", "series": "15"}


def test_two_tabs_that_write_at_the_same_moment_lose_nothing(page: Page, served: str) -> None:
    """A tab that had not yet heard of another's entry writes a build without it."""
    page.goto(served + GEARING)
    page.fill("[name=driver_teeth]", "13")
    stale = build({"series": entry("15", time=1)})
    other = page.context.new_page()
    other.goto(served + SHEET)
    expect(other.locator("[name=driver_teeth]")).to_have_value("13")
    other.evaluate("text => localStorage.setItem('turnabout.build', text)", stale)
    expect(other.locator("[name=series]")).to_have_value("15")
    expect(other.locator("[name=driver_teeth]")).to_have_value("13")
    other.close()
    page.reload()
    assert kept(page) == {"driver_teeth": "13", "series": "15"}


def test_older_entry_never_replaces_a_newer(page: Page, served: str) -> None:
    page.goto(served + SHEET)
    page.fill("[name=series]", "15")
    page.evaluate("""() => document.querySelector(".ta-store").contentWindow.postMessage({
      turnabout: 1, id: 999, op: "set", key: "series", entry: {value: "7", spread: "", basis: "", time: 5}}, "*")""")
    page.reload()
    assert kept(page) == {"series": "15"}


@pytest.mark.parametrize(
    "text", ["{not json", "[]", "null", '"text"', '{"format": 2, "entries": {"slots": 1}}']
)
def test_corrupt_store_is_set_aside(page: Page, served: str, text: str) -> None:
    """A message, a download of exactly what was there, and a page that works."""
    stored(page, served, text)
    page.goto(served + SHEET)
    expect(page.locator(".ta-answer .ta-big")).to_be_visible()
    with page.expect_download() as download:
        page.click("text=Download what was set aside")
    assert Path(download.value.path()).read_text("utf-8") == text
    page.fill("[name=series]", "15")
    page.reload()
    assert kept(page) == {"series": "15"}
    notice(page, "set aside").get_by_text("Throw it away").click()
    page.wait_for_function("!Object.keys(localStorage).some((key) => key.startsWith('turnabout.aside.'))")
    page.reload()
    page.evaluate("Turnabout.store.ready")
    expect(notice(page, "set aside")).to_have_count(0)


def test_sound_entries_survive_a_corrupt_one(page: Page, served: str) -> None:
    damaged = {"slots": entry("48"), "series": {"value": 16}, "__proto__x": entry("1")}
    stored(page, served, build(damaged))
    page.goto(served + SHEET)
    expect(notice(page, "set aside")).to_be_visible()
    assert kept(page) == {"slots": "48"}


def test_bad_entry_without_a_field_here(page: Page, served: str) -> None:
    """An entry that this page has no field for is named, and its link leads into its field on the build sheet."""
    stored(page, served, build({"charger_voltage": entry("plenty")}))
    page.goto(served + "index.html")
    page.locator(".ta-problems a").filter(has_text="charger").click(timeout=60_000)
    field = page.locator("[name=charger_voltage]")
    expect(field).to_be_focused()
    expect(field).to_be_in_viewport()
    expect(field).to_have_value("plenty")


def test_storage_refused(chromium: Browser, served: str) -> None:
    """The page says so and works all the same."""
    with chromium.new_context() as context:
        context.add_init_script("""Object.defineProperty(window, "localStorage", {
          get() { throw new DOMException("no", "SecurityError"); }})""")
        page = context.new_page()
        page.goto(served + "sense/sensor-slots.html")
        expect(notice(page, "keeps nothing")).to_be_visible()
        page.fill("[name=pole_pairs]", "7")
        page.fill("[name=slots]", "42")
        expect(page.locator(".ta-answer")).to_have_attribute("data-state", "live", timeout=60_000)


def test_hostile_store(page: Page, served: str, problems: list[str]) -> None:
    """Text from a store somebody else could write to is text; a kept answer is stripped to what we draw."""
    answer = {"html": f'<p class="ta-big">7 : 1</p>{HOSTILE}<a href="javascript:alert(3)">x</a>', "time": 1}
    stored(page, served, json.dumps({"calc-gearing": answer}), "turnabout.answers")
    stored(page, served, build({"driver_teeth": entry(HOSTILE), "name": entry(HOSTILE)}))
    page.on("dialog", lambda dialog: pytest.fail(f"a dialog opened: {dialog.message}"))
    page.goto(served + GEARING)
    expect(page.locator(".ta-answer .ta-big")).to_have_text("7 : 1")
    expect(page.locator(".ta-problems")).to_contain_text("<img src=x", timeout=60_000)
    assert all("inline event handler violates" in problem for problem in problems)  # as it should
    problems.clear()
    assert page.locator("main img, main script, .ta-answer a[href^=java]").count() == 0
    page.goto(served + "sheets/build-record.html")
    page.goto(served + SHEET)
    expect(page.locator("[name=name]")).to_have_value(HOSTILE)
    assert page.locator("main img").count() == 0


def test_link_carries_entries(page: Page, root: str) -> None:
    """Onto an empty page at once; onto a build of one's own only after asking."""
    page.goto(root + SHEET)
    page.fill("[name=series]", "15")
    page.fill("[name=cell_resistance]", "3")
    page.click("[data-field=cell_resistance] [data-basis=measured]")
    link = page.evaluate("location.href + Turnabout.entries.toLink(Turnabout.store.all())")
    start_over(page)
    assert kept(page) == {}
    page.goto("about:blank")
    page.goto(link)
    expect(page.locator("[name=series]")).to_have_value("15")
    assert kept(page) == {"series": "15", "cell_resistance": "3, measured"}
    assert "#" not in page.url
    page.fill("[name=series]", "14")
    page.goto("about:blank")
    page.goto(link)
    expect(page.locator("dialog li")).to_have_text(f"{FIELDS['series'].label}: yours 14, new 15")
    page.get_by_role("button", name="Keep mine", exact=True).click()
    assert kept(page)["series"] == "14"
    page.goto("about:blank")
    page.goto(link)
    page.get_by_role("button", name="Take the new one", exact=True).click()
    assert kept(page)["series"] == "15"
    notice(page, "is open").get_by_text("Bring back").click()
    assert kept(page)["series"] == "14"


@pytest.mark.parametrize(
    "rest", ["", "series", "series=1;2;3;4", "Series=1;;", "series=%E0%A4%A;;", "series=1;;sure"]
)
def test_damaged_link_changes_nothing(page: Page, served: str, rest: str) -> None:
    stored(page, served, build({"series": entry("15")}))
    page.goto(served + SHEET + "#build:" + rest)
    expect(notice(page, "could not be read; nothing was changed")).to_be_visible()
    assert kept(page) == {"series": "15"}


def test_hostile_link(page: Page, served: str) -> None:
    page.on("dialog", lambda dialog: pytest.fail(f"a dialog opened: {dialog.message}"))
    stored(page, served, build({"rider_mass": entry("70")}))
    page.goto(served + SHEET + "#build:rider_mass=" + "%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E" + ";;")
    expect(page.locator("dialog")).to_contain_text("<img src=x")
    page.get_by_role("button", name="Take the new one", exact=True).click()
    expect(page.locator(".ta-problems")).to_contain_text("<img src=x", timeout=60_000)
    assert page.locator("main img").count() == 0


def test_file_there_and_back(page: Page, served: str, tmp_path: Path) -> None:
    """Saved, cleared, opened: the same entries, the comments of the file still in it."""
    page.goto(served + SHEET)
    page.click("[data-example=harvest-cart]")
    expect(notice(page, "is open")).to_be_visible(timeout=60_000)
    before = kept(page)
    assert len(before) > 20
    with page.expect_download(timeout=60_000) as download:
        page.click("text=Save to a file")
    saved = tmp_path / "build.toml"
    saved.write_bytes(Path(download.value.path()).read_bytes())
    assert "# " in saved.read_text("utf-8")
    expect(page.locator(".ta-saved")).to_contain_text("Last saved to a file: ")
    expect(page.locator(".ta-saved")).not_to_contain_text("never")
    start_over(page)
    assert kept(page) == {}
    page.set_input_files("input[type=file]", saved)
    expect(notice(page, "“build.toml” is open")).to_be_visible()
    assert kept(page) == before
    page.fill("[name=driver_teeth]", "9")
    expect(page.locator(".ta-saved")).to_contain_text("never")


@pytest.mark.parametrize(
    "content", [b"not = [toml", b"\xff\xfe\x00", b"", b"[gearing]\ndriver_teeth = 'many'\n"]
)
def test_file_that_is_no_sheet(page: Page, served: str, tmp_path: Path, content: bytes) -> None:
    """Said in words; what was entered stays."""
    stored(page, served, build({"series": entry("15")}))
    page.goto(served + SHEET)
    file = tmp_path / "odd.toml"
    file.write_bytes(content)
    page.set_input_files("input[type=file]", file)
    expect(page.locator(".ta-notice, dialog").first).to_be_visible(timeout=60_000)
    if page.locator("dialog").count():  # an entry that can't be used is an entry: asked about like any other
        page.get_by_role("button", name="Keep mine", exact=True).click()
    assert kept(page) == {"series": "15"}


def test_another_build_is_compared_and_nothing_of_it_kept(page: Page, served: str) -> None:
    """Read only: the page's own build stays, and the other's name and numbers stand beside it."""
    stored(page, served, build({"series": entry("15"), "name": entry("Mine")}))
    page.goto(served + "decide/compare.html")
    block = page.locator("[data-compare=builds]")
    with page.expect_file_chooser() as chooser:
        block.get_by_text("Open the other build").click()
    chooser.value.set_files(EXAMPLES / "first-attempt.toml")
    big = block.locator('[data-state="live"] .ta-big')
    expect(big).to_contain_text("Mine beside First attempt", timeout=60_000)
    expect(block).to_contain_text("17")  # teeth on the other's sprocket
    assert kept(page) == {"series": "15", "name": "Mine"}
    with page.expect_file_chooser() as chooser:
        block.get_by_text("Open the other build").click()
    chooser.value.set_files({"name": "odd.toml", "mimeType": "text/plain", "buffer": b"not = [toml"})
    said = notice(page, "“odd.toml” could not be read; nothing was changed.")
    expect(said).to_contain_text("isn't a TOML file", timeout=60_000)
    expect(said).to_be_focused()
    expect(big).to_contain_text("Mine beside First attempt")
    assert kept(page) == {"series": "15", "name": "Mine"}


def test_start_over_has_a_way_back(page: Page, served: str) -> None:
    stored(page, served, build({"series": entry("15"), "slots": entry("48", basis="guess")}))
    page.goto(served + SHEET)
    page.click("text=Start over")
    page.keyboard.press("Escape")
    assert len(kept(page)) == 2
    start_over(page)
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "demo")
    notice(page, "are cleared").get_by_text("Bring back").click()
    assert kept(page) == {"series": "15", "slots": "48, guess"}


def test_firefox_from_disk_merges_and_links(firefox: Any, from_disk: str) -> None:
    firefox.goto(from_disk + SHEET + "#build:series=15;;&slots=48;;guess")
    firefox.wait("document.querySelector('[name=series]').value === '15'")
    firefox.goto(from_disk + GEARING)
    texts = "Turnabout.store.ready.then(() => Turnabout.entries.texts(Turnabout.store.all()))"
    assert firefox.evaluate(texts) == {"series": "15", "slots": "48, guess"}
    assert firefox.problems() == []
