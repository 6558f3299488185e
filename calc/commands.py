"""What each command answers, as text to read or as JSON. What only one needs it imports itself: numpy takes time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from calc import sheet
from calc.entries import Entry, parse_all
from calc.errors import InputError, Problem
from calc.fields import FIELDS, near
from calc.units import beside, plain, show, symbol

if TYPE_CHECKING:
    from calc.answer import Answer
    from calc.spec import Result

ANSWERED, STOPPED = 0, 1
"""Exit codes of an answer: given, and `check` with a stop in it."""


def _given(words: Sequence[str]) -> dict[str, Entry]:
    texts: dict[str, str] = {}
    problems: list[Problem] = []
    for word in words:
        key, equals, text = word.partition("=")
        if not equals:
            problems.append(Problem("", word, "isn't written as field=value, for example pole_pairs=7."))
        elif key not in FIELDS:
            problems.append(
                Problem(key, key, f"there is no such field.{near(key)} `python -m calc list` names them.")
            )
        elif key in texts:
            problems.append(
                Problem(key, key, f"is given twice, as “{texts[key]}” and “{text}”. Give it once.")
            )
        else:
            texts[key] = text
    entries: dict[str, Entry] = {}
    try:
        entries = parse_all(texts, FIELDS)
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(problems)
    return entries


def _sheet(file: str | None) -> sheet.Sheet:
    return sheet.load(file) if file else sheet.demo()


def _together(*looks: Callable[[], Any]) -> list[Any]:
    """What each look gives, or every problem that any of them met."""
    found: list[Any] = []
    problems: list[Problem] = []
    for look in looks:
        try:
            found.append(look())
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return found


# Each command imports what it alone needs: a check pays for no calculator, and none but `print` for HTML.


def list_all(as_json: bool) -> str:
    """Every calculator: what it takes and gives."""
    from calc import view
    from calc.calculators import CALCULATORS

    if as_json:
        return _json({"calculators": [view.calculator(c) for c in CALCULATORS.values()]})
    lines = []
    for c in CALCULATORS.values():
        lines.append(f"{c.id}: {c.question}")
        for key in c.takes:
            f = c.field(key)
            cells = f" = {', '.join(col.key for col in f.columns)}; …" if f.columns else ""
            lines.append(f"    takes {key}{cells}: {f.label} ({f.allowed()})")
        lines += [f"    gives {r.key}: {_headed(r.label, r.unit)}" for r in c.gives]
    return "\n".join(lines)


def run_one(calculator: str, words: Sequence[str], file: str | None, as_json: bool) -> str:
    """One calculator's answer for the words `field=value`, over a sheet or the demo build.

    Raises InputError with every problem at once.
    """
    from calc import view
    from calc.answer import evaluate
    from calc.calculators import find
    from calc.spec import shortened

    spec, given, below = _together(lambda: find(calculator), lambda: _given(words), lambda: _sheet(file))
    answer = evaluate(spec, [("given", given), ("sheet" if file else "demo", below.entries)], below.notes)
    if as_json:
        return _json(view.answer(answer))
    lines = [f"{answer.report.headline}  {answer.report.aside}".rstrip(), answer.report.why, ""]
    if demo := sum(i.source == "demo" for i in answer.inputs):
        entries = "1 entry" if demo == 1 else f"{demo} entries"
        lines = [f"DEMO VALUES stand in for {entries} of the worked example: no --sheet was given.", *lines]
    data = view.answer(answer)
    for r in spec.gives:
        value = data["results"][r.key]["value"]
        if value is None:
            lines.append(f"{r.label}: {view.untold(answer, r)}{_waits(answer, r)}")
            continue
        if r.columns:
            kept, left_out = shortened(r, value)
            head = [_headed(c.label, c.unit) for c in r.columns]
            lines += [
                "",
                f"{r.label}:",
                *_columns(head, [[_cell(row[c.key]) for c in r.columns] for row in kept]),
            ]
            lines += [f"  {left_out}; --json lists them all"] if left_out else []
        else:
            lines.append(f"{r.label}: {_single(value, answer.results[r.key], r.unit)}")
    lines += [""] + [f"{f.severity}: {f.text}" + (f" Do: {f.do}" if f.do else "") for f in answer.findings]
    lines += [
        f"{spec.field(i.key).label}: {view.shown(FIELDS[i.key], i)} "
        f"({', '.join(dict.fromkeys(word for word in (i.basis, i.source) if word))})"
        for i in answer.inputs
    ]
    return "\n".join(lines)


def _single(value: Any, si: Any, unit: str) -> str:
    """A result for reading, by what it is in its unit and in SI; a number by one figure more than the pages show."""
    return show(float(si), unit, 4) if isinstance(value, float) and unit else _cell(value)


def _headed(label: str, unit: str) -> str:
    """A label with the unit that its numbers are in: 'Torque (N·m)'."""
    return f"{label} ({symbol(unit)})" if unit else label


def _waits(answer: Answer, result: Result) -> str:
    """Which entries a result waits for; '' for none."""
    waits = ", ".join(FIELDS[key].name for key in answer.build.missing(*result.nodes))
    return f"; enter {waits}" if waits else ""


def _columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Lines with their cells under each other."""
    wide = [max(len(row[k]) for row in (head, *rows)) for k in range(len(head))]
    return [
        "  " + "  ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip()
        for row in (head, *rows)
    ]


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "—"
    return plain(value, 4) if isinstance(value, float) else str(value)


