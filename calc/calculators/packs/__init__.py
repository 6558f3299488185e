"""The pack and what hangs on it."""

from calc.calculators.packs.report import PACK

__all__ = ["PACK"]
