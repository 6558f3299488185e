"""The text grammar: what people type, to a value with spread and basis, and back.

    75 kg ± 2 kg, measured      8 %      0.03      star      0, 2, 4      10 km/h, 0 %, 80 %; 5 km/h, 8 %, 20 %

A bare number takes the display unit. ± is the furthest value you would believe; it takes the number's unit, its
own, or a percentage of the value. A single comma is a decimal point and is echoed back.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from calc import tables, units
from calc.errors import InputError, Problem
from calc.fields import BASES, SLIP, Field, alike

NUMBER = r"[+\-−]?(?:\d(?:[\d.,]*\d)?\.?|[.,]\d+)(?:[eE][+\-−]?\d+)?"
ENTRY = re.compile(
    rf"\s*(?P<number>{NUMBER})\s*(?P<unit>[^±,;]*?)\s*"
    rf"(?:(?:±)\s*(?P<spread>{NUMBER})\s*(?P<spread_unit>[^±,;]*?)\s*)?"
    r"(?:,\s*(?P<basis>[^,;±]+?)\s*)?$"
)
RATIO = re.compile(rf"\s*(?P<one>{NUMBER})\s*[:/]\s*(?P<other>{NUMBER})\s*(?=$|[,±])")
BLANK = "___"
"""What stands in a new sheet in place of a value; left in, it is refused."""
BASIS_WORDS = {
    "measured": "measured",
    "rated": "rated",
    "from a label": "rated",
    "label": "rated",
    "guess": "guess",
    "guessed": "guess",
}


class Entry(NamedTuple):
    """What somebody entered for one field, in SI.

    value: number, whole number, text, tuple of whole numbers, or tuple of rows. spread: SI, 0 where a spread
    makes no sense. basis: measured, rated or guess; '' for counts and choices. as_typed: the words given.
    notes: what the reader should see echoed, such as a decimal comma.
    """

    value: Any
    spread: float
    basis: str
    as_typed: str
    notes: tuple[str, ...] = ()


def parse(field: Field, given: Any) -> Entry:
    """An entry from text, from a bare number, from a TOML list or list of rows, or from a pint quantity.

    Raises InputError with one sentence that names the field, what was given, what is allowed and an example.
    """
    if hasattr(given, "to_base_units"):
        return _checked(field, float(units.to_si(given)), None, "", str(given))
    if (
        isinstance(given, str) and field.kind != "text"
    ):  # as copied from a page, where number and unit stay on one line
        given = given.replace("\N{NO-BREAK SPACE}", " ").replace("\N{NARROW NO-BREAK SPACE}", " ")
    if isinstance(given, bool) or given is None:
        raise field.refuse(given, "is neither a number nor text")
    if isinstance(given, str) and BLANK in given and (field.kind != "text" or given.strip() == BLANK):
        raise field.refuse(given, "is a blank that nobody filled in")
    if field.kind == "table":
        return _typed_table(field, given) if isinstance(given, str) else _table(field, given)
    if field.kind == "list":
        return _list(field, given)
    if isinstance(given, (list, tuple, dict)):
        raise field.refuse(given, "is a list where one value is wanted")
    text = f"{given!r}" if isinstance(given, float) else str(given)
    text = text.strip()
    if field.kind == "text":
        if len(text) > field.high:
            raise field.refuse(text[:40] + "…", f"is {len(text)} characters long")
        return Entry(text, 0.0, "", text)
    if field.kind == "choice":
        return _choice(field, text)
    return _number(field, text)


def _choice(field: Field, text: str) -> Entry:
    word, _, basis = text.partition(",")
    names = {value.lower(): value for value, _ in field.choices}
    names |= {label.lower(): value for value, label in field.choices} | dict(field.also)
    said = " ".join(word.lower().split()).removesuffix("°")
    found = names.get(said, names.get(said.replace(" ", "-")))
    if found is None:
        close = alike(said, list(names), SLIP)
        meant = f"; did you mean {names[close[0]]}?" if close else ""
        raise field.refuse(text, f"isn't one of the choices{meant}")
    return Entry(found, 0.0, _basis(field, text, basis) if basis.strip() else "", text)


def _basis(field: Field, text: str, word: str) -> str:
    basis = BASIS_WORDS.get(word.strip().lower())
    if basis is None:
        words = ", ".join(BASES)
        raise field.refuse(text, f"ends in “{word.strip()}”, where only how it is known may stand ({words})")
    return basis


def _float(field: Field, text: str, number: str) -> tuple[float, str]:
    """The number, and how it was read where a comma stood for a point; '' where none did."""
    number = number.replace("−", "-")
    read = ""
    if "," in number:
        whole, _, rest = number.partition(",")
        if "," in rest or "." in number:
            raise field.refuse(
                text, "is ambiguous: write the decimals with a point and no separators in thousands"
            )
        if re.fullmatch(r"[+\-]?[1-9]\d{0,2},\d{3}", number):
            raise field.refuse(text, f"is ambiguous: write {whole}{rest}, or {whole}.{rest} with a point")
        number = read = f"{whole}.{rest}"
    try:
        value = float(number)
    except ValueError:
        raise field.refuse(text, "isn't a number") from None
    if not math.isfinite(value):
        raise field.refuse(text, "is too large to be a number")
    return value, read


def _divided(field: Field, text: str) -> str:
    """A ratio as people write it, 54/9 or 1:10, as the number it is, where one without a unit or a slope is wanted."""
    match = RATIO.match(text) if "" in field.units or field.is_slope else None
    if match is None:
        return text
    one, other = (_float(field, text, match[name])[0] for name in ("one", "other"))
    if other == 0.0:
        raise field.refuse(text, "is divided by nothing")
    return f"{one / other * (100.0 if field.is_slope else 1.0):.12g}{text[match.end() :]}"


def _in_other_units(field: Field, number: float) -> str:
    """' (16 in?)' for a bare number that fits in other units that the field takes; else ''."""
    low, high = field.limits()
    fits = [unit for unit in field.units[1:] if unit and low <= _si(field, number, unit) <= high]
    return f" ({' or '.join(f'{number:g} {units.symbol(unit)}' for unit in fits)}?)" if fits else ""


@lru_cache(maxsize=1024)  # with every key a form sends all its entries, and one of them is new
def _number(field: Field, text: str) -> Entry:
    match = ENTRY.match(_divided(field, text.replace("+/-", "±").replace("+-", "±")))
    if match is None:
        raise field.refuse(text, "can't be read as a number with a unit" if text else "is empty")
    number, read = _float(field, text, match["number"])
    unit = _unit(field, text, match["unit"])
    basis = _basis(field, text, match["basis"]) if match["basis"] else ""
    value = _si(field, number, unit)
    spread: float | None = None
    if match["spread"] is not None:
        amount, more = _float(field, text, match["spread"])
        read += f"{' ± ' if read else '± '}{more}" if more else ""
        if amount < 0:
            raise field.refuse(text, "has a negative ±")
        word = units.canonical(match["spread_unit"] or "")
        if word == "percent" and unit != "percent":
            spread = abs(value) * amount / 100
        else:
            other = _unit(field, text, word) if word else unit
            if field.is_slope and other == "deg":
                spread = _tangent(math.atan(abs(value)) + units.difference_to_si(amount, other)) - abs(value)
            else:
                spread = units.difference_to_si(amount, other)
    notes: tuple[str, ...] = ()
    if read:
        notes += (f"{field.label}: {text} was read as {units.beside(read, unit)}.",)
    if field.is_slope and unit == "deg":
        notes += (f"{field.label}: {text} was read as {units.show(value, 'percent')}.",)
    hint = "" if match["unit"].strip() else _in_other_units(field, number)
    return _checked(field, value, spread, basis, text, notes, hint)


def _si(field: Field, number: float, unit: str) -> float:
    """A number in SI; an angle where a slope is wanted as the slope it is."""
    value = float(units.to_si(number, unit))
    return _tangent(value) if field.is_slope and unit == "deg" else value


def _tangent(angle: float) -> float:
    """The slope of an angle (rad); from 45° on there is none that could be ridden."""
    return math.tan(angle) if abs(angle) < math.pi / 4 else math.inf


def _unit(field: Field, text: str, word: str) -> str:
    unit = units.canonical(word or "")
    unit = units.FORCES[unit] if units.FORCES.get(unit) in field.units else unit
    if not unit and not word.strip():
        return field.unit
    if unit in field.units:
        return unit
    takes = ", ".join(units.symbol(u) for u in field.units if u)
    raise field.refuse(
        text, f"has the unit “{word}”; " + (f"units taken: {takes}" if takes else "it takes no unit")
    )


def _checked(
    field: Field,
    value: float,
    spread: float | None,
    basis: str,
    text: str,
    notes: tuple[str, ...] = (),
    hint: str = "",
) -> Entry:
    low, high = field.limits()
    slack = 1e-9 * max(abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        raise field.refuse(text, f"is outside the limits{hint}")
    value = min(max(value, low), high)
    if spread is not None and not spread <= (high - low) * (1 + 1e-9):
        raise field.refuse(text, "has a ± wider than everything that is allowed")
    if field.kind == "count":
        if spread is not None or abs(value - round(value)) > 1e-9:
            raise field.refuse(
                text, "isn't a whole number" if spread is None else "has a ±, and a count has none"
            )
        return Entry(round(value), 0.0, basis, text, notes)
    basis = basis or "guess"
    return Entry(value, field.default_spread(basis, value) if spread is None else spread, basis, text, notes)


def _list(field: Field, given: Any) -> Entry:
    parts = given if isinstance(given, (list, tuple)) else re.split(r"\s*,\s*|\s+", str(given).strip(" []()"))
    text = ", ".join(str(p).strip() for p in parts)
    values = []
    for part in parts:
        word = str(part).strip()
        if not re.fullmatch(r"-?\d{1,6}", word) or isinstance(part, (bool, float)):
            raise field.refuse(text, f"holds “{word}”, which isn't a whole number")
        if not field.low <= int(word) <= field.high:
            raise field.refuse(text, f"holds {word}, which is outside the limits")
        values.append(int(word))
    return Entry(tuple(values), 0.0, "", text)


def _cells(count: int) -> str:
    return "1 cell" if count == 1 else f"{count} cells"


@lru_cache(maxsize=256)  # as with numbers: one key changes, and all the tables are sent again
def _typed_table(field: Field, text: str) -> Entry:
    return _table(field, text)


def _table(field: Field, given: Any) -> Entry:
    """Rows from text ('a, b; c, d') or from TOML's array of tables, each cell by its column's own rules."""
    rows = tables.cut(field, given)
    names, labels = [c.key for c in field.columns], [c.name for c in field.columns]
    text = tables.joined(rows)
    if not rows or len(rows) > field.high:
        raise field.refuse(text, f"has {len(rows)} rows; 1 to {field.high:g} can be used")
    problems: list[Problem] = []
    values = []
    for number, row in enumerate(rows, 1):
        least = len(names) - sum(c.optional for c in field.columns)
        if not least <= len(row) <= len(names):
            count = _cells(len(names)) if least == len(names) else f"{least} to {_cells(len(names))}"
            wanted = f"{count} ({', '.join(labels)})"
            if len(row) > len(names):  # a comma may have been meant as a decimal's
                wanted += "; decimals are written with a point here"
            example = field.sample().split("; ")[0]
            problems.append(
                Problem(
                    field.key,
                    field.label,
                    f"row {number} (“{', '.join(map(str, row))}”) has "
                    f"{_cells(len(row))}, not {wanted}. For example: {example}.",
                )
            )
            continue
        cells: list[Any] = []
        for column, cell in zip(field.columns, [*row, *[""] * (len(names) - len(row))], strict=True):
            if column.optional and cell == "":
                cells.append(None)
                continue
            try:
                cells.append(_cell(column, cell))
            except InputError as error:
                problems += [
                    Problem(field.key, field.label, f"row {number}, {p.label.lower()}: {p.text}")
                    for p in error.problems
                ]
        values.append(tuple(cells))
    if "share" in names and not problems and sum(row[names.index("share")] for row in values) <= 0:
        problems.append(
            Problem(
                field.key,
                field.label,
                f"“{text}”: the shares add up to nothing. "
                f"They should add up to 100 %. For example: {field.sample()}.",
            )
        )
    if field.faults and not problems:
        problems = [
            Problem(field.key, field.label, f"row {number}, {column}: it {fault}")
            for number, column, fault in field.faults(values)
        ]
    if problems:
        raise InputError(problems)
    over = tables.passed_over(field, given)
    notes: tuple[str, ...] = (
        (f"{field.label}: the columns {', '.join(over)} were passed over.",) if over else ()
    )
    comma = next((cell for row in rows for cell in row if tables.DECIMAL_COMMA.match(str(cell))), None)
    if comma is not None:
        notes += (f"{field.label}: {comma} was read as {str(comma).replace(',', '.')}.",)
    return Entry(tuple(values), 0.0, "", text, notes)


PLAIN = re.compile(r"-?\d{1,9}(?:\.\d{1,12})?")


@lru_cache(maxsize=256)
def _factors(column: Field) -> tuple[dict[str, float], float, float]:
    """What a column's units are multiplied by, as they may be written, and its limits in SI."""
    plain = {u: units.TABLE[u][0] for u in column.units if not units.TABLE[u][1] and u != "deg"}
    written = {units.symbol(u): factor for u, factor in plain.items()} | plain
    return written | {"": units.TABLE[column.unit][0]}, *column.limits()


