"""Lead matching and lead trials as their readers meet them: command line, form, bad entries."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from calc import browser, cli, view
from calc.answer import evaluate
from calc.calculators import CALCULATORS
from calc.entries import parse_all
from calc.fields import FIELDS

LOCK = "A-BC, 010; AB-C, 011; B-AC, 001; BC-A, 101; C-AB, 100; AC-B, 110"
TABLE = "101, W, V; 100, U, V; 110, U, W; 010, V, W; 011, V, U; 001, W, U"


def answer(calculator, **fields):
    """An answer for a sheet that holds nothing but these fields."""
    return evaluate(CALCULATORS[calculator], [("sheet", parse_all(fields, FIELDS))])


def texts(found):
    return " ".join(f"{f.severity}: {f.text} {f.do}" for f in found.findings)


def test_contract_of_lead_match(capsys):
    assert cli.main(["run", "lead-match", "alignment_error=0", "sensor_spacing=120", "--json"]) == 0
    results = json.loads(capsys.readouterr().out)["results"]
    rows = results["arrangements"]["value"]
    assert len(rows) == 36
    assert {"phase_order", "sensor_order", "torque_mean", "torque_min", "behaviour"} <= set(rows[0])
    assert (rows[0]["phase_order"], rows[0]["sensor_order"]) == ("ABC", "123")
    assert [r["behaviour"] for r in rows[:6]] == ["right"] * 3 + ["right in reverse"] * 3
    assert {r["behaviour"]: r["count"] for r in results["counts"]["value"]}["dead"] == 18
    assert results["wiring"]["value"] is None  # the demo's readings belong to its own machine


def test_both_measured_give_the_wiring_forward_and_reverse():
    found = answer("lead-match", lock_test=LOCK, controller_table=TABLE)
    rows = found.results["wiring"]
    assert [row["way"] for row in rows] == ["forward"] * 3 + ["reverse"] * 3
    assert (rows[0]["phase_order"], rows[0]["sensor_order"]) == ("ABC", "123")
    assert "A B C" in found.report.headline
    assert not any(f.severity == "stop" for f in found.findings)


def test_one_page_names_one_right_arrangement():
    """With motor and controller read, the 36 are those of that controller: its wiring is their first row."""
    swapped = TABLE.translate(str.maketrans("UVW", "VWU"))  # a controller whose outputs are named on by one
    found = answer("lead-match", lock_test=LOCK, controller_table=swapped)
    wired = {(r["phase_order"], r["sensor_order"]) for r in found.results["wiring"] if r["way"] == "forward"}
    right = {
        (r["phase_order"], r["sensor_order"])
        for r in found.results["arrangements"]
        if r["behaviour"] == "right"
    }
    assert wired == right and ("ABC", "123") not in wired
    first = found.results["arrangements"][0]
    assert f"leads {' '.join(first['phase_order'])}" == found.report.headline
    assert found.results["counted_for"] == "your motor and controller, as read"
    untold = answer("lead-match", lock_test=LOCK)
    assert untold.results["arrangements"][0]["phase_order"] == "ABC"
    assert "usual table" in untold.results["counted_for"] and "may be any of them at yours" in texts(untold)


def test_trials_name_no_wiring_in_their_figure():
    """What is smooth at one's own controller is only found by the trials; the figure can't know it."""
    assert "(leads" not in answer("lead-trials").report.figures[0]("x")
    assert "(leads" in answer("lead-match").report.figures[0]("x")


@pytest.mark.parametrize(
    ("fields", "word"),
    [
        ({}, "static lock test and the controller's table"),
        ({"lock_test": LOCK}, "takes the controller's table"),
        ({"controller_table": TABLE}, "takes the static lock test"),
        ({"lock_test": "A-BC, 010", "controller_table": TABLE}, "Next: feed"),
        ({"lock_test": LOCK, "controller_table": TABLE[:20]}, "of six codes"),
    ],
)
def test_what_is_lacking_is_named(fields, word):
    found = answer("lead-match", **fields)
    assert found.results["wiring"] is None
    assert word in texts(found)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"lock_test": LOCK.replace("C-AB, 100", "C-AB, 011")}, ("Row 5", "plus and minus")),
        ({"lock_test": LOCK.replace("C-AB, 100", "C-AB, 10")}, ("Row 5", "can't be read")),
        ({"lock_test": "; ".join(f"{feed}, 101" for feed in ("A-BC", "AB-C", "B-AC"))}, ("didn't move",)),
        ({"controller_table": TABLE.replace("101, W, V", "101, W, W")}, ("Row 1", "high and low")),
    ],
)
def test_contradictory_readings_stop_and_say_why(fields, words):
    found = answer("lead-match", **{"lock_test": LOCK, "controller_table": TABLE, **fields})
    assert found.results["wiring"] is None
    assert len(found.results["arrangements"]) == 36  # nothing else is lost
    assert (
        found.report.headline == "No arrangement yet"
    )  # what stands against it leads, not a count of arrangements
    assert "stands against it" in found.report.aside and all(word in found.report.why for word in words)
    stops = [f for f in found.findings if f.severity == "stop"]
    assert stops and all(word in stops[0].text for word in words) and stops[0].do


def test_sensors_that_the_controller_cannot_use_lead_the_answer():
    """A 60° set at a 120° controller: the middle sensor's lamp turned over in every row."""
    rows = "; ".join(f"{r[:-2]}{'10'[int(r[-2])]}{r[-1]}" for r in LOCK.split("; "))
    found = answer("lead-match", lock_test=rows, controller_table=TABLE)
    assert found.results["wiring"] is None
    assert found.report.headline == "No arrangement yet"
    assert found.report.why.startswith("No arrangement is right: the motor's sensors are a 60° set")
    assert found.findings[0].severity == "stop" and "Turn sensor 2 over" in found.findings[0].do


