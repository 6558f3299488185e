"""Page, prerendered page and command line give the same numbers: to 1e-9 as data, to the letter as shown."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from calc import browser
from calc.calculators import CALCULATORS
from calc.sheet import demo, load

ROOT = Path(__file__).resolve().parent.parent.parent
EXAMPLES = ROOT / "docs" / "examples"
OWN = {key: entry.as_typed for key, entry in load(EXAMPLES / "first-attempt.toml").entries.items()}
DEMO = {key: entry.as_typed for key, entry in demo().entries.items()}


def in_page(page: Page, **request: Any) -> dict[str, Any]:
    """What Python in the page answers."""
    return page.evaluate("request => Turnabout.engine.call(request)", request)


def here(**request: Any) -> dict[str, Any]:
    """What the same package answers on this machine, without what the page keeps of it."""
    answer = json.loads(browser.handle(json.dumps(request)))
    answer.pop("solved", None)
    return answer


def same(one: Any, other: Any, where: str) -> None:
    """Every number alike to 1e-9, everything else equal."""
    if isinstance(one, dict):
        assert one.keys() == other.keys(), where
        for key, value in one.items():
            same(value, other[key], f"{where}.{key}")
    elif isinstance(one, list):
        assert len(one) == len(other), where
        for number, value in enumerate(one):
            same(value, other[number], f"{where}[{number}]")
    elif isinstance(one, float) and isinstance(other, (int, float)):
        assert other == pytest.approx(one, rel=1e-9, abs=1e-12), where
    else:
        assert one == other, where


def test_every_answer_of_the_page_is_that_of_the_command_line(page: Page, from_disk: str) -> None:
    page.goto(from_disk + "decide/gearing.html")
    for calculator in CALCULATORS:
        for entries in ({}, DEMO, OWN):
            request = {"op": "run", "calculator": calculator, "entries": entries, "data": True}
            live, host = in_page(page, **request), here(**request)
            same(live, host, calculator)
            if entries is DEMO:
                command = [sys.executable, "-m", "calc", "run", calculator, "--json"]
                command += ["--sheet", str(EXAMPLES / "harvest-cart.toml")]
                said = subprocess.run(
                    command, cwd=ROOT, capture_output=True, encoding="utf-8", check=True
                ).stdout
                same(live["answer"]["results"], json.loads(said)["results"], calculator)


@pytest.mark.parametrize("entries", [DEMO, OWN], ids=["cart", "attempt"])
def test_the_verdict_of_the_page_is_that_of_the_command_line(
    page: Page, from_disk: str, entries: dict[str, str]
) -> None:
    """Chances too, to the last draw: the HTML shows them, and it is the same to the letter."""
    page.goto(from_disk + "decide/gearing.html")
    for op in ("verdict", "levers", "record"):
        request = {"op": op, "view": "sheet", "entries": entries}
        assert in_page(page, **request) == here(**request)


@pytest.mark.parametrize("calculator", list(CALCULATORS))
def test_the_page_as_built_shows_what_python_gives(site: Path, calculator: str) -> None:
    texts = [page.read_text(encoding="utf-8") for page in site.rglob("*.html")]
    (html,) = (text for text in texts if f'data-calc="{calculator}"' in text)
    assert here(op="run", calculator=calculator, entries={})["html"] in html
