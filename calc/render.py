"""The one renderer: what the page shows before Python has started, live, and in print. HTML text from answers.

Everything that came from a person is escaped here; nothing else makes HTML. Ids start with the caller's `uid`.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from calc import units, view
from calc.answer import Answer
from calc.fields import BASES, FIELDS, TABLES, Field
from calc.findings import Finding
from calc.spec import Result, shortened

MARKS = {"ok": "○", "note": "–", "caution": "△", "stop": "■"}

SOURCES = {
    "given": "entered here",
    "sheet": "from your build",
    "demo": "demo",
    "usual": "usual range",
    "computed": "computed",
}

TICK = "☐"
"""A cell to tick on paper."""

BOX = f'<span aria-hidden="true">{TICK}</span>'

DEMO = '<p class="ta-demo">DEMO VALUES: an invented build, not yours.</p>'
"""On top of what is printed of the demo."""

DEMO_NOTE = "Worked example: the harvest cart, an invented build. Yours appears when you enter a number."


def mark(severity: str) -> str:
    """The sign of a severity; the word stands beside it for those who don't see it."""
    return f'<span class="ta-mark" aria-hidden="true">{MARKS[severity]}</span>'


def finding(f: Finding) -> str:
    """One finding: mark and word carry the severity, colour never alone."""
    act = f'<p class="ta-do"><span class="ta-act">Do</span> {escape(f.do)}</p>' if f.do else ""
    buttons = "".join(
        f'<button type="button" data-clear="{" ".join(keys)}">'
        f"Clear {escape(', '.join(FIELDS[key].name for key in keys))}</button>"
        for keys in f.clears
    )
    act += f'<p class="ta-buttons">{buttons}</p>' if buttons else ""
    return (
        f'<li class="ta-finding" data-severity="{f.severity}">{mark(f.severity)}'
        f'<div><p><strong class="ta-word">{f.severity}</strong> {escape(f.text)}</p>{act}</div></li>'
    )


def findings(items: Iterable[Finding]) -> str:
    rows = "".join(map(finding, items))
    return f'<ul class="ta-findings">{rows}</ul>' if rows else ""


def table(
    caption: str, head: Iterable[str], rows: Iterable[Iterable[str]], within: str = "", named: int = 0
) -> str:
    """A table that scrolls by itself when the page is narrow. Cells are escaped.

    within: the answer it belongs to, so that two on a page are told apart by those who listen. named: the column that
    says what a row is about.
    """
    told = escape(f"{within}: {caption}" if within else caption)
    top = "".join(f'<th scope="col">{escape(h)}</th>' for h in head)
    body = "".join(
        "<tr>"
        + "".join(
            f'<th scope="row">{escape(c)}</th>'
            if k == named
            else f"<td>{BOX if c == TICK else escape(c)}</td>"
            for k, c in enumerate(row)
        )
        + "</tr>"
        for row in rows
    )
    return (
        f'<div class="ta-table" role="region" tabindex="0" aria-label="{told}">'
        f"<table><caption>{escape(caption)}</caption>"
        f"<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def cell(unit: str, value: object, least: float | None = None) -> str:
    """A table's cell for reading; a number under `least`, where there is one, as that."""
    if least is not None and isinstance(value, float) and value < least:
        return f"under {cell(unit, least)}"
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, str) or value is None:
        return value or "—"
    return units.show(float(str(value)), unit) if unit else units.plain(float(str(value)))


def result_rows(answer: Answer) -> str:
    """The single results as one table, then each table of its own."""
    single = [r for r in answer.calculator.gives if not r.columns]
    body = [
        (
            r.label,
            view.untold(answer, r) if (value := answer.results[r.key]) is None else result_cell(r, value),
        )
        for r in single
    ]
    title = answer.calculator.title
    out = table("Results", ("Result", "Value"), body, title) if body else ""
    for r in answer.calculator.gives:
        rows = answer.results[r.key]
        if r.columns and rows:
            kept, left_out = shortened(r, rows)
            out += table(
                r.label,
                [c.label for c in r.columns],
                [[cell(c.unit, row[c.key], c.least) for c in r.columns] for row in kept],
                title,
            )
            if left_out:
                out += f"<p>{left_out}; the command line with --json lists them all.</p>"
    return out


def result_cell(r: Result, value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return cell(r.unit, value)


def known_by(f: Field, basis: str) -> str:
    """How an entry is known, in words; what somebody wants is a choice, not a guess."""
    if f.kind == "number" and not any(f.spreads[:3]):
        return "a choice"
    return BASES.get(basis, basis) or "—"


def answer(a: Answer, uid: str) -> str:
    """The inside of an answer: number, why, findings, figure, results, what it rests on."""
    report = a.report
    demo = all(item.source in ("demo", "usual", "computed") for item in a.inputs) and any(
        i.source == "demo" for i in a.inputs
    )
    rests = [
        (
            a.calculator.field(i.key).label,
            view.shown(FIELDS[i.key], i),
            known_by(FIELDS[i.key], i.basis),
            SOURCES[i.source],
        )
        for i in a.inputs
    ]
    drawings = "".join(
        f'<figure class="ta-figure">{draw(f"{uid}-f{k}")}</figure>' for k, draw in enumerate(report.figures)
    )
    return (
        f'<p class="ta-big">{escape(report.headline)} <small>{escape(report.aside)}</small></p>'
        f'<p class="ta-why">{escape(report.why)}</p>'
        + findings(report.findings)
        + drawings
        + result_rows(a)
        + '<details class="ta-rests"><summary>What this answer rests on</summary>'
        + table("Inputs used", ("Quantity", "Value", "Known by", "From"), rests, a.calculator.title)
        + "</details>"
        + (f'<p class="ta-note">{DEMO_NOTE}</p>' if demo else "")
    )


def headed(title: str, name: str, source: str, today: str) -> str:
    """The head of a printed sheet: the demo's notice where it is one, its title, the build's name, the day."""
    named = f"{name}, {today}" if today else name
    return f'{DEMO if source == "demo" else ""}<p class="ta-big">{escape(title)} <small>{escape(named)}</small></p>'


def glossary() -> str:
    """Every quantity of the registry: what it is called, how it is entered and measured."""
    out = ""
    for key, title in {**TABLES, "": "Asked by one calculator, never stored"}.items():
        rows = [(f.label, f.key, f.allowed(), f.how_to_measure) for f in FIELDS.values() if f.table == key]
        out += f'<h2 id="quantities-{key or "asked"}">{escape(title)}</h2>' + table(
            title, ("Quantity", "Name in files", "Allowed", "How to find it"), rows
        )
    return out
