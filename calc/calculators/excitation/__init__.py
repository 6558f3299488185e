"""The field coil and its supply."""

from calc.calculators.excitation.supply import FIELD_SUPPLY

__all__ = ["FIELD_SUPPLY"]
