"""The build sheet: a TOML file of what somebody entered about one build, kept with their comments.

    format = 1
    [rider]
    rider_mass = "75 kg ± 2 kg, measured"
    [[ride.duty]]
    speed = "10 km/h"

Tables and keys come from the registry. A bare number takes the display unit. Unknown keys are kept and named.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from typing import Any, NamedTuple

from calc import units
from calc.entries import BLANK, Entry, parse, parse_all, written
from calc.errors import InputError, Problem
from calc.fields import FIELDS, QUESTIONS, TABLES, Field, meant

FORMAT = 1
LARGEST = 1_000_000  # bytes; a sheet is a few thousand

HEAD = """\
# A Turnabout build sheet. Entries look like  "75 kg ± 2 kg, measured"
# The ± is the furthest value you would believe. The last word says how you know it:
# measured, rated (from a label) or guess. Lines that start with # are notes for you.
"""


class Sheet(NamedTuple):
    """The entries of one build, and the text they came from."""

    entries: Mapping[str, Entry] = {}
    document: str = ""
    unknown: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return str(self.entries["name"].value) if "name" in self.entries else "unnamed build"


def _wrong(label: str, text: str) -> InputError:
    return InputError([Problem("", label, text)])


def read(text: str, label: str = "Build sheet") -> Sheet:
    """A sheet from TOML text. Raises InputError with every problem in it, each with its field."""
    text = text.removeprefix("\ufeff")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _wrong(
            label,
            f"this isn't a TOML file that can be read: {error}. Text needs straight quotes, "
            'for example rider_mass = "75 kg, measured".',
        ) from None
    version = data.pop("format", FORMAT)
    if not isinstance(version, int) or isinstance(version, bool) or not 1 <= version <= FORMAT:
        raise _wrong(
            label,
            f"its format is {version!r}; this copy of Turnabout reads format {FORMAT}. "
            "Open it with a newer copy.",
        )
    given: dict[str, Any] = {}
    unknown: list[str] = []
    notes: list[str] = []
    for table, rows in data.items():
        if table in FIELDS and FIELDS[table].is_own_table:
            given[table] = rows
            continue
        if not isinstance(rows, dict):
            unknown.append(table)
            notes.append(f"{table} stands outside any table; it is kept, and not used.")
            continue
        for key, value in rows.items():
            known = FIELDS.get(key)
            if known is not None and known.table == table:
                given[key] = value
                continue
            unknown.append(f"{table}.{key}")
            where = (
                f" It belongs in [{known.table}]." if known is not None and known.table else meant(table, key)
            )
            notes.append(f"{table}.{key} isn't a quantity of the sheet; it is kept, and not used.{where}")
    try:
        entries = parse_all(given, FIELDS)
    except InputError as error:  # what is misspelled is told with what is wrong, not after it is mended
        raise InputError([*error.problems, *(Problem("", "", note) for note in notes)]) from None
    return Sheet(entries, text, tuple(unknown), tuple(notes))


def load(path: str | os.PathLike[str]) -> Sheet:
    """A sheet from a file. Raises InputError when it can't be read."""
    try:
        if os.path.getsize(path) > LARGEST:
            raise _wrong(str(path), f"is larger than {LARGEST} bytes, too large for a build sheet.")
        with open(path, encoding="utf-8") as file:
            return read(file.read(), str(path))
    except FileNotFoundError:
        raise _wrong(
            str(path), "there is no such file. `python -m calc new FILE` makes one to start from."
        ) from None
    except UnicodeDecodeError:
        raise _wrong(str(path), "isn't UTF-8 text. Save it again as UTF-8.") from None
    except OSError as error:
        raise _wrong(str(path), f"can't be read: {error.strerror or error}.") from None


def example_file(name: str) -> str:
    """The path of one of the invented examples."""
    return os.path.join(os.path.dirname(__file__), os.pardir, "docs", "examples", f"{name}.toml")


def demo() -> Sheet:
    """The worked example that stands in when no sheet is given: the harvest cart of docs/examples."""
    return load(example_file("harvest-cart"))


