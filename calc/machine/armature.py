"""What the sensors see besides the rotor: the field of the machine's own current, and their own hysteresis.

A sensor switches where the field it sits in changes sides. Current turns that field against the rotor, which
makes the edges early; a threshold that has to be passed makes them late.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, EmfConstant, Fraction, Henry, Number, Radian, Tesla

RELEASE = 0.7
"""Release point of a unipolar sensor as a share of its operate point (common practice, no source)."""
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


def edge_delays(sensor_kind: str, sensor_threshold: Tesla, sensor_field: Tesla) -> tuple[Radian, Radian]:
    """How late a sensor's lamp goes on and off, rad electrical, for the kind of sensor.

    Latching: both late by asin(threshold / peak field). Unipolar: on late by as much, off **early**, by
    asin(release / peak field), so that the lamp is on for less than half of the turn; the release point is taken
    as 0.7 of the threshold (common practice, no source). 90° if the threshold isn't reached: then nothing
    switches. Validity: field over the turn sinusoidal, both poles alike.

    Source: [method-machine] #hysteresis
    """
    reach = sensor_threshold / sensor_field
    on = np.arcsin(np.clip(reach, 0.0, 1.0))
    off = on if sensor_kind == "latching" else -np.arcsin(np.clip(RELEASE * reach, 0.0, 1.0))
    return on, off


def hysteresis_delay(sensor_kind: str, sensor_threshold: Tesla, sensor_field: Tesla) -> Radian:
    """How late the sensors' edges are by their thresholds, the mean of on and off, rad electrical.

    Source: [method-machine] #hysteresis
    """
    on, off = edge_delays(sensor_kind, sensor_threshold, sensor_field)
    return (on + off) / 2.0


def lamp_duty(sensor_kind: str, sensor_threshold: Tesla, sensor_field: Tesla) -> Fraction:
    """Share of a turn for which a lamp is on: half for a latching sensor, less for a unipolar one.

    Source: [method-machine] #hysteresis
    """
    on, off = edge_delays(sensor_kind, sensor_threshold, sensor_field)
    return 0.5 + (off - on) / (2.0 * np.pi)


def stall_alignment(alignment_error: Radian, hysteresis_delay: Radian, armature_shift: Radian) -> Radian:
    """How late the sensors switch at standstill with current, rad: their place, later by hysteresis, earlier by
    the machine's own current.

    Source: [method-machine] #armature
    """
    return alignment_error + hysteresis_delay - armature_shift


def sensors_work(sensors_usable: Number, sensor_threshold: Tesla, sensor_field: Tesla) -> Number:
    """1 when the slots give six even codes and the field passes the sensors' threshold, else 0.

    Source: [method-machine] #hysteresis
    """
    return sensors_usable * (np.asarray(sensor_threshold) < sensor_field)


def sensors_fault(sensors_reason: str, sensor_threshold: Tesla, sensor_field: Tesla) -> str:
    """Why the sensors give no six codes, in plain words; '' when they do. For stated values.

    Source: [method-machine] #hysteresis
    """
    if sensors_reason or float(sensor_threshold) < float(sensor_field):
        return sensors_reason
    return (
        f"The rotor's field at the sensors, {float(sensor_field) * 1000:.3g} mT, never passes their threshold of "
        f"{float(sensor_threshold) * 1000:.3g} mT: no code changes."
    )
