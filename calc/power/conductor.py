"""A copper cable: its resistance, what it loses, how warm it gets, and what it carries for good."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np

from calc import standards
from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE
from calc.quantities import (
    Ampere,
    Array,
    Kelvin,
    Metre,
    Ohm,
    OhmPerMetre,
    Real,
    SquareMetre,
    Volt,
    Watt,
    WattPerMetre,
)

STANDARD_RESISTIVITY = 1.0 / 58e6
"""Ohm·m at 20 °C. Source: [nbs100] 1/58 ohm·mm²/m"""
VOLUME_HEAT = 385.0 * 8890.0
"""Heat that a cubic metre of copper takes for a kelvin, J/(m³·K). Source: [nbs100] 8.89 g/cm³; 385 J/(kg·K) as for
the windings"""
TERMINAL_LIMIT = 363.15
"""Temperature that what a cable is joined to stands, K (90 °C; common practice, no source)."""
DROP_ALLOWED = 0.03
"""Share of the pack's voltage that a cable may lose (common practice, no source)."""
EMISSIVITY, STEFAN = 0.9, 5.670374e-8
"""Of a dull cable jacket (common practice, no source), and the constant of radiation, W/(m²·K⁴)."""
STILL_AIR = 1.32
"""W/(m²·K) for a rod lying in still air at 1 K and 1 m. Source: [method-power] #cable-heat"""
SHED = {"free": 0.65, "bundled": 0.5}
"""Share of a bare rod's heat that a cable gets rid of as it lies. free: set so that it carries what a wiring code's
table gives single copper conductors in free air at 90 °C with 30 °C air, 80, 140, 260 and 405 A for 8, 4, 1/0 and 4/0
(from memory). bundled: common practice, no source."""
INSULATION = 0.0012
"""Thickness of the insulation, m (common practice, no source): more of it lets a thin cable run cooler."""
FILL = 0.75
"""Copper in the circle round fine strands (common practice, no source)."""
MOST_RISE = 299.0
"""K above the air from which a cable is simply too hot."""
_ROUNDS = 30


def area_of_gauge(awg: str) -> SquareMetre:
    """Section of a round wire by its American gauge, m²: 4/0 to 30.

    No. 36 is 0.005 inch, 4/0 is 0.46 inch, and the 39 steps between are equal ratios.

    Source: [astm-b258] definition of the gauge
    """
    number = 1 - int(awg[0]) if awg.endswith("/0") else int(awg)
    diameter = 0.127e-3 * 92.0 ** ((36 - number) / 39.0)
    return float(np.pi / 4.0 * diameter**2)


@cache
def _published() -> tuple[Array, Array, Array]:
    """Sections (m²) of IEC 60228, ohm·m of its fine-stranded conductors, and the sections of the American gauge."""
    area = np.array(standards.column("iec60228_copper", "area_mm2")) * 1e-6
    ohms = np.array(standards.column("iec60228_copper", "class5_ohm_per_km")) * 1e-3
    gauges = [area_of_gauge(size) for size in ("4/0", "3/0", "2/0", "1/0", *map(str, range(1, 31)))]
    return area, ohms * area, np.array(gauges)


def sizes() -> Array:
    """The metric sections that cables are sold in, m².

    Source: [iec60228] nominal sections, class 5
    """
    return _published()[0]


def metre_resistance(cross_section: SquareMetre) -> OhmPerMetre:
    """Resistance of a metre of copper at 20 °C, ohm/m.

    A metric section has what the standard allows a fine-stranded conductor at most; one of the American gauge has that
    of solid round copper, fine strands some per cent more. Between metric sizes in proportion; beyond them like the
    last.

    Source: [iec60228] class 5; [astm-b258] with [nbs100] 1/58 ohm·mm²/m
    """
    area, product, gauges = _published()
    given = np.asarray(cross_section, dtype=float)
    is_gauge = (np.abs(given[..., None] / gauges - 1.0) < 1e-3).any(-1)
    fine = np.interp(np.log(given), np.log(area), product)
    return np.where(is_gauge, STANDARD_RESISTIVITY, fine) / given


def cable_resistance(cross_section: SquareMetre, loop_length: Metre, conductor_temperature: Kelvin) -> Ohm:
    """Resistance of the whole loop at the copper's temperature, ohm.

    Source: [method-power] #cable
    """
    hot = 1.0 + COPPER_COEFFICIENT * (conductor_temperature - REFERENCE_TEMPERATURE)
    return metre_resistance(cross_section) * loop_length * hot


