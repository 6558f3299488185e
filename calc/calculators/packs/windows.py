"""Windows of voltage that must nest: cells, protection, controller, charger, and what the machine makes downhill."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.findings import Finding
from calc.power.limits import CHARGE_TOLERANCE
from calc.units import show


def rows(v: Values) -> list[dict[str, Any]]:
    """Each window, V, and what is wrong with it ("" when it nests)."""
    entered, full, empty = v.build.entered, float(v["voltage_full"]), float(v["voltage_min"])
    low = float(v["lowest_voltage"])
    found = [
        {"window": "cells", "low": empty, "high": full, "fault": ""},
        {
            "window": "under load",
            "low": low,
            "high": full,
            "fault": "sags under the cells' least" if low < empty else "",
        },
    ]

    def add(window: str, bottom: float | None, top: float | None, fault: str) -> None:
        found.append({"window": window, "low": bottom, "high": top, "fault": fault})

    if {"protection_voltage_min", "protection_voltage_max"} & entered.keys():
        bottom, top = (
            float(v[key]) if key in entered else None
            for key in ("protection_voltage_min", "protection_voltage_max")
        )
        add("protection", bottom, top, _protection(v, bottom, top))
    if {"controller_voltage_cutoff", "controller_voltage_max"} & entered.keys():
        bottom, top = (
            float(v[key]) if key in entered else None
            for key in ("controller_voltage_cutoff", "controller_voltage_max")
        )
        fault = ""
        if top is not None and full > top:
            fault = "the full pack is over it"
        elif bottom is not None and low < bottom:
            fault = "the pack sags under its cut-out"
        elif bottom is not None and bottom < empty:
            fault = "goes on below empty"
        add("controller", bottom, top, fault)
    if "charger_voltage" in entered:
        volts = float(v["charger_voltage"])
        over, under = volts > float(v["charge_voltage_limit"]), volts < float(v["charger_least"])
        add("charger", volts, volts, "overcharges" if over else "never fills it" if under else "")
    if not v.build.missing("descent_peak"):
        volts = float(v["descent_peak"])
        fault = "charges the pack downhill" if volts > float(v["rested_voltage"]) else ""
        if "controller_voltage_max" in entered and volts > float(v["controller_voltage_max"]):
            fault = "over the controller's ceiling"
        add("made downhill", 0.0, volts, fault)
    return found


def _protection(v: Values, bottom: float | None, top: float | None) -> str:
    full, series = float(v["voltage_full"]), float(v["series"])
    if top is not None and top < full:
        return "opens before the pack is full"
    if top is not None and top > full + 3.0 * CHARGE_TOLERANCE * series:
        return "lets the cells be overcharged"
    if bottom is not None and float(v["lowest_voltage"]) < bottom:
        return "opens under throttle"
    if bottom is not None and bottom < 0.8 * float(v["voltage_min"]):
        return "lets the cells be run flat"
    return ""


def protection(v: Values) -> list[Finding]:
    """What the protection board's two voltages mean for pack, controller and rider."""
    entered, found = v.build.entered, []
    full, low, series = float(v["voltage_full"]), float(v["lowest_voltage"]), float(v["series"])
    if "protection_voltage_max" in entered:
        top = float(v["protection_voltage_max"])
        if top > full + 3.0 * CHARGE_TOLERANCE * series:
            found.append(
                Finding(
                    "stop",
                    f"Fire risk: the protection opens at {show(top, 'V')} when charging; the cells are full at "
                    f"{show(full, 'V')}. It doesn't guard them.",
                    "A board for this chemistry and this number of cells.",
                )
            )
        elif top < full:
            found.append(
                Finding(
                    "caution",
                    f"The protection opens at {show(top, 'V')}, before the pack is full at {show(full, 'V')}.",
                    "It may open while charging, or downhill, and then the controller gets all the volts. A board for "
                    "these cells.",
                )
            )
    if "protection_voltage_min" in entered:
        bottom = float(v["protection_voltage_min"])
        if low < bottom:
            found.append(
                Finding(
                    "stop",
                    f"Under full throttle the pack falls to {show(low, 'V')}; its protection opens at "
                    f"{show(bottom, 'V')}, all at once, on the hill.",
                    "A larger reserve, a lower battery current limit, cells of lower resistance.",
                )
            )
        if "controller_voltage_cutoff" in entered and bottom > float(v["controller_voltage_cutoff"]):
            found.append(
                Finding(
                    "caution",
                    f"The protection opens at {show(bottom, 'V')}, before the controller cuts out at "
                    f"{show(v['controller_voltage_cutoff'], 'V')}: the drive ends without the controller knowing.",
                    "The controller's cut-out above the protection's, where it can be set.",
                )
            )
        if bottom < 0.8 * float(v["voltage_min"]):
            found.append(
                Finding(
                    "caution",
                    f"The protection lets the cells be run down to {show(bottom, 'V')}; they are empty at "
                    f"{show(v['voltage_min'], 'V')}.",
                    "Stop by a meter or a timer before that. Cells run flat are a danger when charged again.",
                )
            )
    return found
