"""The verdict and the build record as HTML, and what a sheet says of them on top."""

from __future__ import annotations

from collections import Counter
from html import escape

from calc import bars, view, view_verdict
from calc.checks import NOT_JUDGED, Judged
from calc.fields import FIELDS, TABLES
from calc.figures.drawings import margins, percent
from calc.render import DEMO, DEMO_NOTE, MARKS, findings, known_by, mark, table
from calc.sheet import Sheet
from calc.verdict import Verdict


def lever(j: Judged) -> str:
    """The one change that mends a check; '' when there is none, or it wasn't looked for yet."""
    return f'<span class="ta-act">Or</span> {escape(j.lever.text)}' if j.lever else ""


def judged(j: Judged) -> str:
    """One check of the verdict, with a slot for its lever."""
    margin = "" if j.margin is None else f"Margin {percent(j.margin)}. "
    holds = (
        f'<p class="ta-chance">{margin}{view_verdict.chance(j)}</p>'
        if margin or view_verdict.chance(j)
        else ""
    )
    act = f'<p class="ta-do"><span class="ta-act">Do</span> {escape(j.do)}</p>' if j.do else ""
    return (
        f'<li class="ta-check" data-severity="{j.severity}" data-check="{j.check.id}">{mark(j.severity)}'
        f'<div><p class="ta-line"><strong>{escape(j.check.title)}</strong> '
        f'<span class="ta-word">{j.severity}</span></p><p>{escape(j.text)}</p>{holds}{act}'
        f'<p class="ta-lever" data-lever="{j.check.id}">{lever(j)}</p></div></li>'
    )


def link(key: str, words: str = "") -> str:
    """A field's label, or words, as a link to its place on the build sheet; the page's script knows where that is."""
    return f'<a data-field="{key}" href="#sheet-{key}">{escape(words or FIELDS[key].label)}</a>'


def waiting(v: Verdict, home: bool) -> str:
    """One entry for all checks that can't be told yet: what to enter first, and folded away all that they wait for.

    home: on the home page, where its own questions come first.
    """
    count, names, keys = view_verdict.waiting(v)
    if not count:
        return ""
    still = (
        [link(key, f"question {number}") for number, key in view_verdict.open_questions(v.build)]
        if home
        else []
    )
    if still:
        do = f"Answer first: {view_verdict.listed(still)}."
    else:
        by_table = Counter(FIELDS[key].table for key in keys)
        links = (
            f'<a data-group="{table}" href="#sheet-group-{table}">{escape(title)} ({by_table[table]})</a>'
            for table, title in TABLES.items()
            if by_table[table]
        )
        do = f"Enter, on the build sheet: {', '.join(links)}."
    every = "".join(f"<li>{link(key)}</li>" for key in keys)
    waits = escape("; ".join(names))
    return (
        f'<li class="ta-check" data-severity="caution" data-check="waiting">{mark("caution")}'
        f'<div><p class="ta-line"><strong>{count}</strong> <span class="ta-word">caution</span></p>'
        f'<p class="ta-do"><span class="ta-act">Do</span> {do}</p>'
        f"<details><summary>Which they are</summary><p>Can't be told yet: {waits}.</p>"
        f"<p>They wait for:</p><ul>{every}</ul></details></div></li>"
    )


SEVERITIES = (
    "ok: of 100 builds like yours 95 or more hold. stop: fewer than 50, or safety is in doubt; where only a bound is "
    "known, over it is a caution. What you haven't "
    "entered is taken from its usual range, so a stop may mean: measure first."
)


