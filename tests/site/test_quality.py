"""Every page as a whole: valid, reachable for everybody, closed to the outside, narrow and wide, on paper, offline."""

from __future__ import annotations

import base64
import hashlib
import io
import re
import subprocess
import threading
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from pypdf import PdfReader

import environment
import serve

HERE = Path(__file__).resolve().parent
PAGES = sorted(path.relative_to(serve.SITE).as_posix() for path in serve.SITE.rglob("*.html"))
READ = [path for path in PAGES if path not in ("404.html", "store.html")]
GEARING = "decide/gearing.html"
RECORD = "sheets/build-record.html"


def test_pages_are_built() -> None:
    assert len(READ) >= 12


def test_html_is_valid(site: Path) -> None:
    """html-validate finds nothing, in particular no id twice and no label without its field.

    Left out: forms need no button to send them (they answer as one types), a text box needs no type, and a
    scrolling table is a region by its role.
    """
    program = environment.NODE_MODULES / "html-validate" / "bin" / "html-validate.mjs"
    command = [
        environment.node_command(),
        program,
        "--config",
        HERE / "html-validate.json",
        "--formatter",
        "text",
    ]
    done = subprocess.run(
        [*command, *(site / path for path in PAGES)], capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1320])
def test_accessible(chromium: Browser, served: str, scheme: Any, width: int) -> None:
    """axe-core finds no violation on any page, with everything unfolded."""
    axe = (environment.NODE_MODULES / "axe-core" / "axe.min.js").read_text("utf-8")
    found = []
    with chromium.new_context(
        color_scheme=scheme,
        viewport={"width": width, "height": 800},
        bypass_csp=True,
        reduced_motion="reduce",
    ) as context:
        page = context.new_page()
        for path in PAGES:
            page.goto(served + path)
            page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
            page.add_script_tag(content=axe)
            result = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
            found += [f"{path}: {v['id']}: {v['nodes'][0]['html'][:200]}" for v in result["violations"]]
    assert found == []


def test_accessible_with_messages(chromium: Browser, served: str) -> None:
    """Problems, notices and a dialog are as accessible as the page at rest."""
    axe = (environment.NODE_MODULES / "axe-core" / "axe.min.js").read_text("utf-8")
    with chromium.new_context(bypass_csp=True) as context:
        page = context.new_page()
        page.goto(served + "decide/build-sheet.html")
        page.fill("[name=series]", "many")
        expect(page.locator(".ta-problems")).to_be_visible(timeout=60_000)
        page.add_script_tag(content=axe)
        assert page.evaluate("axe.run().then((r) => r.violations.map((v) => v.id + v.nodes[0].html))") == []
        page.click("text=Start over")
        assert page.evaluate("axe.run().then((r) => r.violations.map((v) => v.id + v.nodes[0].html))") == []


class Parts(HTMLParser):
    """The inline scripts, ids and addresses of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.scripts: list[str] = []
        self.ids: set[str] = set()
        self.addresses: list[str] = []
        self.policy = ""
        self.before_policy: list[str] = []
        self.inside = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.inside = tag == "script" and "src" not in found and "type" not in found
        if "id" in found:
            self.ids.add(found["id"])
        self.addresses += [found[name] for name in ("href", "src", "action") if name in found]
        if found.get("http-equiv") == "Content-Security-Policy":
            self.policy = found["content"]
        if not self.policy and tag in ("script", "link", "style", "img", "iframe"):
            self.before_policy.append(tag)

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.scripts.append(data)
            self.inside = False


@pytest.fixture(scope="module")
def parts(site: Path) -> dict[str, Parts]:
    return {path: Parts((site / path).read_text("utf-8")) for path in PAGES}


def test_policy_of_every_page(parts: dict[str, Parts]) -> None:
    """Nothing but the site's own files, no eval, and of inline scripts only those that the page was built with."""
    for path, page in parts.items():
        assert page.policy.startswith("default-src 'none'"), path
        assert page.before_policy == [], path
        assert "unsafe-eval" not in page.policy.replace("wasm-unsafe-eval", ""), path
        scripts = re.search(r"script-src ([^;]*)", page.policy)
        assert scripts and "unsafe-inline" not in scripts[1], path
        hashes = {base64.b64encode(hashlib.sha256(s.encode()).digest()).decode() for s in page.scripts}
        assert set(re.findall(r"'sha256-([^']*)'", page.policy)) == hashes, path


def test_no_dead_link(parts: dict[str, Parts], site: Path) -> None:
    """Every address inside the site leads to a file, and to a place in it that is there."""
    dead = []
    for path, page in parts.items():
        for address in page.addresses:
            to = urlsplit(address)
            if to.scheme or to.netloc:
                continue
            target = (site / path).parent / unquote(to.path) if to.path else site / path
            name = target.resolve()
            if not name.is_file():
                dead.append(f"{path}: {address}")
            elif to.fragment and name.suffix == ".html":
                there = parts[name.relative_to(site.resolve()).as_posix()]
                if unquote(to.fragment) not in there.ids:
                    dead.append(f"{path}: {address}: no such place")
    assert dead == []


def test_nothing_of_a_page_is_blocked(page: Page, root: str) -> None:
    """Every page loads all it asks for, over http and from disk, with no other host asked (`page` watches)."""
    page.add_init_script(
        "addEventListener('securitypolicyviolation', (e) => console.error(`${e.violatedDirective} ${e.blockedURI}`))"
    )
    for path in READ:
        page.goto(root + path)
        assert (
            page.evaluate(
                "document.fonts.load('1em \"Atkinson Hyperlegible\"').then((faces) => faces.length)"
            )
            == 1
        )


