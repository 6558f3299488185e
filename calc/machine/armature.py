"""What the sensors see besides the rotor: the field of the machine's own current, and their own hysteresis.

A sensor switches where the field it sits in changes sides. Current turns that field against the rotor, which
makes the edges early; a threshold that has to be passed makes them late.
"""

from __future__ import annotations

import numpy as np

from calc.quantities import Ampere, EmfConstant, Fraction, Henry, Number, Radian, Tesla, held

RELEASE = 0.7
"""Release point of a unipolar sensor as a share of its operate point (common practice, no source)."""
_SECTOR = np.pi / 3.0
FUNDAMENTAL = 2.0 * np.sqrt(3.0) / np.pi
"""Peak of the fundamental of a six-step current per ampere of flat top, 1.103."""
ARMATURE_COUNTS = 0.3
"""From this share of the working field on, the current's own field moves the sensors' edges enough to matter (common
practice, no source)."""


def armature_ratio(
    emf_constant: EmfConstant, line_inductance: Henry, pole_pairs: Number, current: Ampere
) -> Number:
    """Field of the machine's own current as a share of its working field, leakage counted in: L·I₁/λ.

    Star-equivalent: L = line_inductance/2, I₁ = 1.103·current (fundamental), λ = √(2/3)·emf_constant/pole_pairs.
    An upper bound on what sensors see.

    Source: [method-machine] #armature
    """
    linkage = np.sqrt(2.0 / 3.0) * emf_constant / pole_pairs
    return line_inductance / 2.0 * FUNDAMENTAL * current / linkage


def armature_share(armature_ratio: Number, sensed_share: Fraction) -> Number:
    """The part of `armature_ratio` that the sensors see: what crosses the gap where they sit.

    From 0.3 on it moves the sensors' edges enough to matter (common practice, no source).

    Source: [method-machine] #armature
    """
    return armature_ratio * sensed_share


def armature_per_ampere(armature_share: Number, current: Ampere) -> Number:
    """The armature's share of the working field for each ampere of flat-top line current, 1/A.

    Source: [method-machine] #armature
    """
    return armature_share / np.maximum(current, 1e-9)


def armature_shift(armature_share: Number) -> Radian:
    """How early the sensors switch for it, rad electrical: asin of the share, 90° from a share of 1 on.

    The controller keeps the current square to the field that the sensors see, which is the sum of both: the
    rotor's linkage is the hypotenuse. Validity: linear iron; the same inductance at every rotor position.

    Source: [method-machine] #armature
    """
    return np.arcsin(held(armature_share, 0.0, 1.0))


def edge_on_delay(sensor_threshold: Tesla, sensor_field: Tesla) -> Radian:
    """How late a sensor's lamp goes on, rad electrical: asin(threshold / peak field).

    90° if the threshold isn't reached: then nothing switches. Validity: field over the turn sinusoidal, both poles
    alike.

    Source: [method-machine] #hysteresis
    """
    return np.arcsin(held(sensor_threshold / sensor_field, 0.0, 1.0))


def edge_off_delay(sensor_kind: str, sensor_threshold: Tesla, sensor_field: Tesla) -> Radian:
    """How late a sensor's lamp goes off, rad electrical, for the kind of sensor; early is negative.

    Latching: as late as it goes on. Unipolar: **early**, by asin(release / peak field), so that the lamp is on for
    less than half of the turn; the release point is taken as 0.7 of the threshold (common practice, no source).

    Source: [method-machine] #hysteresis
    """
    if sensor_kind == "latching":
        return edge_on_delay(sensor_threshold, sensor_field)
    return -edge_on_delay(RELEASE * sensor_threshold, sensor_field)


def lamp_duty(edge_on_delay: Radian, edge_off_delay: Radian) -> Fraction:
    """Share of a turn for which a lamp is on: half for a latching sensor, less for a unipolar one.

    Source: [method-machine] #hysteresis
    """
    return 0.5 + (edge_off_delay - edge_on_delay) / (2.0 * np.pi)


def stall_alignment(alignment_error: Radian, edge_delay: Radian, armature_shift: Radian) -> Radian:
    """How late an edge of the sensors comes at standstill with current, rad: their place, later by its own delay
    (of the on edge or of the off edge), earlier by the machine's own current.

    Source: [method-machine] #armature
    """
    return alignment_error + edge_delay - armature_shift


def switching_fault(
    sensor_threshold: Tesla, sensor_field: Tesla, edge_on_delay: Radian, edge_off_delay: Radian
) -> str:
    """Why such sensors make no six codes wherever they sit, in plain words; '' when they do. For stated values.

    Three lamps, a third of a turn apart, each on for a third of it or less leave gaps where all are off.

    Source: [method-machine] #hysteresis
    """
    if float(sensor_threshold) >= float(sensor_field):
        return (
            f"The field at the sensors, {float(sensor_field) * 1000:.3g} mT, never passes their threshold of "
            f"{float(sensor_threshold) * 1000:.3g} mT: no code changes."
        )
    if float(edge_on_delay) - float(edge_off_delay) >= _SECTOR:
        return (
            f"Unipolar sensors of {float(sensor_threshold) * 1000:.3g} mT in a field of "
            f"{float(sensor_field) * 1000:.3g} mT are on for a third of the turn or less: some of the six codes "
            "never come, and one that no controller knows stands in their place."
        )
    return ""


def sensors_work(
    sensors_usable: Number,
    sensor_threshold: Tesla,
    sensor_field: Tesla,
    edge_on_delay: Radian,
    edge_off_delay: Radian,
) -> Number:
    """1 when the slots give six even codes, the field passes the sensors' threshold, and each is on for more than a
    third of the turn; else 0.

    Source: [method-machine] #hysteresis
    """
    switching = np.asarray(sensor_threshold) < sensor_field
    return sensors_usable * (switching & (np.asarray(edge_on_delay) - edge_off_delay < _SECTOR))


def sensors_told(
    sensors_reason: str,
    sensor_threshold: Tesla,
    sensor_field: Tesla,
    edge_on_delay: Radian,
    edge_off_delay: Radian,
) -> str:
    """What codes the sensors give, or why they give no six, in plain words. For stated values.

    Source: [method-machine] #hysteresis
    """
    why = sensors_reason or switching_fault(sensor_threshold, sensor_field, edge_on_delay, edge_off_delay)
    if why:
        return why
    uneven = float(np.degrees(edge_on_delay - edge_off_delay))
    if uneven == 0.0:
        return "The slots entered give six codes, each for 60° electrical."
    return (
        f"The slots entered give six codes, not even: unipolar sensors make the narrowest {60.0 - uneven:.0f}° and the "
        f"widest {60.0 + uneven:.0f}° electrical. Latching sensors give 60° each."
    )
