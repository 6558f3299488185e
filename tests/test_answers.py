"""What an answer says in cases that matter: no solution, safety at the far edge, unused and unreadable entries."""

from __future__ import annotations

import ast
import contextlib
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from calc import cli, render
from calc.answer import evaluate
from calc.calculators import CALCULATORS, find
from calc.fields import FIELDS
from calc.sheet import Sheet

ROOT = Path(__file__).resolve().parent.parent
CART = str(ROOT / "docs" / "examples" / "harvest-cart.toml")


def answer(*words: str) -> dict:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["run", *words, "--json"]) == 0
    return json.loads(out.getvalue())


def test_a_cause_without_an_answer_is_a_stop_and_nulls() -> None:
    """Sensors that give no usable pattern: the physics has no start, and that is an answer."""
    data = answer("standing-start", "sensor_slots=0, 3, 6")
    assert data["results"]["torque_available_worst"]["value"] is None
    assert data["results"]["torque_needed"]["value"] is not None
    assert data["findings"][0]["severity"] == "stop"


def test_every_field_is_accepted_by_every_calculator() -> None:
    for key in ("charger_voltage", "sensor_spacing", "notes"):
        assert FIELDS[key].sample() is not None
    data = answer("gearing", "charger_voltage=50 V")
    assert any("isn't used" in f["text"] for f in data["findings"])


def test_a_row_that_cannot_be_driven_is_named() -> None:
    data = answer("ride", "duty=10 km/h, 0 %, 90 %; 10 km/h, 40 %, 10 %")
    stops = [f["text"] for f in data["findings"] if f["severity"] == "stop"]
    assert any("40 %" in text and "can't be driven" in text for text in stops)


def test_safety_is_judged_at_the_far_edge_of_what_is_believed() -> None:
    data = answer("pack", "--sheet", CART, "charger_voltage=58 V ± 5 V, guess")
    assert any(f["severity"] == "stop" and "63 V" in f["text"] for f in data["findings"])
    low = answer("pack", "--sheet", CART, "charger_voltage=24 V, measured")
    assert any("never fills" in f["text"] for f in low["findings"])


def test_no_current_will_do_is_no_number() -> None:
    data = answer("standing-start", "alignment_error=75°")
    assert data["results"]["current_needed"]["value"] is None
    assert any("No current will do" in f["text"] for f in data["findings"])


def test_what_reading_the_sheet_found_is_said_with_the_answer(tmp_path: Path) -> None:
    file = tmp_path / "s.toml"
    text = Path(CART).read_text("utf-8").replace("rider_mass =", 'rider_mas = "70 kg"\nrider_mass =')
    file.write_text(text, "utf-8")
    said = [f["text"] for f in answer("gearing", "--sheet", str(file))["findings"]]
    assert any("rider_mas isn't a quantity" in text and "rider_mass" in text for text in said)


def test_a_slope_may_be_given_in_degrees() -> None:
    """A phone's level reads degrees; the slope of an angle is its tangent: 5° is 8.75 %, 45° and more can't be."""
    data = answer("standing-start", "slope=5° ± 1°, measured")
    assert data["inputs"]["slope"]["value"] == pytest.approx(8.749, abs=1e-3)
    assert data["inputs"]["slope"]["spread"] == pytest.approx(1.762, abs=1e-3)
    assert any("5° ± 1°, measured was read as 8.75 %" in f["text"] for f in data["findings"])
    duty = answer("ride", "duty=10 km/h, 0°, 90 %; 5 km/h, 3 deg, 10 %")
    assert duty["inputs"]["duty"]["value"][1]["slope"] == pytest.approx(5.241, abs=1e-3)
    for steep in ("45°", "100°", "170°"):
        assert cli.main(["run", "standing-start", f"slope={steep}"]) == 2


def test_a_charger_a_little_over_full_is_a_caution() -> None:
    data = answer("pack", "--sheet", CART, "charger_voltage=58.6 V ± 0.1 V, measured")
    found = [f for f in data["findings"] if "a little over" in f["text"]]
    assert [f["severity"] for f in found] == ["caution"]


def test_an_entry_that_nobody_vouches_for_is_said_to_count_as_a_guess() -> None:
    data = answer("pack", "--sheet", CART, "charger_voltage=58.4 V")
    stop = next(f for f in data["findings"] if f["severity"] == "stop")
    assert "counts as a guess, ± 2.92 V" in stop["text"]


def test_poles_counted_for_pole_pairs_are_asked_about_first() -> None:
    """48 slots on 16 pairs are 3 to a pair; vehicle generators have 6 or 12 (common practice, no source)."""
    first = answer("sensor-slots", "slots=48", "pole_pairs=16")["findings"][0]
    assert first["severity"] == "caution" and "3 to a pair" in first["text"]
    assert "poles rather than the pole pairs" in first["do"]
    for pairs in ("8", "4"):
        right = answer("sensor-slots", "slots=48", f"pole_pairs={pairs}")["findings"]
        assert not any("to a pair" in f["text"] for f in right)