def cable_current(
    cable: str, greatest_pack_current: Ampere, phase_current_limit: Ampere, field_current: Ampere
) -> Ampere:
    """Current that a cable of the build carries at most, A: one lead of the machine has √(2/3) of the flat-top current.

    Source: [method] #six-step-torque
    """
    if cable == "phase":
        return np.sqrt(2.0 / 3.0) * phase_current_limit
    return field_current if cable == "field" else greatest_pack_current


def voltage_drop(current: Ampere, cable_resistance: Ohm) -> Volt:
    """What the cable takes of the pack's voltage, V.

    Source: [method-power] #cable
    """
    return current * cable_resistance


def cable_loss(current: Ampere, cable_resistance: Ohm) -> Watt:
    """Heat of the whole loop, W.

    Source: [method-power] #cable
    """
    return np.square(current) * cable_resistance


def shed(
    cross_section: SquareMetre, cable_lies: str, ambient_temperature: Kelvin, rise: Kelvin
) -> WattPerMetre:
    """Heat that a metre of cable gives to still air when it is `rise` warmer, W/m: by convection and radiation.

    Validity: a round cable by itself or in a bundle, indoors, no sun; 10 to 100 K.

    Source: [method-power] #cable-heat
    """
    around = 2.0 * np.sqrt(np.asarray(cross_section) / (np.pi * FILL)) + 2.0 * INSULATION
    warm = np.maximum(rise, 0.0)
    moved = STILL_AIR * (warm / around) ** 0.25 * warm
    shone = EMISSIVITY * STEFAN * ((ambient_temperature + warm) ** 4 - np.asarray(ambient_temperature) ** 4)
    return SHED[cable_lies] * np.pi * around * (moved + shone)


def cable_limit(insulation_limit: Kelvin) -> Kelvin:
    """How hot a cable may get, K: its insulation's limit, and no more than lugs, switches and holders stand.

    Source: [method-power] #cable-heat
    """
    return np.minimum(insulation_limit, TERMINAL_LIMIT)


def ampacity(
    cross_section: SquareMetre, cable_lies: str, ambient_temperature: Kelvin, insulation_limit: Kelvin
) -> Ampere:
    """Current that a cable carries for good without passing its insulation's limit, A; 0 where the air is hotter.

    Insulation for more than TERMINAL_LIMIT counts as that: lugs, switches and holders stand no more.
    Validity: as `shed`. Local codes and the cable's own table go first.

    Source: [method-power] #cable-heat
    """
    limit = cable_limit(insulation_limit)
    rise = np.maximum(limit - ambient_temperature, 0.0)
    hot = 1.0 + COPPER_COEFFICIENT * (limit - REFERENCE_TEMPERATURE)
    return np.sqrt(
        shed(cross_section, cable_lies, ambient_temperature, rise) / (metre_resistance(cross_section) * hot)
    )


def cable_rise(
    current: Ampere, cross_section: SquareMetre, cable_lies: str, ambient_temperature: Kelvin
) -> Kelvin:
    """How much warmer than the air a cable gets for good, K; no more than 300.

    Where heat made (which grows with the copper's temperature) meets heat given off, by halving.

    Source: [method-power] #cable-heat
    """
    low = np.zeros(np.broadcast(current, cross_section, ambient_temperature).shape)
    high = low + MOST_RISE + 1.0
    cold = np.square(current) * metre_resistance(cross_section)
    for _ in range(_ROUNDS):
        rise = (low + high) / 2.0
        hot = 1.0 + COPPER_COEFFICIENT * (ambient_temperature + rise - REFERENCE_TEMPERATURE)
        short = cold * hot > shed(cross_section, cable_lies, ambient_temperature, rise)
        low, high = np.where(short, rise, low), np.where(short, high, rise)
    return (low + high) / 2.0


def smallest_size(enough: Sequence[bool]) -> float | None:
    """The least of `sizes` of which `enough` is true, and all above; None where none is.

    Source: [iec60228] nominal sections
    """
    good = np.flatnonzero(enough)
    return float(sizes()[good[0]]) if good.size else None


def withstood(cross_section: SquareMetre, start: Kelvin, end: Kelvin) -> Real:
    """Current squared times seconds that warms copper from one temperature to another with no heat lost, A²·s.

    S²·(c·density)/(resistivity·α)·ln of the ratio of its resistances.

    Source: [method-power] #cable-short
    """
    cold, hot = (1.0 + COPPER_COEFFICIENT * (t - REFERENCE_TEMPERATURE) for t in (start, end))
    constant = VOLUME_HEAT / (STANDARD_RESISTIVITY * COPPER_COEFFICIENT)
    return np.square(cross_section) * constant * np.log(np.maximum(hot / cold, 1.0))
