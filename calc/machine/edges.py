"""How well three sensors time the current when they sit a little off their places, and what moves their edges.

Errors are electrical, late positive. Each sensor has two edges in an electrical turn, one where it switches on and one
where it switches off; one error stands for both where they are off alike.
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


def both_edges(errors: Sequence[Radian], on: Radian, off: Radian) -> tuple[Radian, ...]:
    """Errors of all six edges, rad, from those of three sensors' places and how late each goes on and off.

    Source: [method-machine] #hysteresis
    """
    return tuple(error + delay for error in errors for delay in (on, off))


def mean_share(errors: Sequence[Radian]) -> Fraction:
    """Mean torque as a share of the best: the mean of the cosines of the errors, of sensors or of single edges.

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


def step_widths(places: Sequence[float], on: float = 0.0, off: float = 0.0) -> tuple[float, ...]:
    """Widths of the six steps of a turn, rad, from where the first of three sensors switches on.

    places: where each would switch on, rad, and half of a turn on, off; it does so late by `on` and `off`, rad.

    Source: [method-machine] #placing
    """
    turn = 2.0 * np.pi
    edges = sorted(
        round((place + edge - places[0] - on) % turn, 9) % round(turn, 9)
        for place in places
        for edge in (on, np.pi + off)
    )
    return tuple(b - a for a, b in zip(edges, [*edges[1:], turn], strict=True))


def coil_current(current: Ampere, connection: str) -> Ampere:
    """Greatest current in one coil for a line current in one sector, A: all of it in star, two thirds in delta.

    Source: [method-machine] #star-delta
    """
    return current * (2.0 / 3.0) if connection == "delta" else current


def slot_leakage(layers: Number, coil_turns: Number, coil_current: Ampere, slot_width: Metre) -> Tesla:
    """Field across a loaded slot at its mouth, T: μ0 · ampere-turns of its coil sides / width of the slot.

    It lies along the bore, across the rotor's field: a sensor sees the sine of the angle by which it sits askew.
    Validity: an upper bound, two coil sides of one phase where there are two; iron's own need left out.

    Source: [method-machine] #slot-leakage
    """
    return MU_0 * layers * coil_turns * coil_current / slot_width
