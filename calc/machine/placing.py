"""Where sensors belong along the bore: the timing error of the slots they sit in, as a length on the iron."""

from __future__ import annotations

import numpy as np

from calc.machine.alignment import places, sensor_errors
from calc.quantities import Metre


def along_bore(
    slots: int,
    pole_pairs: int,
    coil_span: int,
    layers: int,
    connection: str,
    sensor_slots: tuple[int, ...],
    bore_diameter: Metre,
) -> tuple[Metre, ...]:
    """How far each sensor belongs from the middle of its slot, m along the bore, forward positive.

    A sensor that switches late by e must be met earlier by the poles: it moves against the rotation by e/pole_pairs of
    shaft. Each sensor has its own error when the set is uneven. For the best kind of slot that slot 0 can be.

    Source: [method] #sensor-timing
    """
    errors = sensor_errors(slots, pole_pairs, coil_span, layers, connection, sensor_slots)
    return tuple(0.0 - error / pole_pairs * bore_diameter / 2.0 for error in errors)


def kinds_of_slots(slots: int, pole_pairs: int, coil_span: int, layers: int, connection: str) -> str:
    """What slot 0 leaves open: "alike" when every slot does; "either" when half a sixth (30°) is the error, which leads
    mend from either side; "mirrored" when other slots want the same shift the other way; "better" when some slots are
    worse than the best.

    Source: [method] #sensor-timing
    """
    found = places(slots, pole_pairs, coil_span, layers, connection)
    least = min((abs(place) for place in found), default=0.0)
    if abs(least - np.pi / 6.0) < 1e-6:
        return "either"
    if len(found) < 2:
        return "alike"
    near = [place for place in found if abs(abs(place) - least) < 1e-6]
    return "mirrored" if len(near) > 1 else "better"