def verdict(v: Verdict, uid: str, demo: bool, home: bool = False) -> str:
    """The whole-build verdict; home: as the home page shows it, with fewer entries named and the words explained."""
    told = [j for j in v.checks if not j.missing]
    words = {"stop": "to mend first", "caution": "to look at", "ok": "ok"}
    counted = {word: sum(j.severity == severity for j in told) for severity, word in words.items()}
    counted["waiting"] = len(v.checks) - len(told)
    counts = ", ".join(f"{number} {word}" for word, number in counted.items() if number or word == "ok")
    held = [
        (j.check.title, j.severity, j.margin) for j in view_verdict.worst_first(told) if j.margin is not None
    ]
    figure = f'<figure class="ta-figure">{margins(f"{uid}-m", held)}</figure>' if held else ""
    items = []
    for n in v.measure_next:
        doubt = f" <span>{n.share * 100:.0f} % of the doubt</span>" if n.share is not None else ""
        how = escape(FIELDS[n.field].how_to_measure)
        items.append(
            f"<li><strong>{link(n.field)}</strong>{doubt}<br>{how}<br>For: {escape(view_verdict.purpose(n))}.</li>"
        )
    most = 3 if home else view_verdict.NAMED
    nxt = (
        f'<h3>Worth adding or measuring next</h3><ol class="ta-next">{"".join(items[:most])}</ol>'
        if items
        else ""
    )
    if items[most:] and not home:
        rest = f'<ol class="ta-next" start="{most + 1}">{"".join(items[most:])}</ol>'
        nxt += f"<details><summary>And {len(items) - most} more</summary>{rest}</details>"
    return (
        f'<p class="ta-big">{view_verdict.headline(v)} <small>{escape(v.name)}: {counts}</small></p>'
        + (f'<p class="ta-note">{SEVERITIES}</p>' if home else "")
        + findings(v.findings)
        + f'<ul class="ta-checks">{"".join(map(judged, view_verdict.worst_first(told)))}'
        + f"{waiting(v, home)}</ul>"
        + f"{figure}{nxt}"
        + f'<p class="ta-note">Not judged here: {NOT_JUDGED}.</p>'
        + (f'<p class="ta-note">{DEMO_NOTE}</p>' if demo else "")
    )


def _named(names: list[str], most: int) -> str:
    """Names in a line, `most` of them (0: all), the rest counted."""
    more = len(names) - most if most else 0
    return escape("; ".join([*names[:most], f"and {more} more"] if more > 0 else names))


def _before(v: Verdict, sheet: str = "") -> str:
    """What is not to be done before it is mended, in a sentence."""
    what = bars.words(v, sheet)
    unplugged = (
        " The pack stays unplugged from the drive." if sheet not in bars.BARS and "powered" in what else ""
    )
    return f"Not to be {view_verdict.listed(what, 'or')} before.{unplugged}"


def on_top(v: Verdict, sheet: str = "", most: int = 0) -> str:
    """On top of what is printed: what is to be mended first, and what guards and isn't judged yet; '' where nothing is.

    sheet: the name of one sheet, on which stands what bars it, and how much there is beside. most: stops named there,
    which is one page; half as many checks that wait.
    """
    stopped, waits = bars.stops(v, sheet), bars.unjudged(v, sheet)
    beside = len(bars.stops(v)) - len(stopped)
    told = []
    if stopped:
        told.append(f"NOT YET: {len(stopped)} to mend first. {_before(v, sheet)} {_named(stopped, most)}.")
    if waits:
        told.append(f"Not judged yet, for want of entries: {_named(waits, most // 2)}.")
    if beside:
        told.append(f"Beside this sheet {beside} more to mend.{'' if stopped else f' {_before(v)}'}")
    if sheet and told:
        told.append("See the build record.")
    return f'<p class="ta-demo">{" ".join(told)}</p>' if told else ""


def record(sheet: Sheet, v: Verdict, demo: bool, today: str = "") -> str:
    """The build record to print: every entry with its spread and basis, every check, and room to sign.

    today: the day to be printed on it, in words; '' for none.
    """
    tables = ""
    for key, title in TABLES.items():
        rows = [
            (f.label, view.shown(f, e), known_by(f, e.basis))
            for f in FIELDS.values()
            if f.table == key and (e := sheet.entries.get(f.key))
        ]
        if rows:
            tables += f"<h2>{escape(title)}</h2>" + table(title, ("Quantity", "Value", "Known by"), rows)
    warning = (DEMO if demo else "") + on_top(v)
    told, held = ([j for j in v.checks if bool(j.missing) is waits] for waits in (False, True))
    checks = [
        (f"{MARKS[j.severity]}\N{NO-BREAK SPACE}{j.check.title}", j.severity, j.text, j.do)
        for j in view_verdict.worst_first(told)
    ]
    if held:
        needed = dict.fromkeys(FIELDS[key].label for j in held for key in j.missing)
        names = "; ".join(j.check.title for j in held)
        checks.append(
            (f"{MARKS['caution']} Can't be told yet", "caution", names, f"Enter {'; '.join(needed)}.")
        )
    printed = f", printed {escape(today)}" if today else ""
    return (
        f'{warning}<p class="ta-big">{escape(sheet.name)} <small>build record{printed}</small></p>'
        + findings(v.findings)
        + f'<div class="ta-judged">{table("Verdict", ("Check", "Severity", "Found", "What to do"), checks)}</div>'
        + f"<p>Not judged: {NOT_JUDGED}.</p>"
        "<p>A verdict on paper. It does not replace the first power-up, the stand test and a licensed check where "
        "local rules ask for one.</p>"
        '<p class="ta-sign">Measured by: <span></span> Date: <span></span></p>' + tables
    )