def check_build(file: str, as_json: bool) -> tuple[str, int]:
    """The verdict on a build sheet, and the exit code that goes with it.

    Raises InputError with every problem at once.
    """
    from calc import checks, levers, told, verdict, view_verdict

    judged = levers.mend(verdict.judge(sheet.load(file)))
    code = STOPPED if judged.severity == "stop" else ANSWERED
    if as_json:
        return _json(view_verdict.verdict(judged)), code
    lines = [f"{judged.name}: {judged.severity}. {view_verdict.headline(judged)}."]
    for j in view_verdict.worst_first(j for j in judged.checks if not j.missing):
        lines.append(f"{j.severity:8}{j.check.title}: {j.text} {view_verdict.chance(j)}".rstrip())
        lines += [f"        Do: {j.do}"] if j.do else []
        lines += [f"        Or: {j.lever.text}"] if j.lever else []
    count, names, keys = view_verdict.waiting(judged)
    lines += [f"caution {count}: {told.few(names, view_verdict.NAMED)}."] if count else []
    asked = [key for _, key in view_verdict.open_questions(judged.build)] or list(keys)[: view_verdict.NAMED]
    lines += [f"        Do: Enter first {', '.join(FIELDS[k].label for k in asked)}."] if count else []
    if judged.measure_next:
        lines.append("Worth adding or measuring next:")
        lines += [
            f"        {FIELDS[n.field].label} ({n.field})"
            + (f", {n.share * 100:.0f} % of the doubt" if n.share is not None else "")
            + f": for {view_verdict.purpose(n)}"
            for n in judged.measure_next[: view_verdict.NAMED]
        ]
        more = len(judged.measure_next) - view_verdict.NAMED
        lines += [f"        and {more} more; --json lists them all"] if more > 0 else []
    lines += [f"{f.severity}: {f.text} {f.do}".rstrip() for f in judged.findings]
    lines.append(f"Not judged: {checks.NOT_JUDGED}.")
    return "\n".join(lines), code


def compare_builds(file: str, other: str | None, as_json: bool) -> str:
    """Two builds side by side, or what each idea of one build's budget buys.

    Raises InputError with every problem at once.
    """
    from calc import compare, view

    def told(value: float | None, unit: str) -> str:
        return view.NOT_TOLD if value is None else beside(plain(view.number(value, unit), 4), unit)

    def percent(margin: float | None) -> str:
        return "" if margin is None else f" {compare.percent(margin)}"

    if other is None:
        own = sheet.load(file)
        tried = compare.ideas(own)
        if as_json:
            return _json(compare.ideas_data(own.name, tried))
        if not tried:
            return 'No idea to try: enter rows of [[cost]] with state = "idea" and changes = "field=value".'
        lines = [f"{own.name}: what each idea buys, tried alone."]
        for one in tried:
            lines.append(f"{one.item} for {plain(one.price, 6)} ({one.changes}): {one.after.severity}.")
            lines.append(f"        makes ok: {', '.join(one.mends) or 'nothing'}")
            lines += [f"        makes worse: {', '.join(one.worsens)}"] if one.worsens else []
            if one.gains is not None:
                to = f"{percent(one.was)} to{percent(one.gains.margin)}"
                lines.append(f"        {one.gains.check.title}:{to}{compare.rate(one)}")
        return "\n".join(lines)
    found = compare.beside(*_together(lambda: sheet.load(file), lambda: sheet.load(other)))
    if as_json:
        return _json(compare.data(found))
    names = [f"{v.name} ({v.severity})" for v in found.verdicts]
    lines = [f"{names[0]} beside {names[1]}.", "", "What comes out:"]
    lines += [f"  {m.label}: {told(one, m.unit)} | {told(two, m.unit)}" for m, one, two in found.measures]
    lines += ["", "Checks, with margins:"]
    lines += [
        f"  {one.check.title}: {one.severity}{percent(one.margin)} | {two.severity}{percent(two.margin)}"
        for one, two in found.checks
    ]
    lines += ["", "Entered differently:"]
    lines += [
        f"  {FIELDS[key].label} ({key}): {one or view.NOT_ENTERED} | {two or view.NOT_ENTERED}"
        for key, one, two in found.differs
    ]
    return "\n".join(lines)


def print_sheet(page: str, file: str | None, out: str | None) -> str:
    """A sheet to print, filled in: its HTML, or where that was written.

    Raises InputError with every problem at once.
    """
    import datetime

    from calc import printed

    day = datetime.date.today()
    html = printed.page(page, _sheet(file), demo=file is None, today=f"{day.day} {day:%b %Y}")
    if out is None:
        return html
    try:
        with open(out, "w", encoding="utf-8", newline="\n") as written:
            written.write(html)
    except OSError as error:
        raise InputError([Problem("", out, f"can't be written: {error.strerror or error}.")]) from None
    return f"{out} is written. Open it in a browser and print it."


def _json(data: Any) -> str:
    import json

    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False)
