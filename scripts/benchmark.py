"""How fast the site is, as ratios to a bare stock Pyodide measured in the same run, in interleaved rounds.

Run by the project's environment with the test packages, on a built site:
`.venv/bin/python scripts/benchmark.py [--rounds 6]`. Nothing passes or fails; noise is a quarter either way.
"""

from __future__ import annotations

import argparse
import functools
import io
import math
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import mkdocs
from playwright.sync_api import Browser, Page, sync_playwright

import browsers
import console
import serve
from console import ROOT, Stop, say
from fetch_runtime import PYODIDE, numpy_wheel

CALCULATOR = "decide/gearing.html"
CORE = ("pyodide.js", "pyodide.asm.js", "pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json")
BARE = """<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,"><title>bare</title>
<script src="pyodide.js"></script>"""
# Each gives a time in ms since the navigation began.
BARE_BOOT = "() => loadPyodide().then(() => performance.now())"
# Put into the page before anything else of it runs: notes the first frame with the answer in sight.
WATCH = """(() => {
  const look = () => {
    const big = document.querySelector(".ta-answer .ta-big");
    const seen = big?.checkVisibility({visibilityProperty: true, opacityProperty: true});
    if (seen) self.answerSeen = performance.now();
    else requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})()"""
SHOWN = """() => new Promise((resolve) => {
  const look = () => {
    const paint = performance.getEntriesByName("first-contentful-paint")[0];
    if (paint && self.answerSeen) resolve(Math.max(paint.startTime, self.answerSeen));
    else setTimeout(look, 10);
  };
  look();
})"""
# The page's own engine, which starts Python when the page is idle.
LIVE = """async () => {
  const answer = await Turnabout.engine.call({op: "run", calculator: "gearing", entries: {}});
  document.querySelector(".ta-answer").innerHTML = answer.html;
  return answer.kind === "result" ? performance.now() : NaN;
}"""
OPEN = "async (toml) => Turnabout.engine.call({op: 'open', toml})"
# From the request that a key sends to the new answer laid out in the page, ms each, over the numbers typed.
KEYS = """async ([request, key, texts]) => {
  const block = request.calculator ? `[data-calc="${request.calculator}"] ` : "";
  const place = document.querySelector(`${block}.ta-answer`);
  const times = [];
  for (const text of texts) {
    const start = performance.now();
    const answer = await Turnabout.engine.call({...request, entries: {...request.entries, [key]: text}});
    place.innerHTML = answer.html;
    place.getBoundingClientRect();
    times.push(answer.kind === "result" ? performance.now() - start : NaN);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  return times;
}"""


