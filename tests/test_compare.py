"""Two builds side by side, the budget, and what each idea buys: at the command line and in the page."""

from __future__ import annotations

import json

import pytest

from calc import compare, sheet
from calc.errors import InputError
from calc.fields import FIELDS
from calc.sheet import Sheet
from calc.verdict import judge
from tests.test_cli import run
from tests.test_verdict import changed

CART, ATTEMPT = (f"docs/examples/{name}.toml" for name in ("harvest-cart", "first-attempt"))


def idea(cart: Sheet, *rows: str) -> Sheet:
    return changed(cart, cost="; ".join(("Frame, 100, bought", *rows)))


def test_two_builds_say_what_each_verdict_says(cart: Sheet, attempt: Sheet) -> None:
    code, out, _ = run("compare", CART, ATTEMPT, "--json")
    told = json.loads(out)
    assert code == 0 and told["builds"] == ["Harvest cart", "First attempt"]
    alone = [judge(one) for one in (cart, attempt)]
    for row, one, other in zip(told["checks"], alone[0].checks, alone[1].checks, strict=True):
        assert (row["id"], row["first"]["severity"], row["second"]["severity"]) == (
            one.check.id,
            one.severity,
            other.severity,
        )
        assert (row["first"]["margin"], row["second"]["margin"]) == (one.margin, other.margin)
    assert told["severity"] == ["ok", "stop"]


def test_measures_are_in_their_units(cart: Sheet) -> None:
    """The cart's own sums: 125 + 90 + 78 kg, and what its budget lists as bought and needed."""
    rows = {row["id"]: row for row in json.loads(run("compare", CART, ATTEMPT, "--json")[1])["measures"]}
    assert rows["total_mass"]["first"] == pytest.approx(293.0) and rows["total_mass"]["unit"] == "kg"
    listed = sum(row[1] for row in cart.entries["cost"].value if row[2] != "idea")
    assert rows["price"]["first"] == pytest.approx(listed) and rows["price"]["second"] is None


def test_what_differs_is_named_and_nothing_else(cart: Sheet) -> None:
    heavier = changed(cart, rider_mass="90 kg ± 2 kg, measured")
    found = compare.beside(cart, heavier)
    assert [key for key, *_ in found.differs] == ["rider_mass"]
    assert "90 kg" in found.differs[0][2] and "78 kg" in found.differs[0][1]
    assert compare.beside(cart, cart).differs == ()


def test_an_idea_is_the_verdict_with_its_changes(cart: Sheet) -> None:
    weak = idea(changed(cart, ride_time="900 min"), "More cells, 560, idea, 32 kg, parallel=2")
    (one,) = compare.ideas(weak)
    by_hand = judge(changed(weak, parallel="2", vehicle_mass="157 kg ± 2 kg, measured"))
    assert [(c.severity, c.margin) for c in one.after.checks] == [
        (c.severity, c.margin) for c in by_hand.checks
    ]
    assert "Runs long enough" in one.mends and one.worsens == ()
    assert one.gains is not None and one.gains.check.id == "run-time"
    assert one.points == pytest.approx(100 * (one.gains.margin - one.was) / 560 * 100)


def test_the_best_buy_comes_first_and_what_gets_worse_is_said(cart: Sheet) -> None:
    weak = changed(cart, ride_time="900 min")
    found = compare.ideas(
        idea(
            weak,
            "Taller gear, 10, idea, , driven_teeth=30",
            "More cells, 560, idea, 32 kg, parallel=2",
            "Much dearer cells, 5600, idea, 32 kg, parallel=2",
        )
    )
    assert [one.item for one in found] == ["More cells", "Much dearer cells", "Taller gear"]
    assert "Climbs the slope" in found[-1].worsens or "Starts on the slope" in found[-1].worsens


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("X, 10, idea, , driven_teeht=30", "driven_teeth"),
        ("X, 10, idea, , more power", "written field=value"),
        ("X, 10, idea, , driven_teeth=2000", "outside the limits"),
        ("X, 10, bought, , driven_teeth=30", "only for an idea"),
        ("X, 10, perhaps", "choices"),
        ("X, -3, needed", "limits"),
    ],
)
def test_a_row_that_cannot_be_used_is_named(cart: Sheet, row: str, said: str) -> None:
    with pytest.raises(InputError) as error:
        compare.ideas(idea(cart, row))
    text = str(error.value)
    assert "row 2" in text and said in text


def test_a_part_with_a_comma_is_refused_before_it_falls_apart() -> None:
    with pytest.raises(InputError, match="comma"):
        sheet.read('[[cost]]\nitem = "bolts, nuts"\nprice = "3"\nstate = "bought"\n')


def test_the_budget_is_a_table_of_its_own_and_survives_saving(cart: Sheet) -> None:
    """[[cost]] in the file, as DESIGN has it; written again it means the same, and other tables keep their comments."""
    texts = {key: e.as_typed for key, e in cart.entries.items()}
    again = sheet.read(sheet.write(texts, cart.document))
    assert again.entries["cost"].value == cart.entries["cost"].value
    assert sheet.write(texts, cart.document) == cart.document
    fresh = sheet.write({"cost": "Guards, 25, needed, 2 kg"})
    assert "[[cost]]" in fresh and sheet.read(fresh).entries["cost"].value == (
        ("Guards", 25.0, "needed", 2.0, None),
    )
    assert not sheet.read(sheet.write({}, fresh)).entries
    template = sheet.template()
    assert "# [[cost]]" in template and "[cost]\n" not in template.replace("[[cost]]", "")


def test_sums_by_hand() -> None:
    words = "cost=Frame, 100, bought; Guard, 25, needed, 2 kg; Gear, 40, idea"
    told = json.loads(run("run", "budget", words, "--json")[1])["results"]
    assert (told["total"]["value"], told["needed"]["value"], told["ideas"]["value"]) == (125.0, 25.0, 40.0)
    assert told["mass"] == {"value": 2.0, "unit": "kg"}
    assert [row["item"] for row in told["parts"]["value"]] == ["Frame", "Guard", "Gear"]
    assert told["parts"]["value"][0]["share"] == pytest.approx(80.0)


def test_nothing_to_try_is_said_and_so_is_a_file_that_is_not_there(tmp_path) -> None:
    code, out, _ = run("compare", ATTEMPT)
    assert code == 0 and "No idea to try" in out
    code, out, err = run("compare", str(tmp_path / "a.toml"), str(tmp_path / "b.toml"))
    assert code == 2 and out == "" and "a.toml" in err and "b.toml" in err


def test_every_idea_of_the_demo_can_be_tried() -> None:
    told = json.loads(run("compare", CART, "--json")[1])["ideas"]
    assert len(told) == 3 and all(one["points_per_100"] > 0 for one in told)
    assert FIELDS["cost"].is_own_table
