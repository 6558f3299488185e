"""Sheets to print, filled in from a build: what is on each, and the one HTML file that the command line writes."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from calc import figures, render, units, verdict
from calc.build import enter
from calc.calculators.machine import SENSOR_SLOTS, chosen_slots
from calc.errors import InputError, Problem
from calc.fields import FIELDS, near
from calc.sheet import Sheet
from calc.spec import evaluate

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
.ta-tile svg { display: block }
@page { margin: 14mm }
@media print {
  body { max-width: none; margin: 0; padding: 0 }
  .ta-tile { break-inside: avoid }
  .ta-tile + .ta-tile { break-before: page }
  .ta-screen { display: none }
}
"""


def _build_record(sheet: Sheet, source: str, today: str) -> str:
    return render.record(sheet, verdict.judge(sheet, source), source == "demo", today)


def _sensor_template(sheet: Sheet, source: str, today: str) -> str:
    """The paper template, or what must be entered before there can be one."""
    answer = evaluate(SENSOR_SLOTS, [(source, sheet.entries)])
    missing = answer.build.missing("bore_diameter")
    slots = chosen_slots(answer.build.nominal())
    stops = [f.text for f in answer.findings if f.severity == "stop"]
    if missing or stops or not slots:
        lines = [f"{FIELDS[key].label}: {enter(key)}" for key in missing] + stops
        items = "".join(f"<li>{escape(line)}</li>" for line in lines)
        return (
            '<p class="ta-big">No template yet</p><p>A template at a wrong scale is worse than none.</p>'
            f"<ul>{items}</ul>"
        )
    values = answer.build.nominal()
    bore, count = float(values["bore_diameter"]), round(float(values["slots"]))
    error = answer.results["alignment_error"] or 0.0
    # Late sensors move against the rotation, by the error as an angle of the shaft.
    offset = -error / round(float(values["pole_pairs"])) * bore / 2.0
    marks = [figures.Mark(str(k), slot, offset * 1000.0) for k, slot in enumerate(slots, 1)]
    words = [
        f"Bore {units.show(bore, 'mm', 4)}, {count} slots, {round(float(values['pole_pairs']))} pole pairs, "
        f"{values['connection']}; sensors in slots {', '.join(map(str, slots))}.",
        "Lay it on the end of the stator, slots on ticks, where the arrow is the rotor's forward way.",
        "Sensors in the middle of their slots."
        if abs(offset) < 1e-4
        else f"Sensors {units.show(abs(offset), 'mm', 2)} from the middle of their slots, "
        f"{'against' if offset < 0 else 'with'} the arrow: there the timing is right.",
    ]
    if source == "demo":
        words.append("DEMO VALUES: an invented machine, not yours.")
    elif today:
        words.append(f"Printed {today}.")
    tiles = figures.sheets("template", sheet.name, count, bore * 1000.0, marks, words)
    body = "".join(f'<div class="ta-tile">{tile}</div>' for tile in tiles)
    several = f" {len(tiles)} sheets: lay cross on cross." if len(tiles) > 1 else ""
    return f'<p class="ta-screen">True to scale in print at 100 % only, on A4 or Letter.{several}</p>{body}'


SHEETS: dict[str, Callable[[Sheet, str, str], str]] = {
    "build-record": _build_record,
    "sensor-template": _sensor_template,
}
TITLES = {"build-record": "build record", "sensor-template": "sensor template"}


def body(name: str, sheet: Sheet, source: str, today: str = "") -> str:
    """What stands on a sheet to print, as HTML. source: "sheet" or "demo". Raises InputError for one there isn't."""
    if name not in SHEETS:
        text = f"there is no sheet of that name.{near(name, list(SHEETS))} There are: {', '.join(SHEETS)}."
        raise InputError([Problem("", name, text)])
    return SHEETS[name](sheet, source, today)


def page(name: str, sheet: Sheet, demo: bool, today: str = "") -> str:
    """A printed sheet as a whole HTML document, with the day on it. Raises InputError for a sheet that there isn't."""
    inner = body(name, sheet, "demo" if demo else "sheet", today)
    title = escape(f"{sheet.name}: {TITLES[name]}")
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{title}</title><style>{STYLE}</style></head><body><main>{inner}</main></body></html>\n"
    )
