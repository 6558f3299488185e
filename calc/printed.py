"""Sheets to print from the command line: one HTML file that stands by itself."""

from __future__ import annotations

from html import escape

from calc import render, verdict
from calc.errors import InputError, Problem
from calc.fields import near
from calc.sheet import Sheet

SHEETS = ("build-record",)

STYLE = """
body { font: 11pt/1.45 "Atkinson Hyperlegible", "Segoe UI", system-ui, sans-serif; color: #111;
  max-width: 44rem; margin: 1rem auto; padding: 0 1rem }
.ta-big { font-size: 1.6rem; font-weight: 700; margin: 0 }
.ta-big small { font-size: 1rem; font-weight: 400 }
table { border-collapse: collapse; width: 100%; margin: .4rem 0 1rem }
caption { display: none }
th, td { border-bottom: 1px solid #999; text-align: left; padding: .25rem .4rem; vertical-align: top }
h2 { font-size: 1.05rem; margin: 1rem 0 .2rem; break-after: avoid }
tr, .ta-sign { break-inside: avoid }
.ta-findings { padding-left: 0; list-style: none }
.ta-finding > div { display: inline-block; width: 92%; vertical-align: top; margin-left: .4rem }
.ta-finding p { margin: 0 0 .3rem }
.ta-demo { font-weight: 700; border: 2px solid #111; padding: .4rem }
.ta-sign span { display: inline-block; border-bottom: 1px solid #111; min-width: 12rem }
@page { margin: 14mm }
"""


def page(name: str, sheet: Sheet, demo: bool, today: str = "") -> str:
    """A printed sheet as a whole HTML document, with the day on it. Raises InputError for a sheet that there isn't."""
    if name not in SHEETS:
        text = f"there is no sheet of that name.{near(name, list(SHEETS))} There are: {', '.join(SHEETS)}."
        raise InputError([Problem("", name, text)])
    body = render.record(sheet, verdict.judge(sheet), demo, today)
    title = escape(f"{sheet.name}: build record")
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{title}</title><style>{STYLE}</style></head><body><main>{body}</main></body></html>\n"
    )
