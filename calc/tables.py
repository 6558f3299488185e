"""Rows of a table as they come: typed, pasted from a spreadsheet, from a TOML file; cut into cells, none read yet."""

from __future__ import annotations

import re
from typing import Any

from calc.fields import Field

DECIMAL_COMMA = re.compile(r"^([+\-−]?\d*),(\d)")


def cut(field: Field, given: Any) -> list[list[Any]]:
    """The rows of 'a, b; c, d', of lines with tabs between their cells, or of TOML's array of tables.

    A line of column names on top and empty cells beyond the last column are left out; a cell that TOML doesn't
    name is ''. Raises InputError for columns that there aren't and for what has no rows.
    """
    names = [c.key for c in field.columns]
    if isinstance(given, str):
        lines = [line.strip(" ") for line in re.split(r"[;\n]", given) if line.strip()]
        rows = [_trimmed(_cells(field, line), len(names)) for line in lines]
        return rows[1:] if rows and _is_head(field, rows[0]) else rows
    if isinstance(given, (list, tuple)) and all(isinstance(row, dict) for row in given):
        wrong = sorted({key for row in given for key in row} - set(names))
        if wrong:
            raise field.refuse(", ".join(wrong), f"isn't a column; the columns are {', '.join(names)}")
        return [[row.get(name, "") for name in names] for row in given]
    raise field.refuse(given, "can't be read as rows")


def _cells(field: Field, line: str) -> list[str]:
    """A line's cells: between tabs, else between commas, else, where they are as many as there are columns, words."""
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
