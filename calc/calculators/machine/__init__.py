"""Where the sensors go: the calculator, and the slots that it settles on."""

from __future__ import annotations

from calc.calculators.machine.sensing import chosen_slots
from calc.calculators.machine.slots import SENSOR_SLOTS

__all__ = ["SENSOR_SLOTS", "chosen_slots"]
