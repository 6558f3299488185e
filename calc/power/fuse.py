"""A fuse: how long it takes, what it must break, and what it guards."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from calc import standards
from calc.power.conductor import withstood
from calc.quantities import Ampere, Array, Fraction, Kelvin, Number, Ohm, Real, Second, SquareMetre, Volt

RATINGS = {
    "blade": (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40),
    "large-blade": (20, 25, 30, 35, 40, 50, 60, 70, 80, 100),
    "tube": (1, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5, 15, 20, 25, 30),
    "gG": (2, 4, 6, 10, 16, 20, 25, 32, 35, 40, 50, 63, 80, 100, 125, 160, 200, 250),
}
"""Rated currents, A, that each kind is sold in (common practice, no source)."""
LASTING = 0.8
"""Share of its rating that a fuse may carry for good (common practice, no source): it is warm where it sits."""
DERATED_AT = tuple(273.15 + celsius for celsius in (25.0, 65.0, 85.0, 110.0, 125.0))
DERATED_TO = (1.0, 34.0 / 40.0, 30.0 / 40.0, 25.0 / 40.0, 22.0 / 40.0)
"""Share of its current that a fuse carries at these temperatures, K; a rating is for 25 °C (common practice)."""
CABLE_OVERLOAD = 1.45
"""A cable's lasting current times this must be enough to open its fuse. Source: [iec60364-4-43] I2 ≤ 1.45·Iz"""
SHORT_LIMIT = 433.15
"""What plain insulation stands for seconds, K (160 °C; common practice, from memory of a wiring standard)."""
GG_GATES = (
    ("holds_10s_A", 10.0, np.inf),
    ("opens_5s_A", 0.0, 5.0),
    ("holds_100ms_A", 0.1, np.inf),
    ("opens_100ms_A", 0.0, 0.1),
)
"""Of each column of the gates of gG: the least and the most seconds at its current."""
SAME_RATING = 0.05
"""Share within which two ratings are the same one: they are sold in larger steps."""
NEVER = 1e6
"""Seconds that stand for never."""
SUDDEN = 0.6
"""Share of a cell's resistance over seconds that it has in the first moment (common practice, no source)."""


class Gate(NamedTuple):
    """Multiples of the rating, rising; the least seconds at each, nought where none is said; and the most."""

    multiple: Array
    least: Array
    most: Array

    @property
    def opens(self) -> float:
        """Multiple from which on the fuse is sure to open."""
        return float(self.multiple[np.isfinite(self.most)][0])


def _bands(fuse_kind: str) -> list[tuple[float, float]]:
    """The ranges of rating (above, up to; A) for which the gates of a kind differ."""
    rows = [row for row in standards.rows("fuse_gates") if row["kind"] == fuse_kind]
    edges = {float(row[key]) for row in rows for key in ("above_A", "up_to_A") if row[key]}
    ends = [0.0, *sorted(edges), np.inf]
    return list(pairwise(ends))


@cache
def gate(fuse_kind: str, fuse_rating: float) -> Gate:
    """The published gates of a kind of fuse at one rating, A.

    Validity: of gG between two ratings of the table in proportion, by the logarithms; outside it the conventional
    currents alone.

    Source: [iso8820] blades, and the large blade beside them
    Source: [ul248] tubes
    Source: [iec60269] cartridges: conventional currents
    Source: [gg-gates] cartridges: currents for 10 s, 5 s and 0.1 s
    """
    points = [
        (float(row["multiple"]), float(row["least_s"] or 0.0), float(row["most_s"] or np.inf))
        for row in standards.rows("fuse_gates")
        if row["kind"] == fuse_kind
        and float(row["above_A"] or 0.0) < fuse_rating <= float(row["up_to_A"] or np.inf)
    ]
    rated = standards.column("gg_gates", "rating_A")
    if fuse_kind == "gG" and rated[0] <= fuse_rating <= rated[-1]:
        for name, least, most in GG_GATES:
            amps = np.interp(np.log(fuse_rating), np.log(rated), np.log(standards.column("gg_gates", name)))
            points.append((float(np.exp(amps)) / fuse_rating, least, most))
    multiple, least_s, most_s = np.array(sorted(points)).T
    return Gate(multiple, least_s, most_s)


def opens_by(fuse_kind: str, multiple: Number, fuse_rating: float) -> Second:
    """Most seconds that a fuse takes at a multiple of its rating; infinite below what is sure to open it.

    Between gates by straight lines in the logarithms; beyond the last one, its time.

    Source: [method-power] #fuse
    """
    table = gate(fuse_kind, fuse_rating)
    sure = np.isfinite(table.most)
    at, most = np.log(table.multiple[sure]), np.log(table.most[sure])
    given = np.asarray(multiple, dtype=float)
    time = np.exp(np.interp(np.log(np.maximum(given, 1e-9)), at, most))
    return np.where(given >= table.opens * (1.0 - 1e-12), time, np.inf)


