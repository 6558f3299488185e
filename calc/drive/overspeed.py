"""Volts that an energised field makes downhill: against the pack, the controller and the limits of touch voltage."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.machine.copper import cold_resistance, hot_resistance
from calc.machine.curve import Saturation, value
from calc.quantities import (
    Ampere,
    EmfConstant,
    Farad,
    Fraction,
    Henry,
    Kelvin,
    Metre,
    MetrePerSecond,
    Nm,
    Number,
    RadianPerSecond,
    Volt,
    Watt,
)
from calc.vehicle.gearing import motor_speed_at, road_speed
from calc.vehicle.rider import Rows

FASTER = 1.5
"""How much faster than wished it is taken to run downhill where nobody says (common practice, no source)."""
ACROSS = 1.3
"""Most inductance across the poles over that along them, as far as it was worked out (common practice, no source)."""
TOUCH_AC = 30.0
"""Limit of touch voltage, V ac rms: UN R100, ISO 6469-4 (reference read in the regulation)."""


_PULSES = 27.0 / (16.0 * np.pi)
_RATIOS = np.array([1.05, 1.064, 1.08, 1.1, 1.15, 1.2, 1.3, 1.4, 1.8])
_NUMBERS = np.array([0.0057, 0.016, 0.031, 0.051, 0.105, 0.163, 0.285, 0.41, 0.784])
"""Power times ω·L over U² of a bridge of six diodes, up to 1.4 a tenth more than it was without resistance followed in
time; the last is the formula's, 7 % more."""


def usual_descent(road_speed: MetrePerSecond) -> MetrePerSecond:
    """Speed downhill where none is entered, m/s: half as fast again as wished (common practice, no source).

    Unbraked, 8 % of slope pull a cart to several times that; brakes have to hold it.

    Source: [method-drive] #overspeed
    """
    return FASTER * road_speed


def no_limit() -> MetrePerSecond:
    """Speed limit of a controller that nobody said to have one, m/s: none.

    Source: [method-drive] #overspeed
    """
    return np.inf


def riders_limit(riders: Rows) -> MetrePerSecond:
    """The greatest speed limit that is set for a rider, m/s: none where one rides without.

    Source: [method-drive] #overspeed
    """
    return max(np.inf if limit is None else float(limit) for *_, limit in riders)


def top_share(
    built_speed: MetrePerSecond,
    gear_ratio: Number,
    wheel_diameter: Metre,
    emf_constant: EmfConstant,
    supply_voltage: Volt,
) -> Number:
    """Peak between two leads at the top speed that the machine drives itself to, over the volts of its supply.

    About 1, more with timing advance. With more field it is slower in nearly that proportion, with more volts faster,
    so this share stays. Validity: 4 % more flux make it 1 to 2 % greater.

    Source: [method-drive] #overspeed
    """
    return peak_emf(motor_speed_at(built_speed, gear_ratio, wheel_diameter), emf_constant) / supply_voltage


def driven_speed(
    top_share: Number,
    supply_voltage: Volt,
    emf_constant: EmfConstant,
    gear_ratio: Number,
    wheel_diameter: Metre,
    speed_limit: MetrePerSecond,
) -> MetrePerSecond:
    """The fastest that it drives itself on the level, m/s: top speed on a supply of so many volts, or the limit set.

    Validity: other volts within 3 % of top speed solved anew.

    Source: [method-drive] #overspeed
    """
    free = road_speed(speed_at_peak(top_share * supply_voltage, emf_constant), gear_ratio, wheel_diameter)
    return np.minimum(free, speed_limit)


def driven_constant(
    full_field_constant: EmfConstant,
    top_share: Number,
    supply_voltage: Volt,
    driven_motor_speed: RadianPerSecond,
) -> EmfConstant:
    """EMF constant that counts at that speed, V·s/rad: of the cold field coil, but no more than it still drives to it.

    Source: [method-drive] #overspeed
    """
    most = top_share * supply_voltage / (np.sqrt(2.0) * np.maximum(driven_motor_speed, 1e-9))
    return np.minimum(full_field_constant, most)


