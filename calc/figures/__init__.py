"""Figures as SVG text, drawn by Python, readable in grey print, described in words."""

from calc.figures.bench import saturation
from calc.figures.drawings import duty_powers, lamps, margins, slot_map, voltage_windows
from calc.figures.excitation import field_losses, star_delta
from calc.figures.forced import forced_start
from calc.figures.heat import warming
from calc.figures.launch import standing_torque
from calc.figures.leads import lead_torque, lock_ring
from calc.figures.overspeed import made_volts
from calc.figures.plots import tractive_force
from calc.figures.rows import insulation, rows_about_mean
from calc.figures.sensing import edge_shift
from calc.figures.speed import torque_speed, torque_ways
from calc.figures.stall import lateness
from calc.figures.template import Mark, sheets
from calc.figures.winding import winding_strip

__all__ = [
    "Mark",
    "duty_powers",
    "edge_shift",
    "field_losses",
    "forced_start",
    "insulation",
    "lamps",
    "lateness",
    "lead_torque",
    "lock_ring",
    "made_volts",
    "margins",
    "rows_about_mean",
    "saturation",
    "sheets",
    "slot_map",
    "standing_torque",
    "star_delta",
    "torque_speed",
    "torque_ways",
    "tractive_force",
    "voltage_windows",
    "warming",
    "winding_strip",
]
