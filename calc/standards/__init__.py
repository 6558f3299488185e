"""Published tables as CSV beside this file, and the list of sources.

A table is one CSV, values as published, the unit in the column's name; lines with # say where it comes from.
"""

from __future__ import annotations

import csv
import os
from functools import cache


def _read(name: str) -> str:
    with open(os.path.join(os.path.dirname(__file__), name), encoding="utf-8") as file:
        return file.read()


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of the table `name` (file name without .csv), cells as text."""
    text = _read(f"{name}.csv")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


@cache
def column(name: str, heading: str) -> tuple[float, ...]:
    """One column of the table `name` as numbers."""
    return tuple(float(row[heading]) for row in rows(name))


@cache
def sources() -> dict[str, dict[str, str]]:
    """Sources by key: citation, edition, year, how they were read, where they can be had."""
    import tomllib

    return tomllib.loads(_read("sources.toml"))
