"""What current a pack may be charged with: cells, how cold or hot they are, and the protection.

That a pack is charged cool and dry, off the charger when full, damaged cells apart:
Source: [osha-lithium] the bulletin's advice to workers
"""

from __future__ import annotations

import numpy as np

from calc.power import cells
from calc.power.conductor import ampacity
from calc.quantities import Ampere, Array, Coulomb, Fraction, Kelvin, Number, Real, SquareMetre

FREEZING = 273.15
WARM_FROM = FREEZING + 15.0
"""From here up to the end of their sheet the cells take their full charging current, K."""
GUIDANCE_TO = FREEZING + 40.0
"""Up to here fire services would charge, K. Source: [fire-guidance] charge at 0 to 40 °C, attended, by day"""
LEAD_LIMIT = FREEZING + 70.0
"""What the insulation of a common charging lead stands, K (common practice, no source)."""
MADE_FOR = ("lfp", "nmc")
"""Cells that chargers are made for; the second stands for every kind of its full voltage."""
ALIKE_FULL = 0.02
"""Full voltages of cells nearer than this are of one kind, V."""
COLD_FROM = (FREEZING, FREEZING + 5.0, WARM_FROM)
COLD_SHARES = (0.2, 0.4, 1.0)
"""Share of it from each temperature on. Source: [charge-sheet] 0.1C, 0.2C and 0.5C from 0, 5 and 15 °C"""


def cell_charge_limit(charge_share: Fraction, cell_capacity: Coulomb) -> Ampere:
    """Charging current of a cell whose sheet isn't at hand, A: a share of its capacity each hour.

    Validity: 0.5 of it on one sheet at second hand; some cells stand less. The cell's own sheet goes first.

    Source: [charge-sheet] 0.5C at 15 to 55 °C
    """
    return charge_share * cell_capacity / 3600.0


def temperature_share(chemistry: str, temperature: Kelvin) -> Real:
    """Share of the full charging current that cells of this temperature take: none outside what their sheets allow.

    Source: [charge-sheet] steps at 5 and 15 °C; [cell-sheets] charge at 0 to 45 °C
    """
    given = np.asarray(temperature, dtype=float)
    steps: Array = np.array(COLD_SHARES)
    share = steps[np.maximum(np.searchsorted(np.array(COLD_FROM), given, side="right") - 1, 0)]
    coldest, hottest = cells.temperatures(chemistry, "charge")
    return np.where((given >= coldest) & (given <= hottest), share, 0.0)


def cells_current(chemistry: str, cell_charge_limit: Ampere, parallel: Number, temperature: Kelvin) -> Ampere:
    """Charging current that the cells stand at their temperature, A.

    Source: [method-power] #charge-current
    """
    return cell_charge_limit * parallel * temperature_share(chemistry, temperature)


def coldest_charge(room_temperature: Kelvin, air: Kelvin) -> Kelvin:
    """Coldest that cells are charged at, K, where nobody said: as cold as the room or the air that they came from.

    Source: [method-power] #charge-current
    """
    return np.minimum(room_temperature, air)


def season_current(
    chemistry: str,
    cell_charge_limit: Ampere,
    parallel: Number,
    coldest_charge: Kelvin,
    ambient_temperature: Kelvin,
) -> Ampere:
    """Charging current that the cells stand all the year, A: at their coldest, and as hot as the hottest day.

    Source: [method-power] #charge-current
    """
    cold, hot = (
        cells_current(chemistry, cell_charge_limit, parallel, kelvin)
        for kelvin in (coldest_charge, ambient_temperature)
    )
    return np.minimum(cold, hot)


def hottest() -> Kelvin:
    """How warm cells may be to be charged, K.

    Source: [fire-guidance] charge at 0 to 40 °C
    """
    return GUIDANCE_TO


def right_kind(charger_kind: str, chemistry: str) -> Number:
    """1 where the charger is made for cells that are full at the same voltage, else 0; nobody knows counts as 0.

    Source: [method-power] #charge-current
    """
    return float(charger_kind in MADE_FOR and abs(_full(charger_kind) - _full(chemistry)) <= ALIKE_FULL)


def _full(chemistry: str) -> float:
    return cells.window(chemistry)[2]


def right_kind_told(charger_kind: str, chemistry: str) -> str:
    """Whether the charger is made for these cells, in plain words.

    Source: [method-power] #charge-current
    """
    if right_kind(charger_kind, chemistry):
        return "The charger is made for such cells."
    return {
        "unknown": "Nobody knows what this charger is made for. It may never stop, or give more than it shows with "
        "nothing connected.",
        "lead": "A lead-acid charger may equalise or desulphate: pulses and volts far over the full pack, and it "
        "starts again by itself.",
    }.get(charger_kind, "The charger is made for other cells. It charges to another voltage, by other rules.")


def port_opens(charge_port: str) -> Number:
    """1 where plugging the charger in opens the drive, else 0.

    Source: [method-power] #charge-current
    """
    return float(charge_port == "opens-drive")


def port_told(charge_port: str) -> str:
    """What plugging the charger in does, in plain words.

    Source: [method-power] #charge-current
    """
    if port_opens(charge_port):
        return "Plugging the charger in opens the drive."
    return "It can drive off while it is plugged in: the lead tears, and live ends lie on the floor."


def sends_nothing(electric_brake: str) -> Number:
    """1 where the controller sends no current back into the pack to brake, else 0.

    Source: [method-power] #electric-brake
    """
    return float(electric_brake == "off")


def sends_told(electric_brake: str) -> str:
    """What the controller's electric brake does, in plain words.

    Source: [method-power] #electric-brake
    """
    return {
        "off": "The controller sends nothing back when it brakes or the throttle is let go.",
        "on": "The controller brakes with current into the pack, at any speed: into a full pack, or into frozen cells.",
    }.get(electric_brake, "Whether the controller brakes with current into the pack isn't known.")


def lead_carries(
    charger_lead_section: SquareMetre, room_temperature: Kelvin, ambient_temperature: Kelvin
) -> Ampere:
    """What the charging lead carries for hours, coiled or bundled, in the warmer of room and hottest day, A.

    Source: [method-power] #charge-current
    """
    air = np.maximum(room_temperature, ambient_temperature)
    return ampacity(charger_lead_section, "bundled", air, LEAD_LIMIT)


def lead_asked(charger_current: Ampere, charger_fuse: Ampere) -> Ampere:
    """What the charging lead has to carry for good, A: the charger's current, or what its fuse lets through.

    Source: [method-power] #charge-current
    """
    return np.maximum(charger_current, charger_fuse)


def guarded_current(cells_current: Ampere, charge_current_limit: Ampere) -> Ampere:
    """The same, with a protection that opens at `charge_current_limit` while charging, A: the lesser.

    Source: [method-power] #charge-current
    """
    return np.minimum(cells_current, charge_current_limit)
