"""What every page test stands on: the built site served and from disk, Chromium, and Firefox.

Tests that use a browser get the markers `browser` and `firefox` from the fixtures they ask for.
"""

from __future__ import annotations

import json
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, sync_playwright

import browsers
import environment
import serve

HERE = Path(__file__).resolve().parent
# Names but this machine's own can't be looked up, so a request that leaves the site fails and is seen.
NO_NETWORK = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test by the browser that its fixtures start."""
    for item in items:
        names = getattr(item, "fixturenames", ())
        if "chromium" in names or "firefox" in names:
            item.add_marker(pytest.mark.browser)
        if "firefox" in names:
            item.add_marker(pytest.mark.firefox)


@pytest.fixture(scope="session")
def site() -> Path:
    """The folder of the built site."""
    assert (serve.SITE / "index.html").exists(), "build the site first: python3 scripts/serve.py --build-only"
    return serve.SITE


@pytest.fixture(scope="session")
def served(site: Path) -> Iterator[str]:
    """The address of the site's root, served as scripts/serve.py does; ends in a slash."""
    server = serve.SiteServer(0, site)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield server.address
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture(scope="session")
def from_disk(site: Path) -> str:
    """The address of the site's root opened from disk; ends in a slash."""
    return site.as_uri() + "/"


@pytest.fixture(params=["http", "file"])
def root(request: pytest.FixtureRequest) -> str:
    """The site's root over http, then from disk: a test that asks for it runs on both."""
    return str(request.getfixturevalue("served" if request.param == "http" else "from_disk"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A headless Chromium that reaches this machine only."""
    program = browsers.find("chromium")
    assert program, f"no Chromium: name one in {browsers.variable('chromium')}"
    with sync_playwright() as playwright:
        arguments = [*browsers.CHROMIUM_ARGUMENTS, NO_NETWORK]
        browser = playwright.chromium.launch(executable_path=program, args=arguments)
        yield browser
        browser.close()


@pytest.fixture
def problems() -> Iterator[list[str]]:
    """Console errors, failed scripts and requests out of the site; must be empty at the test's end.

    A test that provokes one takes it out of the list.
    """
    found: list[str] = []
    yield found
    assert found == []


@pytest.fixture
def page(chromium: Browser, problems: list[str]) -> Iterator[Page]:
    """A page with a store of its own, watched for problems."""
    context = chromium.new_context()
    context.on("page", lambda page: watch(page, problems))
    yield context.new_page()
    context.close()


def watch(page: Page, problems: list[str]) -> None:
    """Write down what goes wrong in a page."""
    own = ("http://127.0.0.1:", "file:", "blob:", "data:")

    def console(message: ConsoleMessage) -> None:
        if message.type == "error":
            problems.append(message.text)

    def request(request: Request) -> None:
        if not request.url.startswith(own):
            problems.append(f"asked for {request.url}")

    page.on("console", console)
    page.on("request", request)
    page.on("pageerror", lambda error: problems.append(str(error)))


class Firefox:
    """Firefox through tests/site/firefox.mjs; each method is one of its commands."""

    def __init__(self, program: Path) -> None:
        self.driver = subprocess.Popen(
            [environment.node_command(), HERE / "firefox.mjs", program],
            cwd=environment.NODE,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
        )

    def do(self, command: str, **more: Any) -> Any:
        """Carry out one command; give back its value."""
        assert self.driver.stdin and self.driver.stdout
        self.driver.stdin.write(json.dumps({"do": command, **more}) + "\n")
        self.driver.stdin.flush()
        line = self.driver.stdout.readline()
        assert line, "Firefox or its driver ended"
        answer = json.loads(line)
        assert "error" not in answer, f"{command} {more}: {answer['error']}"
        return answer["value"]

    def goto(self, url: str) -> None:
        self.do("goto", url=url)

    def evaluate(self, code: str) -> Any:
        """The value of a JavaScript expression; a promise is waited for."""
        return self.do("evaluate", code=code)

    def wait(self, code: str, timeout: int = 60_000) -> None:
        """Wait until an expression is true; timeout in ms."""
        self.do("wait", code=code, timeout=timeout)

    def type(self, selector: str, text: str) -> None:
        self.do("type", selector=selector, text=text)

    def click(self, selector: str) -> None:
        self.do("click", selector=selector)

    def reload(self) -> None:
        self.do("reload")

    def problems(self) -> list[str]:
        """Console errors and failed scripts since the start."""
        return list(self.do("problems"))

    def close(self) -> None:
        assert self.driver.stdin and self.driver.stdout
        self.driver.stdin.close()
        self.driver.wait(timeout=30)
        self.driver.stdout.close()


@pytest.fixture
def firefox() -> Iterator[Firefox]:
    """A headless Firefox with a new profile, which reaches this machine only."""
    program = browsers.find("firefox")
    assert program, f"no Firefox: name one in {browsers.variable('firefox')}"
    driver = Firefox(program)
    yield driver
    driver.close()
