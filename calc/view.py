"""Answers and verdicts as plain data in display units: what the command line prints as JSON and what is shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from calc import units
from calc.answer import Answer
from calc.build import Build, Input
from calc.checks import NOT_JUDGED, Check, Judged
from calc.doubt import Next
from calc.entries import Entry
from calc.fields import FIELDS, QUESTIONS, Field
from calc.findings import WORST
from calc.spec import MOST_ROWS, Calculator, Result
from calc.told import few
from calc.verdict import Verdict

NOT_TOLD, NOT_ENTERED = "not told", "not entered"
"""What stands, for reading, in place of a result that there is none of, and of an entry that isn't made."""


def number(si: Any, unit: str) -> float:
    """An SI number in `unit`, clean of the last digits' noise from changing units."""
    return float(f"{float(units.from_si(si, unit)):.12g}")


def value(field: Field, si: Any) -> Any:
    """A field's value in its display unit: number, text, list, or list of rows."""
    if field.kind == "number":
        return number(si, field.unit)
    if field.kind == "count":
        return round(float(si))
    if field.kind == "table":
        return [
            {
                c.key: number(cell, c.unit) if c.kind == "number" and cell is not None else cell
                for c, cell in zip(field.columns, row, strict=True)
            }
            for row in si
        ]
    return list(si) if field.kind == "list" else si


def inputs(answer: Answer) -> dict[str, dict[str, Any]]:
    """Every input used: {field: {value, unit, spread, basis, from}}, computed ones too."""
    out = {}
    for item in answer.inputs:
        f = FIELDS[item.key]
        spread = item.spread / units.TABLE[f.unit][0] if f.kind == "number" else 0.0
        out[item.key] = {
            "value": value(f, item.value),
            "unit": f.unit,
            "spread": float(f"{spread:.12g}") or None,
            "basis": item.basis or None,
            "from": item.source,
        }
        if f.kind == "table":
            out[item.key]["columns"] = {c.key: c.unit for c in f.columns}
    return out


def plain(value_: Any) -> Any:
    """numpy's numbers as Python's own."""
    return value_.item() if isinstance(value_, np.generic) else value_


def result(spec: Result, si: Any) -> dict[str, Any]:
    """One result as {value, unit}, a table with its columns' units."""
    if si is None:
        return {"value": None, "unit": spec.unit}
    if spec.columns:
        rows = [
            {
                c.key: number(row[c.key], c.unit) if c.unit and row[c.key] is not None else plain(row[c.key])
                for c in spec.columns
            }
            for row in si
        ]
        return {"value": rows, "unit": "", "columns": {c.key: c.unit for c in spec.columns}}
    if isinstance(si, (bool, np.bool_)):
        return {"value": bool(si), "unit": ""}
    if isinstance(si, str):
        return {"value": si, "unit": ""}
    return {"value": number(si, spec.unit), "unit": spec.unit}


def untold(a: Answer, spec: Result) -> str:
    """What stands in place of a result that is None: what that means, else that it can't be told."""
    return (spec.nothing if spec.key in a.told else "") or NOT_TOLD


def answer(a: Answer) -> dict[str, Any]:
    """The JSON of `run`."""
    return {
        "calculator": a.calculator.id,
        "inputs": inputs(a),
        "results": {r.key: result(r, a.results[r.key]) for r in a.calculator.gives},
        "findings": [{"severity": f.severity, "text": f.text, "do": f.do} for f in a.findings],
    }


def verdict(v: Verdict) -> dict[str, Any]:
    """The JSON of `check`."""
    return {
        "build": v.name,
        "severity": v.severity,
        "checks": [
            {
                "id": j.check.id,
                "severity": j.severity,
                "margin": j.margin,
                "chance": j.chance,
                "text": j.text,
                "do": j.do,
                "lever": {
                    "field": j.lever.field,
                    "value": number(j.lever.value, FIELDS[j.lever.field].unit),
                    "unit": FIELDS[j.lever.field].unit,
                    "text": j.lever.text,
                }
                if j.lever
                else None,
            }
            for j in v.checks
        ],
        "not_judged": NOT_JUDGED,
        "measure_next": [
            {"field": n.field, "share": n.share, "checks": [check.id for check in n.checks]}
            for n in v.measure_next
        ],
        "findings": [{"severity": f.severity, "text": f.text, "do": f.do} for f in v.findings],
    }