WIRINGS = ("ABC, 123", "BCA, 132", "ACB, 213", "CAB, 321", "BAC, 231", "CBA, 312")
PLANNED = [
    f"{wiring}, {seen}" for seen in ("locks", "rough, forward", "rough, backward") for wiring in WIRINGS
]
SPUN = "1500 rpm, 1 A, 6.9 V; 1500 rpm, 2 A, 11.9 V; 1500 rpm, 3 A, 15 V; 1500 rpm, 4 A, {} V; 1500 rpm, 5 A, 17.3 V"
# For each calculator the field that is typed in, and what is typed: never the same twice running, so that nothing is
# remembered from the key before.
TYPED: dict[str, tuple[str, list[str]]] = {
    "gearing": ("driven_teeth", [str(30 + n % 40) for n in range(120)]),
    "standing-start": ("rider_mass", [f"{60 + n / 2} kg" for n in range(60)]),
    "winding": ("slots", [str(3 * n) for n in range(2, 62)]),
    "emf-test": ("emf_test", [SPUN.format(16.2 + n / 100) for n in range(60)]),
    "resistance-test": ("resistance_test", [f"{170 + n} mV, 5 A; 178 mV, 5 A" for n in range(60)]),
    "short-circuit-test": ("short_circuit_test", [f"1000 rpm, 7.9 V, {70 + n / 2} A" for n in range(60)]),
    "friction-test": ("rotor_inertia", [f"{30 + n / 4} kg·cm²" for n in range(60)]),
    "insulation-test": ("insulation_test", [f"48 V, {0.1 + n / 100} V, 48 V" for n in range(60)]),
    "stall-test": (
        "stall_test",
        [
            f"30 A, 3.6 N, 4.1 N, 1 m, 15 mm, 14 mm; 100 A, {7.6 + n / 100} N, 15 N, 1 m, 54 mm, 50 mm"
            for n in range(60)
        ],
    ),
    "field-supply": ("field_current", [f"{2 + n / 25} A" for n in range(60)]),
    "star-delta": ("line_resistance", [f"{20 + n / 2} mΩ" for n in range(60)]),
    "sensor-slots": ("slots", [str(3 * n) for n in range(4, 64)]),
    "lamp-pattern": ("slots", [str(3 * n) for n in range(4, 64)]),
    "lead-match": ("alignment_error", [f"{n - 30}°" for n in range(60)]),
    "conductor": ("loop_length", [f"{1 + n / 20} m" for n in range(60)]),
    "precharge": ("precharge_resistor", [f"{50 + n} Ω" for n in range(60)]),
    "join-packs": ("loop_resistance", [f"{30 + n} mΩ" for n in range(60)]),
    "cut-out": ("cut_outs", [f"riding, {2 + n / 10} s, at-once, 100 %, 52 V, 42 V" for n in range(60)]),
    "fuse": ("fuse_rating", [f"{60 + n} A" for n in range(60)]),
    "pack": ("cell_resistance", [f"{0.5 + n / 50} mΩ" for n in range(60)]),
    "charging": ("charger_current", [f"{5 + n / 4} A" for n in range(60)]),
    "ride": ("rider_mass", [f"{60 + n / 2} kg" for n in range(60)]),
    "winding-heat": ("current", [f"{20 + n / 2} A" for n in range(60)]),
    "lead-trials": ("trials", PLANNED),
    "mount": ("nut_torque", [f"{60 + n / 2} N·m" for n in range(60)]),
    "chain": ("center_distance", [f"{380 + n} mm" for n in range(60)]),
    "brakes": ("deceleration", [f"{1 + n / 20} m/s²" for n in range(60)]),
    "stability": ("corner_radius", [f"{3 + n / 10} m" for n in range(60)]),
    "rider-cap": ("sight_distance", [f"{8 + n / 4} m" for n in range(60)]),
    "coast-down": ("coast_mass", [f"{180 + n} kg" for n in range(60)]),
    "guard-opening": ("guard_opening", [f"{1 + n} mm" for n in range(60)]),
    "budget": ("cost", [f"Frame, {100 + n}, bought; Guard, 25, needed" for n in range(60)]),
    "overspeed": ("descent_speed", [f"{10 + n / 4} km/h" for n in range(60)]),
    "forced-start": ("frequency_ramp", [f"{5 + 2 * n} Hz/s" for n in range(30)]),
    "torque-speed": ("line_resistance", [f"{30 + n / 2} mΩ" for n in range(20)]),
}
# Pasted routes: distance and height, up and down, none of them twice.
ROUTES = [
    "distance, height; " + "; ".join(f"{5 * k}, {40 + 12 * math.sin(k / 90 + n):.2f}" for k in range(2000))
    for n in range(20)
]
SLOWER = {
    "gearing": 200,  # the search through the stock of sprockets is in every key
    "lead-trials": 200,
    "cut-out": 300,
    "torque-speed": 250,
    "forced-start": 250,
}  # ms allowed where it isn't 16


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """The address at which a folder is served."""
    server = serve.SiteServer(0, folder)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield server.address
    finally:
        server.shutdown()
        server.server_close()


def stock(folder: Path) -> None:
    """A page with the stock Pyodide and nothing else."""
    for name in CORE:
        (folder / name).write_bytes((PYODIDE / name).read_bytes())
    (folder / "index.html").write_text(BARE, encoding="utf-8")


def fresh(browser: Browser, address: str, code: str) -> float:
    """The value of a script on a page opened by a browser that has never been there."""
    with browser.new_context() as context:
        context.add_init_script(WATCH)
        page = context.new_page()
        page.goto(address, wait_until="domcontentloaded")
        return float(page.evaluate(code))


def second_visit(browser: Browser, address: str) -> float:
    """The live answer of a visitor whose browser has kept the site at the first visit."""
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(address)
        page.evaluate(LIVE)
        page.evaluate("navigator.serviceWorker.ready.then(() => null)")
        page.close()
        page = context.new_page()
        page.goto(address)
        return float(page.evaluate(LIVE))


def home(calculator: str) -> str:
    """The page of the book where a calculator stands."""
    docs = ROOT / "docs"
    shortcode = f"<!-- calc: {calculator} -->"
    page = next(path for path in sorted(docs.rglob("*.md")) if shortcode in path.read_text(encoding="utf-8"))
    return page.relative_to(docs).with_suffix(".html").as_posix()


def arrive(browser: Browser, address: str) -> Page:
    """A page a second after its Python has started: nobody types sooner than they read."""
    page = browser.new_page()
    page.goto(address)
    page.evaluate("Turnabout.engine.start().then(() => new Promise((on) => setTimeout(on, 1000)))")
    return page


def keys(page: Page, request: dict[str, object], key: str, texts: Sequence[str]) -> list[float]:
    """The times from key to answer."""
    return [float(ms) for ms in page.evaluate(KEYS, [request, key, list(texts)])]


def demo(page: Page) -> dict[str, str]:
    """The demo build as a user's own entries, in the text that the page sends."""
    opened = page.evaluate(OPEN, (ROOT / serve.DEMO).read_text(encoding="utf-8"))["entries"]
    signs = (("value", ""), ("spread", " ± "), ("basis", ", "))
    return {key: "".join(sign + e[part] for part, sign in signs if e[part]) for key, e in opened.items()}


