"""What makes a page of the book easier to find one's way in: names for its tables, and links between caution, steps
and form. All of it comes from the page's own headings.
"""

from __future__ import annotations

import re
from collections import Counter
from html import escape, unescape

PLACE = re.compile(r'<div data-embed="(\d+)"></div>')
HEADING_OR_TABLE = re.compile(
    r"<h[1-6][^>]*>(?P<heading>.*?)</h[1-6]>|<table>(?P<table>.*?)</table>", re.DOTALL
)
FIRST_CELL = re.compile(r"(<tr>\s*)<td(?P<attributes>[^>]*)>(?P<words>.+?)</td>", re.DOTALL)
CAUTION = re.compile(r'<div class="(admonition [^"]*)">\s*<p class="admonition-title">(.*?)</p>', re.DOTALL)
CHAPTER = re.compile(r'<h2 id="([^"]+)"[^>]*>(.*?)</h2>', re.DOTALL)
LIST_TAG = re.compile(r"<(/?)ol\b[^>]*>")
FORM = re.compile(r'<h2 id="([^"]+-yours)">')
FOOTNOTES = '<div class="footnote">'


def words(html: str) -> str:
    """The text of a piece of HTML, fit for an attribute."""
    return escape(unescape(re.sub(r"<[^>]+>", "", html)).strip())


def name_tables(html: str) -> str:
    """Tables scroll by themselves, are called what their heading says, and each row by its first cell."""
    heading, used = "", Counter[str]()

    def named(match: re.Match[str]) -> str:
        nonlocal heading
        if match["table"] is None:
            heading = words(match["heading"])
            return match[0]
        used[heading] += 1
        name = heading if used[heading] == 1 else f"{heading}, {used[heading]}"
        head, body, rest = match["table"].partition("<tbody>")
        rows = FIRST_CELL.sub(r'\1<th scope="row"\g<attributes>>\g<words></th>', rest)
        return (
            f'<div class="ta-table" role="region" tabindex="0" aria-label="{name}">'
            f'<table><caption class="ta-aside">{name}</caption>{head}{body}{rows}</table></div>'
        )

    return HEADING_OR_TABLE.sub(named, html)


def first_list(html: str) -> tuple[int, int] | None:
    """Where the first numbered list begins and ends, those inside it counted in; None without one."""
    depth, start = 0, 0
    for tag in LIST_TAG.finditer(html):
        if not tag[1]:
            start = start if depth else tag.start()
            depth += 1
        else:
            depth -= 1
            if depth == 0:
                return start, tag.end()
    return None


def ways(html: str, embeds: list[str]) -> str:
    """Links on top to what the page holds, from each form's steps back to the caution, and on to the form."""
    forms = {str(k): found[1] for k, part in enumerate(embeds) if (found := FORM.search(part))}
    if not forms:
        return html
    body, mark, notes = html.partition(FOOTNOTES)
    cautions: list[tuple[str, str]] = []

    def marked(match: re.Match[str]) -> str:
        cautions.append((f"caution-{len(cautions) + 1}", match[2]))
        return match[0].replace("<div ", f'<div id="{cautions[-1][0]}" ', 1)

    body = CAUTION.sub(marked, body)
    parts = PLACE.split(body)  # text, number of an embed, text, …
    before, out = "", parts[0]
    for number, text in zip(parts[1::2], parts[2::2], strict=True):
        out += PLACE.pattern.replace(r"(\d+)", number)
        before = next((i for i, _ in reversed(cautions) if f'id="{i}"' in out), before)
        steps = first_list(text)
        if number in forms and steps:
            start, end = steps
            title = dict(cautions).get(before)
            # The caution in a line above the steps, unless another stands between form and steps.
            first = (
                ""
                if title is None or "admonition" in text[:start]
                else f'Read first: <a href="#{before}">{title}</a>'
            )
            text = (
                text[:start]
                + (f'<p class="ta-jump">{first}</p>\n' if first else "")
                + text[start:end]
                + f'\n<p class="ta-jump"><a href="#{forms[number]}">Enter it under your numbers</a></p>'
                + text[end:]
            )
        out += text
    stops = [(out.index(f'id="{i}"'), i, title) for i, title in cautions[:1]]
    stops += [(m.start(), forms[m[1]], "Your numbers") for m in list(PLACE.finditer(out)) if m[1] in forms][
        :1
    ]
    stops += [(m.start(), m[1], words(m[2])) for m in CHAPTER.finditer(out)]
    links = "".join(f'<li><a href="#{ident}">{title}</a></li>' for _, ident, title in sorted(stops))
    nav = f'\n<nav class="ta-ways" aria-label="On this page" data-search-exclude><ul>{links}</ul></nav>'
    return out.replace("</h1>", f"</h1>{nav}", 1) + mark + notes