def calculator(c: Calculator) -> dict[str, Any]:
    """One row of `list --json`."""
    return {
        "id": c.id,
        "title": c.title,
        "question": c.question,
        "takes": [field(c.field(key)) for key in c.takes],
        "gives": [
            {"result": r.key, "label": r.label, "unit": r.unit}
            | ({"columns": {col.key: col.unit for col in r.columns}} if r.columns else {})
            for r in c.gives
        ],
    }


def field(f: Field) -> dict[str, Any]:
    """A field's declaration: what may be entered, in which unit and order of cells."""
    out: dict[str, Any] = {
        "field": f.key,
        "label": f.label,
        "kind": f.kind,
        "unit": f.unit,
        "units": list(f.units),
        "allowed": f.allowed(),
        "example": f.sample(),
    }
    if f.columns:
        out["columns"] = {c.key: c.unit for c in f.columns}
    return out


def shown(f: Field, item: Input | Entry) -> str:
    """An input as people read it, with its spread: '75 kg ± 2 kg'."""
    if f.kind == "number":
        text = units.show(item.value, f.unit)
        spread = units.plain(item.spread / units.TABLE[f.unit][0], 2)
        return (
            f"{text} ± {spread}" + ("" if f.unit in ("", "deg") else f" {units.symbol(f.unit)}")
            if item.spread
            else text
        )
    if f.kind == "table":
        rows = "; ".join(
            ", ".join(
                x if isinstance(x, str) else units.show(x, c.unit)
                for c, x in zip(f.columns, row, strict=True)
                if x is not None
            )
            for row in item.value[:MOST_ROWS]
        )
        return rows + (f"; … {len(item.value)} rows in all" if len(item.value) > MOST_ROWS else "")
    if f.kind == "list":
        return ", ".join(str(x) for x in item.value)
    return dict(f.choices).get(str(item.value), str(item.value))


def open_questions(build: Build) -> list[tuple[int, str]]:
    """The home page's questions that nothing in the build answers yet: number, and the first field still to fill."""
    found = []
    for number, (_, keys) in enumerate(QUESTIONS, 1):
        empty = [k for k in keys if build.missing(k) or (build.is_leaf(k) and k not in build.entered)]
        found += [(number, empty[0])] if empty else []
    return found


def listed(words: Sequence[str]) -> str:
    """'two, three and six'."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _inside(check: Check) -> str:
    """A check's title inside a sentence."""
    return check.title[:1].lower() + check.title[1:]


def purpose(n: Next) -> str:
    """The checks that an entry is worth making for, in a line."""
    return few([_inside(check) for check in n.checks])


SUMMARY = {"ok": "On paper this build works", "caution": "On paper it may work", "stop": "Not yet"}


def headline(v: Verdict) -> str:
    """The verdict in a few words. Until half of the checks can be told, only a stop is worth calling a verdict."""
    told = sum(not j.missing for j in v.checks)
    if 2 * told <= len(v.checks) and v.severity != "stop":
        return "Too little to tell yet"
    waits = v.severity != "stop" and any(j.missing and j.check.safety for j in v.checks)
    return f"{SUMMARY[v.severity]}; what guards you isn't all judged yet" if waits else SUMMARY[v.severity]


NAMED = 5
"""How many of the entries worth measuring next are named at once."""


def worst_first(judged: Iterable[Judged]) -> list[Judged]:
    """Checks as they are read: what stops, then what to look at, then what is well."""
    return sorted(judged, key=lambda j: -WORST[j.severity])


def waiting(v: Verdict) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """How many checks can't be told yet, which, and the fields they wait for, those of safety first; '' for none."""
    held = [j for j in v.checks if j.missing]
    keys = dict.fromkeys(key for j in sorted(held, key=lambda j: not j.check.safety) for key in j.missing)
    count = "1 check waits for entries" if len(held) == 1 else f"{len(held)} checks wait for entries"
    names = tuple(_inside(j.check) for j in held)
    return count if held else "", names, tuple(keys)


def chance(judged: Judged) -> str:
    """How often the check holds, in words; '' where there is no chance to tell, or a yes or no."""
    share = judged.chance
    if share is None or judged.check.kind == "flag":
        return ""
    if share in (0.0, 1.0):
        return (
            "Holds in more than 99.8 % of builds like yours."
            if share
            else "Holds in fewer than 0.2 % of builds like yours."
        )
    return f"Holds in {min(max(share * 100, 0.1), 99.9):.3g} of 100 builds like yours."
