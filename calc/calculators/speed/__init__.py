"""Torque over speed."""

from calc.calculators.speed.report import TORQUE_SPEED

__all__ = ["TORQUE_SPEED"]
