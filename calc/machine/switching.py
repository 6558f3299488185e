"""The controller's own table, checked; and from it and the motor's map the arrangement that is right."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import Any, NamedTuple

from calc.machine import leads
from calc.machine.leads import CODES, PAIRS, Arrangement, Table
from calc.machine.lock import lamps_of
from calc.machine.misread import Fault

Row = dict[str, Any]


class Controller(NamedTuple):
    """table: code to (high, low) output, () while it isn't known; spacing: '120', '60' or ''.

    missing: codes still to be measured.
    """

    table: tuple[tuple[str, tuple[int, int]], ...] = ()
    spacing: str = ""
    missing: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


@cache
def controller_map(rows: tuple[tuple[str, str, str], ...]) -> Controller:
    """The controller's table from rows (switches, high, low), with everything that is wrong with them.

    Each code once, each pair of outputs once, and from one code to the next one output changes while the other
    stays as it is. Which two codes are unknown to it tells 120° from 60°.

    Source: [method-machine] #controller-table
    """
    faults: list[Fault] = []
    table: Table = {}
    at: dict[str, int] = {}
    for number, (switches, high, low) in enumerate(rows, 1):
        code, pair = lamps_of(switches), ("UVW".index(high), "UVW".index(low))
        where = f"Row {number} ({switches}, {high}, {low})"
        if not code:
            faults.append(
                Fault(
                    f"{where}: “{switches}” can't be read as three switches.",
                    "Write a 1 for an input that is on and a 0 for one that is off, for example 101.",
                )
            )
        elif high == low:
            faults.append(
                Fault(
                    f"{where}: one output can't be high and low.",
                    "Measure that row again, each output to minus.",
                )
            )
        elif table.get(code, pair) != pair:
            faults.append(
                Fault(
                    f"{where}: row {at[code]} gives another pair for the same code {code}.",
                    "Measure that code again, both times in the same direction setting.",
                )
            )
        elif code not in table and pair in table.values():
            other = next(c for c, p in table.items() if p == pair)
            faults.append(
                Fault(
                    f"{where}: the same pair as row {at[other]}. Each of six codes has a pair of its own.",
                    "Measure both rows again; a switch that bounces or a dead input gives a code twice.",
                )
            )
        else:
            table.setdefault(code, pair)
            at.setdefault(code, number)
    if faults:
        return Controller(faults=tuple(faults))
    fits = [spacing for spacing, codes in CODES.items() if set(table) <= set(codes)]
    if not fits:
        return Controller(
            faults=(
                Fault(
                    f"The codes {', '.join(sorted(table))} belong neither to a 120° table nor to a 60° one.",
                    "With 000 and 111 a 120° controller drives nothing, with 010 and 101 a 60° one: leave out rows "
                    "where no output is driven.",
                ),
            )
        )
    if len(table) < 6:
        codes = CODES[fits[0]]
        return Controller(missing=tuple(code for code in codes if code not in table))
    fault = _sequence_fault(table, CODES[fits[0]], at)
    if fault:
        return Controller(spacing=fits[0], faults=(fault,))
    return Controller(tuple(table.items()), fits[0])


def _even_steps(table: Table, codes: tuple[str, ...]) -> bool:
    """Whether the pairs turn by 60° from each code to the next, always the same way."""
    axes = [PAIRS.index(table[code]) for code in codes]
    return {(b - a) % 6 for a, b in zip(axes, [*axes[1:], axes[0]], strict=True)} in ({1}, {5})


def _sequence_fault(table: Table, codes: tuple[str, ...], at: dict[str, int]) -> Fault | None:
    """Why the pairs don't turn by one sixth from code to code, or None when they do."""
    if _even_steps(table, codes):
        return None
    for code, (high, low) in table.items():
        opposite = next(c for c, p in table.items() if p == (low, high))
        if _even_steps({**table, code: (low, high), opposite: (high, low)}, codes):
            return Fault(
                f"Rows {at[code]} and {at[opposite]} ({code} and {opposite}): high and low look swapped: both leads "
                "change polarity there.",
                "Measure both again with a meter from each output to the pack's minus.",
            )
    for a, b in combinations(table, 2):
        if _even_steps({**table, a: table[b], b: table[a]}, codes):
            return Fault(
                f"Rows {at[a]} and {at[b]} ({a} and {b}) look exchanged: from code to code one output should change "
                "and the other stay.",
                "Measure both again.",
            )
    return Fault(
        "From one code to the next, one output should change while the other stays; here the pairs jump.",
        "Measure all six again in the order "
        + ", ".join(codes)
        + ", with a meter from each output to the pack's minus.",
    )


@cache
def wiring(
    places: tuple[float, ...], table: tuple[tuple[str, tuple[int, int]], ...]
) -> tuple[tuple[Arrangement, ...], tuple[Arrangement, ...]]:
    """Arrangements to use forward and in reverse, the one with the sensors left as they are first; () for none.

    places: where the motor's sensors switch on, rad; table: the controller's. Forward is the way in which the field
    turns from lead A over B to C.

    Source: [method-machine] #arrangements
    """
    found = leads.arrangements(places, table)
    return leads.best(found), leads.best(found, reverse=True)


def turned_over(places: tuple[float, ...], table: tuple[tuple[str, tuple[int, int]], ...]) -> int:
    """Which sensor (from 0) makes the set fit the controller's kind once its lamp is reversed, −1 for none.

    Source: [method-machine] #controller-table
    """
    for sensor in range(3):
        turned = tuple(
            (place + leads.TURN / 2.0) % leads.TURN if k == sensor else place
            for k, place in enumerate(places)
        )
        if all(wiring(turned, table)):
            return sensor
    return -1
