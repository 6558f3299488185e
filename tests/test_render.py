"""The renderer and the page's edge: escaped, unique, described, the same everywhere."""

from __future__ import annotations

import json
import re
from collections import Counter
from html import unescape
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import browser, forms, render, view
from calc.answer import evaluate
from calc.build import Build
from calc.calculators import CALCULATORS
from calc.checks import CHECKS
from calc.embed import WORDS, embed
from calc.entries import parse, parse_all
from calc.fields import FIELDS, Field
from calc.findings import WORST
from calc.levers import mend
from calc.sheet import Sheet, demo
from calc.spec import Calculator, shortened
from calc.verdict import judge

EMBEDS = [("calc", c) for c in CALCULATORS] + [
    ("verdict", "home"),
    ("verdict", "sheet"),
    ("record", "build-record"),
    ("example", "harvest-cart"),
    ("example", "first-attempt"),
    ("glossary", ""),
]
HOSTILE = "<img src=x onerror=alert(1)>\"'&</script>"


class Reader(HTMLParser):
    """Collects ids, references, labels and text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.refs: list[str] = []
        self.tags: list[str] = []
        self.said = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value or "")
            if name in ("for", "aria-describedby", "aria-labelledby"):
                self.refs += (value or "").split()

    def handle_data(self, data: str) -> None:
        self.said += data


def ask(**request: object) -> dict:
    return json.loads(browser.handle(json.dumps(request)))


@pytest.mark.parametrize(("word", "argument"), EMBEDS)
def test_every_embed_has_unique_ids_and_no_dangling_reference(word: str, argument: str) -> None:
    read = Reader(embed(word, argument))
    assert [i for i, n in Counter(read.ids).items() if n > 1] == []
    assert set(read.refs) <= set(read.ids)


@pytest.mark.parametrize(("word", "argument"), EMBEDS)
def test_no_nan_or_infinity_is_ever_shown(word: str, argument: str) -> None:
    assert not re.search(r"\b(nan|inf|None)\b", Reader(embed(word, argument)).said)


@pytest.mark.parametrize("word", [*WORDS, "calk"])
def test_an_unknown_shortcode_raises(word: str) -> None:
    if word == "glossary":
        word = "glosary"
    with pytest.raises((KeyError, ValueError)):
        embed(word, "no such thing")


@pytest.mark.parametrize("calculator", list(CALCULATORS))
def test_every_figure_has_a_title_and_a_description(calculator: str) -> None:
    html = embed("calc", calculator)
    figures = html.count("<svg")
    assert figures >= 1
    assert html.count("<title ") == html.count("<desc ") == figures
    # Named by the title alone: a description in the name too is read twice.
    assert len(re.findall(r'aria-labelledby="\S+-t" aria-describedby="\S+-d"', html)) == figures


@pytest.mark.parametrize("calculator", list(CALCULATORS))
def test_live_prerendered_and_data_agree(calculator: str, cart: Sheet) -> None:
    """The demo in the page before Python, the same build sent by the page, and the numbers of `run`."""
    live = ask(op="run", calculator=calculator, entries={})["html"]
    assert live in embed("calc", calculator)
    texts = {key: e.as_typed for key, e in cart.entries.items()}
    own = ask(op="run", calculator=calculator, entries=texts)["html"]
    pick = re.compile(r'<p class="ta-big">.*?</p><p class="ta-why">.*?</p>')
    assert pick.search(own)[0] == pick.search(live)[0]  # type: ignore[index]
    data = view.answer(evaluate(CALCULATORS[calculator], [("sheet", cart.entries)]))
    demo = view.answer(evaluate(CALCULATORS[calculator], [("demo", cart.entries)]))
    assert data["results"] == demo["results"]


def test_the_demo_is_marked_and_an_own_answer_is_not(cart: Sheet) -> None:
    texts = {key: e.as_typed for key, e in cart.entries.items()}
    assert "Worked example" in ask(op="run", calculator="pack", entries={})["html"]
    assert "Worked example" not in ask(op="run", calculator="pack", entries=texts)["html"]
    assert "Worked example" not in ask(op="verdict", entries=texts, view="sheet")["html"]


def test_home_names_the_three_entries_most_worth_adding() -> None:
    html = ask(
        op="verdict",
        view="home",
        entries={
            "total_mass": "250 kg",
            "slope": "8 %",
            "road_speed": "12 km/h",
            "ride_time": "90 min",
            "series": "16",
            "pack_capacity": "40 Ah",
            "gear_ratio": "6",
            "wheel_diameter": "500 mm",
        },
    )["html"]
    worth = html.split('<ol class="ta-next">')[1].split("</ol>")[0]
    assert worth.count("<li>") == 3


def test_few_entries_give_one_line_for_all_that_waits_with_links_to_the_fields() -> None:
    few = {"total_mass": "250 kg", "slope": "8 %"}
    html = ask(op="verdict", view="home", entries=few)["html"]
    assert "Too little to tell yet" in html
    assert html.count('data-check="waiting"') == 1
    build = Build.of([("sheet", parse_all(few, FIELDS))])
    waiting = sum(bool(build.missing(*check.nodes)) for check in CHECKS)  # some are told by usual values
    assert waiting > 8
    assert f"{waiting} checks wait for entries" in html and f"{waiting} waiting" in html
    assert "nothing entered yet" not in html
    line = html.split('data-check="waiting"')[1].split("</details>")[0]
    assert "Answer first: question 3, question 4, question 5 and question 6." in Reader(line).said
    named = re.findall(r'<li><a data-field="([a-z_]+)" href="#sheet-\1">', line)
    assert {"charger_voltage", "controller_voltage_max", "ride_time"} <= set(named)
    assert named.index("charger_voltage") < named.index("ride_time")  # safety first


SIX = {
    "total_mass": "250 kg",
    "slope": "8 %",
    "road_speed": "12 km/h",
    "ride_time": "90 min",
    "chemistry": "lfp",
    "series": "16",
    "pack_capacity": "40 Ah",
    "driver_teeth": "11",
    "driven_teeth": "66",
    "wheel_diameter": "500 mm",
}


@pytest.mark.parametrize("view_", ["home", "sheet"])
def test_what_waits_is_counted_by_chapter_once_the_six_questions_are_answered(view_: str) -> None:
    """Teeth answer the question for the gear ratio; each chapter leads to its group, and all are in the fold."""
    html = ask(op="verdict", view=view_, entries=SIX)["html"]
    line = html.split('data-check="waiting"')[1].split("</details>")[0]
    groups = re.findall(r'<a data-group="([a-z_]+)" href="#sheet-group-\1">[^<]* \((\d+)\)</a>', line)
    named = re.findall(r'<li><a data-field="([a-z_]+)"', line)
    assert len(groups) > 2
    assert {key: int(n) for key, n in groups} == Counter(FIELDS[key].table for key in named)
    assert f'id="sheet-group-{groups[0][0]}"' in embed("verdict", "sheet")


def test_the_build_sheet_names_five_to_measure_next_and_folds_the_rest() -> None:
    html = ask(op="verdict", view="sheet", entries=SIX)["html"]
    first, rest = html.split('<ol class="ta-next">')[1].split("</ol>", 1)
    assert first.count("<li>") == 5
    more = re.search(
        r'<details><summary>And (\d+) more</summary><ol class="ta-next" start="6">(.*?)</ol>', rest
    )
    assert more and int(more[1]) == more[2].count("<li>") > 5


def test_the_worst_check_is_read_first(attempt: Sheet) -> None:
    texts = {key: e.as_typed for key, e in attempt.entries.items()}
    html = ask(op="verdict", view="sheet", entries=texts)["html"]
    order = [
        WORST[word]
        for word in re.findall(r'class="ta-check" data-severity="(\w+)"(?! data-check="waiting")', html)
    ]
    assert order == sorted(order, reverse=True) and len(set(order)) > 1


def test_what_was_entered_twice_can_be_cleared_from_the_caution() -> None:
    """First of what gearing says after what stops; one button for each way."""
    html = ask(op="run", calculator="gearing", entries=SIX | {"gear_ratio": "8"})["html"]
    first = html.split('data-severity="caution"')[1].split("</li>")[0]
    assert "Gear ratio was entered as 8" in first
    assert re.findall(r'data-clear="([a-z_ ]+)"', first) == ["gear_ratio", "driver_teeth driven_teeth"]
    box = re.search(r'<div class="ta-field" data-field="gear_ratio"[^>]*>', embed("calc", "gearing"))
    assert box and "data-other" in box[0]


@pytest.mark.parametrize(
    "f", [f for f in FIELDS.values() if f.low < 0 and f.kind == "number"], ids=lambda f: f.key
)
def test_a_number_below_zero_can_be_typed_on_a_phone(f: Field) -> None:
    """A pad of digits has no minus everywhere."""
    assert 'inputmode="text"' in forms.field(f, "x").split("</div>")[0]


def test_a_stop_is_said_however_few_entries_there_are() -> None:
    entries = {"series": "16", "chemistry": "lfp", "charger_voltage": "67.2 V, measured"}
    html = ask(op="verdict", view="home", entries=entries)["html"]
    assert "Not yet" in html and 'data-check="charger"' in html


def test_a_slope_can_be_typed_in_degrees_on_a_phone() -> None:
    """A pad of digits has no sign for degrees: this one field asks for the whole keyboard."""
    box = re.search(r'<input[^>]*name="slope"[^>]*>', embed("calc", "standing-start"))
    assert box and 'inputmode="text"' in box[0]


def test_invalid_entries_name_every_field() -> None:
    reply = ask(
        op="run", calculator="gearing", entries={"slope": "steep", "driver_teeth": "0", "nosuch": "1"}
    )
    assert reply["kind"] == "invalid"
    reply = ask(op="run", calculator="gearing", entries={"slope": "steep", "driver_teeth": "0"})
    assert {p["field"] for p in reply["problems"]} == {"slope", "driver_teeth"}


def test_missing_entries_are_problems_with_their_fields() -> None:
    reply = ask(op="run", calculator="gearing", entries={"slope": "8 %"})
    assert reply["kind"] == "invalid"
    assert "total_mass" in {p["field"] for p in reply["problems"]}


def test_open_and_save_keep_comments_and_come_back_the_same(cart: Sheet) -> None:
    opened = ask(op="open", toml=cart.document)
    texts = {}
    for key, e in opened["entries"].items():
        texts[key] = (
            e["value"]
            + (f" ± {e['spread']}" if e["spread"] else "")
            + (f", {e['basis']}" if e["basis"] else "")
        )
    saved = ask(op="save", entries=texts, document=opened["document"])["toml"]
    assert saved == cart.document


def test_levers_come_by_check(attempt: Sheet) -> None:
    texts = {key: e.as_typed for key, e in attempt.entries.items()}
    levers = ask(op="levers", entries=texts, view="sheet")["levers"]
    assert set(levers) == {j.check.id for j in mend(judge(attempt)).checks if j.lever}


def test_a_fault_of_ours_is_a_crash_with_details_and_never_raises() -> None:
    assert ask(op="nonsense")["kind"] == "crash"
    assert json.loads(browser.handle("not json"))["kind"] == "crash"


def test_hostile_text_is_data() -> None:
    entries = {"name": HOSTILE[:60], "notes": HOSTILE}
    for html in (
        ask(op="verdict", entries=entries, view="sheet")["html"],
        ask(op="record", entries=entries)["html"],
    ):
        assert "img" not in Reader(html).tags
        assert "<img" not in html
    reply = ask(op="run", calculator="pack", entries={"series": HOSTILE})
    assert HOSTILE in reply["problems"][0]["text"]  # the page puts it in as text


@given(st.dictionaries(st.sampled_from(sorted(FIELDS)), st.text(max_size=12), max_size=6))
def test_whatever_is_typed_the_page_gets_an_answer(texts: dict[str, str]) -> None:
    for op in ({"op": "run", "calculator": "gearing"}, {"op": "verdict", "view": "home"}):
        assert ask(**op, entries=texts)["kind"] in ("result", "invalid")


def test_the_glossary_holds_every_quantity() -> None:
    said = Reader(render.glossary()).said
    for f in FIELDS.values():
        assert f.label in said


@pytest.mark.parametrize("calculator", CALCULATORS.values(), ids=CALCULATORS)
def test_a_page_keeps_the_sign_of_every_number(calculator: Calculator) -> None:
    """A negative value stands in the page's tables as the number that it is; the demo has them in several."""
    answer = evaluate(calculator, [("demo", demo().entries)])
    shown = unescape(render.result_rows(answer))
    for result in calculator.gives:
        value = answer.results[result.key]
        rows = shortened(result, value)[0] if result.columns and value else []
        numbers = [(c, row[c.key]) for row in rows for c in result.columns if isinstance(row[c.key], float)]
        numbers += [(result, value)] if isinstance(value, float) else []
        for column, number in numbers:
            if number < 0.0:
                assert f">{render.cell(column.unit, number)}<" in shown, (result.key, number)
                assert "−" in render.cell(column.unit, number) or abs(number) < 1e-9


NUMBERS = [f for f in FIELDS.values() if f.kind not in ("choice", "text")]


@pytest.mark.parametrize("known", NUMBERS, ids=[f.key for f in NUMBERS])
def test_what_a_box_shows_when_empty_means_the_example_when_typed(known: Field) -> None:
    """The unit stands beside the box, so its bare number counts in that unit."""
    shown = re.search(r'placeholder="([^"]*)"', forms.field(known, "f"))
    assert shown is not None
    typed, meant = parse(known, unescape(shown[1]).replace("\n", "; ")), parse(known, known.sample())
    assert typed.value == meant.value and typed.spread == meant.spread


def test_a_pack_that_isnt_counted_is_no_open_question() -> None:
    """Lead-acid is entered by its volts under load; nobody is sent back to question 5 then."""
    others = {key: text for key, text in SIX.items() if key not in ("chemistry", "series", "pack_capacity")}
    line = ask(op="verdict", view="home", entries=others)["html"].split('data-check="waiting"')[1]
    assert "question 5" in line
    line = ask(op="verdict", view="home", entries={**others, "supply_voltage": "45 V"})["html"].split(
        'data-check="waiting"'
    )[1]
    assert "question 5" not in line
