"""Does it start without sensors?"""

from calc.calculators.forced.report import FORCED_START

__all__ = ["FORCED_START"]
