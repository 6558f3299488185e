"""Rows of a table as they come: typed, pasted from a spreadsheet, from a TOML file; cut into cells, none read yet."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from calc import units
from calc.fields import Field

DECIMAL_COMMA = re.compile(r"^([+\-−]?\d*),(\d)")


def cut(field: Field, given: Any) -> list[list[Any]]:
    """The rows of 'a, b; c, d', of lines with tabs between their cells, or of TOML's array of tables.

    Columns that are named on top may stand in any order, with their units, between others that are passed over
    (`passed_over`); then cells are parted as the names are, by tabs, semicolons or commas. Other lines of words on top
    and empty cells beyond the last column are left out; a cell that TOML doesn't name is ''. Raises InputError for
    columns that there aren't and for what has no rows.
    """
    names = [c.key for c in field.columns]
    if isinstance(given, str):
        if head := _head(field, given):
            return _under(field, head, given)
        lines = [line.strip(" ") for line in re.split(r"[;\n]", given) if line.strip()]
        rows = [_trimmed(_cells(field, line), len(names)) for line in lines]
        return rows[1:] if rows and _is_head(field, rows[0]) else rows
    if isinstance(given, (list, tuple)) and all(isinstance(row, dict) for row in given):
        wrong = sorted({key for row in given for key in row} - set(names))
        if wrong:
            raise field.refuse(", ".join(wrong), f"isn't a column; the columns are {', '.join(names)}")
        return [[row.get(name, "") for name in names] for row in given]
    raise field.refuse(given, "can't be read as rows")


class _Head(NamedTuple):
    """Names on top: what parts their cells, and for each the column (None: not one of ours) and its unit."""

    mark: str
    columns: list[tuple[Field | None, str]]
    words: list[str]


def _lines(text: str) -> list[str]:
    return [
        line.strip(" \r") for line in re.split("\n" if "\n" in text.strip() else ";", text) if line.strip()
    ]


def _head(field: Field, text: str) -> _Head | None:
    """The names on top of pasted columns; None where the first line holds none of ours, or values."""
    first = next(iter(_lines(text)), "")
    mark = next((m for m in "\t;" if m in first), ",")
    words = [word.strip().strip('"') for word in first.split(mark)]
    columns = [_column(field, word) for word in words]
    if not any(column for column, _ in columns) or _in_place(field, columns):
        return None
    return _Head(mark, columns, words)


def _in_place(field: Field, columns: list[tuple[Field | None, str]]) -> bool:
    """Whether names on top, some of them somebody's own words, may well stand for the columns in the table's order."""
    found = [column for column, _ in columns]
    return (
        any(not c.optional and c not in found for c in field.columns)
        and len(columns) <= len(field.columns)
        and all(
            column in (None, c) and units.canonical(unit) in ("", c.unit)
            for (column, unit), c in zip(columns, field.columns, strict=False)
        )
    )


def _column(field: Field, word: str) -> tuple[Field | None, str]:
    """The column that a name on top means, and the unit that it says in brackets, after a stroke or at its end."""
    for column in field.columns:
        for name in (column.key, column.key.replace("_", " "), column.label, *column.words):
            rest = word[len(name) :].strip() if word.lower().startswith(name.lower()) else "?"
            unit = rest.strip("_/()[] ")
            if not rest or (rest[0] in "([/" and unit) or units.canonical(unit) in column.units:
                return column, unit
    return None, ""


def passed_over(field: Field, given: Any) -> list[str]:
    """The names on top of pasted columns that are none of the table's, so that nothing is left out in silence."""
    head = _head(field, given) if isinstance(given, str) else None
    return (
        [word for (column, _), word in zip(head.columns, head.words, strict=True) if column is None and word]
        if head
        else []
    )


def _under(field: Field, head: _Head, text: str) -> list[list[str]]:
    """The rows below names on top, cells in the table's own order, each with the unit that its name says."""
    found = [column.key for column, _ in head.columns if column]
    lacking = [c.name for c in field.columns if not c.optional and c.key not in found]
    double = sorted({key for key in found if found.count(key) > 1})
    strange = [
        f"{column.name} has the unit “{unit}”"
        for column, unit in head.columns
        if column and unit and units.canonical(unit) not in column.units
    ]
    top = ", ".join(head.words)
    if lacking or double or strange:
        faults = [f"there is no {name}" for name in lacking] + [f"{key} stands twice" for key in double]
        raise field.refuse(top, f"can't head the columns: {'; '.join(faults + strange)}")
    places = {column.key: k for k, (column, _) in enumerate(head.columns) if column}
    said = {column.key: unit for column, unit in head.columns if column}
    rows = []
    for number, line in enumerate(_lines(text)[1:], 1):
        cells = _trimmed([cell.strip().strip('"') for cell in line.split(head.mark)], len(head.columns))
        if len(cells) > len(head.columns):
            why = f"row {number} has {len(cells)} cells, the names on top are {len(head.columns)}"
            raise field.refuse(
                line[:60], f"can't be told apart: {why}; decimals are written with a point here"
            )
        cells += [""] * (len(head.columns) - len(cells))
        rows.append(
            [_with_unit(cells[places[c.key]], said[c.key]) if c.key in places else "" for c in field.columns]
        )
    return rows


def _with_unit(cell: str, unit: str) -> str:
    return f"{cell} {unit}" if unit and cell and cell[-1].isdigit() else cell


def _cells(field: Field, line: str) -> list[str]:
    """A line's cells: between tabs, else between commas, else, where they are as many as there are columns, words."""
    if len(field.columns) == 1 and re.fullmatch(r"[+\-−]?\d+,\d+(\s+\S+)?", line):
        return [line]  # one column has nothing to part: a comma is its decimals
    cells = [cell.strip() for cell in re.split("\t" if "\t" in line else ",", line)]
    words = line.split()
    least = len(field.columns) - sum(c.optional for c in field.columns)
    return words if len(cells) == 1 and 1 < least <= len(words) <= len(field.columns) else cells


def joined(rows: list[list[Any]]) -> str:
    """The rows as text that can be cut again: commas between cells, so decimals with points."""
    texts = ([DECIMAL_COMMA.sub(r"\1.\2", str(cell)) for cell in _trimmed(row, 0)] for row in rows)
    return "; ".join(", ".join(cells) for cells in texts)


def _trimmed(row: list[Any], most: int) -> list[Any]:
    """A row without the empty cells at its end that are beyond `most`."""
    while len(row) > most and row[-1] == "":
        row = row[:-1]
    return row


def _is_head(field: Field, row: list[str]) -> bool:
    """Whether a row names the columns rather than holding values: their own names, perhaps with units in brackets,
    or words wherever a number would stand."""
    known = {word.lower() for c in field.columns for word in (c.key, c.key.replace("_", " "), c.label)}
    cells = [re.sub(r"\s*[(\[].*", "", cell).strip().lower() for cell in row]
    numbers = [cell for c, cell in zip(field.columns, row, strict=False) if c.kind == "number"]
    wordy = bool(numbers) and all(cell and not re.search(r"\d", cell) for cell in numbers)
    return wordy or all(cell in known for cell in cells)
