"""Filling and emptying the capacitors of the bus through a resistor."""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, Farad, Fraction, Joule, Number, Ohm, Real, Second, Volt, Watt

FULL = 0.95
"""Share of the pack's voltage at which a bus counts as filled (common practice, no source)."""
SAFE_VOLTS = 5.0
"""Voltage at which an emptied bus is let alone, V (common practice, no source)."""
LOW_ENERGY = 0.2
"""Energy that counts as harmless, J. Source: [touch-voltage] low energy, 0.2 J"""
BLEED_WARM = 10.0
"""Heat of a bleed resistor above which it wants a place of its own, W (common practice, no source)."""
BLEED_BURNS = 100.0
"""Heat above which it isn't a bleed resistor but a heater across the pack, W (common practice, no source)."""
SERIES = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
"""The twelve values of a decade in which resistors are sold (E12 of IEC 60063, from memory)."""

OVERLOAD = 5.0
"""How many times its rating a wire-wound resistor stands for a moment (common practice, no source)."""


def time_constant(bus_capacitance: Farad, resistor: Ohm) -> Second:
    """Time to 63 % through a resistor, s.

    Source: [method-power] #precharge
    """
    return bus_capacitance * resistor


def filling_time(bus_capacitance: Farad, precharge_resistor: Ohm) -> Second:
    """Time until the bus has 95 % of the pack's voltage, s: three time constants.

    Source: [method-power] #precharge
    """
    return -np.log(1.0 - FULL) * time_constant(bus_capacitance, precharge_resistor)


def first_current(supply_voltage: Volt, precharge_resistor: Ohm) -> Ampere:
    """Current at the first moment, A.

    Source: [method-power] #precharge
    """
    return supply_voltage / precharge_resistor


def first_power(supply_voltage: Volt, precharge_resistor: Ohm) -> Watt:
    """Power in the resistor at the first moment, W: also what it takes for good when something holds the bus down.

    Source: [method-power] #precharge
    """
    return supply_voltage * supply_voltage / precharge_resistor


def resistor_stands(precharge_rating: Watt) -> Watt:
    """Power that a resistor stands at the first moment, W: a wire-wound one several times what it stands for good.

    Source: [method-power] #precharge
    """
    return OVERLOAD * precharge_rating


def pulse_energy(bus_capacitance: Farad, supply_voltage: Volt) -> Joule:
    """Heat that one filling leaves in the resistor, J: as much as goes into the capacitors, whatever the resistor.

    Source: [precharge-note] resistor sized by ½CV²
    """
    return 0.5 * bus_capacitance * supply_voltage * supply_voltage


def short_energy(resistor_power: Watt, precharge_time: Second) -> Joule:
    """Heat that one try leaves in the resistor when a short lies behind it and the circuit gives up in time, J.

    Source: [method-power] #precharge
    """
    return resistor_power * precharge_time


def tries_per_minute(precharge_rating: Watt, energy: Joule, precharge_time: Second) -> Number:
    """Tries a minute that a resistor stands for good: its watts for good are their mean power; no more than fit in.

    Validity: mounted and aired as its data sheet asks; the bus emptied in between.

    Source: [method-power] #precharge
    """
    return np.minimum(60.0 * precharge_rating / energy, 60.0 / precharge_time)


def left_over(
    bus_capacitance: Farad,
    precharge_resistor: Ohm,
    precharge_time: Second,
    precharge_electronics: str,
    supply_voltage: Volt,
    idle_power: Watt,
) -> Fraction:
    """Share of the pack's voltage that is missing on the bus when the main switch closes.

    Electronics that feed from the bus and hold it under 95 % count as if it stayed empty: they may start at any
    voltage, and below the lower root of their balance the bus climbs no further.

    Source: [method-power] #precharge
    """
    missing = np.exp(-precharge_time / time_constant(bus_capacitance, precharge_resistor))
    if precharge_electronics == "off":
        return missing
    held = held_voltage(supply_voltage, precharge_resistor, idle_power) / supply_voltage
    return np.where(held < FULL, 1.0, np.maximum(missing, 1.0 - held))