def test_breakaway_torque_is_asked_for_and_counts():
    """By hand: 0.9 N·m / (0.907 · 0.150 · sin 15°) where friction alone asks for a third of that."""
    given = {"friction_torque": "0.3 N·m", "emf_constant": "11 V/krpm", "slots": "48", "pole_pairs": "8"}
    without, pulled = answer("lead-match", **given), answer("lead-match", **given, breakaway_torque="0.9 N·m")
    ratio = float(pulled.results["lock_current"]) / float(without.results["lock_current"])
    assert ratio == pytest.approx(3.0)
    cautions = " ".join(f.text + f.do for f in without.findings if f.severity == "caution")
    assert "every 60° electrical here" in cautions and "Pull breakaway torque" in cautions
    assert "4.3 times breakaway torque" in texts(pulled) and "Pull breakaway torque" not in texts(pulled)
    assert "which form reads steadily" in texts(pulled)
    unknown = answer("lead-match")
    assert "with one slot for each pole and phase" in texts(unknown)


@pytest.mark.parametrize("page", ["lead-match", "lead-trials"])
def test_a_field_that_nothing_feeds_is_bolted_together(page):
    """A diode conducts one way: it closes the coil for one polarity of what the stator induces only."""
    told = (Path(__file__).parents[2] / "docs" / "sense" / f"{page}.md").read_text(encoding="utf-8")
    box = " ".join(told.split("!!! danger")[1].split("<!-- calc")[0].split())
    assert "for one polarity only" in box and "bolt the two brush leads together" in box
    assert "the brush leads bolted together" in texts(answer(page))


def in_star(held):
    """Volts of three outputs with equal lamps in star; `held` those that a switch holds, None for one let go."""
    star = sum(x for x in held if x is not None) / sum(x is not None for x in held)
    return [star if x is None else x for x in held]


@pytest.mark.parametrize("duty", [0.05, 0.5, 0.95])
@pytest.mark.parametrize("top", [True, False])
def test_the_higher_of_two_lit_outputs_is_high_however_it_chops(duty, top):
    """Means of a meter at 48 V by the network; chopped at the bottom the low output is the one that moves."""
    on, off = in_star([48.0, 0.0, None]), in_star([None, 0.0, None] if top else [48.0, None, None])
    high, low, dark = (duty * a + (1 - duty) * b for a, b in zip(on, off, strict=True))
    assert (high, low) == pytest.approx((48 * duty, 0) if top else (48, 48 * (1 - duty)))
    assert high > dark > low
    page = (Path(__file__).parents[2] / "docs" / "sense" / "lead-match.md").read_text(encoding="utf-8")
    assert "the **higher** of the two is **high**" in page and "swings up" not in page