def stands_for(fuse_kind: str, multiple: Number, fuse_rating: float) -> Second:
    """Least seconds that a fuse carries a multiple of its rating; 0 where nothing is said.

    Up to what it carries for hours: infinite. Between gates by straight lines in the logarithms.

    Source: [method-power] #fuse
    """
    table = gate(fuse_kind, fuse_rating)
    told = table.least > 0.0
    given = np.asarray(multiple, dtype=float)
    if not told.any():
        return np.where(given <= 1.0, np.inf, 0.0)
    at, least = table.multiple[told], table.least[told]
    time = np.exp(np.interp(np.log(np.maximum(given, 1e-9)), np.log(at), np.log(least)))
    time = np.where(given <= at[0], np.inf, time)
    return np.where(given > at[-1] * (1.0 + 1e-9), 0.0, time)


def lasting_share(ambient_temperature: Kelvin) -> Fraction:
    """Share of its rating that a fuse carries for good in air of a temperature, K: less in the heat.

    Validity: the derating is that of one large blade fuse; other kinds and makes have their own sheet.

    Source: [iso8820] the large blade beside it, a 40 A part: 34, 30, 25, 22 A at 65, 85, 110, 125 °C
    """
    return LASTING * np.interp(ambient_temperature, DERATED_AT, DERATED_TO)


def lasting_rating(current: Ampere, ambient_temperature: Kelvin) -> Ampere:
    """Rating that carries a current for good on the hottest day, A.

    Source: [method-power] #fuse
    """
    return current / lasting_share(ambient_temperature)


def guarded_rating(fuse_kind: str, ampacity: Ampere) -> Ampere:
    """Highest rating of a fuse that guards a cable against overload, A: In ≤ Iz and I2 ≤ 1.45·Iz.

    Source: [iec60364-4-43] In ≤ Iz and I2 ≤ 1.45·Iz
    """
    most: Real = np.zeros(np.shape(ampacity))
    for above, up_to in _bands(fuse_kind):  # small cartridges open at a higher multiple than large ones
        opens = gate(fuse_kind, up_to if np.isfinite(up_to) else 2.0 * above + 1.0).opens
        fits = np.minimum(ampacity * min(1.0, CABLE_OVERLOAD / opens), up_to)
        most = np.where(fits > above, np.maximum(most, fits), most)
    return most


def prospective_current(voltage_full: Volt, cells_resistance: Ohm) -> Ampere:
    """Current of a short right behind the fuse, A: the full pack through its cells alone, at the first moment.

    Source: [method-power] #fuse
    """
    return voltage_full / (SUDDEN * cells_resistance)


def cells_resistance(series: Number, parallel: Number, cell_resistance: Ohm) -> Ohm:
    """Resistance of the cells without links, leads and protection, ohm.

    Source: [method-power] #fuse
    """
    return series * cell_resistance / parallel


def far_short(voltage_min: Volt, cold_resistance: Ohm, cable_resistance: Ohm) -> Ampere:
    """Current of a short at the far end of the cable with the pack nearly empty, A: the least that must open the fuse.

    Cells as cold as the air: they have more resistance, and let through less.

    Source: [method-power] #fuse
    """
    return voltage_min / (cold_resistance + cable_resistance)


def break_asked(greatest_pack_current: Ampere, fuse_rating: Ampere) -> Ampere:
    """Current that main switch and emergency stop may have to break, A: the drive's most, or what the fuse lets
    through for good.

    Source: [method-power] #precharge
    """
    return np.maximum(greatest_pack_current, fuse_rating)


def cable_stands(cross_section: SquareMetre, current: Ampere, insulation_limit: Kelvin) -> Second:
    """Seconds that a cable at its limit stands a short, s.

    Source: [method-power] #cable-short
    """
    return withstood(
        cross_section, insulation_limit, np.maximum(SHORT_LIMIT, insulation_limit + 20.0)
    ) / np.square(current)


def gate_time(fuse_kind: str, fuse_rating: Ampere, far_short: Ampere) -> Second:
    """Most seconds that a fuse of its kind takes for a short at the cable's far end; NEVER when it isn't sure to open.

    The gate is that of the rating as stated; what is in doubt of the rating moves its multiple.

    Source: [method-power] #fuse
    """
    stated = round(float(np.mean(fuse_rating)), 1)
    return np.minimum(opens_by(fuse_kind, far_short / fuse_rating, stated), NEVER)


def tied(
    opens_short_rating: Ampere, opens_short_current: Ampere, fuse_rating: Ampere, far_short: Ampere
) -> Real:
    """Whether a time read off a curve counts: read for this rating, at no more current than the short makes.

    Source: [method-power] #fuse
    """
    same = np.abs(opens_short_rating / fuse_rating - 1.0) <= SAME_RATING
    return same & np.asarray(opens_short_current <= far_short * (1.0 + 1e-9))


def read_time(
    opens_short: Second,
    opens_short_rating: Ampere,
    opens_short_current: Ampere,
    fuse_kind: str,
    fuse_rating: Ampere,
    far_short: Ampere,
) -> Second:
    """Most seconds for a short at the cable's far end: as read off the fuse's own curve where that counts, else gate.

    Source: [method-power] #fuse
    """
    return np.where(
        tied(opens_short_rating, opens_short_current, fuse_rating, far_short),
        opens_short,
        gate_time(fuse_kind, fuse_rating, far_short),
    )


def recommended(fuse_kind: str, least: Real, most: Real) -> float | None:
    """The lowest standard rating from `least` up that is no more than `most`, A; None where there is none.

    Source: [method-power] #fuse
    """
    fits = [float(rating) for rating in RATINGS[fuse_kind] if least <= rating <= most]
    return fits[0] if fits else None
