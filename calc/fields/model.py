"""What a field of the registry is: one quantity of a build, described once for every edge.

Limits, usual ranges and spreads are written in the field's display unit (the first of `units`), because
that is how people check them; `si()` turns them into SI.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal, NamedTuple

from calc import units
from calc.errors import InputError, Problem

Kind = Literal["number", "count", "choice", "list", "table", "text"]
Basis = Literal["measured", "rated", "guess"]
BASES: dict[str, str] = {"measured": "measured", "rated": "from a label", "guess": "guess"}


class Spreads(NamedTuple):
    """The ± taken when only the basis is given: relative to the value, or in the display unit."""

    measured: float
    rated: float
    guess: float
    relative: bool = True


class Field(NamedTuple):
    """One quantity of a build.

    key: the name in files, on the command line and in formulas. table: its table in the build sheet, '' for
    an input of one calculator that is never stored. how_to_measure: one line at the bench.
    low, high: hard limits. usual: the range met in practice, or the usual choice.
    lever: the range over which the verdict may look for a single change that mends a check; lever_note: on what
    condition. after: the entry before which nobody can measure it, so that it isn't named as worth measuring. also:
    further words for a choice, each with what it means. optional: of a table's column, that its cell may be left empty
    (None). words: other words that may head a column in what is pasted. faults: of a table, what is wrong between its
    cells: (row, column, text) for each.
    """

    key: str
    table: str
    label: str
    kind: Kind
    how_to_measure: str
    units: tuple[str, ...] = ("",)
    low: float = 0.0
    high: float = 0.0
    usual: tuple[float, float] | str | None = None
    spreads: Spreads = Spreads(0.02, 0.05, 0.20)
    choices: tuple[tuple[str, str], ...] = ()
    also: tuple[tuple[str, str], ...] = ()
    columns: tuple[Field, ...] = ()
    lever: tuple[float, float] | None = None
    lever_note: str = ""
    after: str = ""
    example: str = ""
    optional: bool = False
    words: tuple[str, ...] = ()
    faults: Callable[[Sequence[Sequence[Any]]], list[tuple[int, str, str]]] | None = None

    @property
    def name(self) -> str:
        """The label inside a sentence: 'mass of the rider', 'EMF constant'."""
        return self.label if self.label[1:2].isupper() else self.label[:1].lower() + self.label[1:]

    @property
    def quoted(self) -> str:
        """The label as a finding names the box: “Field current”."""
        return f"“{self.label}”"

    @property
    def is_own_table(self) -> bool:
        """Whether its rows are a table of the sheet by themselves: [[cost]], not [[vehicle.cost]]."""
        return self.kind == "table" and self.key == self.table

    @property
    def is_slope(self) -> bool:
        """Whether it is a rise over run that may be entered as an angle too."""
        return self.unit == "percent" and "deg" in self.units

    @property
    def unit(self) -> str:
        """The display unit, as an ASCII name."""
        return self.units[0]

    def si(self, value: float) -> float:
        """A number of the declaration (display unit) in SI."""
        return float(units.to_si(value, self.unit))

    def usual_range(self) -> str:
        """The range met in practice, in words: '6 to 12 V/krpm'; '' where there is none or one value."""
        if not isinstance(self.usual, tuple) or self.usual[0] == self.usual[1]:
            return ""
        low, high = (units.plain(x) for x in self.usual)
        return f"{low} to {high} {units.symbol(self.unit)}".rstrip()

    def limits(self) -> tuple[float, float]:
        """The hard limits in SI."""
        return self.si(self.low), self.si(self.high)

    def default_spread(self, basis: str, value_si: float) -> float:
        """The spread in SI that the basis stands for, when none is given."""
        share = float(getattr(self.spreads, basis))
        return abs(value_si) * share if self.spreads.relative else units.difference_to_si(share, self.unit)

    def one_of(self) -> str:
        """The choices in words: 'star or delta', 'switching-on, standing, riding or downhill'."""
        *others, last = [value for value, _ in self.choices]
        return f"{', '.join(others)} or {last}" if others else last

    def allowed(self) -> str:
        """What may be entered, in words: '5 to 300 kg', 'star or delta'."""
        if self.kind == "choice":
            return self.one_of()
        if self.kind == "table":
            return "rows of " + ", ".join(
                c.name
                + (f" ({units.symbol(c.unit)}{' or °' if c.is_slope else ''})" if c.unit else "")
                + (f": {c.one_of()}" if c.choices else "")
                + (" if known" if c.optional else "")
                for c in self.columns
            )
        if self.kind == "list":
            return f"whole numbers from {self.low:g} to {self.high:g}, separated by commas"
        if self.kind == "text":
            return f"up to {self.high:g} characters"
        whole = "a whole number from " if self.kind == "count" else ""
        text = units.beside(f"{whole}{units.plain(self.low, 6)} to {units.plain(self.high, 6)}", self.unit)
        return text + (", or degrees" if self.is_slope else "")

    def sample(self) -> str:
        """An entry that works, for messages and placeholders."""
        if self.example:
            return self.example
        if self.kind == "choice":
            return self.choices[0][0]
        middle = sum(self.usual) / 2 if isinstance(self.usual, tuple) else (self.low + self.high) / 2
        if self.kind == "count":
            return f"{round(middle)}"
        return f"{units.plain(middle, 2)} {units.symbol(self.unit)}".strip()

    def refuse(self, given: object, why: str) -> InputError:
        """What is wrong with something given for this field: `why` with what was given, what is allowed, an example."""
        example = f" For example: {self.sample()}." if self.sample() else ""
        text = f"“{given}” {why}. Allowed: {self.allowed()}.{example}"
        return InputError([Problem(self.key, self.label, text)])
