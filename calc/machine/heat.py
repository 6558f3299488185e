"""Heat of the machine: three bodies that warm each other and the air, and how hot they get.

Stator winding, stator iron with the housings ("body"), and the rotor with its field coil. Every copper loss grows
with its own temperature. All of it is linear, so both the end and the way there have closed forms.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.drive.launch import COPPER_HEAT
from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE, hot_resistance
from calc.machine.excitation import NEVER
from calc.machine.losses import MEASURED_AT
from calc.quantities import (
    Fraction,
    Kelvin,
    Kilogram,
    Number,
    RadianPerSecond,
    Real,
    Second,
    Watt,
)

IRON_HEAT = 460.0
"""Specific heat of iron, J/(kg·K) (common practice, no source)."""
BODY_HEAT = 550.0
"""Specific heat of stator iron and aluminium housings together, J/(kg·K) (common practice, no source)."""
FAN_EXPONENT = 0.8
"""Cooling by moved air over its speed, a power (common practice, no source)."""
THROUGH_BODY = 0.5
"""How much of the body's rise a rotor takes on that has no heat of its own (common practice, no source)."""


class Network(NamedTuple):
    """What passes heat on, W/K: winding to body, body to air, rotor to body, rotor to air; and what holds it, J/K."""

    winding_body: Number
    body_air: Number
    rotor_body: Number
    rotor_air: Number
    winding_heat: Number
    body_heat: Number
    rotor_heat: Number


class Losses(NamedTuple):
    """What heats the three, W. Those of the copper as they would be at 20 °C."""

    winding: Watt
    body: Watt
    rotor: Watt


class Temperatures(NamedTuple):
    """How hot the three are, K."""

    winding: Kelvin
    body: Kelvin
    rotor: Kelvin


def cooling(motor_speed: RadianPerSecond, fan_gain: Number) -> Number:
    """How many times better than at standstill the air takes heat away: 1 + fan_gain·(speed/1000 rpm)^0.8.

    Source: [method-drive] #thermal-network
    """
    return 1.0 + fan_gain * np.power(motor_speed / MEASURED_AT, FAN_EXPONENT)


def network(
    winding_thermal_resistance: Number,
    body_thermal_resistance: Number,
    field_thermal_resistance: Number,
    winding_mass: Kilogram,
    body_mass: Kilogram,
    rotor_mass: Kilogram,
    cooling: Number,
) -> Network:
    """The machine's heat paths at a speed. Thermal resistances, K/W, as measured standing still: of winding over body,
    body over air, rotor over air.

    Source: [method-drive] #thermal-network
    """
    body, rotor = body_thermal_resistance, field_thermal_resistance
    share = np.minimum(THROUGH_BODY, 0.5 * rotor / body)
    whole = body * rotor - np.square(share * body)
    return Network(
        1.0 / winding_thermal_resistance,
        (rotor - share * body) / whole * cooling,
        share * body / whole,
        body * (1.0 - share) / whole * cooling,
        winding_mass * COPPER_HEAT,
        body_mass * BODY_HEAT,
        rotor_mass * IRON_HEAT,
    )


def _balance(network: Network, losses: Losses, ambient_temperature: Kelvin) -> tuple[tuple[Real, ...], ...]:
    """(what leaves each for each kelvin of its own rise, what heats each at the air's temperature), W/K and W.

    A copper loss that grows with its own temperature counts as heat that leaves less easily.
    """
    air = 1.0 + COPPER_COEFFICIENT * (ambient_temperature - REFERENCE_TEMPERATURE)
    leaves = (
        network.winding_body - COPPER_COEFFICIENT * losses.winding,
        network.winding_body + network.body_air + network.rotor_body,
        network.rotor_body + network.rotor_air - COPPER_COEFFICIENT * losses.rotor,
    )
    return leaves, (losses.winding * air, losses.body, losses.rotor * air)


def steady(network: Network, losses: Losses, ambient_temperature: Kelvin) -> Temperatures:
    """Where the three end, K; NEVER (2000 K) where hotter copper makes heat faster than it leaves.

    Source: [method-drive] #thermal-network
    """
    (winding, body, rotor), (in_winding, in_body, in_rotor) = _balance(network, losses, ambient_temperature)
    tie, link = network.winding_body, network.rotor_body
    least = 0.02 * tie
    safe_winding, safe_rotor = (
        np.maximum(winding, least),
        np.maximum(rotor, 0.02 * (link + network.rotor_air)),
    )
    left = body - tie * tie / safe_winding - link * link / safe_rotor
    floor = 0.02 * network.body_air
    rise = (in_body + tie * in_winding / safe_winding + link * in_rotor / safe_rotor) / np.maximum(
        left, floor
    )
    held = (left > floor) & (winding > least) & (rotor > 0.02 * (link + network.rotor_air))

    def ends(value: Real) -> Kelvin:
        return np.where(held, np.minimum(ambient_temperature + value, NEVER), NEVER)

    return Temperatures(
        ends((in_winding + tie * rise) / safe_winding),
        ends(rise),
        ends((in_rotor + link * rise) / safe_rotor),
    )


