"""What the sensors see besides the rotor: the field of the machine's own current, and their own hysteresis.

A sensor switches where the field it sits in changes sides. Current turns that field against the rotor, which
makes the edges early; a threshold that has to be passed makes them late.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, EmfConstant, Fraction, Henry, Number, Radian, Tesla

_FUNDAMENTAL = 2.0 * np.sqrt(3.0) / np.pi
"""Peak of the fundamental of a six-step current per ampere of flat top, 1.103."""


def armature_ratio(
    emf_constant: EmfConstant, line_inductance: Henry, pole_pairs: Number, current: Ampere
) -> Number:
    """Field of the machine's own current as a share of its working field, leakage counted in: L·I₁/λ.

    Star-equivalent: L = line_inductance/2, I₁ = 1.103·current (fundamental), λ = √(2/3)·emf_constant/pole_pairs.
    An upper bound on what sensors see.

    Source: [method-machine] #armature
    """
    linkage = np.sqrt(2.0 / 3.0) * emf_constant / pole_pairs
    return line_inductance / 2.0 * _FUNDAMENTAL * current / linkage


def armature_share(armature_ratio: Number, leakage_share: Fraction) -> Number:
    """The part of `armature_ratio` that crosses the gap, where the sensors sit: all but the leakage.

    From 0.3 on it moves the sensors' edges enough to matter (common practice, no source).

    Source: [method-machine] #armature
    """
    return armature_ratio * (1.0 - leakage_share)


def armature_shift(armature_share: Number) -> Radian:
    """How early the sensors switch for it, rad electrical: asin of the share, 90° from a share of 1 on.

    The controller keeps the current square to the field that the sensors see, which is the sum of both: the
    rotor's linkage is the hypotenuse. Validity: linear iron; the same inductance at every rotor position.

    Source: [method-machine] #armature
    """
    return np.arcsin(np.clip(armature_share, 0.0, 1.0))


def hysteresis_delay(sensor_threshold: Tesla, sensor_field: Tesla) -> Radian:
    """How late a latching sensor switches, rad electrical: asin(threshold / peak field), 90° if never reached.

    Both edges of every sensor alike. Validity: field over the turn sinusoidal.

    Source: [method-machine] #hysteresis
    """
    return np.arcsin(np.clip(sensor_threshold / sensor_field, 0.0, 1.0))


def stall_alignment(alignment_error: Radian, hysteresis_delay: Radian, armature_shift: Radian) -> Radian:
    """How late the sensors switch at standstill with current, rad: their place, later by hysteresis, earlier by
    the machine's own current.

    Source: [method-machine] #armature
    """
    return alignment_error + hysteresis_delay - armature_shift
