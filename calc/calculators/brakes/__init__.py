"""Does it stop in time, and stay where it is parked?"""

from calc.calculators.brakes.report import BRAKES

__all__ = ["BRAKES"]
