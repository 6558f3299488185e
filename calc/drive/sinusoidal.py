"""Sinusoidal drive at a steady speed: current in a fixed direction, as much as voltage and both limits allow."""

from __future__ import annotations

import numpy as np

from calc.drive.inverter import Steady
from calc.machine.armature import FUNDAMENTAL
from calc.quantities import (
    Ampere,
    EmfConstant,
    Fraction,
    Henry,
    Number,
    Ohm,
    Radian,
    RadianPerSecond,
    Real,
    Volt,
)

MODULATION = 1.0 / np.sqrt(3.0)
"""Highest phase voltage, peak, as a share of the bus: space-vector modulation. Plain sine comes to 1/2."""
_ROUNDS = 60
_LEAST_OHMS = 1e-6


def sinusoidal_state(
    motor_speed: RadianPerSecond,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    line_inductance: Henry,
    pole_pairs: Number,
    open_voltage: Volt,
    source_resistance: Ohm,
    phase_current_limit: Ampere,
    bus_current_limit: Ampere,
    alignment_error: Radian,
    *,
    extra_current: Ampere = 0.0,
    armature_per_ampere: Real = 0.0,
    throttle: Fraction = 1.0,
) -> Steady:
    """What a controller that makes sine currents drives through the machine; arguments as `inverter.steady_state`.

    The current leads the EMF by the effective advance and its peak is the least of three: the phase limit; what the
    voltage-limit circle |E + (R + jX)·I| = throttle·bus/√3 leaves; what the battery limit feeds. Validity: not salient;
    current controlled in that direction. With the EMF outside the circle only a current that leads it brings the volts
    back inside, and not less than the circle's nearer end of it; where that is more than the limits allow none is
    driven, and what the diodes then do is left out. `found` is true everywhere.

    Source: [method-drive] #sinusoidal
    """
    speed, constant, line_ohms, henry, pairs, volts, source, extra, limit, battery, late, share, duty = (
        np.broadcast_arrays(
            *(
                np.asarray(value, dtype=float)
                for value in (
                    motor_speed,
                    emf_constant,
                    line_resistance,
                    line_inductance,
                    pole_pairs,
                    open_voltage,
                    source_resistance,
                    extra_current,
                    phase_current_limit,
                    bus_current_limit,
                    alignment_error,
                    armature_per_ampere,
                    throttle,
                )
            )
        )
    )
    flux = np.sqrt(2.0 / 3.0) * constant
    emf, ohms = flux * speed, np.maximum(line_ohms, _LEAST_OHMS) / 2.0
    reactance = pairs * speed * henry / 2.0
    squared = ohms**2 + reactance**2
    bus_current, current = np.zeros_like(speed), np.zeros_like(speed)
    for _ in range(
        _ROUNDS
    ):  # the pack's sag and the armature's shift follow the current, half a step at a time
        bus = np.maximum(volts - source * (bus_current + extra), 1e-3 * volts)
        shift = np.arcsin(np.clip(share * current / FUNDAMENTAL, 0.0, 1.0))
        lead = shift - late
        along = ohms * np.cos(lead) - reactance * np.sin(lead)
        room = (emf * along) ** 2 - squared * (emf**2 - (duty * bus * MODULATION) ** 2)
        half = np.sqrt(np.maximum(room, 0.0))
        by_voltage = np.where(room > 0.0, np.maximum((half - emf * along) / squared, 0.0), 0.0)
        least = -(half + emf * along) / squared
        back = emf * np.cos(lead)
        fed = np.sqrt(np.maximum(back**2 + 8.0 / 3.0 * ohms * bus * battery, 0.0))
        by_battery = np.maximum((fed - back) / (2.0 * ohms), 0.0)
        wanted = np.minimum(np.minimum(limit, by_voltage), by_battery)
        wanted = np.where(wanted >= least, wanted, 0.0)
        current = 0.5 * (current + wanted)
        bus_current = 1.5 * (back * current + ohms * current**2) / bus
    voltage = np.abs(emf + (ohms + 1j * reactance) * current * np.exp(1j * lead))
    return Steady(
        torque=1.5 * flux * current * np.cos(lead),
        line_current=current / np.sqrt(2.0),
        peak_current=current,
        battery_current=bus_current,
        bus_voltage=bus,
        duty=np.minimum(voltage / (bus * MODULATION), 1.0),
        copper_loss=1.5 * ohms * current**2,
        armature_shift=shift,
        found=np.ones(speed.shape, dtype=bool),
    )
