"""What a winding stands: the limit of its insulation, current for ever, time to the limit, a short pull at stall."""

from __future__ import annotations

import numpy as np

from calc.drive.launch import COPPER_HEAT
from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE, hot_resistance
from calc.machine.excitation import NEVER
from calc.machine.heat import Losses, Network, Temperatures, after, steady
from calc.machine.thermal_class import allowed_temperature
from calc.quantities import Ampere, Fraction, Kelvin, Kilogram, Number, Ohm, Second

HALVES = 10.0
"""Each so many kelvin more halve an insulation's life. Source: [iec60085] with the thermal classes, about 10 K"""
LONGEST = 3.0e6
"""What still counts as "some day", s: five weeks of running."""


def allowed_rise(insulation_class: str, ambient_temperature: Kelvin) -> Kelvin:
    """Rise over the air that a winding of the class may have, K; 1 K where the air leaves none.

    Source: [method-drive] #thermal-limit
    """
    return np.maximum(allowed_temperature(insulation_class) - ambient_temperature, 1.0)


def rise(temperature: Kelvin, ambient_temperature: Kelvin) -> Kelvin:
    """Rise over the air, K.

    Source: [method-drive] #thermal-limit
    """
    return temperature - ambient_temperature


def life_factor(temperature: Kelvin, limit: Kelvin) -> Number:
    """Life of an insulation at a temperature over its life at its limit: halved by each 10 K more.

    Source: [method-drive] #thermal-limit
    """
    return np.power(2.0, (limit - temperature) / HALVES)


def continuous_current(
    network: Network,
    losses: Losses,
    line_resistance: Ohm,
    insulation_class: str,
    ambient_temperature: Kelvin,
) -> Ampere:
    """Line current that ends with the winding just at what its class allows, A; 0 where the rest is too hot already.

    `losses` of body and rotor as they are; the winding's is what is asked for.

    Source: [method-drive] #thermal-network
    """
    limit = allowed_temperature(insulation_class)
    still = Losses(0.0, losses.body, losses.rotor)
    # Two ends tell the straight line between the heat that the winding passes to the body and the body's rise.
    base = steady(network, still, ambient_temperature).body
    more = steady(network, still._replace(body=losses.body + 1.0), ambient_temperature).body - base
    heat = (limit - base) / (1.0 / network.winding_body + more)
    return np.sqrt(np.maximum(heat, 0.0) / hot_resistance(line_resistance, limit))


def time_to(
    network: Network, losses: Losses, start: Temperatures, limit: Kelvin, ambient_temperature: Kelvin
) -> Second | None:
    """Time until the winding is at `limit` under steady losses, s; None when it never is. Single values.

    Looked for on a grid of times, each a twentieth longer, and closer in the span that holds it, twice: good to
    one part in 10000.

    Source: [method-drive] #thermal-network
    """
    if float(start.winding) >= float(limit):
        return 0.0
    low, high = 0.1, LONGEST
    for points in (400, 20, 20):
        times = np.geomspace(low, high, points)
        hot = np.asarray(after(network, losses, start, times, ambient_temperature).winding) >= limit
        if not hot.any():
            return None
        at = max(int(np.argmax(hot)), 1)
        low, high = float(times[at - 1]), float(times[at])
    return high


def pulse_rise(
    current: Ampere,
    line_resistance: Ohm,
    temperature: Kelvin,
    time: Second,
    winding_mass: Kilogram,
    coil_share: Fraction,
) -> Kelvin:
    """How much the hottest coil warms in a short pull at stall, K, no heat leaving the copper; at most NEVER.

    coil_share: the hottest coil's part of I²·R. Its resistance grows as it warms: (e^(α·k·t) − 1)·(1/α + T − 20 °C).
    Validity: tens of seconds.

    Source: [method-drive] #stalled
    """
    rate = coil_share * np.square(current) * line_resistance / (winding_mass / 3.0 * COPPER_HEAT)
    span = 1.0 / COPPER_COEFFICIENT + temperature - REFERENCE_TEMPERATURE
    return np.minimum(np.expm1(np.minimum(COPPER_COEFFICIENT * rate * time, 20.0)) * span, NEVER)
