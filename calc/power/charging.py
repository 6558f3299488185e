"""What current a pack may be charged with: cells, how cold or hot they are, and the protection.

That a pack is charged cool and dry, off the charger when full, damaged cells apart:
Source: [osha-lithium] the bulletin's advice to workers
"""

from __future__ import annotations

import numpy as np

from calc.power import cells
from calc.quantities import Ampere, Array, Coulomb, Fraction, Kelvin, Number, Real

FREEZING = 273.15
WARM_FROM = FREEZING + 15.0
"""From here up to the end of their sheet the cells take their full charging current, K."""
GUIDANCE_TO = FREEZING + 40.0
"""Up to here fire departments would charge, K. Source: [fire-guidance] charge at 0 to 40 °C, attended, by day"""
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


def guarded_current(cells_current: Ampere, charge_current_limit: Ampere) -> Ampere:
    """The same, with a protection that opens at `charge_current_limit` while charging, A: the lesser.

    Source: [method-power] #charge-current
    """
    return np.minimum(cells_current, charge_current_limit)