def test_a_coil_longer_than_a_pole_is_to_be_counted_again() -> None:
    long = answer("sensor-slots", "slots=48", "pole_pairs=8", "coil_span=5")["findings"]
    assert any("longer than a pole" in f["text"] and "again" in f["do"] for f in long)
    right = answer("sensor-slots", "slots=48", "pole_pairs=8", "coil_span=3")["findings"]
    assert not any("longer than a pole" in f["text"] for f in right)


def test_thirty_degrees_out_tells_how_far_to_shift_and_early_from_late() -> None:
    """30° electrical on 8 pole pairs are 3.75° of shaft; which way is told by the speed without load."""
    found = answer("sensor-slots", "slots=48", "pole_pairs=8", "connection=star")["findings"]
    out = next(f for f in found if "30° electrical" in f["text"])
    assert "3.8° of shaft" in out["do"] or "3.75° of shaft" in out["do"]
    assert "the early way turns faster" in out["do"]


def test_gearing_warns_of_its_top_speed_at_full_throttle() -> None:
    """The cart at 8.18 : 1 passes 15 km/h; geared to 30 : 1 it walks."""
    fast = [f["text"] for f in answer("gearing", "road_speed=24 km/h")["findings"]]
    assert any("At full throttle" in text for text in fast)
    slow = [f["text"] for f in answer("gearing", "gear_ratio=30", "road_speed=6 km/h")["findings"]]
    assert not any("At full throttle" in text for text in slow)


@pytest.mark.parametrize("calculator", ["gearing", "standing-start"])
def test_a_pull_at_the_wheel_says_what_it_leaves_out_and_which_page_tells_it(calculator: str) -> None:
    left = next(f for f in answer(calculator)["findings"] if f["text"].startswith("Not told here"))
    assert all(word in left["text"] for word in ("chain", "shaft", "mount", "sideways"))
    pages = (ROOT / "mkdocs.yml").read_text(encoding="utf-8")
    for title in ("Chain", "Shaft and mount", "Tipping and sliding"):
        assert title in left["do"] and f"- {title}: vehicle/" in pages


def test_the_current_pulls_the_sensors_early_and_torque_falls() -> None:
    """More line current than the field can hold starts less: the estimate of design note 6, sin δ = Lm·I₁/λ."""
    told = [
        answer("standing-start", f"phase_current_limit={amps} A")["results"] for amps in (60, 100, 200, 400)
    ]
    worst = [one["full_current_torque"]["value"] for one in told]
    best = [one["torque_with_current"]["value"] for one in told]
    assert worst[0] < worst[1] and worst[2] > worst[3]
    assert worst[3] < 0 < best[3] and best == sorted(best)
    assert told[3]["start_current"]["value"] < 200


def test_usual_values_that_stand_in_for_a_machine_nobody_measured_are_said(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('[machine]\npole_pairs = 7\nslots = 42\nconnection = "star"\n', encoding="utf-8")
    found = answer("field-supply", "--sheet", str(file))["findings"]
    text = next(f["text"] for f in found if f["text"].startswith("Usual values stand in for"))
    assert "field current" in text and "resistance of the field coil" in text
    assert not any("Usual values" in f["text"] for f in answer("field-supply")["findings"])


def test_lamps_that_nobody_reported_are_only_what_should_show() -> None:
    data = answer("lamp-pattern", "sensor_slots=0, 3, 6")
    assert any("Nothing was reported yet" in f["text"] for f in data["findings"])
    assert not any(f["severity"] == "stop" for f in data["findings"])


def test_rows_and_slots_may_be_parted_by_spaces() -> None:
    data = answer("emf-test", "emf_test=1500 1 6.9; 1500 2 11.9; 1500 3 15; 1500 4 16.6", "field_current=3 A")
    assert data["results"]["emf_constant"]["value"] == pytest.approx(10.0, rel=0.02)
    assert answer("sensor-slots", "sensor_slots=0 2 4")["results"]["usable"]["value"] is True


def test_a_sentence_to_the_reader_stands_in_one_place() -> None:
    """What verdict and calculators both say is one constant: two copies of an advice drift apart."""
    seen: dict[str, set[str]] = {}
    for part in ("calculators", "checks"):
        for file in (ROOT / "calc" / part).rglob("*.py"):
            tree = ast.parse(file.read_text(encoding="utf-8"))
            loose = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}  # docstrings
            for node in ast.walk(tree):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in loose:
                    seen.setdefault(node.value, set()).add(str(file))
    assert not {text: files for text, files in seen.items() if len(text) > 45 and len(files) > 1}


