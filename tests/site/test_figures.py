"""The words of every figure stand inside it, and clear of each other, at the width of a phone."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, Page

import serve
from calc.checks import CHECKS
from calc.figures.drawings import margins

PAGES = sorted(path.relative_to(serve.SITE).as_posix() for path in serve.SITE.rglob("*.html"))
ASTRAY = """() => [...document.querySelectorAll("svg.f-figure")].flatMap((figure) => {
  const title = figure.querySelector("title").textContent, wide = figure.viewBox.baseVal.width, found = [];
  const boxes = [...figure.querySelectorAll("text:not([transform])")]
    .map((one) => ({ words: one.textContent, at: one.getBBox() }))
    .filter(({ at }) => at.width > 0);
  const meet = (a, b, side, size) => Math.min(a[side] + a[size], b[side] + b[size]) - Math.max(a[side], b[side]);
  boxes.forEach(({ words, at }, k) => {
    if (at.x < 0 || at.x + at.width > wide) found.push(`${title}: “${words}” reaches out of it`);
    boxes.slice(k + 1).forEach((other) => {
      if (meet(at, other.at, "x", "width") > 1 && meet(at, other.at, "y", "height") > 4) {
        found.push(`${title}: “${words}” and “${other.words}” run into each other`);
      }
    });
    for (const bar of figure.querySelectorAll("line.f-line, rect.f-fill")) {
      // Their left end: a key's dash before the next name, a bar that something is missing.
      const left = bar.getBBox();
      if (left.x > at.x && left.x < at.x + at.width && meet(at, left, "y", "height") >= 0 && left.y > at.y) {
        found.push(`${title}: “${words}” is drawn over`);
      }
    }
  });
  return found;
})"""


@pytest.fixture
def phone(chromium: Browser) -> Any:
    with chromium.new_context(viewport={"width": 390, "height": 900}) as context:
        yield context.new_page()


def test_words_of_every_page_s_figures_stand_clear(phone: Page, from_disk: str) -> None:
    found = []
    for path in PAGES:
        phone.goto(from_disk + path)
        phone.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        found += [f"{path}: {words}" for words in phone.evaluate(ASTRAY)]
    assert found == []


@pytest.mark.parametrize("margin", [-1.0, -0.02, 0.0, 1.0, 9.99, 100.0])
def test_every_check_s_margin_stands_clear_of_its_name(phone: Page, from_disk: str, margin: float) -> None:
    """Of a build that fails in everything, or passes in everything by far."""
    phone.goto(from_disk + "index.html")
    severity = "ok" if margin >= 0 else "stop"
    svg = margins("m", [(check.title, severity, margin) for check in CHECKS])
    phone.evaluate("(svg) => { document.querySelector('main').innerHTML = svg; }", svg)
    assert phone.locator("svg.f-figure text").count() == 2 * len(CHECKS)
    assert phone.evaluate(ASTRAY) == []
