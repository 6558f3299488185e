"""What counts of the machine's volts and current: at which speed, and what comes of it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.build import Values
from calc.drive import overspeed
from calc.drive.overspeed import TOUCH_AC
from calc.machine import emf
from calc.power.limits import SHOCK_VOLTAGE

_TRIED = 200
ABOVE = f"{TOUCH_AC:g} V ac or {SHOCK_VOLTAGE:g} V dc or more"


class Fastest(NamedTuple):
    """What counts: for the volts and for what flows back the speed (m/s), which it is in words, and what comes of it.

    peak in V, charge in A, torque in N·m. itself: whether the speed that it drives itself to is known and was compared;
    downhill: whether the descent counts for the volts.
    """

    speed: float
    told: str
    peak: float
    charge_speed: float
    charge_told: str
    charge: float
    torque: float
    itself: bool
    downhill: bool


_ITSELF = ("peak_speed", "made_peak", "charge_speed", "made_charge", "made_torque")


def untold(v: Values) -> list[str]:
    """The fields that the speed that it drives itself to waits for."""
    return v.build.missing(*_ITSELF)


def fastest(v: Values) -> Fastest:
    """What a descent or its own speed makes, whichever is more; downhill alone where nobody can tell the other."""
    down = float(v["descent_speed"])
    if untold(v):
        held = overspeed.peak_told(down, down, np.inf)
        peak, charge, torque = (
            float(v[node]) for node in ("descent_peak", "descent_charge", "descent_torque")
        )
        return Fastest(down, held, peak, down, held, charge, torque, False, True)
    speed, peak, back, charge, torque = (float(v[node]) for node in _ITSELF)
    return Fastest(speed, v["peak_told"], peak, back, v["charge_told"], charge, torque, True, speed == down)


def peak(v: Values) -> float:
    """The peak between two leads that counts, V."""
    return float(v["descent_peak" if v.build.missing(*_ITSELF) else "made_peak"])


def field_limit(v: Values) -> float | None:
    """The most field current with which the peak stays under the pack at the descent's speed, A; None if untold.

    Along the spin test's curve, the coil's cold share counted; None where even the lowest field tried makes more. It
    is no cure where the machine drives itself so fast: with less field it goes faster still.
    """
    if v.build.missing("saturation", "field_current"):
        return None
    curve = v["saturation"]
    currents = np.linspace(curve.low, curve.high, _TRIED)
    rises = np.broadcast_to(overspeed.cold_rise(curve, currents, v["cold_share"]), currents.shape)
    constants = np.array([float(emf.emf_at(curve, float(i))) for i in currents]) * rises
    fits = currents[np.sqrt(2.0) * constants * float(v["descent_motor_speed"]) <= float(v["reserve_voltage"])]
    return float(fits[-1]) if len(fits) else None


def voltage_class(v: Values) -> str:
    """The voltage class at the fastest, by the volts between leads."""
    highest = peak(v)
    rms = highest / np.sqrt(2.0)
    return (
        ABOVE
        if rms >= TOUCH_AC or highest >= SHOCK_VOLTAGE
        else f"below {TOUCH_AC:g} V ac and {SHOCK_VOLTAGE:g} V dc"
    )
