"""Python in the page starts, answers and fails well, from http and from disk, with nothing else reachable."""

from __future__ import annotations

import base64
import gzip
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

import pack_runtime
from calc import sheet

CALCULATOR = "decide/gearing.html"
RUN = {"op": "run", "calculator": "gearing", "entries": {}}
START = """async (requests) => {
  const steps = [];
  const python = await Turnabout.startPython({root: "..", onProgress: (at) => steps.push(at)});
  const answers = [];
  for (const request of requests) answers.push(await python.call(request));
  python.stop();
  return {steps, answers};
}"""

FAIL = "Turnabout.startPython({root: '..'}).then(() => '', (error) => error.message)"


def open_page(page: Page, address: str) -> None:
    """Open a page that has boot.js; where the page itself doesn't load it, add it as the page would."""
    page.goto(address)
    if not page.evaluate("Boolean(self.Turnabout?.startPython)"):
        page.add_script_tag(url="../assets/runtime/boot.js")


def test_starts_and_answers(page: Page, root: str) -> None:
    open_page(page, root + CALCULATOR)
    done: dict[str, Any] = page.evaluate(START, [RUN, {**RUN, "entries": {"driver_teeth": "-3"}}])
    good, bad = done["answers"]
    assert good["kind"] == "result"
    assert re.search(r"\d", good["html"])
    assert bad["kind"] == "invalid"
    assert bad["problems"][0]["field"] == "driver_teeth"
    assert [step["step"] for step in done["steps"]][-2:] == ["starting", "ready"]
    assert done["steps"][-1]["done"] == done["steps"][-1]["total"] > 1_000_000


def test_live_answer_is_the_one_in_the_page(page: Page, root: str) -> None:
    open_page(page, root + CALCULATOR)
    before = page.inner_text(".ta-answer .ta-big")
    answer = page.evaluate(START, [RUN])["answers"][0]
    page.evaluate("html => { document.querySelector('.ta-answer').innerHTML = html; }", answer["html"])
    assert page.inner_text(".ta-answer .ta-big") == before


def test_firefox_from_disk(firefox: Any, from_disk: str) -> None:
    firefox.goto(from_disk + CALCULATOR)
    firefox.wait("Boolean(self.Turnabout && Turnabout.startPython)")
    answer = firefox.evaluate(f"({START})([{json.dumps(RUN)}])")["answers"][0]
    assert answer["kind"] == "result"
    assert firefox.problems() == []


def test_crash_and_a_fresh_start(page: Page, root: str) -> None:
    """A request that can't be understood is a crash with words; Python serves on, and after a stop anew."""
    open_page(page, root + CALCULATOR)
    done = page.evaluate(START, [{"op": "no such thing"}, RUN])
    crash, good = done["answers"]
    assert crash["kind"] == "crash"
    assert "no such thing" in crash["details"]
    assert good["kind"] == "result"
    assert page.evaluate(START, [RUN])["answers"][0] == good


def test_call_that_takes_too_long_is_ended(page: Page, root: str) -> None:
    open_page(page, root + CALCULATOR)
    late, after = page.evaluate(
        """async (request) => {
          const python = await Turnabout.startPython({root: ".."});
          return [await python.call(request, 0), await python.call(request)];
        }""",
        RUN,
    )
    assert late["kind"] == after["kind"] == "crash"
    assert late["ended"] and after["ended"]


@pytest.fixture
def faulty(chromium: Browser, served: str) -> Iterator[Page]:
    """A calculator's page on which errors are provoked, and therefore not counted."""
    with chromium.new_context(service_workers="block") as context:
        context.add_init_script("self.requestIdleCallback = () => 0;")  # the page starts no Python of its own
        page = context.new_page()
        open_page(page, served + CALCULATOR)
        yield page


@pytest.mark.parametrize("part", ["wasm", "calc"])
def test_missing_part_is_said(faulty: Page, part: str) -> None:
    """The message names the file that is missing; once it is there again, a start succeeds."""
    pattern = re.compile(rf"/assets/runtime/{part}\.js")
    faulty.route(pattern, lambda route: route.abort())
    assert part in faulty.evaluate(FAIL)
    faulty.unroute(pattern)
    assert faulty.evaluate(FAIL) == ""


RUBBISH = {
    "not base64": "%%%",
    "not gzip": "bm8=",
    "gzip of the wrong thing": base64.b64encode(gzip.compress(b"no")).decode(),
}


@pytest.mark.parametrize("rubbish", RUBBISH.values(), ids=RUBBISH.keys())
@pytest.mark.parametrize("part", ["wasm", "core", "stdlib", "packages", "calc"])
def test_damaged_part_is_said(faulty: Page, part: str, rubbish: str) -> None:
    """A part that holds rubbish ends soon in a message that can be shown."""
    pattern = re.compile(rf"/assets/runtime/{part}\.js")
    script = f'Turnabout.asset("{part}", "{rubbish}")'
    faulty.route(pattern, lambda route: route.fulfill(body=script, content_type="text/javascript"))
    assert faulty.evaluate(FAIL).startswith("Python could not start: ")


