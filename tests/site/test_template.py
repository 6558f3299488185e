"""The paper template as it comes out of the printer: its geometry read back from the PDF, in millimetres."""

from __future__ import annotations

import io
import math
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader
from pypdf.generic import ContentStream

from calc import printed
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.sheet import Sheet
from tests.plain import spaces

POINT = 25.4 / 72.0
EXACT = 0.2  # mm, what the issue asks for
MACHINE = {"name": "bench", "slots": "48", "pole_pairs": "8", "coil_span": "3", "connection": "delta"}


def build(**entries: str) -> Sheet:
    return Sheet(parse_all({**MACHINE, **entries}, FIELDS))


def paths(pdf: bytes) -> list[list[np.ndarray]]:
    """For each page its paths, each as corner points (curves by their ends and controls) in mm of the paper."""
    pages = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        assert page.get_contents() is not None
        stream = ContentStream(page.get_contents(), page.pdf) if hasattr(page, "pdf") else page.get_contents()
        matrix, kept = np.eye(3), []
        found: list[np.ndarray] = []
        points: list[tuple[float, float]] = []

        def placed(values: list[Any], matrix: np.ndarray) -> list[tuple[float, float]]:
            numbers = [float(v) for v in values]
            return [
                tuple((np.array([x, y, 1.0]) @ matrix)[:2] * POINT)
                for x, y in zip(*[iter(numbers)] * 2, strict=True)
            ]

        for operands, operator in stream.operations:
            word = operator.decode() if isinstance(operator, bytes) else operator
            if word == "q":
                kept.append(matrix)
            elif word == "Q":
                matrix = kept.pop()
            elif word == "cm":
                a, b, c, d, e, f = (float(v) for v in operands)
                matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
            elif word in ("m", "l", "c", "v", "y"):
                if word == "m" and points:
                    found.append(np.array(points))
                    points = []
                points += placed(list(operands), matrix)
            elif word in ("S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "n"):
                if points and word != "n":
                    found.append(np.array(points))
                points = []
        pages.append(found)
    return pages


def pdf_of(chromium: Browser, sheet: Sheet, paper: str) -> bytes:
    page = chromium.new_page()
    try:
        page.set_content(printed.page("sensor-template", sheet, demo=False))
        return page.pdf(format=paper, prefer_css_page_size=False)
    finally:
        page.close()


def rule(drawn: list[np.ndarray]) -> float:
    """Length of the one level line that is nearest to 50 mm and near the foot of the sheet."""
    level = [p for p in drawn if len(p) == 2 and abs(p[0][1] - p[1][1]) < 0.01]
    return min((abs(p[0][0] - p[1][0]) for p in level), key=lambda length: abs(length - 50.0))


def circle(drawn: list[np.ndarray], bore: float) -> np.ndarray:
    """The path that is the bore: the curved one whose box is nearest to its size."""
    curved = [p for p in drawn if len(p) > 8]
    assert curved
    return min(curved, key=lambda p: abs(np.ptp(p[:, 0]) - bore))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("bore", "tiles"), [(60, 1), (92, 1), (150, 1), (260, 4)])
def test_true_to_scale(chromium: Browser, paper: str, bore: int, tiles: int) -> None:
    """Circle, rule and every slot within 0.2 mm, on both papers; a large bore on sheets of the same scale."""
    pages = paths(pdf_of(chromium, build(bore_diameter=f"{bore} mm"), paper))
    assert len(pages) == tiles
    shown = set()
    for drawn in pages:
        assert rule(drawn) == pytest.approx(50.0, abs=EXACT)
        ring = circle(drawn, bore)
        assert np.ptp(ring[:, 0]) == pytest.approx(bore, abs=EXACT)
        assert np.ptp(ring[:, 1]) == pytest.approx(bore, abs=EXACT)
        middle = (ring.max(0) + ring.min(0)) / 2
        radial = []
        for line in (p for p in drawn if len(p) == 2):
            near, far = sorted((math.dist(end, middle), *end) for end in line)
            if abs(near[0] - bore / 2) < EXACT and abs(far[0] - bore / 2 - 6.0) < EXACT:
                radial.append(math.degrees(math.atan2(near[1] - middle[0], near[2] - middle[1])) % 360)
        for angle in radial:
            slot = round(angle / 7.5)
            assert angle == pytest.approx(7.5 * slot, abs=math.degrees(EXACT / (bore / 2)))
            shown.add(slot % 48)
    assert shown == set(range(48))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_page_prints_it_true_to_scale_too(chromium: Browser, from_disk: str, paper: str) -> None:
    """The cart's template out of the book's page: one sheet of its own, nothing scaled by the page's style."""
    page = chromium.new_page(viewport={"width": 360, "height": 700})
    try:
        page.goto(from_disk + "sheets/sensor-template.html")
        shown = page.locator(".t-sheet").bounding_box()
        assert shown and shown["width"] < 360 and "Smaller than life" in page.inner_text(".ta-screen")
        pdf = page.pdf(format=paper, prefer_css_page_size=False)
    finally:
        page.close()
    assert len(paths(pdf)) == 1  # paper is for the template alone
    drawn = [p for p in paths(pdf) if any(len(path) > 8 and abs(np.ptp(path[:, 0]) - 92) < 1 for path in p)]
    assert len(drawn) == 1
    assert rule(drawn[0]) == pytest.approx(50.0, abs=EXACT)
    assert np.ptp(circle(drawn[0], 92), axis=0) == pytest.approx([92, 92], abs=EXACT)


