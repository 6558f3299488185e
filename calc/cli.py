"""The command line: list, run, check, compare, print, new.

Exit: 0 answered; 1 `check` found a stop; 2 input that can't be used; 70 our own fault.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from calc import sheet
from calc.entries import Entry, parse_all
from calc.errors import InputError, Problem
from calc.fields import BASES, FIELDS, near
from calc.units import beside, plain, show, symbol

if TYPE_CHECKING:
    from calc.answer import Answer
    from calc.spec import Result

ANSWERED, STOPPED, UNUSABLE, OURS = 0, 1, 2, 70


class _Parser(argparse.ArgumentParser):
    """argparse with our exit code and no usage dump before the message; help of one width, whatever the window."""

    def __init__(self, **named: Any) -> None:
        # Without a width argparse loads a module of shell tools to ask for the window's, at every start.
        super().__init__(formatter_class=partial(argparse.HelpFormatter, width=100), **named)

    def error(self, message: str) -> Any:
        raise InputError(
            [Problem("", "Command", f"{message}. `{self.prog} --help` shows how it is written.")]
        )


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="python -m calc", description="Turnabout's calculators and whole-build verdict.")
    commands = parser.add_subparsers(
        dest="command", required=True, metavar="list|run|check|compare|print|new"
    )
    one = commands.add_parser("list", help="every calculator: what it takes and gives")
    one.add_argument("--json", action="store_true")
    one = commands.add_parser("run", help="one calculator")
    one.add_argument("calculator", metavar="ID")
    one.add_argument(
        "fields",
        nargs="*",
        metavar="field=value",
        help='for example rider_mass="95 kg ± 5 kg, measured"; the last word says how it is known: '
        + ", ".join(word if word == told else f"{word} ({told})" for word, told in BASES.items()),
    )
    one.add_argument("--sheet", metavar="FILE")
    one.add_argument("--json", action="store_true")
    one = commands.add_parser("check", help="the verdict on a build sheet")
    one.add_argument("file", metavar="FILE")
    one.add_argument("--json", action="store_true")
    one = commands.add_parser(
        "compare", help="two build sheets side by side, or what the ideas of one's budget buy"
    )
    one.add_argument("file", metavar="FILE")
    one.add_argument("other", metavar="OTHER", nargs="?")
    one.add_argument("--json", action="store_true")
    one = commands.add_parser("print", help="a sheet to print, filled in, as HTML")
    one.add_argument(
        "page", metavar="SHEET", help="build-record, circuit, first-power, …; a wrong name lists them all"
    )
    one.add_argument("--sheet", metavar="FILE")
    one.add_argument("--out", metavar="FILE.html")
    one = commands.add_parser("new", help="a commented build sheet to start from")
    one.add_argument("file", metavar="FILE")
    return parser


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


def _list(as_json: bool) -> str:
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


def _run(calculator: str, words: Sequence[str], file: str | None, as_json: bool) -> str:
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


def _check(file: str, as_json: bool) -> tuple[str, int]:
    from calc import checks, levers, verdict, view

    judged = levers.mend(verdict.judge(sheet.load(file)))
    code = STOPPED if judged.severity == "stop" else ANSWERED
    if as_json:
        return _json(view.verdict(judged)), code
    lines = [f"{judged.name}: {judged.severity}. {view.headline(judged)}."]
    for j in view.worst_first(j for j in judged.checks if not j.missing):
        lines.append(f"{j.severity:8}{j.check.title}: {j.text} {view.chance(j)}".rstrip())
        lines += [f"        Do: {j.do}"] if j.do else []
        lines += [f"        Or: {j.lever.text}"] if j.lever else []
    count, names, keys = view.waiting(judged)
    lines += [f"caution {count}: {names}."] if count else []
    asked = [key for _, key in view.open_questions(judged.build)] or list(keys)[: view.NAMED]
    lines += [f"        Do: Enter first {', '.join(FIELDS[k].label for k in asked)}."] if count else []
    if judged.measure_next:
        lines.append("Worth adding or measuring next:")
        lines += [
            f"        {FIELDS[k].label} ({k})" + (f", {s * 100:.0f} % of the doubt" if s is not None else "")
            for k, s in judged.measure_next[: view.NAMED]
        ]
        more = len(judged.measure_next) - view.NAMED
        lines += [f"        and {more} more; --json lists them all"] if more > 0 else []
    lines += [f"{f.severity}: {f.text} {f.do}".rstrip() for f in judged.findings]
    lines.append(f"Not judged: {checks.NOT_JUDGED}.")
    return "\n".join(lines), code


def _compare(file: str, other: str | None, as_json: bool) -> str:
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


def _print(page: str, file: str | None, out: str | None) -> str:
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


def _act(arguments: Sequence[str]) -> tuple[str, int]:
    parser = _parser()
    args, rest = parser.parse_known_args(arguments)
    # argparse takes no positional words after an option; field=value may stand anywhere.
    words = [word for word in rest if args.command == "run" and not word.startswith("--")]
    if len(words) < len(rest):
        parser.error(f"{' '.join(word for word in rest if word not in words)} isn't understood here")
    if args.command == "list":
        return _list(args.json), ANSWERED
    if args.command == "run":
        return _run(args.calculator, [*args.fields, *words], args.sheet, args.json), ANSWERED
    if args.command == "check":
        return _check(args.file, args.json)
    if args.command == "compare":
        return _compare(args.file, args.other, args.json), ANSWERED
    if args.command == "print":
        return _print(args.page, args.sheet, args.out), ANSWERED
    sheet.create(args.file)
    return (
        f"{args.file} is written. Fill in what you know; then `python -m calc check {args.file}`.",
        ANSWERED,
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; print its answer, or every problem at once on standard error. Returns the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8")  # a Windows console would stumble over ± and ·
    try:
        text, code = _act(sys.argv[1:] if arguments is None else arguments)
    except InputError as error:
        print("\n".join(p.sentence() for p in error.problems), file=sys.stderr)
        return UNUSABLE
    except Exception as error:  # ours: say so briefly, never a traceback as an answer
        where = error.__traceback__
        while where is not None and where.tb_next is not None:
            where = where.tb_next
        line = f"{os.path.basename(where.tb_frame.f_code.co_filename)}:{where.tb_lineno}" if where else "?"
        print(
            f"This is a fault of Turnabout, not of your input: {type(error).__name__}: {error} ({line}). "
            "Please report it with the command you typed.",
            file=sys.stderr,
        )
        return OURS
    try:
        print(text, flush=True)
    except BrokenPipeError:  # whoever read along has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return code
