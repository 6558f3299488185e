"""The cable, and the fuse that guards it."""

from calc.calculators.wiring.cable import CONDUCTOR
from calc.calculators.wiring.fusing import FUSE

__all__ = ["CONDUCTOR", "FUSE"]
