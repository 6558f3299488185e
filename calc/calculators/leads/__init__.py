"""Which lead goes to which output, and which sensor to which input."""

from calc.calculators.leads.match import LEAD_MATCH

__all__ = ["LEAD_MATCH"]
