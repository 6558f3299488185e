"""The build record as it comes out of the printer, on both papers."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from calc import checklists, printed, sheet
from calc.fields import FIELDS, TABLES

EXAMPLES = Path(__file__).resolve().parents[2] / "docs" / "examples"


def last_entry(of: sheet.Sheet) -> str:
    """What stands at the foot of a record: the last entry of the last table."""
    return [f.label for table in TABLES for f in FIELDS.values() if f.table == table and f.key in of.entries][
        -1
    ]


def sheets(page: Page, paper: str) -> list[str]:
    """The text on each printed sheet."""
    pdf = PdfReader(io.BytesIO(page.pdf(format=paper)))
    return [sheet.extract_text() for sheet in pdf.pages]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_build_that_fails_says_so_on_the_first_sheet(page: Page, from_disk: str, paper: str) -> None:
    page.goto(from_disk + "decide/build-sheet.html")
    page.click('button[data-example="first-attempt"]')
    expect(page.locator('.ta-answer[data-state="live"]')).to_be_visible(timeout=60_000)
    page.goto(from_disk + "sheets/build-record.html")
    expect(page.locator('.ta-record .ta-answer[data-state="live"]')).to_be_visible(timeout=60_000)
    texts = sheets(page, paper)
    assert "NOT YET" in texts[0] and "Not to be charged" in " ".join(texts[0].split())
    assert "printed" in texts[0] and "DEMO" not in "".join(texts)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", checklists.checklists())
def test_a_checklist_is_one_sheet(page: Page, name: str, paper: str) -> None:
    """By the command line: filled in, empty, and with what the verdict stops on top."""
    for entered in (sheet.demo(), sheet.Sheet({}), sheet.load(EXAMPLES / "first-attempt.toml")):
        page.set_content(printed.page(name, entered, demo=True, today="25 Nov 2026"))
        (text,) = sheets(page, paper)
        assert "What to do" in text and ("Done by" in text or "Not to be" in text)


@pytest.mark.parametrize("name", checklists.checklists())
def test_a_checklist_is_one_sheet_from_its_page_too(page: Page, from_disk: str, name: str) -> None:
    page.goto(f"{from_disk}sheets/{name}.html")
    for paper in ("A4", "Letter"):
        (text,) = sheets(page, paper)
        assert "What to do" in text and "Done by" in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_circuit_is_a_sheet_to_read_and_a_sheet_of_wires(page: Page, from_disk: str, paper: str) -> None:
    """By the command line and from the page; the drawing's letters are 7 points or more."""
    page.set_content(printed.page("circuit", sheet.demo(), demo=True, today="25 Nov 2026"))
    ours = sheets(page, paper)
    page.goto(from_disk + "sheets/circuit.html")
    for drawing, wires in (ours, sheets(page, paper)):
        assert "Charger's inlet" in drawing and "Bleed across the bus" in drawing and "Length" not in drawing
        assert "Length" in wires and "Drawn as built by" in wires
    page.emulate_media(media="print")
    box = page.locator(".ta-circuit svg").bounding_box()
    high = float(page.locator(".ta-circuit svg").get_attribute("viewBox").split()[3])
    assert box and 13 / high * box["height"] * 0.75 >= 7.0  # 13 of the drawing's units, in points


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_sheet_holds_nothing_of_the_build(page: Page, from_disk: str, paper: str) -> None:
    """However long the record is, its last sheet holds a part of it."""
    page.goto(from_disk + "sheets/build-record.html")
    for lines in range(0, 24, 3):
        page.evaluate(
            """lines => {
                const answer = document.querySelector(".ta-record .ta-answer");
                for (let k = 0; k < lines; k += 1) answer.prepend(document.createElement("br"));
            }""",
            3 if lines else 0,
        )
        last = " ".join(sheets(page, paper)[-1].split())
        assert last_entry(sheet.demo()) in last, lines


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_file_of_the_command_line_prints_the_same(page: Page, tmp_path: Path, paper: str) -> None:
    own = sheet.load(EXAMPLES / "first-attempt.toml")
    file = tmp_path / "record.html"
    file.write_text(printed.page("build-record", own, demo=False, today="25 Nov 2026"), encoding="utf-8")
    page.goto(file.as_uri())
    texts = sheets(page, paper)
    assert "NOT YET" in texts[0] and "printed 25 Nov 2026" in " ".join(texts[0].split())
    assert last_entry(own) in " ".join(texts[-1].split())
