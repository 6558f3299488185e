"""What a reader does on the pages: reads without scripts, enters numbers, gets them wrong, comes back later."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

CALCULATORS = {
    "gearing": "decide/gearing.html",
    "standing-start": "decide/standing-start.html",
    "sensor-slots": "sense/sensor-slots.html",
    "pack": "power/pack.html",
    "ride": "power/ride.html",
}
LIVE = [*CALCULATORS.values(), "index.html", "decide/build-sheet.html", "sheets/build-record.html"]
GEARING = {
    "driver_teeth": "14", "driven_teeth": "70", "wheel_diameter": "400", "slope": "5 %", "road_speed": "10",
    "total_mass": "200 kg", "phase_current_limit": "100 A",
}  # fmt: skip
WASM = re.compile(r"/runtime/wasm\.js")
PACK = {"series": "16", "pack_capacity": "100 Ah", "chemistry": "lfp", "charger_voltage": "58.4 V, rated"}


def wait(page: Page, state: str) -> None:
    """Wait for the answer's state: demo, waiting, last, live or old."""
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", state, timeout=60_000)


def enter(page: Page, entries: dict[str, str]) -> None:
    for key, text in entries.items():
        control = page.locator(f'[name="{key}"]')
        if not control.is_visible():
            page.locator(".ta-optional > summary").click()
        if control.evaluate("c => c.localName") == "select":
            control.select_option(text)
        else:
            control.fill(text)


def own(page: Page, root: str) -> None:
    """Make a build of one's own that the gearing calculator can answer, and wait for the answer."""
    page.goto(root + "power/pack.html")
    enter(page, PACK)
    page.goto(root + CALCULATORS["gearing"])
    enter(page, GEARING)
    wait(page, "live")


@pytest.mark.parametrize("path", LIVE)
def test_answer_without_scripts(chromium: Browser, from_disk: str, path: str) -> None:
    """Every calculator shows a complete worked answer, marked as the demo's, before any script runs."""
    with chromium.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(from_disk + path)
        expect(page.locator(".ta-answer .ta-big")).to_be_visible()
        assert page.locator(".ta-answer").get_attribute("data-state") == "demo"
        label = page.evaluate("getComputedStyle(document.querySelector('.ta-whose'), '::after').content")
        assert "demo" in label


def test_entries_before_python_count(page: Page, root: str) -> None:
    page.goto(root + CALCULATORS["sensor-slots"])
    assert page.evaluate("Turnabout.engine.state") != "ready"
    page.fill("[name=pole_pairs]", "7")
    page.fill("[name=slots]", "42")
    wait(page, "live")
    assert "7 pole pairs" in page.inner_text(".ta-answer .ta-why")


def test_entry_across_pages_and_reload(page: Page, root: str) -> None:
    """A quantity is entered once: it is on every page of every folder, with its basis, and still after a reload."""
    page.goto(root + CALCULATORS["gearing"])
    page.fill("[name=wheel_diameter]", "412 mm")
    page.click("[data-field=wheel_diameter] [data-basis=measured]")
    for path in (CALCULATORS["ride"], "index.html", CALCULATORS["gearing"]):
        page.goto(root + path)
        expect(page.locator("[name=wheel_diameter]")).to_have_value("412 mm")
        pressed = page.locator("[data-field=wheel_diameter] [aria-checked=true]")
        expect(pressed).to_have_attribute("data-basis", "measured")
    page.reload()
    expect(page.locator("[name=wheel_diameter]")).to_have_value("412 mm")


WATCH = """(() => {
  const seen = window.seen = [];
  const look = () => {
    const answer = document.querySelector(".ta-answer");
    const big = answer?.querySelector(".ta-big");
    if (big && getComputedStyle(big).visibility === "visible") seen.push([answer.dataset.state, big.textContent]);
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})()"""


def test_own_numbers_first(page: Page, root: str) -> None:
    """With a build stored, no frame of the page shows the demo's answer; the last own answer comes before Python."""
    own(page, root)
    big = page.inner_text(".ta-answer .ta-big")
    page.wait_for_function(
        "() => Boolean(Turnabout.store.answer) && document.querySelector('.ta-status .ta-aside:not(:empty)')"
    )
    page.add_init_script(WATCH)
    page.goto(root + CALCULATORS["gearing"])
    wait(page, "live")
    seen = page.evaluate("window.seen")
    assert seen[0][0] == "last"
    assert {state for state, _ in seen} <= {"last", "live"}
    assert seen[0][1].split() == big.split()


