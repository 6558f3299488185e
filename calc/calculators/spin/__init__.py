"""The spin test: what a machine's volts at several field currents tell."""

from __future__ import annotations

import math
from typing import Any

from calc.build import Values
from calc.calculators.spin.findings import bend, findings, working_current
from calc.drive.standing import torque_constant
from calc.figures.bench import saturation
from calc.machine import emf
from calc.machine.curve import residuals
from calc.machine.spin import SAME_CURRENT
from calc.spec import Calculator, Column, Report, Result
from calc.units import show, show_spread


def _constant(v: Values) -> float | None:
    """The EMF constant at the working current, or None where the readings don't reach it."""
    curve, current = v["saturation"], working_current(v)
    return float(emf.emf_at(curve, current)) if emf.covers(curve, current) else None


def _spread(v: Values) -> float | None:
    curve, current = v["saturation"], working_current(v)
    return float(emf.emf_spread(curve, current)) if emf.covers(curve, current) else None


def _linkage(v: Values) -> float | None:
    constant = _constant(v)
    return None if constant is None else float(emf.flux_linkage(constant, v["pole_pairs"]))


def _coil_linkage(v: Values) -> float | None:
    """Peak flux linkage of one phase as it is connected: in delta a phase sees the whole line voltage."""
    linkage = _linkage(v)
    return None if linkage is None else linkage * (math.sqrt(3.0) if v["connection"] == "delta" else 1.0)


def _torque(v: Values) -> float | None:
    constant = _constant(v)
    return None if constant is None else float(torque_constant(constant))


def _fit_error(v: Values) -> float:
    """Root mean square of the readings' distance from the curve."""
    off = [
        off
        for (_, current, _), off in zip(v["emf_test"], residuals(v["emf_test"], v["saturation"]), strict=True)
        if current > 0.0
    ]
    return math.sqrt(sum(x * x for x in off) / len(off))


def _next(v: Values) -> float:
    return emf.next_reading(v["emf_test"], working_current(v)).field_current


def _rows(v: Values) -> list[dict[str, Any]]:
    """The curve at each field current that was tested, and at the working current where it is claimed."""
    curve = v["saturation"]
    first = float(emf.emf_at(curve, curve.low)) / curve.low
    asked = sorted([current for _, current, _ in v["emf_test"] if current > 0.0] + [working_current(v)])
    kept: list[float] = []
    for current in asked:
        if emf.covers(curve, current) and (not kept or current - kept[-1] > SAME_CURRENT * curve.high):
            kept.append(current)
    return [
        {
            "field_current": current,
            "emf_constant": (constant := float(emf.emf_at(curve, current))),
            "spread": float(emf.emf_spread(curve, current)),
            "share": constant / (first * current),
        }
        for current in kept
    ]


def _readings(v: Values) -> list[dict[str, Any]]:
    curve, rows = v["saturation"], v["emf_test"]
    return [
        {
            "speed": speed,
            "field_current": current,
            "voltage": volts,
            "curve": volts / (1.0 + off) if current > 0.0 else None,
            "off": off if current > 0.0 else None,
        }
        for (speed, current, volts), off in zip(rows, residuals(rows, curve), strict=True)
    ]


def _report(v: Values) -> Report:
    curve, current, rows = v["saturation"], working_current(v), v["emf_test"]
    constant, spread = _constant(v), _spread(v)
    reach = (
        f"from {show(curve.low, 'A')} to {show(curve.high, 'A')} of field"
        if curve.knee
        else f"at {show(curve.high, 'A')} of field"
    )
    count = "1 reading" if len(rows) == 1 else f"{len(rows)} readings"
    figure = (lambda uid: saturation(uid, curve, rows, current),)
    if constant is None or spread is None:
        return Report(
            f"no claim at {show(current, 'A')}",
            "outside the field currents that were tested",
            f"{count} {reach}. Between them the curve holds; outside, nobody knows.",
            tuple(findings(v)),
            figure,
        )
    return Report(
        show_spread(constant, spread, "V/krpm", 4),
        f"between two leads, rms, at {show(current, 'A')} of field",
        f"{count} {reach}.{bend(v)} Each ampere in the leads makes {show(_torque(v) or 0.0, 'N*m/A')} on average. ± "
        "is the "
        "furthest that the readings leave believable.",
        tuple(findings(v)),
        figure,
    )


EMF_TEST = Calculator(
    id="emf-test",
    title="Spin test",
    chapter="convert",
    question="How many volts does it make, at which field current?",
    asks=("emf_test", "field_current", "pole_pairs", "connection"),
    gives=(
        Result("emf_constant", "EMF constant at the field current", "V/krpm", made=_constant),
        Result("emf_spread", "How far it may be off", "percent", made=_spread),
        Result("flux_linkage", "Peak flux linkage, equivalent star", "mWb", made=_linkage),
        Result("coil_linkage", "Peak flux linkage of a phase as connected", "mWb", made=_coil_linkage),
        Result("torque_constant", "Torque constant", "N*m/A", made=_torque),
        Result("fit_error", "Readings off the curve, root mean square", "percent", made=_fit_error),
        Result("next_reading", "Field current of the reading that would help most", "A", made=_next),
        Result(
            "saturation",
            "Along the curve",
            columns=(
                Column("field_current", "Field current", "A"),
                Column("emf_constant", "EMF constant", "V/krpm"),
                Column("spread", "±", "percent"),
                Column("share", "Of a straight line from the lowest", "percent"),
            ),
            made=_rows,
        ),
        Result(
            "readings",
            "Readings against the curve",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("field_current", "Field current", "A"),
                Column("voltage", "Read", "V"),
                Column("curve", "On the curve", "V"),
                Column("off", "Off", "percent"),
            ),
            made=_readings,
        ),
    ),
    report=_report,
    reads=("saturation", "emf_test", "pole_pairs", "connection"),
    optional=("field_current",),
)