def _rates(leaves: tuple[Real, ...], network: Network) -> tuple[Real, Real, Real]:
    """The three rates at which the network forgets, 1/s, slowest last: the trigonometric roots of its cubic."""
    winding, body, rotor = (
        -k / heat
        for k, heat in zip(leaves, (network.winding_heat, network.body_heat, network.rotor_heat), strict=True)
    )
    tie = np.square(network.winding_body) / (network.winding_heat * network.body_heat)
    link = np.square(network.rotor_body) / (network.rotor_heat * network.body_heat)
    mean = (winding + body + rotor) / 3.0
    a, b, c = winding - mean, body - mean, rotor - mean
    size = np.maximum(np.sqrt((a * a + b * b + c * c + 2.0 * (tie + link)) / 6.0), 1e-12)
    half = (a * (b * c - link) - tie * c) / (2.0 * size**3)
    angle = np.arccos(np.clip(half, -1.0, 1.0)) / 3.0
    slow = mean + 2.0 * size * np.cos(angle)
    fast = mean + 2.0 * size * np.cos(angle + 2.0 * np.pi / 3.0)
    middle = 3.0 * mean - slow - fast
    gap = 1e-6 * size
    middle = np.maximum(middle, fast + gap)
    return fast, middle, np.maximum(slow, middle + gap)


def _held(rate: Real, time: Second) -> Second:
    """∫ e^(rate·t) dt up to `time`, s."""
    x = np.minimum(rate * time, 50.0)
    small = np.abs(x) < 1e-8
    return time * np.where(small, 1.0 + 0.5 * x, np.expm1(x) / np.where(small, 1.0, x))


def after(
    network: Network, losses: Losses, start: Temperatures, time: Second, ambient_temperature: Kelvin
) -> Temperatures:
    """How hot the three are after `time` of these losses, K, at most NEVER (2000 K).

    x(t) = x₀ + f(A)·x₀', f(λ) = ∫ e^(λt), as Newton's polynomial through the three rates: exact for any time.

    Source: [method-drive] #thermal-network
    """
    leaves, heats = _balance(network, losses, ambient_temperature)

    def climb(x: tuple[Real, ...], by: tuple[Real, ...] = (0.0, 0.0, 0.0)) -> tuple[Real, ...]:
        winding, body, rotor = x
        return (
            (by[0] - leaves[0] * winding + network.winding_body * body) / network.winding_heat,
            (by[1] - leaves[1] * body + network.winding_body * winding + network.rotor_body * rotor)
            / network.body_heat,
            (by[2] - leaves[2] * rotor + network.rotor_body * body) / network.rotor_heat,
        )

    first, second, third = _rates(leaves, network)
    one, two, three = (_held(rate, time) for rate in (first, second, third))
    low, high = (two - one) / (second - first), (three - two) / (third - second)
    bend = (high - low) / (third - first)
    rises = tuple(kelvin - ambient_temperature for kelvin in start)
    speed = climb(rises, heats)
    again = tuple(x - first * y for x, y in zip(climb(speed), speed, strict=True))
    last = tuple(x - second * y for x, y in zip(climb(again), again, strict=True))
    return Temperatures(
        *(
            np.clip(kelvin + one * s + low * a + bend * b, 0.0, NEVER)
            for kelvin, s, a, b in zip(start, speed, again, last, strict=True)
        )
    )


def residual(network: Network, losses: Losses, ends: Temperatures, ambient_temperature: Kelvin) -> Fraction:
    """What the balance at the end is off, as a share of all heat: made in three places less passed to the air.

    Source: [method-drive] #thermal-network
    """
    made = (
        losses.winding * hot_resistance(1.0, ends.winding)
        + losses.body
        + losses.rotor * hot_resistance(1.0, ends.rotor)
    )
    passed = network.body_air * (ends.body - ambient_temperature)
    passed = passed + network.rotor_air * (ends.rotor - ambient_temperature)
    return np.abs(made - passed) / np.maximum(made, 1e-9)
