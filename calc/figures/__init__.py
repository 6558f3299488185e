"""Figures as SVG text, drawn by Python, readable in grey print, described in words."""

from calc.figures.drawings import duty_powers, lamps, margins, slot_map, voltage_windows
from calc.figures.plots import standing_torque, tractive_force

__all__ = [
    "duty_powers",
    "lamps",
    "margins",
    "slot_map",
    "standing_torque",
    "tractive_force",
    "voltage_windows",
]
