"""Gearing."""

from calc.calculators.gearing.report import GEARING

__all__ = ["GEARING"]
