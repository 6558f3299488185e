"""Sensors, insulation, and what the machine makes downhill."""

from __future__ import annotations

from calc.checks.model import Check, Short
from calc.told.machine import BOTH_WINDINGS, ONE_WINDING
from calc.told.power import NOTHING_BACK

MACHINE = (
    Check(
        "sensors",
        "Sensors give six codes",
        "sensors_work",
        "",
        "flag",
        "",
        "{sensors_told}",
        "Move the sensors to slots that the sensor page lists.",
        tells=(("sensors_told", ""),),
    ),
    Check(
        "insulation",
        "Windings are clear of the case",
        "insulation_least",
        "insulation_needed",
        "floor",
        "Mohm",
        "{insulation_resistance} to the case, {have} at the least; a pack of {voltage_full} needs {need} or more "
        "(500 Ω for each volt, UN R100).",
        "Don't connect a pack. Find the grounded brush, rectifier or star point, or dry and clean the windings.",
        safety=True,
        tells=(("voltage_full", "V"), ("insulation_resistance", "Mohm")),
        short=(
            Short(
                "insulation_resistance",
                "insulation_good",
                "Dry, clean windings reach 1 MΩ with ease.",
                "Clean, dry, and measure again before a pack is connected.",
            ),
            Short("windings_read", "whole", ONE_WINDING, BOTH_WINDINGS),
        ),
        seen=("insulation_resistance",),
    ),
    Check(
        "overspeed",
        "Volts made downhill",
        "made_peak",
        "controller_voltage_max",
        "ceiling",
        "V",
        "{have} between two leads at the {peak_speed} {peak_told}; the controller stands {need}, which {limit_speed} "
        "would make with the field coil cold.",
        "Less field downhill, a lower speed there held by the brakes, or a controller for more volts; where it drives "
        "itself so fast, a speed limit set in it for every rider. The emergency stop opens traction and field. Never "
        "switch the field on again above that speed.",
        safety=True,
        despite_sensors=True,
        tells=(("peak_speed", "km/h"), ("peak_told", ""), ("limit_speed", "km/h")),
    ),
    Check(
        "descent-charge",
        "Pack stands what flows back downhill",
        "made_charge",
        "descent_allowed",
        "ceiling",
        "A",
        "{have} at most with the throttle shut at the {charge_speed} {charge_told}; cells from {cold_air} to "
        "{ambient_temperature} take {need}, protection counted.",
        "A lower speed downhill, held by the brakes, or less field there; where it drives itself so fast, a speed "
        "limit set in the controller for every rider. Below 0 °C nothing may flow back: fire risk, at the time or "
        "weeks later.",
        safety=True,
        despite_sensors=True,
        tells=(
            ("charge_speed", "km/h"),
            ("charge_told", ""),
            ("cold_air", "degC"),
            ("ambient_temperature", "degC"),
        ),
    ),
    Check(
        "electric-brake",
        "Nothing is sent back by the brake",
        "sends_nothing",
        "",
        "flag",
        "",
        "{sends_told}",
        NOTHING_BACK,
        safety=True,
        tells=(("sends_told", ""),),
    ),
    Check(
        "bus-rise",
        "Controller stands the pack opening",
        "opened_voltage",
        "controller_voltage_max",
        "ceiling",
        "V",
        "{have} on the bus at most when fuse or protection opens at {phase_current_limit} of line current, by the "
        "windings' energy; the controller stands {need}.",
        "More capacitance across the controller, with its precharge; a lower phase limit; let go of the throttle "
        "before anything opens.",
        tells=(("phase_current_limit", "A"),),
        bound=True,
    ),
)