def greater(descent: Any, driven: Any) -> Any:
    """Of what a descent makes and what its own speed makes the greater.

    Source: [method-drive] #overspeed
    """
    return np.maximum(descent, driven)


def counting(
    descent: Any, driven: Any, descent_speed: MetrePerSecond, driven_speed: MetrePerSecond
) -> MetrePerSecond:
    """The speed at which that is made, m/s; downhill where both make the same.

    Source: [method-drive] #overspeed
    """
    return np.where(np.asarray(driven) > descent, driven_speed, descent_speed)


def peak_told(peak_speed: MetrePerSecond, descent_speed: MetrePerSecond, speed_limit: MetrePerSecond) -> str:
    """Which speed counts for the volts, in words that follow it.

    Source: [method-drive] #overspeed
    """
    return _told(peak_speed, descent_speed, speed_limit, "a full pack")


def charge_told(
    charge_speed: MetrePerSecond, descent_speed: MetrePerSecond, speed_limit: MetrePerSecond
) -> str:
    """Which speed counts for what flows back, in words that follow it.

    Source: [method-drive] #overspeed
    """
    return _told(charge_speed, descent_speed, speed_limit, "a pack at its reserve")


def _told(counts: MetrePerSecond, descent: MetrePerSecond, limit: MetrePerSecond, pack: str) -> str:
    if counts == descent:
        return "that the brakes hold it to downhill, field coil cold"
    if counts >= limit:
        return "that is the greatest limit set for a rider"
    return f"that it drives itself to on the level with {pack}"


def cold_share(field_temperature: Kelvin, cold_air: Kelvin) -> Number:
    """How many times the working field current a cold coil takes at the same volts: as cold as the coldest day, 20 °C
    at most.

    Source: [method-drive] #overspeed
    """
    return np.maximum(hot_resistance(1.0, field_temperature) / cold_resistance(1.0, cold_air), 1.0)


def held_share(field_supply_holds: str, field_temperature: Kelvin, cold_air: Kelvin) -> Number:
    """The same where somebody says what the supply holds: one that holds the current gives the working one, cold too.

    Source: [method-drive] #overspeed
    """
    return 1.0 if field_supply_holds == "current" else cold_share(field_temperature, cold_air)


def cold_rise(saturation: Saturation, field_current: Ampere, cold_share: Number) -> Number:
    """How many times the EMF constant a field current makes with the coil cold, by the spin test's curve.

    Beyond the highest current tested the curve's own way on counts, and its error there on top of it. Never more than
    in proportion to the current; just that where one field current was tested.

    Source: [method-drive] #overspeed
    """
    if saturation.knee == 0.0:
        return cold_share
    cold = field_current * cold_share
    beyond = np.where(cold > saturation.high * (1.0 + 1e-9), 1.0 + saturation.errors[-1], 1.0)
    rise = beyond * value(saturation, cold) / value(saturation, field_current)
    return np.minimum(np.maximum(rise, 1.0), cold_share)


def full_field_constant(emf_constant: EmfConstant, cold_rise: Number) -> EmfConstant:
    """EMF constant with the coil cold, V·s/rad. cold_rise: by the spin test, else in proportion to the current, which
    iron never exceeds.

    Source: [method-drive] #overspeed
    """
    return emf_constant * cold_rise


def full_field_inductance(line_inductance: Henry, leakage_share: Fraction, cold_share: Number) -> Henry:
    """The least inductance that the machine can have with the coil cold, H between two leads: leakage stays, the rest
    falls as if the extra field current made no flux at all.

    Source: [method-drive] #overspeed
    """
    return line_inductance * (leakage_share + (1.0 - leakage_share) / cold_share)


def peak_emf(motor_speed: RadianPerSecond, full_field_constant: EmfConstant) -> Volt:
    """Peak between two leads, V: √2 times the rms.

    Source: [method-drive] #overspeed
    """
    return np.sqrt(2.0) * full_field_constant * motor_speed


