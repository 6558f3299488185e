"""From counted slots to the alignment error that a start has to live with, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.errors import NoSensors
from calc.machine.alignment import alignment_error
from calc.machine.sensors import each, sensors_reason
from calc.machine.winding import fault
from calc.quantities import Number, Radian


def full_pitch(slots: Number, pole_pairs: Number) -> Number:
    """Coil span of a winding at full pitch, in whole slots, at least 1: the usual winding of a vehicle generator.

    Source: [method] #star-of-slots
    """
    return np.maximum(np.rint(slots / (2.0 * pole_pairs)), 1.0)


def best_alignment(
    slots: Number, pole_pairs: Number, coil_span: Number, layers: Number, connection: str
) -> Radian:
    """Alignment error of an even set in the best slot of this winding, rad electrical; 0 if it can't be wound.

    Source: [method] #sensor-timing
    """

    def one(q: int, p: int) -> float:
        span, sides = round(float(coil_span)), round(float(layers))
        return (
            0.0 if fault(q, p, span, sides) else float(alignment_error(q, p, span, sides, connection, (0,)))
        )

    return each(one, slots, pole_pairs)


def sensed_alignment(
    slots: Number,
    pole_pairs: Number,
    coil_span: Number,
    layers: Number,
    connection: str,
    sensor_slots: Sequence[int],
    sensor_spacing: str,
) -> Radian:
    """Alignment error of sensors in these slots, rad electrical, −30° to 30°, positive late.

    Raises NoSensors, with the reason, when the slots give no usable pattern or the winding can't be wound. Counts
    are somebody's, never drawn.

    Source: [method] #sensor-timing
    """

    def one(q: int, p: int) -> float:
        span, sides = round(float(coil_span)), round(float(layers))
        why = sensors_reason(q, p, sensor_slots, sensor_spacing) or fault(q, p, span, sides)
        if why:
            raise NoSensors(why, "Mend the sensors first: every start depends on them.")
        return float(alignment_error(q, p, span, sides, connection, sensor_slots))

    return each(one, slots, pole_pairs)
