"""Figure of the standstill torque over one electrical turn."""

from __future__ import annotations

from calc.figures.svg import Curve, plot
from calc.quantities import Array
from calc.units import from_si, show


def standing_torque(
    uid: str,
    shifted: tuple[Array, Array],
    bare: tuple[Array, Array],
    needed: float,
    worst: tuple[float, float],
) -> str:
    """Torque at standstill (N·m) over the rotor's angle (rad) for one electrical turn, against what is needed.

    shifted: angles and torques. bare: the same without the pull of the current and without thresholds.
    worst: angle and torque of the worst place.
    """

    def drawn(xs: Array, ys: Array) -> list[tuple[float, float]]:
        return [(float(from_si(x, "deg")), float(y)) for x, y in zip(xs, ys, strict=True)]

    angles, torques = shifted
    with_current = drawn(angles, torques)
    both = [x for x, _ in (*with_current, *drawn(*bare))]
    ends = (min(both), max(both))
    worst_at = float(from_si(worst[0], "deg"))
    return plot(
        uid,
        "Torque at standstill over rotor position",
        f"Six arches that peak at {show(float(torques.max()), 'N*m')}. With the current's own pull on the sensors "
        f"they fall to {show(worst[1], 'N*m')} at {show(worst[0], 'deg')}; without it to "
        f"{show(float(bare[1].min()), 'N*m')}. "
        f"{show(needed, 'N*m')} are needed to break away.",
        "rotor angle, electrical degrees",
        "torque, N·m",
        [
            Curve(with_current, "available"),
            Curve(drawn(*bare), "no shift", 2),
            Curve([(ends[0], needed), (ends[1], needed)], "needed", 1),
        ],
        [(worst_at, worst[1], "worst")],
    )