def test_print_waits_for_the_own_answer(page: Page, served: str) -> None:
    own(page, served)
    page.add_init_script(
        "window.print = () => { window.printed = document.querySelector('.ta-answer').dataset.state; }"
    )
    page.goto(served + CALCULATORS["gearing"])
    page.get_by_role("button", name="Print", exact=True).click()
    page.wait_for_function("() => window.printed", timeout=60_000)
    assert page.evaluate("window.printed") == "live"


def test_bad_entry(page: Page, root: str) -> None:
    """Beside the field and in the summary: label, what was given, what is allowed, an example; the old answer stays."""
    own(page, root)
    before = page.inner_text(".ta-answer .ta-big")
    page.fill("[name=driver_teeth]", "many")
    wait(page, "old")
    assert page.inner_text(".ta-answer .ta-big") == before
    field = page.locator("[name=driver_teeth]")
    expect(field).to_have_attribute("aria-invalid", "true")
    beside = page.locator("#gearing-driver_teeth-problem")
    expect(beside).to_be_visible()
    assert beside.get_attribute("id") in (field.get_attribute("aria-describedby") or "").split()
    for text in (beside.inner_text(), page.inner_text(".ta-problems")):
        assert "many" in text
        assert "5 to 200" in text
    page.locator(".ta-problems a").click()
    expect(field).to_be_focused()
    field.fill("14")
    wait(page, "live")
    expect(beside).to_be_hidden()
    expect(page.locator(".ta-problems")).to_be_hidden()
    assert field.get_attribute("aria-invalid") is None


def test_missing_entries_are_named_not_blamed(page: Page, root: str) -> None:
    page.goto(root + CALCULATORS["gearing"])
    page.fill("[name=driver_teeth]", "14")
    expect(page.locator(".ta-problems")).to_contain_text("more entries are needed", timeout=60_000)
    expect(page.locator(".ta-problems")).to_contain_text("Teeth on the axle's sprocket")
    assert page.locator("[aria-invalid=true]").count() == 0
    wait(page, "waiting")  # the demo's answer would pass for one's own
    expect(page.locator(".ta-answer")).to_contain_text("Yours needs")
    expect(page.locator(".ta-peek")).to_contain_text("Yours needs")
    assert page.locator(".ta-problems").get_attribute("role") is None  # nothing is wrong: no alert
    expect(page.locator(HEARD)).to_have_text(re.compile(r"^\d+ more entries needed: .*, .* and \d+ more\.$"))


def test_an_answer_that_grows_old_is_heard(page: Page, served: str) -> None:
    """A needed entry deleted: which it is; entered again: the answer, and never "No change." over it."""
    own(page, served)
    page.add_init_script(SAID)
    page.reload()
    wait(page, "live")
    box = page.locator("[name=driver_teeth]")
    was = box.input_value()
    box.press("Control+a")
    box.press("Delete")
    heard = page.locator(HEARD)
    expect(heard).to_have_text(
        re.compile("^This answer is old: teeth on the motor's sprocket (is|are) missing\\.$")
    )
    wait(page, "old")
    box.press_sequentially(was, delay=60)
    expect(heard).to_contain_text(": 1")
    page.keyboard.press("Tab")
    page.wait_for_timeout(1500)
    assert "No change." not in [text for _, text in page.evaluate("window.said")]


def test_latest_entry_wins(page: Page, served: str) -> None:
    own(page, served)
    page.evaluate("""() => {
      const field = document.querySelector("[name=driver_teeth]");
      for (const text of ["10", "20", "11"]) {
        field.value = text;
        field.dispatchEvent(new Event("input", {bubbles: true}));
      }
    }""")
    expect(page.locator(".ta-answer .ta-big")).to_contain_text("6.36 : 1")
    page.wait_for_timeout(1000)
    expect(page.locator(".ta-answer .ta-big")).to_contain_text("6.36 : 1")  # 70 / 11


