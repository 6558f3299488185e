"""Numbers that carry their unit in the annotation.

A formula takes and returns plain floats or numpy arrays in SI units; the alias in its signature says which
unit. The text of the unit is the one that the registry and the JSON use. No unit is converted in a formula.
"""

from __future__ import annotations

from typing import Annotated, Any, TypeAlias

import numpy as np

# Spelt out: numpy.typing would cost every command its import.
Array: TypeAlias = np.ndarray[Any, np.dtype[np.float64]]
Real: TypeAlias = float | Array
"""One number, or draws of it (draws on the last axis, a sweep on a leading one)."""

Number = Annotated[Real, ""]
"""A number without unit: counts that may vary between draws, ratios, factors."""
Fraction = Annotated[Real, ""]
"""A share from 0 to 1, or a slope as rise over run."""
Kilogram = Annotated[Real, "kg"]
Metre = Annotated[Real, "m"]
SquareMetre = Annotated[Real, "m**2"]
MetrePerSecond = Annotated[Real, "m/s"]
Acceleration = Annotated[Real, "m/s**2"]
JoulePerKilogramKelvin = Annotated[Real, "J/kg/K"]
Second = Annotated[Real, "s"]
Kelvin = Annotated[Real, "K"]
Newton = Annotated[Real, "N"]
Nm = Annotated[Real, "N*m"]
Joule = Annotated[Real, "J"]
JoulePerMetre = Annotated[Real, "J/m"]
Watt = Annotated[Real, "W"]
Ampere = Annotated[Real, "A"]
Volt = Annotated[Real, "V"]
Ohm = Annotated[Real, "ohm"]
OhmPerMetre = Annotated[Real, "ohm/m"]
WattPerMetre = Annotated[Real, "W/m"]
Farad = Annotated[Real, "F"]
Henry = Annotated[Real, "H"]
Coulomb = Annotated[Real, "A*s"]
Weber = Annotated[Real, "Wb"]
Tesla = Annotated[Real, "T"]
KilogramSquareMetre = Annotated[Real, "kg*m**2"]
KilogramPerCubicMetre = Annotated[Real, "kg/m**3"]
Radian = Annotated[Real, "rad"]
RadianPerSecond = Annotated[Real, "rad/s"]
Hertz = Annotated[Real, "Hz"]
HertzPerSecond = Annotated[Real, "Hz/s"]
Damping = Annotated[Real, "N*m*s/rad"]
EmfConstant = Annotated[Real, "V*s/rad"]
TorqueConstant = Annotated[Real, "N*m/A"]


def middle(value: Real) -> float:
    """The mean of draws; one number as it is, for which numpy's own mean takes twenty times as long."""
    return value if isinstance(value, float) else float(np.mean(value))


def held(value: Real, low: Real, high: Real) -> Real:
    """A value, or the end of a range that it lies beyond: numpy's clip in a fifth of its time for one number."""
    return np.minimum(np.maximum(value, low), high)
