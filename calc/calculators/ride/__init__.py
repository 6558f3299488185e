"""How long and how far on one charge, along a route or over rows of steady going."""

from calc.calculators.ride.report import RIDE

__all__ = ["RIDE"]