def test_command_line_of_own_entries(page: Page, served: str) -> None:
    own(page, served)
    page.fill(
        "[name=total_mass]", "200\N{NO-BREAK SPACE}kg ± 5\N{NO-BREAK SPACE}kg, measured"
    )  # copied from a page
    command = page.locator(".ta-command code")
    expect(command).to_contain_text("python -m calc run gearing --sheet build.toml")
    expect(command).to_contain_text('total_mass="200 kg ± 5 kg, measured"')
    expect(command).to_contain_text("driver_teeth=14")
    page.fill("[name=total_mass]", "$(reboot) it's")
    expect(command).to_contain_text("total_mass='$(reboot) it'\\''s'")


def test_a_verdict_of_ones_own_is_never_the_demos(page: Page, served: str) -> None:
    """A first entry that can't be used: no answer yet, and the next good one is answered."""
    page.goto(served)
    page.fill("[name=slope]", "x")
    page.fill("[name=total_mass]", "110")
    wait(page, "waiting")
    assert "works" not in page.inner_text(".ta-answer")
    expect(page.locator(".ta-problems")).to_have_attribute("role", "alert")
    page.fill("[name=slope]", "5")
    wait(page, "live")


SAID = """addEventListener("DOMContentLoaded", () => {
  window.said = [];
  new MutationObserver((all) => {
    for (const { target } of all) {
      const live = (target.closest ? target : target.parentElement)?.closest("[role=status], [role=alert]");
      if (live?.textContent) window.said.push([live.getAttribute("role"), live.textContent]);
    }
  }).observe(document.body, {childList: true, subtree: true, characterData: true});
})"""
HEARD = ".ta-status .ta-aside"
FAILS = """addEventListener("DOMContentLoaded", () => {
  const engine = window.Turnabout?.engine;
  if (engine) engine.call = async () => ({kind: "crash", details: "a fault put in by a test"});
})"""


def test_a_fault_of_the_book_shows_no_verdict(page: Page, served: str) -> None:
    """Neither the demo's, nor at the foot of the window; the entries stay."""
    page.add_init_script(FAILS)
    page.goto(served)
    page.fill("[name=total_mass]", "110")
    wait(page, "waiting")
    expect(page.locator(".ta-answer .ta-big")).to_contain_text("No answer")
    expect(page.locator(".ta-status")).to_contain_text("fault of the book")
    assert "works" not in page.inner_text(".ta-answer") + page.inner_text(".ta-peek")


def test_print_says_at_once_what_waits_for_entries(page: Page, served: str) -> None:
    """Beside the button, and the way on is there: nothing is under way, so nothing is waited for."""
    page.add_init_script("window.print = () => { window.printed = true; }")
    page.goto(served + CALCULATORS["gearing"])
    page.fill("[name=driver_teeth]", "14")
    wait(page, "waiting")
    page.get_by_role("button", name="Print", exact=True).click()
    said = page.locator(".ta-tools .ta-notice")
    expect(said).to_contain_text("NOT UP TO DATE", timeout=3000)
    expect(said).to_be_focused()
    expect(said).to_be_in_viewport()
    page.get_by_role("button", name="Print all the same").click()
    assert page.evaluate("window.printed")
    expect(page.get_by_role("button", name="Print", exact=True)).to_be_focused()


def test_a_unit_is_part_of_a_boxs_description(page: Page, served: str) -> None:
    page.goto(served + "decide/build-sheet.html")
    for key, unit in {
        "total_mass": "kg",
        "side_slope": "%",
        "sprocket_torque": "",
        "shaft_diameter": "mm",
    }.items():
        box = page.locator(f"[name={key}]")
        if unit and box.count():
            expect(box).to_have_accessible_description(re.compile(rf"^{re.escape(unit)} "))
    expect(page.locator("[name=line_resistance]")).to_have_accessible_description(re.compile("^milliohms "))
    expect(page.locator("[name=line_resistance-spread]")).to_have_accessible_description("milliohms")


def test_from_the_form_to_the_answer_and_what_is_heard(page: Page, served: str) -> None:
    """The verdict is heard as a sentence that names what stops it, and once."""
    page.goto(served)
    enter(
        page, {"total_mass": "250", "slope": "30", "road_speed": "12", "ride_time": "90", "gear_ratio": "6"}
    )
    enter(page, {"chemistry": "lfp", "series": "16", "pack_capacity": "40", "wheel_diameter": "500"})
    heard = page.locator(".ta-status .ta-aside")
    expect(heard).to_have_text(re.compile(r"^Not yet\. \d+ to mend first: .*\.$"), timeout=60_000)
    page.fill("[name=total_mass]", "250 kg")
    expect(heard).to_have_text("Verdict unchanged.", timeout=20_000)
    page.fill("[name=ride_time]", "95")
    expect(heard).to_have_text(re.compile(r"^Not yet\. .* Changed: .*\.$"), timeout=10_000)
    assert page.locator(".ta-to-answer").get_attribute("accesskey") == "a"
    page.locator(".ta-to-answer").press("Enter")
    expect(page.locator(".ta-answer")).to_be_focused()


