"""Figure of a coast-down: how far each time is off what fits them all."""

from __future__ import annotations

from collections.abc import Sequence

from calc.figures.svg import Curve, plot
from calc.units import plain


def times_off(uid: str, left: Sequence[float], film: float) -> str:
    """Each row's time against the fit, s, and what the film leaves open (s)."""
    end = len(left) + 1.0
    shown = [1000.0 * off for off in left]
    worst = max(shown, key=abs)
    return plot(
        uid,
        "Times against the fit",
        f"{len(left)} rows; the furthest is {plain(abs(worst), 2)} ms off. A film leaves ± {plain(1000 * film, 2)} ms "
        "open.",
        "row",
        "off the fit, ms",
        [
            Curve([(0.0, 0.0), (end, 0.0)], "fit"),
            Curve(
                [(0.0, 1000 * film), (end, 1000 * film), (end, -1000 * film), (0.0, -1000 * film)], "film", 2
            ),
        ],
        [(float(number), off, "") for number, off in enumerate(shown, 1)],
    )
