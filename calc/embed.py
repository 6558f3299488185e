"""What a shortcode in a page of the book stands for: `<!-- calc: gearing -->`, `<!-- verdict: home -->`, …

Every embed is the renderer's HTML with the demo build worked out, so that each page shows a complete answer before
any script runs.
"""

from __future__ import annotations

from functools import cache
from html import escape
from pathlib import Path

from calc import (
    compare,
    forms,
    levers,
    printed,
    render,
    render_compare,
    render_verdict,
    sheet,
    units,
    verdict,
)
from calc.answer import evaluate
from calc.calculators import find
from calc.fields import FIELDS, QUESTIONS

EXAMPLES = {
    "harvest-cart": "Load the harvest cart (it works)",
    "first-attempt": "Load the first attempt (it fails)",
}


@cache
def _demo() -> sheet.Sheet:
    return sheet.demo()


def _block(
    kind: str,
    name: str,
    attributes: str,
    inner: str,
    label: str,
    form: str,
    command: str,
    form_first: bool = False,
) -> str:
    """A calculator, verdict or record: the answer, what is said about it, and the form, which may come first.

    name: tells the block's ids from others on the page.
    """
    shell = escape(command)
    answer = (
        f'<section class="ta-answer" id="{name}-answer" data-state="demo" tabindex="-1" aria-labelledby="{name}-whose">'
        f'<h2 class="ta-whose" id="{name}-whose">{escape(label)}</h2><div class="ta-inner">{inner}</div></section>'
    )
    said = (
        '<div class="ta-status"><p></p><p class="ta-aside" role="status"></p></div>'
        '<div class="ta-problems" hidden></div>'
    )
    return (
        f'<div class="ta-{kind}" {attributes}>{form + said + answer if form_first else answer + said + form}'
        f'<details class="ta-command"><summary>The same at the command line</summary>'
        f"<pre><code>{shell}</code></pre></details></div>"
    )


def _calc(argument: str) -> str:
    calculator = find(argument)
    answer = evaluate(calculator, [("demo", _demo().entries)])
    jump = f'<p class="ta-jump"><a href="#{calculator.id}-yours">To your numbers</a></p>'
    return jump + _block(
        "calc",
        f"calc-{calculator.id}",
        f'data-calc="{calculator.id}"',
        render.answer(answer, calculator.id),
        f"Answer: {calculator.title}",
        f'<h2 id="{calculator.id}-yours">Your numbers</h2>'
        + forms.form(calculator, calculator.id, f"calc-{calculator.id}-answer"),
        f"python -m calc run {calculator.id}",
    )


def _verdict(argument: str) -> str:
    judged, jump = verdict.judge(_demo(), "demo"), ""
    if argument == "home":
        form = forms.to_answer("verdict-home-answer") + "".join(
            f'<fieldset class="ta-group"><legend><h2>{number}. {escape(question)}</h2></legend>'
            f"{''.join(forms.field(FIELDS[key], 'home') for key in keys)}</fieldset>"
            for number, (question, keys) in enumerate(QUESTIONS, 1)
        )
        inner = render_verdict.verdict(judged, "verdict", True, home=True)
    elif argument == "sheet":
        jump, form = forms.groups(
            [key for key, f in FIELDS.items() if f.table], "sheet", "verdict-sheet-answer"
        )
        inner = render_verdict.verdict(levers.mend(judged), "verdict", True)
    else:
        raise KeyError(f"there is no verdict “{argument}”; there are home and sheet")
    return jump + _block(
        "verdict",
        f"verdict-{argument}",
        f'data-view="{argument}"',
        inner,
        "Verdict",
        f'<form class="ta-form" novalidate>{form}</form>',
        "python -m calc check docs/examples/harvest-cart.toml",
        form_first=argument == "home",
    )


def _record(argument: str) -> str:
    if argument not in printed.SHEETS:
        raise KeyError(f"there is no sheet “{argument}”; there are {', '.join(printed.SHEETS)}")
    inner = printed.body(argument, _demo(), "demo")
    return _block(
        "record",
        f"record-{argument}",
        f'data-record="{argument}"',
        inner,
        printed.TITLES[argument].capitalize(),
        "",
        f"python -m calc print {argument} --out {argument}.html",
    )


def _compare(argument: str) -> str:
    if argument == "builds":
        second = sheet.load(sheet.example_file("first-attempt"))
        inner = render_compare.builds(compare.beside(_demo(), second, ("demo", "demo")), True)
        label, command = (
            "Two builds",
            "python -m calc compare docs/examples/harvest-cart.toml docs/examples/first-attempt.toml",
        )
    elif argument == "ideas":
        inner = render_compare.ideas(_demo(), compare.ideas(_demo(), "demo"), True)
        label, command = "What each idea buys", "python -m calc compare docs/examples/harvest-cart.toml"
    else:
        raise KeyError(f"there is no comparison “{argument}”; there are builds and ideas")
    return _block("compare", f"compare-{argument}", f'data-compare="{argument}"', inner, label, "", command)


def _example(argument: str) -> str:
    if argument not in EXAMPLES:
        raise KeyError(f"there is no example “{argument}”; there are {', '.join(EXAMPLES)}")
    toml = Path(sheet.example_file(argument)).read_text(encoding="utf-8")
    return (
        f'<p class="ta-buttons"><button type="button" data-example="{argument}">{EXAMPLES[argument]}</button></p>'
        f'<script type="application/toml" id="example-{argument}">\n{toml}</script>'
    )


def _glossary(_argument: str) -> str:
    return render.glossary()


WORDS = {
    "calc": _calc,
    "verdict": _verdict,
    "record": _record,
    "compare": _compare,
    "example": _example,
    "glossary": _glossary,
}


def embed(word: str, argument: str = "") -> str:
    """The HTML that a shortcode stands for. Raises KeyError or InputError (a ValueError) for one that there isn't."""
    if word not in WORDS:
        raise KeyError(f"there is no shortcode “{word}”; there are {', '.join(WORDS)}")
    return units.unparted(WORDS[word](argument))