def test_verdict_then_levers(page: Page, served: str) -> None:
    """An example is loaded; its stops show at once, and after them the single change that would mend one."""
    page.goto(served + "decide/build-sheet.html")
    page.click("[data-example=first-attempt]")
    expect(page.locator("[data-check] .ta-lever").filter(has_text="Or").first).to_be_visible(timeout=60_000)
    assert page.locator(".ta-check[data-severity=stop]").count() >= 3
    expect(page.locator("[name=series]")).to_have_value("13")


def test_failed_start_is_said(chromium: Browser, served: str) -> None:
    """The worked answer stays, the command is there, and trying again works."""
    with chromium.new_context() as context:
        page = context.new_page()
        page.route(WASM, lambda route: route.abort())
        page.goto(served + CALCULATORS["gearing"])
        expect(page.locator(".ta-status")).to_contain_text("could not start", timeout=60_000)
        expect(page.locator(".ta-answer .ta-big")).to_be_visible()
        expect(page.locator(".ta-command code")).to_be_visible()
        page.unroute(WASM)
        page.click("text=Try again")
        expect(page.locator(".ta-status")).to_contain_text("Ready", timeout=60_000)


def test_only_pages_with_a_calculator_load_python(page: Page, served: str) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(served + "changes.html")
    page.wait_for_timeout(1500)
    assert not [url for url in asked if "/runtime/" in url]


def test_search(page: Page, root: str) -> None:
    page.goto(root + "search.html?q=sprocket+teeth")
    first = page.locator("#ta-results a").first
    expect(first).to_be_visible()
    first.click()
    expect(page.locator("main")).to_contain_text("sprocket")


TRADE = (
    "BMS", "Hall sensor", "regen", "kv", "brushless", "undervoltage", "ampacity", "earthing", "cogging", "alternator",
    "ESC",
)  # fmt: skip


def test_words_of_the_trade_lead_to_the_book_s_own(page: Page, from_disk: str) -> None:
    """The glossary's words are one hit, each of its tables another, and each has a name to read."""
    page.goto(from_disk + "search.html")
    results = page.locator("#ta-results")
    for word in TRADE:
        page.fill("#ta-query", word)
        expect(results.get_by_role("link", name="Glossary: Words", exact=True)).to_have_count(1)
    page.fill("#ta-query", "wheel diameter loaded")
    results.get_by_role("link", name="Glossary: Gearing and wheel", exact=True).click()
    expect(page.get_by_role("heading", name="Gearing and wheel")).to_be_in_viewport()


def test_search_is_there_on_the_way_back(page: Page, root: str) -> None:
    """The words and the list; Enter goes to the first result; the count is said once nobody types."""
    page.goto(root + "search.html")
    page.locator("#ta-query").press_sequentially("field diode", delay=30)
    expect(page.locator("#ta-found")).to_contain_text("place")
    page.keyboard.press("Enter")
    first = page.locator("#ta-results a").first
    expect(first).to_be_focused()
    page.keyboard.press("Enter")
    page.wait_for_function("() => !location.pathname.endsWith('search.html')")
    page.go_back()
    expect(page.locator("#ta-query")).to_have_value("field diode")
    expect(first).to_be_visible()


def test_a_saved_file_is_said_and_a_failed_one_is_where_one_looks(page: Page, served: str) -> None:
    page.goto(served)
    enter(page, {"series": "16", "pack_capacity": "40 Wh", "chemistry": "lfp"})
    save = page.get_by_role("button", name="Save to a file")
    save.click()
    said = page.locator(".ta-tools .ta-notice")
    expect(said).to_contain_text("could not be written", timeout=60_000)
    expect(said).to_be_focused()
    expect(said).to_be_in_viewport()
    said.get_by_role("button", name="Put away").press("Enter")
    expect(save).to_be_focused()
    page.fill("[name=pack_capacity]", "40")
    with page.expect_download(timeout=60_000):
        save.press("Enter")
    expect(said).to_have_count(1)
    expect(said).to_contain_text("build.toml is written: 3 entries.")
    expect(page.locator(".ta-tools [role=status]")).to_have_text("build.toml is written: 3 entries.")
    expect(save).to_be_focused()


