"""Fields as HTML: a calculator's form and the build sheet's, filled in by the page's script from its store."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from calc import units
from calc.fields import BASES, FIELDS, TABLES, Field
from calc.spec import Calculator


def usual(f: Field) -> str:
    """' Usual: 6 to 12 V/krpm.', or '' for a field without a usual range."""
    return f" Usual: {f.usual_range()}." if f.usual_range() else ""


def cells(f: Field) -> str:
    """' On each line: speed (rpm), …' for a table, '' for any other field."""
    if not f.columns:
        return ""
    return f" On each line: {f.allowed().removeprefix('rows of ')}, with commas between."


def field(f: Field, uid: str) -> str:
    """One field of a form. Its id is `uid`-key; the script fills it from the store."""
    ident = f"{uid}-{f.key}"
    # A problem's text is put below by the script, and described to a screen reader by the same attribute.
    same = f'id="{ident}" name="{f.key}" aria-describedby="{ident}-hint {ident}-problem"'
    unit = f'<span class="ta-unit">{escape(units.symbol(f.unit))}</span>' if f.unit else ""
    if f.kind == "choice":
        options = "".join(f'<option value="{v}">{escape(label)}</option>' for v, label in f.choices)
        box = f'<select {same}><option value="">not entered</option>{options}</select>'
    elif f.kind == "table":
        rows = escape(f.sample().replace("; ", "\n"))
        box = f'<textarea {same} rows="4" placeholder="{rows}" spellcheck="false"></textarea>'
    else:
        mode = {"number": "decimal", "count": "numeric"}.get(f.kind, "text")
        mode = "text" if f.is_slope else mode  # a phone's pad of digits has no °
        number = f.sample().split(" ")[0] if f.kind == "number" else f.sample()
        box = f'<input {same} inputmode="{mode}" autocomplete="off" placeholder="{escape(number.rstrip("°"))}">{unit}'
    known = ""
    if f.kind == "number" and any(f.spreads[:3]):  # what somebody wants is known exactly
        buttons = "".join(
            f'<button type="button" data-basis="{b}" aria-pressed="false">{word}</button>'
            for b, word in BASES.items()
        )
        known = (
            f'<div class="ta-basis" role="group" aria-label="How well is it known: {escape(f.label)}">{buttons}'
            f'<small class="ta-assumed" id="{ident}-assumed" hidden>Counts as a guess until you say.</small></div>'
            f'<details class="ta-more"><summary>± more</summary>'
            f'<label for="{ident}-spread">± the furthest you would believe</label>'
            f'<input class="ta-spread" id="{ident}-spread" name="{f.key}-spread" inputmode="decimal"'
            ' autocomplete="off"></details>'
        )
    local = "" if f.table else ' data-stored="no"'
    if f.columns:
        local += f' data-columns="{len(f.columns)}" data-least="{sum(not c.optional for c in f.columns)}"'
    return (
        f'<div class="ta-field" data-field="{f.key}" data-kind="{f.kind}"{local} data-unit="{escape(f.unit)}">'
        f'<label for="{ident}">{escape(f.label)}</label>'
        f'<span class="ta-hint" id="{ident}-hint">{escape(f.how_to_measure + usual(f) + cells(f))}</span>'
        f'<div class="ta-entry">{box}</div>{known}<p class="ta-problem" id="{ident}-problem" hidden></p></div>'
    )


def form(c: Calculator, uid: str) -> str:
    """A calculator's form: what it asks first, the rest behind one line."""
    first = "".join(field(c.field(key), uid) for key in c.asks)
    rest = "".join(field(c.field(key), uid) for key in c.takes if key not in c.asks)
    return (
        f'<form class="ta-form" novalidate>{first}<details class="ta-optional">'
        f"<summary>Everything else that counts here</summary>{rest}</details></form>"
    )


def groups(keys: Iterable[str], uid: str) -> str:
    """Fields grouped by their table, each under its heading, with links on top: the build sheet's form."""
    wanted = set(keys)
    out, links = "", []
    for key, title in TABLES.items():
        rows = "".join(field(f, uid) for f in FIELDS.values() if f.table == key and f.key in wanted)
        if rows:
            ident = f"{uid}-group-{key}"
            links.append(f'<a href="#{ident}">{escape(title)}</a>')
            out += (
                f'<fieldset class="ta-group" id="{ident}" data-table="{key}"><legend>{escape(title)}</legend>'
                f"{rows}</fieldset>"
            )
    return f'<p class="ta-jump">{" · ".join(links)}</p>{out}'
