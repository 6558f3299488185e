"""Figure of a run from standstill: speed over time."""

from __future__ import annotations

from collections.abc import Sequence

from calc.figures.svg import Curve, plot
from calc.units import from_si, show


def speed_over_time(
    uid: str,
    level: tuple[Sequence[float], Sequence[float]],
    uphill: tuple[Sequence[float], Sequence[float]],
    slope: float,
) -> str:
    """Times (s) and speeds (m/s) of the run on the level and on `slope`, at full throttle."""

    def drawn(times: Sequence[float], speeds: Sequence[float]) -> list[tuple[float, float]]:
        return [(float(t), float(from_si(v, "km/h"))) for t, v in zip(times, speeds, strict=True)]

    curves = [Curve(drawn(*level), "level")]
    words = f"On the level it comes to {show(level[1][-1], 'km/h')} in {show(level[0][-1], 's', 2)}. "
    if len(uphill[0]) > 1:
        longest = level[0][-1]
        within = max(sum(time <= longest for time in uphill[0]), 2)
        curves.append(
            Curve(drawn(uphill[0][:within], uphill[1][:within]), f"slope {show(slope, 'percent')}", 1)
        )
        speed, time = uphill[1][within - 1], uphill[0][within - 1]
        words += f"On the slope it comes to {show(speed, 'km/h')} in {show(time, 's', 2)}."
    else:
        words += "On the slope it doesn't move off."
    return plot(uid, "From standstill at full throttle", words, "time, s", "speed, km/h", curves)