def test_30_degrees_out_names_early_and_late_with_their_speeds():
    found = answer(
        "lead-match", alignment_error="30°", chemistry="lfp", series="16", parallel="1", cell_capacity="100 Ah",
        cell_resistance="1 mΩ", pack_lead_resistance="10 mΩ", emf_constant="11 V/krpm", pole_pairs="8",
    )  # fmt: skip
    early, late = float(found.results["no_load_early"]), float(found.results["no_load_late"])
    assert early > 1.15 * late
    assert "runs faster with wheels up" in texts(found)
    assert {row["behaviour"]: row["count"] for row in found.results["counts"]} == {
        "early": 3, "late": 3, "dead": 24, "late in reverse": 3, "early in reverse": 3,
    }  # fmt: skip


def test_a_sheet_that_says_otherwise_than_the_lock_test_is_told():
    found = answer(
        "lead-match", alignment_error="30°", lock_test=LOCK + "; A-B, 010, no; A-C, 011, no; B-C, 001, no"
    )
    assert "The lock test finds the sensors" in texts(found)


def test_uneven_sensors_by_their_millimetres():
    even = answer("lead-match", alignment_error="0", pole_pairs="8")
    uneven = answer(
        "lead-match",
        alignment_error="0",
        pole_pairs="8",
        bore_diameter="92 mm",
        sensor_offsets="1 mm; 0 mm; -1 mm",
    )
    lowest = [a.results["arrangements"][0]["torque_min"] for a in (even, uneven)]
    assert lowest[1] < lowest[0] - 0.05
    bare = answer("lead-match", alignment_error="0", pole_pairs="8", sensor_offsets="1 mm; 0 mm; -1 mm")
    assert "aren't counted" in texts(bare)
    # 1 mm on a 92 mm bore with 8 pole pairs is 2/92·8 rad = 9.97°: lowest torque cos(30° + 9.97°), by hand.
    assert lowest[1] == pytest.approx(0.7664, abs=5e-4)


def test_sensors_by_their_slots_and_millimetres():
    """All three 1 mm further on in slots that are right: 9.965° late, mean (3/π)·cos 9.965°."""
    found = answer(
        "lead-match", slots="48", pole_pairs="8", coil_span="3", connection="delta", sensor_slots="0, 2, 4",
        bore_diameter="92 mm", sensor_offsets="1 mm; 1 mm; 1 mm",
    )  # fmt: skip
    assert found.results["arrangements"][0]["torque_mean"] == pytest.approx(0.9405, abs=2e-4)
    assert "9.96° late" in found.report.why
    # Sensors that switch together: said, and the rest answered as if they were mended.
    stopped = answer("lead-match", slots="48", pole_pairs="8", sensor_slots="0, 6, 12")
    assert any(f.severity == "stop" for f in stopped.findings)
    assert len(stopped.results["arrangements"]) == 36


def test_contract_of_lead_trials(capsys):
    given = "trials=ABC, 123, locks; ACB, 123, rough, backward"
    assert cli.main(["run", "lead-trials", given, "alignment_error=0", "--json"]) == 0
    results = json.loads(capsys.readouterr().out)["results"]
    assert {"remaining", "next_trial", "trials_expected"} <= set(results)
    assert sum(row["probability"] for row in results["remaining"]["value"]) == pytest.approx(100, abs=0.5)
    phase, sensor = results["next_trial"]["value"].split(", ")
    assert sorted(phase) == list("ABC") and sorted(sensor) == list("123")
    assert 0 < results["trials_expected"]["value"] < 6