def test_a_dialog_is_described_and_enter_changes_nothing(page: Page, served: str) -> None:
    page.goto(served)
    page.fill("[name=series]", "15")
    page.get_by_role("button", name="Start over").click()
    dialog = page.get_by_role("dialog", name="Start over?")
    expect(dialog).to_have_accessible_description(re.compile("^This clears your 1 entry, "))
    page.keyboard.press("Enter")
    expect(dialog).to_have_count(0)
    expect(page.locator("[name=series]")).to_have_value("15")


def test_one_voice_on_a_page_of_many_calculators(page: Page, served: str) -> None:
    """Starting is said once; an entry in one calculator is no alarm in the others; what is wrong stands in sight."""
    page.add_init_script(SAID)
    page.set_viewport_size({"width": 390, "height": 420})
    page.goto(served + "convert/bench-tests.html")
    box = page.locator("[data-calc=insulation-test] [name=insulation_test]")
    box.fill("48, 0.4, 48")
    heard = page.locator("[data-calc=insulation-test] .ta-status .ta-aside")
    expect(heard).to_contain_text("to the case", timeout=60_000)
    page.wait_for_timeout(1500)
    assert [text for _, text in page.evaluate("window.said")].count("Starting the calculator.") <= 1
    assert "alert" not in {role for role, _ in page.evaluate("window.said")}
    box.fill("48, many, 48")
    problem = page.locator("#insulation-test-insulation_test-problem")
    expect(problem).to_be_in_viewport(ratio=1)
    expect(page.locator("[data-calc=insulation-test] .ta-peek")).to_be_hidden()
    expect(page.locator("[role=alert]")).to_have_count(0)  # the row may not be whole yet
    page.keyboard.press("Tab")
    expect(page.locator("[role=alert]")).to_have_count(1)


def test_rows_are_not_called_wrong_while_they_are_written(page: Page, served: str) -> None:
    """Slowly, with pauses: shown at once, called out at Enter behind a row or when the box is left, and briefly."""
    page.add_init_script(SAID)
    page.goto(served + "convert/emf-test.html")
    box = page.locator("[name=emf_test]")
    box.focus()
    for part in ("2000", ", 1.5", ", 9.7\n2000", ", 2.5, 16.7"):
        box.press_sequentially(part)
        page.wait_for_timeout(1000)
    wait(page, "live")
    assert "alert" not in {role for role, _ in page.evaluate("window.said")}
    box.press_sequentially("\n2000, 3.5\n")
    summary = page.locator(".ta-problems")
    expect(summary).to_have_attribute("role", "alert")
    expect(summary).to_contain_text("2 cells, not 3 cells")
    assert len(summary.inner_text().split()) < 50
    for words in ("decimals", ";"):
        assert words not in summary.locator("li").inner_text().split("”)")[1]
    box.press_sequentially("2000")
    expect(summary).not_to_have_attribute("role", "alert")
    page.keyboard.press("Tab")
    expect(summary).to_have_attribute("role", "alert")


def test_what_was_entered_twice_is_in_sight_and_cleared_with_a_way_back(page: Page, served: str) -> None:
    """The ratio of the home page and the teeth of gearing."""
    page.goto(served)
    page.fill("[name=gear_ratio]", "8")
    own(page, served)
    ratio = page.locator("[data-calc=gearing] [name=gear_ratio]")
    expect(ratio).to_be_visible()
    page.get_by_role("button", name="Clear gear ratio").click()
    expect(ratio).to_have_value("")
    expect(page.locator(".ta-notice")).to_contain_text("Cleared: Gear ratio")
    expect(page.locator(".ta-answer .ta-big")).to_contain_text("5 : 1")  # 70 / 14
    page.get_by_role("button", name="Put it back").click()
    expect(ratio).to_have_value("8")


