"""The checks of the whole build: what is compared with what, how it is said, and what to do about it."""

from __future__ import annotations

from calc.checks.handling import HANDLING
from calc.checks.machine import MACHINE
from calc.checks.model import Check, Judged, Lever
from calc.checks.power import POWER
from calc.checks.riding import RIDING

# What a builder must settle otherwise: said with every verdict, so that an ok isn't read as more than it is.
NOT_JUDGED = (
    "the leads of machine and field and their fuses, joints of the cables, the "
    "bearings, the bracket itself, wear of the brakes, and whether local rules let it ride"
)

CHECKS = (*RIDING, *POWER, *MACHINE, *HANDLING)

__all__ = ["CHECKS", "NOT_JUDGED", "Check", "Judged", "Lever"]
