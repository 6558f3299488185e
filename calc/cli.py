"""The command line: list, run, check, compare, print, new.

Exit: 0 answered; 1 `check` found a stop; 2 input that can't be used; 70 our own fault.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from functools import partial
from typing import Any

from calc import commands, sheet
from calc.commands import ANSWERED
from calc.errors import InputError, Problem
from calc.fields import BASES

UNUSABLE, OURS = 2, 70


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
    named = parser.add_subparsers(dest="command", required=True, metavar="list|run|check|compare|print|new")
    one = named.add_parser("list", help="every calculator: what it takes and gives")
    one.add_argument("--json", action="store_true")
    one = named.add_parser("run", help="one calculator")
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
    one = named.add_parser("check", help="the verdict on a build sheet")
    one.add_argument("file", metavar="FILE")
    one.add_argument("--json", action="store_true")
    one = named.add_parser(
        "compare", help="two build sheets side by side, or what the ideas of one's budget buy"
    )
    one.add_argument("file", metavar="FILE")
    one.add_argument("other", metavar="OTHER", nargs="?")
    one.add_argument("--json", action="store_true")
    one = named.add_parser("print", help="a sheet to print, filled in, as HTML")
    one.add_argument(
        "page", metavar="SHEET", help="build-record, circuit, first-power, …; a wrong name lists them all"
    )
    one.add_argument("--sheet", metavar="FILE")
    one.add_argument("--out", metavar="FILE.html")
    one = named.add_parser("new", help="a commented build sheet to start from")
    one.add_argument("file", metavar="FILE")
    return parser


def _act(arguments: Sequence[str]) -> tuple[str, int]:
    parser = _parser()
    args, rest = parser.parse_known_args(arguments)
    # argparse takes no positional words after an option; field=value may stand anywhere.
    words = [word for word in rest if args.command == "run" and not word.startswith("--")]
    if len(words) < len(rest):
        parser.error(f"{' '.join(word for word in rest if word not in words)} isn't understood here")
    if args.command == "list":
        return commands.list_all(args.json), ANSWERED
    if args.command == "run":
        return commands.run_one(args.calculator, [*args.fields, *words], args.sheet, args.json), ANSWERED
    if args.command == "check":
        return commands.check_build(args.file, args.json)
    if args.command == "compare":
        return commands.compare_builds(args.file, args.other, args.json), ANSWERED
    if args.command == "print":
        return commands.print_sheet(args.page, args.sheet, args.out), ANSWERED
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