def write(texts: Mapping[str, str], document: str = "") -> str:
    """The sheet as TOML: `document` with its entries replaced by `texts`, comments and unknown keys kept.

    texts: {key: entry in the text grammar}, every one usable. Raises InputError for any that isn't.
    """
    import tomlkit  # only saving needs it, and it costs as much as the rest of a check

    entries = parse_all(texts, FIELDS)
    doc = tomlkit.parse(document.removeprefix("\ufeff") or HEAD)
    if "format" not in doc:
        doc.add("format", tomlkit.item(FORMAT))
    for key, known in FIELDS.items():
        rows = doc if known.is_own_table else doc.get(known.table)
        if key in texts and known.table:
            if rows is None:
                rows = tomlkit.table()
                doc[known.table] = rows
            value = _toml(known, entries[key])
            if key not in rows or not _says(known, rows[key], entries[key]):
                rows[key] = _rows(value) if known.kind == "table" else value
        elif rows is not None and key in rows:
            del rows[key]
    return tomlkit.dumps(doc)


def _says(known: Field, written: Any, entry: Entry) -> bool:
    """Whether what stands in the file means this entry already, in whatever words and unit."""
    try:
        there = parse(known, written.unwrap() if hasattr(written, "unwrap") else written)
    except InputError:
        return False
    return (there.value, there.spread, there.basis) == (entry.value, entry.spread, entry.basis)


def _toml(known: Field, entry: Entry) -> Any:
    if known.kind == "list":
        return list(entry.value)
    if known.kind == "table":
        return [
            {
                c.key: cell
                if isinstance(cell, str)
                else f"{units.from_si(cell, c.unit):.10g} {units.symbol(c.unit)}".strip()
                for c, cell in zip(known.columns, row, strict=True)
                if cell is not None
            }
            for row in entry.value
        ]
    return int(entry.value) if known.kind == "count" and not entry.basis else written(known, entry)


def _rows(value: list[dict[str, str]]) -> Any:
    import tomlkit

    rows = tomlkit.aot()
    for cells in value:
        row = tomlkit.table()
        row.update(cells)
        rows.append(row)
    return rows


TO_FILL = """\
# Of what you know take the # before its name away, and write your own number in place of the ___. A blank that is left
# in is refused. What is told for example is nobody's number.
"""
FIRST = """\
# Start with these {}, marked * below; everything else may wait:
"""


def template() -> str:
    """A commented sheet to start from: every quantity with its label, its limits, how to measure it, and a blank."""
    first = [key for _, keys in QUESTIONS for key in keys]
    found = dict.fromkeys(FIELDS[key].table for key in first)
    start = [f"#   [{t}] {', '.join(key for key in first if FIELDS[key].table == t)}" for t in found]
    lines = [HEAD + TO_FILL + FIRST.format(len(first)) + "\n".join(start), "", f"format = {FORMAT}"]
    for table, title in TABLES.items():
        own = table in FIELDS and FIELDS[table].is_own_table
        lines += ["", f"# {title}"] + ([] if own else [f"[{table}]"])
        for known in FIELDS.values():
            if known.table == table:
                lines += [
                    f"# {'* ' if known.key in first else ''}{known.label}: {known.allowed()}",
                    f"#   {known.how_to_measure}",
                    *(f"#   For example: {line}" for line in _example(known)),
                    *(f"# {line}" for line in _blank(known)),
                ]
    return "\n".join(lines) + "\n"


def _blank_cell(known: Field) -> str:
    unit = units.symbol(known.unit)
    return f'"{BLANK}{"" if unit in ("", "°") else " "}{unit}"'


def _blank(known: Field) -> list[str]:
    """The field's line with blanks in place of values; of a table one row, and one of its own as lines."""
    cells = [f"{c.key} = {_blank_cell(c)}" for c in known.columns]
    if known.is_own_table:
        return [f"[[{known.key}]]", *cells]
    return [f"{known.key} = [{{ {', '.join(cells)} }}]" if cells else f"{known.key} = {_blank_cell(known)}"]


def _example(known: Field) -> list[str]:
    """The field's example in TOML, without a word on how it is known: a line, or of rows of their own one for each."""
    if known.kind == "list":
        return [f"{known.key} = [{known.sample()}]"]
    if known.kind != "table":
        return [f"{known.key} = " + (known.sample() if known.kind == "count" else f'"{known.sample()}"')]
    rows = [
        ", ".join(
            f'{c.key} = "{cell.strip()}"' for c, cell in zip(known.columns, row.split(","), strict=False)
        )
        for row in known.sample().split(";")
    ]
    if known.is_own_table:
        return rows
    return [f"{known.key} = [{', '.join(f'{{ {row} }}' for row in rows)}]"]


def create(path: str | os.PathLike[str]) -> None:
    """Write a new sheet; an existing file is never touched. Raises InputError when it can't be written."""
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write(template())
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError:
        raise _wrong(str(path), "exists already and is left as it is. Choose another name.") from None
    except OSError as error:
        raise _wrong(str(path), f"can't be written: {error.strerror or error}.") from None
