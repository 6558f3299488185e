"""The ring of a delta: whether a coil is turned over, and what the third harmonic drives round it."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.findings import Finding
from calc.machine import connection, winding
from calc.units import show

NOTED_LOSS = 20.0
"""Heat from which the circulating current is worth a thought, W (common practice, no source)."""
ROWS_AGREE = 0.2
"""Share by which rows of the opened corner may differ (common practice, no source)."""
WINDING = ("slots", "coil_span", "layers")
"""What is counted of the winding beside its pole pairs."""


def counted(v: Values) -> tuple[int, int, int, int] | None:
    """Slots, pole pairs, coil span, layers when they were counted and can be wound; else None."""
    if not {"slots", "pole_pairs"} <= v.build.entered.keys():
        return None
    slots, pole_pairs, span, layers = (round(float(v[k])) for k in ("slots", "pole_pairs", *WINDING[1:]))
    return None if winding.fault(slots, pole_pairs, span, layers) else (slots, pole_pairs, span, layers)


def unproven(v: Values) -> Finding | None:
    """Why the ring must not be closed, by its opened corner; None where that is right or wasn't read."""
    if "corner_test" not in v.build.entered:
        return None
    state = connection.ring_state(v["corner_test"])
    if state == "right":
        return None
    times = f"{max(connection.corner_ratios(v['corner_test'])):.2g}"
    if state == "turned":
        return Finding(
            "stop",
            f"The opened corner shows {times} times the volts of one coil. That is no third harmonic: one coil is "
            "turned over, which shows about twice, and the closed ring would be a short circuit.",
            "Don't close it. Swap the two ends of one coil; where that mends nothing swap them back and try the next. "
            "One of the three makes it well under half a coil's volts.",
        )
    return Finding(
        "caution",
        f"The opened corner shows {times} times the volts of one coil. A right ring shows well under half, one with a "
        "coil turned over about twice. This is neither: unlike coils, a wrong reading, or the two columns swapped.",
        "Don't close it yet. Join three starts and spin: volts between the three ends must be equal within 3 %. Then "
        "read the corner again. If both stay so, the third harmonic is strong: keep to the star.",
    )


def current(v: Values) -> float | None:
    """Third harmonic round the closed ring, A; None where it wasn't read, or the corner doesn't show it."""
    if v.build.missing("circulating_current") or unproven(v):
        return None
    return float(v["circulating_current"])


def _meter(v: Values) -> list[Finding]:
    """The caution for a reading above the frequency of common meters, which makes a corner look better than it is."""
    fastest = max(speed for speed, _, _ in v["corner_test"])
    hertz = float(connection.third_frequency(fastest, v["pole_pairs"]))
    if hertz <= connection.METER_LIMIT:
        return []
    slow = np.floor(fastest * connection.METER_LIMIT / hertz * 60 / (2 * np.pi) / 10) * 10
    return [
        Finding(
            "caution",
            f"At {show(fastest, 'rpm')} the third harmonic has {hertz:.0f} Hz. Many meters read low above "
            f"{connection.METER_LIMIT:.0f} Hz, so more may go round the ring than is told here.",
            f"Read the corner again at {slow:.0f} rpm or slower.",
        )
    ]


def findings(v: Values) -> list[Finding]:
    """What circulates in a delta, and whether its readings can be trusted. For a ring that `unproven` lets pass."""
    wound, passes, cancels = counted(v), "", False
    if wound is not None:
        third, first = (winding.winding_factor(*wound, order) for order in (3, 1))
        passes = f" This winding's factor is {third:.2f} for it and {first:.2f} for the fundamental."
        cancels = bool(third < 0.02 * first)
    if "corner_test" not in v.build.entered and cancels:
        return [
            Finding(
                "ok", "This winding cancels the third harmonic: nothing to speak of circulates in a delta."
            )
        ]
    if "corner_test" not in v.build.entered:
        return [
            Finding(
                "note",
                "Claw poles make a third harmonic. Round a delta it drives a current that no lead shows; a star has "
                "none." + passes,
                "How strong it is only a measurement tells: open one corner of the ring, spin, read the volts across "
                "the gap and across one coil.",
            )
        ]
    meter = [] if v.build.missing("pole_pairs") else _meter(v)
    scatter = connection.corner_scatter(v["corner_test"])
    if scatter > ROWS_AGREE:
        return [
            Finding(
                "caution",
                f"The rows of the opened corner differ by {show(scatter, 'percent')} in volts over one coil's; they "
                "should be alike.",
                "Read them again at one field current, with a meter that shows true rms.",
            ),
            *meter,
        ]
    driven = current(v)
    if driven is None:
        return [
            Finding(
                "ok",
                f"The opened corner shows {connection.corner_share(v['corner_test']):.2g} times the volts of one coil: "
                "no coil is turned over. What circulates depends on the speed, and that isn't known yet.",
                "Enter speed wanted, wheel and gearing in the build sheet.",
            ),
            *meter,
        ]
    loss = float(connection.circulating_loss(driven, v["delta_resistance"]))
    return [
        Finding(
            "caution" if loss > NOTED_LOSS else "ok",
            f"In delta the third harmonic drives {show(driven, 'A')} round the ring at the speed wanted on the level: "
            f"{show(loss, 'W')} of heat that no lead shows.{passes}",
            "A star has none of it." if loss > NOTED_LOSS else "",
        ),
        *meter,
    ]
