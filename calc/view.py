"""Answers as plain data in display units: what the command line prints as JSON and what is shown."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc import units
from calc.answer import Answer
from calc.build import Input
from calc.entries import Entry
from calc.fields import FIELDS, Field
from calc.spec import MOST_ROWS, Calculator, Result

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
