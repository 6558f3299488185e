"""Volts that the machine makes over road speed, against pack and controller."""

from __future__ import annotations

from calc.figures.svg import Curve, plot
from calc.units import from_si, show


def made_volts(
    uid: str,
    top: float,
    peak: float,
    present: float,
    levels: list[tuple[str, float]],
    mark: tuple[float, float, str],
) -> str:
    """Peak between leads up to road speed `top` (m/s): with full field and as entered; levels are named voltages, V.

    mark: the place that counts, road speed (m/s) and volts, and its name.
    """
    end = float(from_si(top, "km/h"))
    curves = [
        Curve([(0.0, 0.0), (end, peak)], "cold coil"),
        Curve([(0.0, 0.0), (end, present)], "warm", 1),
    ]
    curves += [Curve([(0.0, volts), (end, volts)], name, 2 + k) for k, (name, volts) in enumerate(levels[:2])]
    speed, volts, name = mark
    told = "; ".join(f"{name} {show(volts, 'V')}" for name, volts in levels)
    return plot(
        uid,
        "Volts made",
        f"The peak between two leads grows with speed, to {show(peak, 'V')} at {show(top, 'km/h')}. Across: {told}.",
        "road speed, km/h",
        "peak between leads, V",
        curves,
        [(float(from_si(speed, "km/h")), volts, name)],
    )