def _prose(tree: ast.Module) -> Iterator[str]:
    """Every text of a module that isn't a docstring and has more than one word, what is filled in taken out."""
    aside = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
    for n in ast.walk(tree):
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in aside:
            text = re.sub(r"\{[^}]*\}", "", n.value)
            if " " in text.strip():
                yield text


@pytest.mark.parametrize("folder", ["calculators", "checks", "machine", "drive", "power", "vehicle"])
def test_no_sentence_names_a_field_by_its_key(folder: str) -> None:
    """A page shows labels: a key such as bearing_limit stands nowhere on it."""
    keys = re.compile(r"\b(" + "|".join(key for key in FIELDS if "_" in key) + r")\b")
    for module in [*Path("calc", folder).rglob("*.py"), *Path("calc/told").glob("*.py")]:
        found = [text for text in _prose(ast.parse(module.read_text(encoding="utf-8"))) if keys.search(text)]
        assert not found, (str(module), found)
    for f in FIELDS.values():
        assert not keys.search(f.how_to_measure), f.key


SIX = """format = 1
[ride]
slope = "8 %"
road_speed = "10 km/h"
[vehicle]
total_mass = "95 kg"
[gearing]
gear_ratio = "8"
wheel_diameter = "300 mm"
[pack]
chemistry = "nmc"
series = 10
pack_capacity = "10 Ah"
"""


@pytest.fixture
def six(tmp_path: Path) -> str:
    file = tmp_path / "six.toml"
    file.write_text(SIX, encoding="utf-8")
    return str(file)


def stand_in(*words: str) -> str:
    return next(f["text"] for f in answer(*words)["findings"] if f["text"].startswith("Usual values"))


def test_usual_values_are_named_by_what_they_move(six: str) -> None:
    """The inductance decides a start, though the page asks for it last; entered, it is named no more."""
    told = stand_in("standing-start", "--sheet", six)
    assert "inductance between two leads" in told and "share of the inductance" in told and "others" in told
    assert "phase current limit" not in told  # its best current is below the limit: the limit moves nothing
    assert "inductance" not in stand_in(
        "standing-start", "--sheet", six, "line_inductance=120 uH, measured", "sensed_share=60 %, measured"
    )
    others = int(re.search(r"and (\d+) others", told)[1])  # type: ignore[index]
    usual = [k for k, i in answer("standing-start", "--sheet", six)["inputs"].items() if i["from"] == "usual"]
    assert others + 5 == sum(1 for k in usual if FIELDS[k].table)


def test_more_field_is_no_cure_by_a_constant_that_knows_one_field_current(six: str) -> None:
    """6 A of field change nothing in a usual EMF constant, and the answer says so and what to enter."""
    plain, more = (answer("standing-start", "--sheet", six, *words) for words in ((), ("field_current=6 A",)))
    key = "torque_with_current"
    assert more["results"][key]["value"] == pytest.approx(plain["results"][key]["value"], rel=1e-9)
    said = next(f for f in more["findings"] if "change nothing in it" in f["text"])
    assert said["severity"] == "caution" and "Spin test" in said["do"]
    assert not any("stands for one field" in f["text"] for f in answer("standing-start")["findings"])


@pytest.mark.parametrize("calculator", list(CALCULATORS))
def test_every_column_of_a_table_has_a_name_of_its_own(calculator: str) -> None:
    """Who listens to a cell hears its column's name, without the one before it."""
    for result in find(calculator).gives:
        labels = [column.label for column in result.columns]
        assert len(set(labels)) == len(labels), result.key


def test_what_judges_nothing_is_a_note_and_no_ok(cart: Sheet) -> None:
    """What an answer leaves out is neither well nor wrong; it is marked so, and named so in JSON."""
    told = evaluate(find("gearing"), [("demo", cart.entries)])
    left_out = next(f for f in told.findings if f.text.startswith("Not told here"))
    assert left_out.severity == "note"
    html = render.finding(left_out)
    assert 'data-severity="note"' in html and ">note</strong> Not told here" in html
    assert render.MARKS["note"] not in {render.MARKS[word] for word in ("ok", "caution", "stop")}


NOTHING_JUDGED = re.compile(
    r"^(Not (told|counted|judged) here|No .* (was|were) entered|Nothing was reported)", re.I
)


@pytest.mark.parametrize("calculator", list(CALCULATORS))
def test_no_ok_before_what_is_not_counted(calculator: str, cart: Sheet) -> None:
    for f in evaluate(find(calculator), [("demo", cart.entries)]).findings:
        assert f.severity != "ok" or not NOTHING_JUDGED.match(f.text), f.text
