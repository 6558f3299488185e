"""A heat run at standstill: the winding's temperature by its resistance, back at the moment of switching off, and what
each watt does to winding and body."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from calc.errors import NoSolution
from calc.machine.copper import COPPER_COEFFICIENT, REFERENCE_TEMPERATURE, hot_resistance
from calc.machine.scatter import student, variance
from calc.quantities import Ampere, Fraction, Kelvin, Number, Ohm, Watt

RATIO_ERROR = 0.003
"""What the ratio of two resistances leaves open, same meter and same clips (common practice, no source)."""
PROBE_ERROR = 2.0
"""What a hand-held probe leaves open, K (common practice, no source)."""
LEAST_RISE = 3.0
"""Under this a difference of temperatures tells nothing, K (common practice, no source)."""
_COLDEST, _HOTTEST = 223.15, 523.15
_MOST = 0.9

HeatRow = tuple[float, float, float, float, float]
"""Seconds since switching off, volts, amps, K of the body, K of the air."""


class Stopped(NamedTuple):
    """At the moment of switching off, K: winding, body, air; and how far the winding's may be off, K."""

    winding: Kelvin
    body: Kelvin
    air: Kelvin
    error: Kelvin


def row_temperatures(heat_run: Sequence[HeatRow], line_resistance: Ohm) -> list[Kelvin]:
    """Mean temperature of the winding by each row, K, from its resistance: T = 20 °C + (R/R20 − 1)/α.

    `line_resistance` at 20 °C. Raises NoSolution where a row can't be of one winding with it.

    Source: [nbs100] temperature coefficient at 20 °C, 0.00393 per kelvin; [method-drive] #heat-run
    """
    found = []
    for number, (_, volts, amps, _, _) in enumerate(heat_run, 1):
        kelvin = REFERENCE_TEMPERATURE + (volts / amps / line_resistance - 1.0) / COPPER_COEFFICIENT
        middle = float(np.mean(kelvin))
        if not _COLDEST <= middle <= _HOTTEST:
            raise NoSolution(
                f"Row {number} of the heat run has {1000 * volts / amps:.3g} mΩ, where the cold winding has "
                f"{1000 * float(np.mean(line_resistance)):.3g} mΩ: that would mean {middle - 273.15:.0f} °C.",
                "Take both with the same meter, on the same two leads, the voltmeter inside the clips.",
            )
        found.append(kelvin)
    return found


def stopped(heat_run: Sequence[HeatRow], line_resistance: Ohm) -> Stopped:
    """Winding, body and air at the moment of switching off.

    The winding's lead over the body dies evenly: its logarithm is a straight line over time, drawn back to 0 s by
    least squares. Rows with less than LEAST_RISE left are passed over; body and air are the first row's.
    Raises NoSolution with fewer than two times left.

    Source: [method-drive] #heat-run
    """
    rows = sorted(
        zip(heat_run, row_temperatures(heat_run, line_resistance), strict=True), key=lambda r: r[0][0]
    )
    told = [(row, kelvin) for row, kelvin in rows if float(np.mean(kelvin)) - row[3] >= LEAST_RISE]
    times = np.array([row[0] for row, _ in told])
    if np.unique(times).size < 2:
        (row, kelvin), *_ = rows
        raise NoSolution(
            f"{row[0]:.3g} s after switching off the winding's resistance says "
            f"{float(np.mean(kelvin)) - 273.15:.0f} °C and the probe on the body {row[3] - 273.15:.0f} °C. Back to the "
            f"moment of switching off takes readings at two times or more with the winding {LEAST_RISE:g} K or more "
            f"above the body; here there are {np.unique(times).size}.",
            "Heat it with more current, read every 10 seconds from the start, and check the cold resistance.",
        )
    leads = [kelvin - row[3] for row, kelvin in told]
    offs = times - times.mean()
    weights = 1.0 / times.size - times.mean() * offs / float((offs**2).sum())
    logs = [np.log(np.maximum(lead, 0.1)) for lead in leads]
    lead = np.exp(sum(weight * log for weight, log in zip(weights, logs, strict=True)))
    body, air = rows[0][0][3], rows[0][0][4]
    winding = body + lead
    middles = np.array([float(np.mean(log)) for log in logs])
    slope = float((offs * middles).sum() / (offs**2).sum())
    left = middles - middles.mean() - slope * offs
    by_ratio = RATIO_ERROR / COPPER_COEFFICIENT * float(np.mean(hot_resistance(1.0, winding)))
    expected = by_ratio / float(np.mean(lead))
    spare = times.size - 2
    drawn = student(spare) * np.sqrt(
        variance(float((left**2).sum()), spare, expected) * float((weights**2).sum())
    )
    # The cold reading's own error is in every row and doesn't average out.
    return Stopped(winding, body, air, float(np.hypot(drawn * float(np.mean(lead)), by_ratio)))


def heat_run_power(heat_run_end: Stopped, line_resistance: Ohm, heat_run_current: Ampere) -> Watt:
    """Watts that the winding took when it was switched off: I²·R at the temperature found.

    Source: [method-drive] #heat-run
    """
    return np.square(heat_run_current) * hot_resistance(line_resistance, heat_run_end.winding)


def winding_thermal_resistance(
    heat_run_end: Stopped, line_resistance: Ohm, heat_run_current: Ampere
) -> Number:
    """Kelvin of winding over body for each watt, K/W, at least 0.005. Two of three coils were fed, so it leans high.

    Source: [method-drive] #heat-run
    """
    at = heat_run_end
    power = heat_run_power(heat_run_end, line_resistance, heat_run_current)
    return np.maximum((at.winding - at.body) / power, 0.005)


def winding_resistance_spread(heat_run_end: Stopped) -> Fraction:
    """How far that may be off for the readings, as a share of it.

    Source: [method-drive] #heat-run
    """
    at = heat_run_end
    lead = float(np.mean(at.winding)) - at.body
    return float(min(np.hypot(at.error, PROBE_ERROR) / lead, _MOST))


def body_thermal_resistance(heat_run_end: Stopped, line_resistance: Ohm, heat_run_current: Ampere) -> Number:
    """Kelvin of body over air for each watt standing still, K/W, at least 0.05.

    Raises NoSolution where the body is hardly warmer than the air.

    Source: [method-drive] #heat-run
    """
    at = heat_run_end
    if at.body - at.air < LEAST_RISE:
        raise NoSolution(
            f"The body is at {at.body - 273.15:.0f} °C in air of {at.air - 273.15:.0f} °C: that run was too short or "
            "too weak to tell how the body cools.",
            "Go on until no probe climbs more than 1 K in ten minutes. It takes hours.",
        )
    return np.maximum(
        (at.body - at.air) / heat_run_power(heat_run_end, line_resistance, heat_run_current), 0.05
    )


def body_resistance_spread(heat_run_end: Stopped) -> Fraction:
    """How far that may be off for the probes, as a share of it.

    Source: [method-drive] #heat-run
    """
    at = heat_run_end
    return float(min(np.sqrt(2.0) * PROBE_ERROR / max(at.body - at.air, LEAST_RISE), _MOST))