@pytest.mark.parametrize("width", [320, 360, 768, 1320])
def test_nothing_is_wider_than_the_window(chromium: Browser, from_disk: str, width: int) -> None:
    with chromium.new_context(viewport={"width": width, "height": 800}) as context:
        page = context.new_page()
        for path in READ:
            page.goto(from_disk + path)
            page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
            assert page.evaluate("document.documentElement.scrollWidth") <= width, path


def test_letters_of_twice_the_size_fit(chromium: Browser, from_disk: str) -> None:
    """Nothing lies off screen, the three buttons keep their words whole, and the bar at the foot has two lines."""
    with chromium.new_context(viewport={"width": 320, "height": 740}) as context:
        page = context.new_page()
        for path in ("index.html", "decide/gearing.html", "decide/build-sheet.html", "convert/emf-test.html"):
            page.goto(from_disk + path)
            page.add_style_tag(content="html { font-size: 200% !important; }")
            page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
            assert page.evaluate("document.documentElement.scrollWidth") <= 320, path
            contents = page.locator(".ta-to-contents").bounding_box()
            assert contents and contents["x"] >= 0 and contents["x"] + contents["width"] <= 320, path
            page.evaluate("document.querySelector('.ta-entry').scrollIntoView({ block: 'start' })")
            bar = page.locator(".ta-peek")
            expect(bar).to_be_visible()
            lines = "bar => bar.firstChild.offsetHeight / parseFloat(getComputedStyle(bar).lineHeight)"
            assert bar.evaluate(lines) < 2.1, path


def test_touch_targets(chromium: Browser, from_disk: str) -> None:
    """On a phone every control is 48 px high, a thumb with dirty gloves."""
    small = """[...document.querySelectorAll(
        "button, main input, select, textarea, summary, .ta-contents a, .ta-header a")]
      .filter((e) => e.offsetParent && e.getBoundingClientRect().height < 47.5).map((e) => e.outerHTML.slice(0, 120))"""
    with chromium.new_context(viewport={"width": 360, "height": 800}, has_touch=True) as context:
        page = context.new_page()
        for path in ("index.html", GEARING, "decide/build-sheet.html", "search.html"):
            page.goto(from_disk + path)
            assert page.evaluate(small) == [], path


def on_paper(page: Page, paper: str) -> PdfReader:
    return PdfReader(io.BytesIO(page.pdf(format=paper)))


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_print_of_the_demo_says_so(page: Page, from_disk: str, paper: str, size: tuple[int, int]) -> None:
    page.goto(from_disk + RECORD)
    pdf = on_paper(page, paper)
    box = pdf.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=1)
    for sheet in pdf.pages:
        assert "DEMO VALUES" in sheet.extract_text()


def test_print_of_a_build_of_ones_own(page: Page, from_disk: str) -> None:
    """The number on paper is the number on the page; no demo mark, no buttons."""
    page.goto(from_disk + "sense/sensor-slots.html")
    page.fill("[name=pole_pairs]", "7")
    page.fill("[name=slots]", "42")
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "live", timeout=60_000)
    text = " ".join(sheet.extract_text() for sheet in on_paper(page, "A4").pages)
    assert "DEMO VALUES" not in text
    assert page.inner_text(".ta-answer .ta-big").split()[1] in text
    assert "Save to a file" not in text
    page.fill("[name=slots]", "many")
    expect(page.locator(".ta-answer")).to_have_attribute("data-state", "old")
    for sheet in on_paper(page, "A4").pages:
        assert "NOT UP TO DATE" in sheet.extract_text()


def test_a_missing_address_in_a_folder_of_a_host(page: Page, site: Path, problems: list[str]) -> None:
    """Styled, and its links lead into the book, however deep the address."""
    text = (site / "404.html").read_text("utf-8")

    def serve_(route: Route) -> None:
        path = urlsplit(route.request.url).path.removeprefix("/garden/")
        found = site / path
        if found.is_file():
            route.fulfill(path=found)
        else:
            route.fulfill(body=text, content_type="text/html")

    page.route("http://127.0.0.1:1/garden/**", serve_)
    for path in ("nothing.html", "decide/nothing.html", "decide/much/deeper.html"):
        page.goto(f"http://127.0.0.1:1/garden/{path}")
        expect(page.locator("h1")).to_have_text("No such page")
        assert "Atkinson" in page.evaluate("getComputedStyle(document.body).fontFamily")
        links = page.evaluate("[...document.querySelectorAll('a')].map((a) => a.href)")
        assert "http://127.0.0.1:1/garden/decide/gearing.html" in links
        assert f"http://127.0.0.1:1/garden/{path}#contents" in links


def test_offline_when_served(chromium: Browser, site: Path) -> None:
    """Once kept, the book opens and answers with the server gone."""
    server = serve.SiteServer(0, site)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    with chromium.new_context() as context:
        page = context.new_page()
        page.goto(server.address + "changes.html")
        expect(page.locator(".ta-network")).to_contain_text("not needed", timeout=120_000)
        server.shutdown()
        server.server_close()
        thread.join()
        for path in ("", "decide/build-sheet.html", "search.html?q=slot"):
            page.goto(server.address + path)
            expect(page.locator("h1")).to_be_visible()
        page.goto(server.address + "sense/sensor-slots.html")
        page.fill("[name=pole_pairs]", "7")
        page.fill("[name=slots]", "42")
        expect(page.locator(".ta-answer")).to_have_attribute("data-state", "live", timeout=60_000)
