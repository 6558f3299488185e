"""Does it move off under load, and what then?"""

from calc.calculators.standing.report import STANDING_START

__all__ = ["STANDING_START"]