def test_who_is_in_an_answer_stays_in_it(page: Page, served: str) -> None:
    """A fold keeps keys and its state when the answer is drawn anew, as after a change in another tab."""
    own(page, served)
    fold = page.locator(".ta-rests > summary")
    fold.focus()
    page.keyboard.press("Enter")
    page.evaluate("Turnabout.store.set('driver_teeth', Turnabout.entries.make('10'))")
    expect(page.locator(".ta-answer .ta-big")).to_contain_text("7 : 1")  # 70 / 10
    expect(fold).to_be_focused()
    expect(page.locator(".ta-rests")).to_have_attribute("open", "")


def test_tables_are_stops_only_where_they_scroll(page: Page, served: str) -> None:
    for width, count in ((1320, 0), (360, 1)):
        page.set_viewport_size({"width": width, "height": 800})
        page.goto(served + "convert/star-delta.html")
        compared = page.locator(".ta-table", has_text="The same coils in star and in delta")
        expect(compared.and_(page.locator("[tabindex]"))).to_have_count(count if width == 360 else 1)
        steps = page.get_by_role("table", name="When the answer isn't good")
        expect(steps.locator("xpath=..")).not_to_have_attribute("tabindex", "0")
        assert steps.locator("tbody th[scope=row]").count() == steps.locator("tbody tr").count() > 1


def test_a_page_leads_to_its_parts_and_from_steps_to_the_form(page: Page, served: str) -> None:
    page.goto(served + "convert/emf-test.html")
    parts = page.get_by_role("navigation", name="On this page")
    names = parts.get_by_role("link").all_inner_texts()
    assert names == [
        "Before you spin it",
        "Your numbers",
        "Do it",
        "What to make of it",
        "When the rows aren't good",
    ]
    page.get_by_role("link", name="Enter it under your numbers").click()
    expect(page.locator("#emf-test-yours")).to_be_in_viewport()
    assert (
        page.locator("ol", has_text="rectifier").first.evaluate(
            "steps => steps.previousElementSibling.textContent"
        )
        == "Read first: Before you spin it"
    )


def test_a_checklist_on_a_phone_is_steps_to_read(page: Page, served: str) -> None:
    """What is ticked and written down is for paper."""
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(served + "sheets/first-power.html")
    step = page.locator(".ta-checklist tbody tr").nth(1)
    expect(step.locator("th")).to_be_visible()
    assert step.locator("th").bounding_box()["width"] > 300  # type: ignore[index]
    expect(step.locator("td").first).to_be_hidden()
    expect(step.locator("td").last).to_be_hidden()
    page.emulate_media(media="print")
    expect(step.locator("td").first).to_be_visible()


def test_keyboard(page: Page, served: str) -> None:
    """The first stop is the way past the header; a field's buttons and its ± are reached and worked by keys."""
    page.goto(served + CALCULATORS["gearing"])
    page.keyboard.press("Tab")
    expect(page.locator(".ta-skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
    page.focus("[name=wheel_diameter]")
    page.keyboard.press("Tab")  # the three buttons are one stop
    button = page.locator("[data-field=wheel_diameter] [data-basis]")
    chosen = page.locator("[data-field=wheel_diameter] [aria-checked=true]")
    expect(button.nth(0)).to_be_focused()
    page.keyboard.press("Space")
    expect(chosen).to_have_attribute("data-basis", "measured")
    for basis in ("rated", "guess", "measured"):
        page.keyboard.press("ArrowRight")
        expect(chosen).to_have_attribute("data-basis", basis)
        expect(chosen).to_be_focused()
    page.keyboard.press("ArrowLeft")
    expect(chosen).to_have_attribute("data-basis", "guess")
    page.keyboard.press("Delete")
    expect(chosen).to_have_count(0)
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.locator("[name=wheel_diameter-spread]")).to_be_focused()


def test_firefox_from_disk_keeps_and_answers(firefox: Any, from_disk: str) -> None:
    """With a store for each file, as this Firefox is set, an entry still reaches the pages of other folders."""
    firefox.goto(from_disk + CALCULATORS["sensor-slots"])
    firefox.type("[name=pole_pairs]", "7")
    firefox.type("[name=slots]", "42")
    firefox.wait("document.querySelector('.ta-answer').dataset.state === 'live'")
    firefox.goto(from_disk + "decide/build-sheet.html")
    firefox.wait("document.querySelector('[name=slots]').value === '42'")
    firefox.reload()
    firefox.wait("document.querySelector('[name=slots]').value === '42'")
    assert firefox.problems() == []