def command(*arguments: str) -> float:
    """Seconds that a command of this environment's Python takes."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], cwd=ROOT, capture_output=True, check=False)
    return time.perf_counter() - start


def zipped(files: dict[str, Path]) -> int:
    """Bytes of a zip of these files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, path in files.items():
            archive.write(path, name)
    return len(out.getvalue())


def under(folder: Path) -> dict[str, Path]:
    """Every file below a folder."""
    return {path.relative_to(folder).as_posix(): path for path in sorted(folder.rglob("*")) if path.is_file()}


def p95(times: Sequence[float]) -> float:
    return statistics.quantiles(times, n=20)[-1]


def line(what: str, value: float, goal: float, unit: str = "x") -> None:
    """One result beside the goal for it."""
    say(f"{what:58} {value:8.2f} {unit:2}   goal {goal:g}   {'met' if value <= goal else 'MISSED'}")


def pages(rounds: int, program: Path) -> None:
    """Everything that is measured in a browser."""
    times: dict[str, list[float]] = defaultdict(list)
    disk = serve.SITE.as_uri() + "/" + CALCULATOR
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        stock(Path(folder))
        browser = playwright.chromium.launch(executable_path=program, args=browsers.CHROMIUM_ARGUMENTS)
        with serving(Path(folder)) as bare, serving(serve.SITE) as site:
            measures = {
                "bare": lambda: fresh(browser, bare, BARE_BOOT),
                "prerendered answer visible": lambda: fresh(browser, site + CALCULATOR, SHOWN),
                "prerendered answer visible, from disk": lambda: fresh(browser, disk, SHOWN),
                "live answer": lambda: fresh(browser, site + CALCULATOR, LIVE),
                "live answer, second visit": lambda: second_visit(browser, site + CALCULATOR),
                "live answer, from disk": lambda: fresh(browser, disk, LIVE),
            }
            for _ in range(rounds):
                for name, measure in measures.items():
                    times[name].append(measure())
            entries = demo(arrive(browser, site + CALCULATOR))

            def typed(where: str, request: dict[str, object], key: str, texts: Sequence[str]) -> list[float]:
                page = arrive(browser, site + where)
                times = keys(page, {**request, "entries": entries}, key, texts)
                page.close()
                return times

            answers = {
                name: typed(home(name), {"op": "run", "calculator": name}, key, texts)
                for name, (key, texts) in TYPED.items()
            }
            template = typed(
                "sheets/sensor-template.html",
                {"op": "record", "sheet": "sensor-template"},
                "bore_diameter",
                [f"{60 + 5 * n} mm" for n in range(20)],
            )
            route = typed(home("ride"), {"op": "run", "calculator": "ride"}, "route", ROUTES)
            verdict = typed(
                "decide/build-sheet.html",
                {"op": "verdict", "view": "sheet"},
                "rider_mass",
                [f"{60 + n} kg" for n in range(60)],
            )
        browser.close()
    base = statistics.median(times.pop("bare"))
    say(f"bare loadPyodide(), median of {rounds} rounds: {base:.0f} ms from the start of the navigation")
    goals = dict(zip(times, (0.10, 0.10, 0.9, 0.7, 1.0), strict=True))
    for name, values in times.items():
        line(f"{name} / bare boot", statistics.median(values) / base, goals[name])
    say("request to answer shown, p95, each on its own page, a second after the page's start")
    for name, values in answers.items():
        line(f"  {name} ({len(values)} keys)", p95(values), SLOWER.get(name, 16), "ms")
    line(f"  the paper template ({len(template)} bores)", p95(template), 200, "ms")
    line(f"  a route of 2000 points ({len(route)} keys)", p95(route), 100, "ms")
    line(f"  the verdict with its draws ({len(verdict)} keys)", p95(verdict), 150, "ms")


def main(arguments: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--rounds", type=int, default=6)
    rounds = parser.parse_args(arguments).rounds
    program = browsers.find("chromium")
    if program is None or not (serve.SITE / "index.html").exists():
        raise Stop("This needs Chromium and a built site: run scripts/test.py first.")
    pages(rounds, program)
    check = functools.partial(command, "-m", "calc", "check", serve.DEMO)
    numpy = functools.partial(command, "-c", "import numpy")
    pairs = [(check(), numpy()) for _ in range(2 * rounds)]
    ours, theirs = (statistics.median(side) for side in zip(*pairs, strict=True))
    line("`check` / `python -c 'import numpy'`", ours / theirs, 2)
    wheel = numpy_wheel()
    theme = Path(mkdocs.__file__).parent.parent / "material" / "templates" / "assets"
    parts = {name: PYODIDE / name for name in CORE} | {wheel.name: wheel} | under(theme)
    line("zip of the site / zip of Pyodide, numpy and theme", zipped(under(serve.SITE)) / zipped(parts), 1.25)
    return 0


if __name__ == "__main__":
    sys.exit(console.guarded(main))
