"""Insulation of winding and field to the case: a meter in series with it on a supply, and what a pack needs of it.

The rows of a table never vary between draws.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.errors import NoSolution
from calc.machine.scatter import READING_ERROR
from calc.quantities import Fraction, Ohm, Volt

LEAST_PER_VOLT = 500.0
"""Least insulation between a circuit with an alternating part and the case, ohm per volt. The controller joins the
stator, which alternates, to the pack, so the whole counts. Source: [touch-voltage] 500 Ω/V; 100 Ω/V is for direct
current alone."""
GOOD_INSULATION = 1.0e6
"""What dry, clean windings of this size reach with ease, ohm (common practice, no source)."""
_FINEST = 1.0e-3
"""The least share of the supply that a hand meter on the supply's range tells from nothing (common practice)."""

InsulationRow = tuple[float, float, float]
"""Volts of the supply, volts that the meter shows, volts with winding and case joined: the proof."""
_PROVED = 0.9
"""Share of the supply that the proof must show."""


def insulation_resistances(insulation_test: Sequence[InsulationRow], meter_resistance: Ohm) -> list[Ohm]:
    """Insulation to the case by each row (volts of the supply, volts the meter shows), ohm: R_meter·(U/V − 1).

    A reading of nothing, or of less than a thousandth of the supply, counts as a thousandth: no more can be told with
    this meter, so the answer is then a least value.
    Raises NoSolution when the meter shows more than the supply gives.

    Source: [method-machine] #insulation
    """
    for number, (supply, reading, joined) in enumerate(insulation_test, 1):
        if joined < _PROVED * supply:
            raise NoSolution(
                f"Row {number} of the insulation test isn't proved: with winding and case joined the meter shows "
                f"{joined:.4g} V of {supply:.4g} V, so its circuit is open somewhere.",
                "Bare metal under both clips, supply on, meter in series; join winding and case by a wire: all of the "
                "supply must show. Then take the wire off and read again.",
            )
        if reading > supply * 1.02:
            raise NoSolution(
                f"Row {number} of the insulation test shows {reading:.4g} V from a supply of {supply:.4g} V.",
                "Nothing else may be connected. Measure the supply first, then put the meter in series.",
            )
    return [
        meter_resistance * max(supply / max(reading, supply * _FINEST) - 1.0, 1e-6)
        for supply, reading, _ in insulation_test
    ]


def insulation_resistance(insulation_test: Sequence[InsulationRow], meter_resistance: Ohm) -> Ohm:
    """Insulation to the case, ohm: the worst of the rows, for one bad winding is enough.

    Source: [method-machine] #insulation
    """
    rows = insulation_resistances(insulation_test, meter_resistance)
    worst = rows[0]
    for row in rows[1:]:
        worst = np.minimum(worst, row)
    return worst


def windings_read(insulation_test: Sequence[InsulationRow]) -> Fraction:
    """Rows over the two windings that there are, stator and field; 1 when both may have been read.

    Source: [method-machine] #insulation
    """
    return min(len(insulation_test) / 2.0, 1.0)


def insulation_least(insulation_resistance: Ohm, insulation_spread: Fraction) -> Ohm:
    """The least insulation that the readings let be believed, ohm.

    Source: [method-machine] #insulation
    """
    return insulation_resistance * np.maximum(1.0 - insulation_spread, 0.0)


def insulation_spread(insulation_test: Sequence[InsulationRow]) -> Fraction:
    """How far the insulation may be off for the two readings, as a share of it: all of it when the meter shows nearly
    the whole supply, for then a short to the case reads the same.

    Two readings, each off by READING_ERROR of itself, of which U/V − 1 is the small difference; the worst row counts.
    The meter's resistance has its own ±.

    Source: [method-machine] #insulation
    """
    share = min(
        max(supply / max(reading, supply * _FINEST), 1.0 + 1e-9) for supply, reading, _ in insulation_test
    )
    return min(2.0**0.5 * READING_ERROR * share / (share - 1.0), 1.0)


def beyond_the_meter(insulation_test: Sequence[InsulationRow]) -> list[bool]:
    """Row by row, whether the insulation is more than this meter can tell.

    Source: [method-machine] #insulation
    """
    return [reading <= supply * _FINEST for supply, reading, _ in insulation_test]


def insulation_good() -> Ohm:
    """Insulation to the case that dry, clean windings reach with ease, ohm.

    Source: [method-machine] #insulation
    """
    return GOOD_INSULATION


def insulation_needed(voltage_full: Volt) -> Ohm:
    """Least insulation to the case for a circuit of this voltage, ohm.

    Source: [touch-voltage] 500 ohm per volt, alternating current joined to direct
    """
    return LEAST_PER_VOLT * voltage_full
