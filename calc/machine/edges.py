"""How well three sensors time the current when they sit a little off their places, and what moves their edges.

Errors are electrical, late positive, one for each sensor. Each sensor has two edges in an electrical turn.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.quantities import Ampere, Fraction, Metre, Number, Radian, Tesla

_HALF_SECTOR = np.pi / 6.0
MU_0 = 4.0e-7 * np.pi
"""Magnetic constant, V·s/(A·m), to 1 part in 10⁹."""


def usual_placing() -> Metre:
    """How far off a sensor placed with a ruler sits, m: 0.5 mm (common practice, no source).

    Source: [method-machine] #placing
    """
    return 0.0005


def bore_angle(offset: Metre, bore_diameter: Metre, pole_pairs: Number) -> Radian:
    """Electrical angle of a distance along the bore, rad: pole_pairs · offset / radius.

    Source: [method-machine] #placing
    """
    return pole_pairs * offset * 2.0 / bore_diameter


def with_offsets(
    errors: Sequence[float], sensor_offsets: Sequence[tuple[float]], bore_diameter: Metre, pole_pairs: Number
) -> tuple[float, ...]:
    """Errors of three sensors with each one's distance off its slot added, rad. Forward of its slot it switches late.

    Sensors without an offset keep theirs.

    Source: [method-machine] #placing
    """
    more = [float(bore_angle(offset, bore_diameter, pole_pairs)) for (offset,) in sensor_offsets]
    return tuple(e + d for e, d in zip(errors, [*more, *[0.0] * len(errors)], strict=False))


def mean_share(errors: Sequence[Radian]) -> Fraction:
    """Mean torque as a share of the best: the mean of the cosines of the errors.

    Source: [method] #sensor-timing
    """
    return sum(np.cos(e) for e in errors) / len(errors)


def worst_share(errors: Sequence[Radian]) -> Fraction:
    """Torque in the worst rotor position as a share of that with sensors right: cos(30° + largest error)/cos 30°.

    At a late edge the old pair of leads holds on beyond its 30°, at an early one the new pair begins before.

    Source: [method-machine] #placing
    """
    largest = np.abs(errors[0])
    for error in errors[1:]:
        largest = np.maximum(largest, np.abs(error))
    return np.cos(np.minimum(_HALF_SECTOR + largest, np.pi)) / np.cos(_HALF_SECTOR)


def step_widths(errors: Sequence[float]) -> tuple[float, ...]:
    """Widths of the six steps of a turn, rad, for sensors in a 120° set with these errors.

    Source: [method-machine] #placing
    """
    edges = sorted(
        (k * 2.0 * np.pi / 3.0 + half + error) % (2.0 * np.pi)
        for k, error in enumerate(errors)
        for half in (0.0, np.pi)
    )
    return tuple(float(b - a) for a, b in zip(edges, [*edges[1:], edges[0] + 2.0 * np.pi], strict=True))


def unipolar_duty(hysteresis_delay: Radian) -> Fraction:
    """Share of the turn for which a unipolar sensor is on: half of it less what both edges lose to its threshold.

    It switches on late and off early by the same angle, so that six steps alternate between wide and narrow.

    Source: [method-machine] #hysteresis
    """
    return 0.5 - hysteresis_delay / np.pi


def coil_current(current: Ampere, connection: str) -> Ampere:
    """Greatest current in one coil for a line current in one sector, A: all of it in star, two thirds in delta.

    Source: [method-machine] #star-delta
    """
    return current * (2.0 / 3.0) if connection == "delta" else current


def slot_leakage(coil_turns: Number, coil_current: Ampere, slot_width: Metre) -> Tesla:
    """Field across a loaded slot at its mouth, T: μ0 · turns · current / width of the slot.

    A sensor in that slot sees it beside the rotor's. Validity: one coil side, iron's own need left out.

    Source: [method-machine] #slot-leakage
    """
    return MU_0 * coil_turns * coil_current / slot_width