@pytest.mark.parametrize(
    ("source", "message"),
    [
        ("() => { throw new Error('out of order'); }", "out of order"),
        ("() => setTimeout(() => { throw new Error('out of order'); })", "out of order"),
        ("() => self.postMessage({type: 'boot-failed', id: 0, text: 'no room'})", "no room"),
    ],
)
def test_worker_that_dies_is_reported(faulty: Page, source: str, message: str) -> None:
    """A worker that fails ends the start with a message instead of hanging."""
    faulty.evaluate("source => { Turnabout.pythonWorker = source; }", source)
    assert message in faulty.evaluate(FAIL)


def test_blocked_wasm_is_said(faulty: Page) -> None:
    """Without 'wasm-unsafe-eval' the start ends with a message; Pyodide by itself would wait for ever."""
    faulty.evaluate(
        """() => {
          const policy = document.createElement("meta");
          policy.httpEquiv = "Content-Security-Policy";
          policy.content = "script-src 'self' blob:";
          document.head.append(policy);
        }"""
    )
    assert faulty.evaluate(FAIL).startswith("Python could not start: ")


def test_packing_is_deterministic(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same sources, compiled twice from nothing, give the same bytes."""
    packed = []
    for name in ("first", "second"):
        monkeypatch.setattr(pack_runtime, "PACKED", tmp_path / name / "cache")
        pack_runtime.pack(tmp_path / name)
        folder = tmp_path / name / "assets" / "runtime"
        packed.append({path.name: path.read_bytes() for path in folder.iterdir()})
    assert packed[0] == packed[1]
    assert {"wasm.js", "core.js", "stdlib.js", "packages.js", "calc.js", "boot.js"} == set(packed[0])


MEMORY = """async () => {
  const cache = await caches.open("turnabout-python");
  const kept = await Promise.all((await cache.keys()).map((key) => cache.match(key)));
  return Promise.all(kept.filter(Boolean).map(async (one) => (await one.arrayBuffer()).byteLength));
}"""


def test_a_later_visit_goes_on_from_the_kept_memory(page: Page, served: str) -> None:
    """The same answers as from a fresh start, and one memory kept, not two."""
    open_page(page, served + CALCULATOR)
    first = page.evaluate(START, [RUN])["answers"]
    page.wait_for_function(f"({MEMORY})().then((sizes) => sizes.length === 1 && sizes[0] > 1e7)")
    page.reload()
    assert page.evaluate(START, [RUN])["answers"] == first
    assert len(page.evaluate(MEMORY)) == 1


@pytest.mark.parametrize("length", [0, 1000, 20_971_664])
def test_a_damaged_memory_is_dropped_and_python_starts_without_it(
    page: Page, served: str, length: int
) -> None:
    open_page(page, served + CALCULATOR)
    page.evaluate(START, [RUN])
    page.wait_for_function(f"({MEMORY})().then((sizes) => sizes.length === 1)")
    page.evaluate(
        """async (length) => {
          const cache = await caches.open("turnabout-python");
          for (const key of await cache.keys()) await cache.put(key, new Response(new Uint8Array(length)));
        }""",
        length,
    )
    page.reload()
    assert page.evaluate(START, [RUN])["answers"][0]["kind"] == "result"
    page.wait_for_function(
        f"({MEMORY})().then((sizes) => sizes.every((size) => size !== {length} || size > 1e7))"
    )


OWN = {
    **RUN,
    "entries": {k: e.as_typed for k, e in sheet.demo().entries.items()} | {"phase_current_limit": "90 A"},
}
SOLVED = """async (text) => {
  const cache = await caches.open("turnabout-solved");
  const [key] = await cache.keys();
  if (key && text) await cache.put(key, new Response(text));
  return key ? (await cache.match(key)).text() : "";
}"""


@pytest.mark.parametrize(
    ("spoil", "used"),
    [
        (
            lambda rows: json.dumps([[build, speed, [0.0] * len(torque)] for build, speed, torque in rows]),
            True,
        ),
        (lambda rows: json.dumps(rows)[:50], False),
        (lambda rows: json.dumps([[1, 2]]), False),
    ],
    ids=["another", "cut off", "of another shape"],
)
def test_what_was_solved_is_taken_up_by_a_later_visit(
    page: Page, served: str, spoil: Callable[[Any], str], used: bool
) -> None:
    """Put false solutions there and the answer follows them; put rubbish there and it is solved again."""
    open_page(page, served + CALCULATOR)
    first = page.evaluate(START, [OWN])["answers"][0]
    page.wait_for_function(f"({SOLVED})().then((text) => text.length > 0)")
    page.evaluate(SOLVED, spoil(json.loads(page.evaluate(SOLVED))))
    page.reload()
    again = page.evaluate(START, [OWN])["answers"][0]
    assert again["kind"] == "result"
    assert (again != first) == used
