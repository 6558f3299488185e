"""How many cells in series and side by side: every count tried, what each comes to, and why it doesn't fit."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.power import cells, pack

MOST_SERIES, MOST_PARALLEL = 60, 200
FILLED = 0.7
"""Share of a box that cells can fill (common practice, no source): links, board, air and walls take the rest."""


class Wish(NamedTuple):
    """What a pack has to do, SI; None where nothing is said.

    energy: usable, J. current: the most asked, A. ceiling, floor: of the controller, V. charger: its voltage. volume:
    of the box, m³. room: cells that it takes in layers, which counts before its volume.
    """

    energy: float | None
    current: float
    ceiling: float | None
    floor: float | None
    charger: float | None
    mass: float | None
    volume: float | None
    room: int | None = None


class Cell(NamedTuple):
    """One cell, SI; None where nothing is said. resistance: as cold as it is. leads: of the whole pack, ohm."""

    chemistry: str
    capacity: float
    resistance: float
    leads: float
    current: float | None
    mass: float | None
    volume: float | None
    cost: float | None


class Option(NamedTuple):
    """A pack: its counts, what it comes to, and why it doesn't fit ('' when it does)."""

    series: int
    parallel: int
    energy: float
    full: float
    lowest: float
    each: float
    mass: float | None
    cost: float | None
    fault: str

    @property
    def cells(self) -> int:
        return self.series * self.parallel


def _fits(wish: Wish, cell: Cell, count: int) -> bool:
    if wish.room is not None:
        return count <= wish.room
    if wish.volume is None or cell.volume is None:
        return True
    return count * cell.volume <= FILLED * wish.volume


def _fault(wish: Wish, cell: Cell, series: int, parallel: int, energy: float, lowest: float) -> str:
    """The first thing that is wrong with so many cells."""
    least, _, full = (volts * series for volts in cells.window(cell.chemistry))
    count, each = series * parallel, wish.current / parallel
    faults = (
        (wish.ceiling is not None and full > wish.ceiling, "full, it is over what the controller stands"),
        (wish.floor is not None and lowest < wish.floor, "sags under the controller's cut-out"),
        (lowest < least, "sags under its cells' least"),
        (cell.current is not None and each > cell.current, "more current than a cell gives"),
        (wish.energy is not None and energy < wish.energy, "too little energy"),
        (wish.mass is not None and cell.mass is not None and count * cell.mass > wish.mass, "too heavy"),
        (not _fits(wish, cell, count), "doesn't fit the room"),
        (wish.charger is not None and abs(wish.charger - full) > 0.05 * full, "wants another charger"),
    )
    return next((words for wrong, words in faults if wrong), "")


def option(wish: Wish, cell: Cell, series: int, parallel: int, reserve_charge: float) -> Option:
    """What a pack of so many cells comes to.

    Source: [method-power] #packing
    """
    energy = float(pack.usable_energy(cell.chemistry, series, cell.capacity * parallel, reserve_charge))
    resistance = pack.pack_resistance(series, parallel, cell.resistance, cell.leads)
    rested = pack.open_circuit_voltage(cell.chemistry, series, reserve_charge)
    lowest = float(pack.loaded_voltage(rested, wish.current, resistance))
    count = series * parallel
    return Option(
        series,
        parallel,
        energy,
        float(pack.voltage_full(cell.chemistry, series)),
        lowest,
        wish.current / parallel,
        None if cell.mass is None else count * cell.mass,
        None if cell.cost is None else count * cell.cost,
        _fault(wish, cell, series, parallel, energy, lowest),
    )


def options(wish: Wish, cell: Cell, reserve_charge: float, count: int) -> list[Option]:
    """The packs with the fewest cells that fit, for each number in series the fewest side by side; then near misses.

    Source: [method-power] #packing
    """
    series, parallel = np.arange(1, MOST_SERIES + 1)[:, None], np.arange(1, MOST_PARALLEL + 1)
    least, _, full = cells.window(cell.chemistry)
    rested = cells.open_circuit_voltage(cell.chemistry, reserve_charge) * series
    lowest = rested - wish.current * (series * cell.resistance / parallel + cell.leads)
    energy = series * parallel * cell.capacity * cells.voltage_above(cell.chemistry, reserve_charge)
    enough = lowest >= np.maximum(least * series, wish.floor or 0.0)  # what more cells side by side mend
    if cell.current is not None:
        enough &= wish.current / parallel <= cell.current
    if wish.energy is not None:
        enough &= energy >= wish.energy
    fewest = np.where(enough.any(1), enough.argmax(1) + 1, 0)
    held = enough.any(1)
    if wish.ceiling is not None:
        held &= full * series[:, 0] <= 1.25 * wish.ceiling
    chosen = [(int(n), int(fewest[n - 1])) for n in series[:, 0] if held[n - 1]]
    chosen.sort(key=lambda pair: (pair[0] * pair[1], pair[0]))
    found = [option(wish, cell, n, p, reserve_charge) for n, p in chosen[: 2 * count]]
    return sorted(found, key=lambda one: bool(one.fault))[:count]