def test_sheets_of_a_large_bore_share_their_crosses(chromium: Browser) -> None:
    """The middle of a cross, measured from the bore's middle, is the same place on every sheet that shows it."""
    pages = paths(pdf_of(chromium, build(bore_diameter="260 mm"), "Letter"))
    found = []
    for drawn in pages:
        ring = circle(drawn, 260)
        middle = (ring.max(0) + ring.min(0)) / 2
        lines = [p for p in drawn if len(p) == 2 and abs(math.dist(*p) - 4.0) < 0.01]
        found.append({tuple(np.round(p.mean(0) - middle, 1) + 0.0) for p in lines})
    for one, other in ((0, 1), (2, 3), (0, 2), (1, 3)):
        assert len(found[one] & found[other]) >= 3


def test_every_slot_has_its_number_and_every_sheet_its_words(chromium: Browser) -> None:
    """Numbers of 96 slots on a bore of 60 mm, the name, the scale's rule and the caution, as text of the PDF."""
    sheet = build(slots="96", coil_span="5", layers="2", bore_diameter="60 mm")
    words = spaces(PdfReader(io.BytesIO(pdf_of(chromium, sheet, "A4"))).pages[0].extract_text())
    for said in (
        "bench: sensor template",
        "50 mm",
        "100 %",
        "slip-ring end",
        "rotor out",
        "S1",
        "S2",
        "S3",
        "forward",
    ):
        assert said in words
    html = printed.page("sensor-template", sheet, demo=False)
    assert all(f">{slot}</text>" in html for slot in range(96))


def test_sensors_are_drawn_where_the_timing_is_right(chromium: Browser) -> None:
    """Two slots per pole and phase, full pitch: 15° electrical out, so 2.5° of shaft off the slot's middle."""
    sheet = build(slots="72", pole_pairs="6", coil_span="6", layers="2", bore_diameter="100 mm")
    drawn = paths(pdf_of(chromium, sheet, "A4"))[0]
    ring = circle(drawn, 100)
    middle = (ring.max(0) + ring.min(0)) / 2
    tips = []
    for shape in (p for p in drawn if len(p) in (3, 4)):
        reach = [math.dist(point, middle) for point in shape]
        if abs(max(reach) - 50.0) < EXACT:
            tip = shape[int(np.argmax(reach))]
            tips.append(math.degrees(math.atan2(tip[0] - middle[0], tip[1] - middle[1])) % 360)
    # Against the rotation, which is clockwise; the slots are of two kinds, and the second places are dashed.
    assert sorted(tips) == pytest.approx([17.5, 37.5, 357.5], abs=math.degrees(EXACT / 50))
    assert printed.page("sensor-template", sheet, demo=False).count("<polygon") == 6


def test_the_page_draws_ones_own_stator(page: Page, root: str) -> None:
    """Entered on the sensor page, drawn on the template's page."""
    page.goto(root + "sense/sensor-slots.html")
    for key, text in {"pole_pairs": "7", "slots": "42", "bore_diameter": "101 mm"}.items():
        control = page.locator(f"[name={key}]")
        if not control.is_visible():
            page.locator(".ta-optional > summary").first.click()
        control.fill(text)
    page.select_option("[name=connection]", "delta")
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "live", timeout=60_000)
    page.goto(root + "sheets/sensor-template.html")
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "live", timeout=60_000)
    assert "Bore 101 mm, 42 slots, 7 pole pairs" in spaces(page.text_content(".t-sheet") or "")
    assert "DEMO" not in (page.text_content(".ta-answer") or "")