def speed_at_peak(volts: Volt, full_field_constant: EmfConstant) -> RadianPerSecond:
    """Speed of the machine at which the peak between two leads reaches `volts`, rad/s.

    Source: [method-drive] #overspeed
    """
    return volts / (np.sqrt(2.0) * full_field_constant)


def bridge_power(
    motor_speed: RadianPerSecond,
    full_field_constant: EmfConstant,
    line_inductance: Henry,
    pole_pairs: Number,
    pack_voltage: Volt,
) -> Watt:
    """Power that the controller's diodes put into a pack of `pack_voltage`, W: 3·U·√(V² − 4U²/π²)/(π·ω·L).

    V the peak of a phase, L per phase of the equivalent star, ω electrical. Validity: current that flows all the time,
    from 1.8 times the charging speed on within 7 %; resistance left out.

    Source: [diode-bridge] page 655, as quoted
    """
    phase = np.sqrt(2.0 / 3.0) * full_field_constant * motor_speed
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-9)
    under = np.maximum(phase**2 - 4.0 * pack_voltage**2 / np.pi**2, 0.0)
    return 3.0 * pack_voltage * np.sqrt(under) / (np.pi * reactance)


def charging_power(
    motor_speed: RadianPerSecond,
    full_field_constant: EmfConstant,
    line_inductance: Henry,
    pole_pairs: Number,
    pack_voltage: Volt,
) -> Watt:
    """Power that the controller's diodes put into a pack of `pack_voltage`, W, from the charging speed on.

    Without resistance it is U²/(ω·L) times a number that goes with the peak between leads over U alone: that of pulses
    up to 1.05, of the bridge followed in time up to 1.4, of `bridge_power` from 1.8 on, straight lines between. Leans
    high.

    Source: [method-drive] #overspeed
    """
    ratio = peak_emf(motor_speed, full_field_constant) / np.maximum(pack_voltage, 1e-9)
    half = np.arccos(1.0 / np.maximum(ratio, 1.0))
    number = np.where(ratio < _RATIOS[0], _PULSES * half**4, np.interp(ratio, _RATIOS, _NUMBERS))
    reactance = np.maximum(pole_pairs * motor_speed * line_inductance / 2.0, 1e-9)
    followed = number * pack_voltage**2 / reactance
    steady = bridge_power(motor_speed, full_field_constant, line_inductance, pole_pairs, pack_voltage)
    return np.where(ratio >= _RATIOS[-1], steady, followed)


def charging_current(bridge_power: Watt, pack_voltage: Volt) -> Ampere:
    """Current into the pack, A.

    Source: [diode-bridge] page 655, as quoted
    """
    return bridge_power / np.maximum(pack_voltage, 1e-6)


def stood_current(downhill_current: Ampere) -> Ampere:
    """What the pack stands, A, no less than a milliampere: a share of nothing can't be told.

    Source: [method-drive] #overspeed
    """
    return np.maximum(downhill_current, 1e-3)


def opened_voltage(
    pack_voltage: Volt, line_inductance: Henry, phase_current_limit: Ampere, bus_capacitance: Farad
) -> Volt:
    """Bus volts after the pack opened at the full current and the controller let go, V: √(U² + 1.3·L·I²/C).

    The two phases that carry the current hold ½·L·I², L between two leads; their diodes put it into the capacitors.
    Across the poles L may be 1.3 times what is known. Validity: the EMF under the bus; what the winding's resistance
    takes meanwhile left out: an upper bound.

    Source: [method-drive] #opened
    """
    return np.sqrt(pack_voltage**2 + ACROSS * line_inductance * phase_current_limit**2 / bus_capacitance)


def braking_torque(bridge_power: Watt, motor_speed: RadianPerSecond) -> Nm:
    """Torque with which that holds back, N·m; it ends when the pack's protection opens, so it is no brake.

    Source: [method-drive] #overspeed
    """
    return bridge_power / np.maximum(motor_speed, 1e-6)
