"""Published tables as CSV beside this file, and the list of sources.

A table is one CSV, values as published, the unit in the column's name; lines with # say where it comes from.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of the table `name` (file name without .csv), cells as text."""
    text = Path(__file__).with_name(f"{name}.csv").read_text(encoding="utf-8")
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

    return tomllib.loads(Path(__file__).with_name("sources.toml").read_text(encoding="utf-8"))
