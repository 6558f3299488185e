"""The build record: what must stand on the paper that goes with the vehicle."""

from __future__ import annotations

from html import escape
from pathlib import Path

import pytest

from calc import printed, sheet
from calc.verdict import judge
from tests.plain import spaces

EXAMPLES = Path(__file__).resolve().parent.parent / "docs" / "examples"


def record(name: str, today: str = "") -> str:
    return spaces(printed.body("build-record", sheet.load(EXAMPLES / f"{name}.toml"), "sheet", today))


def test_a_build_that_fails_says_so_on_top() -> None:
    html = record("first-attempt")
    assert (
        "NOT YET" in html[:400] and "Not to be charged, powered, ridden or handed over before" in html[:400]
    )
    assert "The pack stays unplugged from the drive" in html[:400]
    assert "NOT YET" not in record("harvest-cart")


def test_every_caution_of_the_verdict_is_printed() -> None:
    verdict = judge(sheet.load(EXAMPLES / "harvest-cart.toml"))
    assert verdict.findings
    html = record("harvest-cart")
    for finding in verdict.findings:
        assert escape(finding.text) in html and escape(finding.do) in html


def test_the_day_is_printed_and_wants_are_choices() -> None:
    html = record("harvest-cart", "25 Nov 2026")
    assert "printed 25 Nov 2026" in html
    row = html.split("Speed wanted on the level")[1].split("</tr>")[0]
    assert "a choice" in row and "guess" not in row


@pytest.mark.parametrize("name", list(printed.SHEETS))
def test_a_demo_sheet_can_never_be_taken_for_ones_own(name: str) -> None:
    assert "DEMO VALUES" in printed.page(name, sheet.demo(), demo=True)
    assert "DEMO VALUES" not in printed.page(name, sheet.demo(), demo=False)


def test_no_template_for_a_connection_nobody_entered() -> None:
    """A delta's sensors sit half a slot from a star's: paper for the wrong one is glued by."""
    own = sheet.demo()
    bare = own._replace(entries={key: e for key, e in own.entries.items() if key != "connection"})
    html = printed.page("sensor-template", bare, demo=False)
    assert "No template yet" in html and "joined in one bare point is a star" in html


def test_the_circuit_of_a_stopped_build_says_not_yet() -> None:
    """Whoever wires by it is told what the verdict stops."""
    stopped = sheet.load(sheet.example_file("first-attempt"))
    assert "NOT YET" in printed.page("circuit", stopped, demo=False)
    assert "NOT YET" not in printed.page("circuit", sheet.demo(), demo=False)
