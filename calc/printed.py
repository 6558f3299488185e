"""Sheets to print, filled in from a build: what is on each, and the one HTML file that the command line writes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from html import escape

from calc import checklists, circuit, render_verdict, units, verdict
from calc.answer import evaluate
from calc.build import enter
from calc.calculators.machine import SENSOR_SLOTS, chosen_slots
from calc.errors import InputError, Problem
from calc.fields import FIELDS, near
from calc.figures.template import Mark, sheets
from calc.machine import placing, sensors, winding
from calc.sheet import Sheet

STYLE = """
body { font: 11pt/1.45 "Atkinson Hyperlegible", "Segoe UI", system-ui, sans-serif; color: #111;
  max-width: 44rem; margin: 1rem auto; padding: 0 1rem }
.ta-big { font-size: 1.6rem; font-weight: 700; margin: 0 }
.ta-big small { font-size: 1rem; font-weight: 400 }
table { border-collapse: collapse; width: 100%; margin: .4rem 0 1rem }
caption { display: none }
th, td { border-bottom: 1px solid #999; text-align: left; padding: .25rem .4rem; vertical-align: top }
tbody th { font-weight: 400 }
h2 { font-size: 1.05rem; margin: 1rem 0 .2rem; break-after: avoid }
tr, .ta-sign { break-inside: avoid }
.ta-findings { padding-left: 0; list-style: none }
.ta-finding > div { display: inline-block; width: 92%; vertical-align: top; margin-left: .4rem }
.ta-finding p { margin: 0 0 .3rem }
.ta-demo { font-weight: 700; border: 2px solid #111; padding: .4rem }
.ta-groups { display: grid; grid-template-columns: repeat(8, 1fr); gap: 1mm; font-size: .8em }
.ta-groups span { border: 1px solid #111; padding: 0 1mm 3.5mm }
.ta-checklist :is(th, td):last-child { width: 30mm }
.ta-judged table { table-layout: fixed }
.ta-judged :is(th, td):first-child { width: 32mm }
.ta-judged :is(th, td):nth-child(2) { width: 20mm }
.ta-sign span { display: inline-block; border-bottom: 1px solid #111; min-width: 12rem }
.ta-tile svg { display: block }
.ta-checklist { font-size: .88em; line-height: 1.26 }
.ta-checklist :is(th, td) { padding: .13rem .4rem }
.ta-checklist p { margin: .25rem 0 }
.ta-figure { margin: 0; break-inside: avoid }
.ta-figure svg { width: 100%; max-height: 11.5cm }
.ta-circuit .ta-figure svg { max-height: 19cm }
.ta-circuit table { break-before: page }
.f-line { fill: none; stroke: #111; stroke-width: 2.2 }
.f-thin { fill: none; stroke: #111; stroke-width: 1.2 }
.f-box { fill: #fff; stroke: #111; stroke-width: 1.4 }
.f-fill { fill: #111 }
.f-text { font: 13px "Atkinson Hyperlegible", "Segoe UI", sans-serif }
.f-tag { font: 700 14px "Atkinson Hyperlegible", "Segoe UI", sans-serif }
@page { margin: 14mm }
@media print {
  body { max-width: none; margin: 0; padding: 0 }
  .ta-tile { break-inside: avoid }
  .ta-tile + .ta-tile { break-before: page }
  .ta-screen { display: none }
}
"""


def _build_record(sheet: Sheet, source: str, today: str) -> str:
    return render_verdict.record(sheet, verdict.judge(sheet, source), source == "demo", today)


def _sensor_template(sheet: Sheet, source: str, today: str) -> str:
    """The paper template, or what must be entered before there can be one."""
    build = evaluate(SENSOR_SLOTS, [(source, sheet.entries)]).build
    values = build.nominal()
    count, pairs, span, layers = (
        round(float(values[key])) for key in ("slots", "pole_pairs", "coil_span", "layers")
    )
    wound, slots = (count, pairs, span, layers, values["connection"]), chosen_slots(values)
    lines = [f"{FIELDS[key].label}: {enter(key)}" for key in build.missing("bore_diameter")]
    if "connection" not in build.entered:  # a delta's sensors sit elsewhere than a star's
        lines.append(
            f"{FIELDS['connection'].label}: {enter('connection')} {FIELDS['connection'].how_to_measure}"
        )
    if slots:
        lines.append(sensors.sensors_reason(count, pairs, slots, values["sensor_spacing"]))
    else:
        lines.append(f"No three slots of {count} make a set with {pairs} pole pairs.")
    lines.append(winding.fault(*wound[:4]))
    if any(lines):
        items = "".join(f"<li>{escape(line)}</li>" for line in lines if line)
        return (
            '<p class="ta-big">No template yet</p><p>A template that is wrong is worse than none.</p>'
            f"<ul>{items}</ul>"
        )
    bore = float(values["bore_diameter"])
    shifts = [float(shift) * 1000.0 for shift in placing.along_bore(*wound, slots, bore)]
    kind = placing.kinds_of_slots(*wound)
    marks = [Mark(str(k), slot, shift) for k, (slot, shift) in enumerate(zip(slots, shifts, strict=True), 1)]
    if kind == "mirrored":
        marks += [mark._replace(offset=-mark.offset, other=True) for mark in marks]
    words = [
        f"Bore {units.show(bore, 'mm', 4)}, {count} slots, {pairs} pole pairs, {wound[4]}, coil span {span}; sensors "
        f"in slots {', '.join(map(str, slots))}.{f' Printed {today}.' if today else ''}",
        "Seen from the slip-ring end, forward clockwise. Is it anticlockwise there? Turn the sheet over and trace.",
        _where(shifts, bore * 1000.0 * math.pi / count),
        KINDS[kind],
        "Pack and field supply off, brushes lifted, rotor out. Laminations cut: gloves. Before power, a turn by hand: "
        "nothing may touch the rotor.",
    ]
    stamp = "DEMO VALUES, not yours" if source == "demo" else ""
    tiles = sheets("template", sheet.name, count, bore * 1000.0, marks, [w for w in words if w], stamp)
    body = "".join(f'<div class="ta-tile">{tile}</div>' for tile in tiles)
    several = f" {len(tiles)} sheets: cut along the dashes, lay cross on cross." if len(tiles) > 1 else ""
    return (
        '<p class="ta-screen">Smaller than life on a narrow screen. True to scale in print, at 100 %, on A4 or Letter.'
        f"{several}</p>{body}"
    )


# What the count of slots leaves open about slot 0: see calc.machine.placing.
KINDS = {
    "alike": "",
    "either": "As far on the other side does as well: the leads are matched later.",
    "mirrored": "Slots of two kinds; some want the dashed place. The one with less current at the same speed is right.",
    "better": "Slots of two kinds: if the motor takes much current for its speed, move all three one slot on.",
}


def _where(shifts: Sequence[float], pitch: float) -> str:
    """Where the sensors sit in words; shifts and pitch of the slots in mm."""
    if max(map(abs, shifts)) < 0.1:
        return "Each sensor in the middle of its slot."
    if max(shifts) - min(shifts) > 0.05:
        each = ", ".join(f"S{k} {shift:+.1f}".replace("-", "−") for k, shift in enumerate(shifts, 1))
        text = f"From the middle of their slots, in mm, + with the arrow: {each}."
    else:
        way = "against" if shifts[0] < 0 else "with"
        text = f"Each sensor {abs(shifts[0]):.1f} mm {way} the arrow from its slot's middle: the timing is right there."
    over = (
        " That is over a tooth: keep to slots, or a carrier beside the iron."
        if max(map(abs, shifts)) > 0.35 * pitch
        else ""
    )
    return text + over


SHEETS: dict[str, Callable[[Sheet, str, str], str]] = {
    "build-record": _build_record,
    "sensor-template": _sensor_template,
    "circuit": circuit.body,
    **{name: partial(checklists.body, name) for name in checklists.checklists()},
}
TITLES = {
    "build-record": "build record",
    "sensor-template": "sensor template",
    "circuit": "power circuit",
    **{name: one["title"] for name, one in checklists.checklists().items()},
}


def body(name: str, sheet: Sheet, source: str, today: str = "") -> str:
    """What stands on a sheet to print, as HTML. source: "sheet" or "demo". Raises InputError for one there isn't."""
    if name not in SHEETS:
        text = f"there is no sheet of that name.{near(name, list(SHEETS))} There are: {', '.join(SHEETS)}."
        raise InputError([Problem("", name, text)])
    return units.unparted(SHEETS[name](sheet, source, today))


def page(name: str, sheet: Sheet, demo: bool, today: str = "") -> str:
    """A printed sheet as a whole HTML document, with the day on it. Raises InputError for a sheet that there isn't."""
    inner = body(name, sheet, "demo" if demo else "sheet", today)
    title = escape(f"{sheet.name}: {TITLES[name]}")
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{title}</title><style>{STYLE}</style></head><body><main>{inner}</main></body></html>\n"
    )