def left_over_bled(
    bus_capacitance: Farad,
    precharge_resistor: Ohm,
    precharge_time: Second,
    precharge_electronics: str,
    supply_voltage: Volt,
    idle_power: Watt,
    bleed_resistor: Ohm,
) -> Fraction:
    """The same with a resistor across the bus that empties it all the time: the two divide the voltage.

    Source: [method-power] #precharge
    """
    share = bled_share(precharge_resistor, bleed_resistor)
    alone = left_over(
        bus_capacitance,
        precharge_resistor * share,
        precharge_time,
        precharge_electronics,
        supply_voltage * share,
        idle_power,
    )
    return 1.0 - share * (1.0 - alone)


def told(precharge_left: Fraction, precharge_electronics: str, precharge_time: Second, time: Second) -> str:
    """Why the bus stays empty though there is time enough to fill it, in words; '' where that isn't so.

    Source: [method-power] #precharge
    """
    if precharge_electronics == "off" or precharge_left <= 1.0 - FULL or precharge_time < time:
        return ""
    return " Electronics that may start early can hold it down near nothing: counted as empty."


def filled(precharge_left: Fraction) -> Fraction:
    """Share of the pack's voltage that is on the bus when the main switch closes.

    Source: [method-power] #precharge
    """
    return 1.0 - precharge_left


def wanted() -> Fraction:
    """Share of the pack's voltage at which the main switch may close.

    Source: [method-power] #precharge
    """
    return FULL


def inrush(missing: Fraction, supply_voltage: Volt, pack_resistance: Ohm) -> Ampere:
    """Current that the main switch closes on, A: the missing volts over the pack with its leads, inductance left out.

    Source: [method-power] #precharge
    """
    return missing * supply_voltage / pack_resistance


def held_voltage(supply_voltage: Volt, precharge_resistor: Ohm, idle_power: Watt) -> Volt:
    """Where the bus ends while electronics of a steady power feed from it through the resistor, V; 0: never up.

    Source: [method-power] #precharge
    """
    inner = supply_voltage * supply_voltage - 4.0 * precharge_resistor * idle_power
    return np.where(inner > 0.0, 0.5 * (supply_voltage + np.sqrt(np.maximum(inner, 0.0))), 0.0)


def held_voltage_bled(
    supply_voltage: Volt, precharge_resistor: Ohm, idle_power: Watt, bleed_resistor: Ohm
) -> Volt:
    """The same with a resistor across the bus: pack and resistor, seen from the bus, are lowered by one share.

    Source: [method-power] #precharge
    """
    share = bled_share(precharge_resistor, bleed_resistor)
    return held_voltage(supply_voltage * share, precharge_resistor * share, idle_power)


def bled_share(precharge_resistor: Ohm, bleed_resistor: Ohm) -> Fraction:
    """Share of the pack's voltage that a resistor across the bus leaves there while it is filled through another.

    Source: [method-power] #precharge
    """
    return bleed_resistor / (precharge_resistor + bleed_resistor)


def emptying_time(bus_capacitance: Farad, bleed_resistor: Ohm, supply_voltage: Volt, end: Volt) -> Second:
    """Time until a bus left alone with a resistor has come down to a voltage, s.

    Source: [method-power] #precharge
    """
    ratio = np.maximum(supply_voltage / end, 1.0)
    return time_constant(bus_capacitance, bleed_resistor) * np.log(ratio)


def harmless_voltage(bus_capacitance: Farad) -> Volt:
    """Voltage at which a bus holds no more than 0.2 J, V.

    Source: [touch-voltage] low energy, 0.2 J
    """
    return np.sqrt(2.0 * LOW_ENERGY / bus_capacitance)


def nearby_values(most: Real, count: int) -> list[float]:
    """The `count` standard resistances up to `most`, largest first, ohm.

    Source: [method-power] #precharge
    """
    values = [base * 10.0**power for power in range(-1, 7) for base in SERIES]
    return [round(v, 6) for v in values if v <= float(most) * (1.0 + 1e-9)][::-1][:count]
