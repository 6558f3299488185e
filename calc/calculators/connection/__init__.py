"""Star or delta."""

from calc.calculators.connection.both import STAR_DELTA

__all__ = ["STAR_DELTA"]
