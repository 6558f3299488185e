"""Fields as HTML: a calculator's form and the build sheet's, filled in by the page's script from its store."""

from __future__ import annotations

import json
from collections.abc import Iterable
from html import escape

from calc import units
from calc.fields import ALTERNATIVES, BASES, FIELDS, TABLES, Field
from calc.spec import Calculator


def usual(f: Field) -> str:
    """' Usual: 6 to 12 V/krpm.', or '' for a field without a usual range."""
    return f" Usual: {f.usual_range()}." if f.usual_range() else ""


def cells(f: Field) -> str:
    """' On each line: speed (rpm), …' for a table, '' for any other field."""
    if not f.columns:
        return ""
    return f" On each line: {f.allowed().removeprefix('rows of ')}, with commas between."


def field(f: Field, uid: str, is_other: bool = False) -> str:
    """One field of a form. Its id is `uid`-key; the script fills it from the store.

    is_other: it is folded away, and another way to give what is asked for; once it holds something it is shown.
    """
    ident = f"{uid}-{f.key}"
    # A problem's text is put below by the script, and described to a screen reader by the same attribute.
    told = f"{ident}-hint {ident}-problem"
    told = f"{ident}-unit {told}" if f.unit else told
    same = f'id="{ident}" name="{f.key}" aria-describedby="{told}"'
    unit = f'<span class="ta-unit" id="{ident}-unit">{sign(f.unit)}</span>' if f.unit else ""
    if f.kind == "choice":
        options = "".join(f'<option value="{v}">{escape(label)}</option>' for v, label in f.choices)
        box = f'<select {same}><option value="">not entered</option>{options}</select>'
    elif f.kind == "table":
        rows = escape(f.sample().replace("; ", "\n"))
        box = f'<textarea {same} rows="4" placeholder="{rows}" spellcheck="false"></textarea>'
    else:
        number = f.sample().split(" ")[0] if f.kind == "number" else f.sample()
        shown = escape(number.rstrip("°"))
        box = f'<input {same} inputmode="{_mode(f)}" autocomplete="off" placeholder="{shown}">{unit}'
    known = ""
    if f.kind == "number" and any(f.spreads[:3]):  # what somebody wants is known exactly
        buttons = "".join(
            f'<button type="button" role="radio" data-basis="{b}" aria-checked="false" tabindex="{at}">{word}</button>'
            for (b, word), at in zip(BASES.items(), (0, -1, -1), strict=True)
        )
        spread_unit = f' aria-describedby="{ident}-unit"' if f.unit else ""
        which = f'<span class="ta-aside">: {escape(f.label)}</span>'
        known = (
            f'<div class="ta-basis" role="radiogroup" aria-label="How well is it known: {escape(f.label)}">{buttons}'
            f'<small class="ta-assumed" id="{ident}-assumed" hidden>Counts as a guess until you say.</small></div>'
            f'<details class="ta-more"><summary>± more{which}</summary>'
            f'<label for="{ident}-spread"><span>± the furthest you would believe{which}</span></label>'
            f'<input class="ta-spread" id="{ident}-spread" name="{f.key}-spread" inputmode="decimal"'
            f'{spread_unit} autocomplete="off"></details>'
        )
    local = "" if f.table else ' data-stored="no"'
    local += " data-other" if is_other else ""
    if f.columns:
        local += f' data-columns="{len(f.columns)}" data-least="{sum(not c.optional for c in f.columns)}"'
    if len(f.columns) > 1:
        local += f' data-cells="{escape(json.dumps([_cell(c) for c in f.columns], ensure_ascii=False))}"'
    return (
        f'<div class="ta-field" data-field="{f.key}" data-kind="{f.kind}"{local} data-unit="{escape(f.unit)}">'
        f'<label for="{ident}">{escape(f.label)}</label>'
        f'<span class="ta-hint" id="{ident}-hint">{escape(f.how_to_measure + usual(f) + cells(f))}</span>'
        f'<div class="ta-entry">{box}</div><p class="ta-problem" id="{ident}-problem" hidden></p>{known}</div>'
    )


def _cell(c: Field) -> dict[str, object]:
    """What the page's script makes a table's cell from."""
    about: dict[str, object] = {"label": c.label + (", if known" if c.optional else "")}
    if c.kind == "choice":
        return about | {"unit": "", "choices": c.choices}
    return about | {"unit": units.symbol(c.unit), "mode": _mode(c)}


def _mode(f: Field) -> str:
    """The keyboard that a phone shows; its pad of digits may have no ° and no minus."""
    if f.is_slope or f.low < 0:
        return "text"
    return {"number": "decimal", "count": "numeric"}.get(f.kind, "text")


def sign(unit: str) -> str:
    """A unit beside its box as HTML; where its sign reads badly, words for those who listen."""
    shown = escape(units.symbol(unit))
    spoken = units.SPOKEN.get(unit)
    return (
        f'<span aria-hidden="true">{shown}</span><span class="ta-aside">{spoken}</span>' if spoken else shown
    )


def to_answer(answer: str) -> str:
    """The way from a form to its answer, at the form's head. The script gives it its key while the form is used."""
    return (
        f'<p class="ta-jump"><a class="ta-to-answer" href="#{answer}">To the answer</a> '
        '<small class="ta-keys">from anywhere in the form: Alt+A or Alt+Shift+A</small></p>'
    )


def form(c: Calculator, uid: str, answer: str) -> str:
    """A calculator's form: what it asks first, the rest behind one line. answer: the id of where it is answered."""
    first = "".join(field(c.field(key), uid) for key in c.asks)
    other = {
        key
        for way in ALTERNATIVES
        if {way.direct, *way.parts} & set(c.asks)
        for key in (way.direct, *way.parts)
    }
    rest = "".join(field(c.field(key), uid, key in other) for key in c.takes if key not in c.asks)
    return (
        f'<form class="ta-form" novalidate>{to_answer(answer)}{first}<details class="ta-optional">'
        f"<summary>Everything else that counts here</summary>{rest}</details></form>"
    )


def groups(keys: Iterable[str], uid: str, answer: str) -> tuple[str, str]:
    """The build sheet's form, fields grouped by their table under its heading: links to the groups, and the groups."""
    wanted = set(keys)
    out, links = "", []
    for key, title in TABLES.items():
        rows = "".join(field(f, uid) for f in FIELDS.values() if f.table == key and f.key in wanted)
        if rows:
            ident = f"{uid}-group-{key}"
            links.append(f'<a href="#{ident}">{escape(title)}</a>')
            out += (
                f'<fieldset class="ta-group" id="{ident}" data-table="{key}"><legend><h2>{escape(title)}</h2></legend>'
                f'{rows}<p class="ta-jump"><a href="#{answer}">To the verdict</a></p></fieldset>'
            )
    return f'<p class="ta-jump">Your numbers: {" · ".join(links)}</p>', to_answer(answer) + out