def test_trials_in_the_page_end_with_an_answer_and_both_ways():
    rows = "ABC, 123, rough, backward; BCA, 123, smooth, forward; BCA, 123, smooth, forward"
    found = answer("lead-trials", trials=rows, alignment_error="0")
    assert found.report.headline == "leads B C A, sensors 1 2 3"
    assert "probability" in found.report.aside
    first = found.results["remaining"][0]
    assert (first["phase_order"], first["sensor_order"]) == ("BCA", "123")
    assert first["reverse_phase_order"] != first["phase_order"]
    reply = json.loads(browser.handle(json.dumps(
        {"op": "run", "calculator": "lead-trials", "entries": {"trials": rows.replace("; ", "\n")}}
    )))  # fmt: skip
    assert reply["kind"] == "result" and "leads B C A" in reply["html"]


@pytest.mark.parametrize(
    ("rows", "word"),
    [
        ("ABC, 123, nothing", "that isn't the arrangement"),
        ("ABC, 123, smooth, neither", "no way is given"),
        ("BCA, 123, locks; ABC, 123, nothing, forward", "Trial 2 says nothing happened, and forward too"),
        ("BCA, 123, smooth, forward; BCA, 123, smooth, forward; BCA, 123, locks", "Trial 3"),
        (
            "; ".join(f"{o}, 123, smooth, forward" for o in ("ABC", "BCA", "CAB", "ACB", "BAC", "CBA")),
            "Measure",
        ),
    ],
)
def test_trials_that_contradict_are_explained(rows, word):
    found = answer("lead-trials", trials=rows, alignment_error="0")
    assert word in texts(found)
    assert view.answer(found)["inputs"]["trials"]["value"]


@pytest.mark.parametrize(
    ("calculator", "field", "text"),
    [
        ("lead-trials", "trials", "ABD, 123, smooth"),
        ("lead-trials", "trials", "ABC, 123, happy"),
        ("lead-match", "lock_test", "A-D, 101"),
        ("lead-match", "controller_table", "101, X, V"),
    ],
)
def test_words_that_are_no_choice_are_refused_by_row(calculator, field, text):
    reply = json.loads(browser.handle(json.dumps(
        {"op": "run", "calculator": calculator, "entries": {field: text, "pole_pairs": "8"}}
    )))  # fmt: skip
    assert reply["kind"] == "invalid"
    assert reply["problems"][0]["field"] == field
    assert "row 1" in reply["problems"][0]["text"]


def test_a_lock_test_of_flickering_lamps_wires_nothing():
    """Every lamp at its edge: two leads alone stand 30° away from there, and read steadily."""
    flickers = "; ".join(f"{row}, no" for row in LOCK.split("; "))
    found = answer("lead-match", lock_test=flickers, controller_table=TABLE)
    said = next(f for f in found.findings if "flicker where the rotor stands" in f.text)
    assert said.severity == "caution" and "about 30° out" in said.text and "two leads alone" in said.do
    assert "wire nothing by this yet" in said.do and found.results["wiring"] is None
    assert "aligned within" not in texts(found) and found.report.headline == "Feed the other form first"
    few = answer("lead-match", lock_test=flickers.replace(", no", "", 4), controller_table=TABLE)
    assert "flicker where the rotor stands" not in texts(few)
    other = "; A-B, 010; A-C, 011; B-C, 001"
    both = answer("lead-match", lock_test=flickers + other, controller_table=TABLE)
    assert "flicker where the rotor stands" not in texts(both)


def test_an_arrangement_that_runs_may_stay():
    """Nobody who has a running motor is told to rewire first: one more trial tells about 30°, then he may go back."""
    found = answer("lead-trials", trials="ABC, 123, smooth, forward")
    assert found.report.headline == "leads A B C, sensors 1 2 3" and "may stay" in found.report.aside
    assert "30° out" in found.report.why and "go back to this one" in found.report.why
    known = answer("lead-trials", trials="ABC, 123, smooth, backward", alignment_error="0")
    assert "runs smoothly backward: it may stay" in known.report.aside and "30°" not in known.report.why
    rough = answer("lead-trials", trials="ABC, 123, rough, forward", alignment_error="0")
    assert rough.report.aside == "next"