def _cell(column: Field, cell: Any) -> Any:
    """A cell's value; a plain number with a plain unit at once, since a route has thousands of them."""
    if column.kind == "number" and isinstance(cell, str):
        number, _, unit = cell.partition(" ")
        factors, low, high = _factors(column)
        if unit in factors and PLAIN.fullmatch(number):
            value = float(number) * factors[unit]
            if low <= value <= high:
                return value
    return parse(column, cell).value


def parse_all(given: Mapping[str, Any], fields: Mapping[str, Field]) -> dict[str, Entry]:
    """Every entry of a layer; InputError with the problems of all of them together."""
    entries: dict[str, Entry] = {}
    problems: list[Problem] = []
    for key, value in given.items():
        try:
            entries[key] = parse(fields[key], value)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return entries


def written(field: Field, entry: Entry) -> str:
    """A number as a file keeps it: the display unit where none was typed, decimals with a point."""
    match = ENTRY.match(entry.as_typed.replace("+/-", "±").replace("+-", "±"))
    if match is None or field.kind != "number":
        return entry.as_typed
    amounts = [f"{match['number'].replace(',', '.')} {match['unit'] or units.symbol(field.unit)}".rstrip()]
    if match["spread"]:
        amounts.append(f"{match['spread'].replace(',', '.')} {match['spread_unit'] or ''}".rstrip())
    return " ± ".join(amounts) + (f", {match['basis']}" if match["basis"] else "")


def parts(field: Field, entry: Entry) -> dict[str, str]:
    """An entry taken apart for the form: the number with its unit, the ± and the basis, as texts."""
    if field.kind not in ("number", "count"):
        return {"value": entry.as_typed, "spread": "", "basis": entry.basis if field.kind == "choice" else ""}
    text = entry.as_typed.replace("+/-", "±").replace("+-", "±")
    match = ENTRY.match(text)
    if match is None:  # came as a pint quantity: say it in the display unit
        text = f"{units.from_si(entry.value, field.unit):.12g} {units.symbol(field.unit)}"
        return {"value": text.strip(), "spread": "", "basis": entry.basis}
    spread = f"{match['spread'] or ''} {match['spread_unit'] or ''}".strip()
    # The box shows the display unit beside the number; another unit stays as it was typed.
    shown = "" if units.canonical(match["unit"]) == field.unit else match["unit"]
    return {
        "value": f"{match['number']} {shown}".strip(),
        "spread": spread,
        "basis": BASIS_WORDS[match["basis"].lower()] if match["basis"] else "",
    }
