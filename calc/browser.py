"""The page's edge: one request in, one answer out, both as JSON text. The worker calls `handle`.

kind of answer: result; invalid (with every problem and its field); crash (ours). A physical impossibility is a
result with a stop finding, as everywhere.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection
from functools import cache
from pathlib import Path
from typing import Any

from calc import render, sheet, units, view
from calc.answer import evaluate
from calc.calculators import find
from calc.drive import correction
from calc.entries import parse_all, parts
from calc.errors import InputError
from calc.fields import FIELDS
from calc.spec import reach

SOLVED = Path(__file__).with_name("solved.json")
"""In the page: what the site's build has solved for the worked example (scripts/pack_runtime.py)."""
if SOLVED.exists():
    correction.remember(json.loads(SOLVED.read_text(encoding="utf-8")))


def _own(texts: dict[str, str], wanted: Collection[str] = FIELDS) -> tuple[sheet.Sheet, str]:
    """The sheet that the page's entries make, or the demo build when there are none.

    A bad entry among those `wanted` is a problem; another is left aside here, and told where it is used. What an
    older or newer book called otherwise is kept by the page and named.
    """
    if not texts:
        return sheet.demo(), "demo"
    entries = parse_all({key: text for key, text in texts.items() if key in FIELDS and key in wanted}, FIELDS)
    notes = tuple(f"{_unknown(key)}; it is kept, and not used." for key in texts if key not in FIELDS)
    return sheet.Sheet(entries, notes=notes), "sheet"


def _unknown(key: str) -> str:
    return f"{key} is no quantity of this book"


def _run(request: dict[str, Any]) -> dict[str, Any]:
    calculator = find(request["calculator"])
    own, source = _own(request["entries"], calculator.takes)
    generic = {key: e for key, e in own.entries.items() if not FIELDS[key].table}
    kept = {key: e for key, e in own.entries.items() if FIELDS[key].table}
    answer = evaluate(calculator, [("given", generic), (source, kept)])
    html = {"html": render.answer(answer, request["calculator"])}
    return html | ({"answer": view.answer(answer)} if request.get("data") else {})


@cache
def _judged() -> frozenset[str]:
    """The fields that the verdict uses: a bad entry in another is told, and holds up nothing."""
    from calc.checks import CHECKS

    return frozenset(("name", *reach(tuple(node for check in CHECKS for node in check.nodes))))


def _verdict(request: dict[str, Any]) -> dict[str, Any]:
    from calc import render_verdict, verdict  # not every page has one

    own, source = _own(request["entries"], _judged())
    judged, home = verdict.judge(own, source), request.get("view") == "home"
    html: dict[str, Any] = {"html": render_verdict.verdict(judged, "verdict", source == "demo", home)}
    try:  # what it doesn't use may be wrong all the same, and its field may be on this page
        _own(request["entries"])
    except InputError as error:
        html["problems"] = [p._asdict() for p in error.problems]
    return html


def _levers(request: dict[str, Any]) -> dict[str, Any]:
    from calc import levers, render_verdict, verdict

    mended = levers.mend(verdict.judge(*_own(request["entries"], _judged())))
    return {"levers": {j.check.id: render_verdict.lever(j) for j in mended.checks if j.lever}}


def _open(request: dict[str, Any]) -> dict[str, Any]:
    opened = sheet.read(request["toml"])
    entries = {key: parts(FIELDS[key], e) for key, e in opened.entries.items()}
    return {"entries": entries, "notes": list(opened.notes), "document": opened.document}


def _save(request: dict[str, Any]) -> dict[str, Any]:
    texts = {key: text for key, text in request["entries"].items() if key in FIELDS and FIELDS[key].table}
    notes = [
        f"{_unknown(key)}: it is kept here, and isn't in the file."
        for key in request["entries"]
        if key not in FIELDS
    ]
    return {"toml": sheet.write(texts, request.get("document") or ""), "notes": notes}


def _record(request: dict[str, Any]) -> dict[str, Any]:
    from calc import printed  # only the pages with a sheet need it

    own, source = _own(request["entries"])
    name, today = str(request.get("sheet", "build-record")), str(request.get("today", ""))
    return {"html": printed.body(name, own, source, today)}


def _compare(request: dict[str, Any]) -> dict[str, Any]:
    """The page's build beside the one in `other`, a sheet's text; without one beside an example."""
    from calc import compare, render_compare  # only one page needs it

    own, source = _own(request["entries"])
    if request.get("other"):
        second, from_ = sheet.read(request["other"]), "sheet"
    else:
        second, from_ = (
            sheet.load(sheet.example_file("first-attempt" if source == "demo" else "harvest-cart")),
            "demo",
        )
    return {"html": render_compare.builds(compare.beside(own, second, (source, from_)), source == "demo")}


def _ideas(request: dict[str, Any]) -> dict[str, Any]:
    from calc import compare, render_compare

    own, source = _own(request["entries"])
    return {"html": render_compare.ideas(own, compare.ideas(own, source), source == "demo")}


def _remember(request: dict[str, Any]) -> dict[str, Any]:
    correction.remember(request["solved"])
    return {}


OPERATIONS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "run": _run,
    "verdict": _verdict,
    "levers": _levers,
    "open": _open,
    "save": _save,
    "record": _record,
    "compare": _compare,
    "ideas": _ideas,
    "remember": _remember,
}


def _unpart(answer: dict[str, Any]) -> None:
    """Keep numbers and units on one line in all that is shown of an answer; data stays as it is."""
    if "html" in answer:
        answer["html"] = units.unparted(answer["html"])
    if "levers" in answer:
        answer["levers"] = {key: units.unparted(html) for key, html in answer["levers"].items()}
    for problem in answer.get("problems", ()):
        problem["text"] = units.unparted(problem["text"])


def handle(request: str) -> str:
    """Answer one request. Never raises: a fault of ours is an answer of kind crash, with details to copy.

    `solved` in an answer: what the drive's slow solutions gave, for the page to keep and bring back with `remember`.
    """
    before = correction.newest()
    try:
        data = json.loads(request)
        answer = {"kind": "result", **OPERATIONS[data["op"]](data)}
    except InputError as error:
        answer = {"kind": "invalid", "problems": [p._asdict() for p in error.problems]}
    except Exception:
        import traceback  # only a fault of ours needs it

        answer = {"kind": "crash", "details": traceback.format_exc()}
    _unpart(answer)
    if correction.newest() != before:
        answer["solved"] = correction.kept()
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)
