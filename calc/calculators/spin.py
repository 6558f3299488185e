"""The spin test: what a machine's volts at several field currents tell."""

from __future__ import annotations

import math
from typing import Any

from calc import figures
from calc.build import Values
from calc.drive.standing import torque_constant
from calc.machine import emf
from calc.machine.spin import SAME_CURRENT
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import plain, show, show_spread

OFF_THE_CURVE = 0.05  # a reading further off than this is named (common practice, no source)
FALL_COUNTS = 0.03  # volts per speed that differ by less between speeds are told apart by no hand meter
GAIN_COUNTS = 0.15  # a further reading is worth its trouble when it takes this share off the ±


def _current(v: Values) -> float:
    """The working current: the build's; where nobody named one, the highest that was tested."""
    if v.build.is_leaf("field_current") and v.build.input("field_current").source == "usual":
        return v["saturation"].high
    return float(v["field_current"])


def _constant(v: Values) -> float | None:
    """The EMF constant at the working current, or None where the readings don't reach it."""
    curve, current = v["saturation"], _current(v)
    return float(emf.emf_at(curve, current)) if emf.covers(curve, current) else None


def _spread(v: Values) -> float | None:
    curve, current = v["saturation"], _current(v)
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
        for (_, current, _), off in zip(
            v["emf_test"], emf.residuals(v["emf_test"], v["saturation"]), strict=True
        )
        if current > 0.0
    ]
    return math.sqrt(sum(x * x for x in off) / len(off))


def _next(v: Values) -> float:
    return emf.next_reading(v["emf_test"], _current(v)).field_current


def _rows(v: Values) -> list[dict[str, Any]]:
    """The curve at each field current that was tested, and at the working current where it is claimed."""
    curve = v["saturation"]
    first = float(emf.emf_at(curve, curve.low)) / curve.low
    asked = sorted([current for _, current, _ in v["emf_test"] if current > 0.0] + [_current(v)])
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
        for (speed, current, volts), off in zip(rows, emf.residuals(rows, curve), strict=True)
    ]


def _outside(v: Values) -> Finding | None:
    curve, current = v["saturation"], _current(v)
    if emf.covers(curve, current):
        return None
    tested = f"{show(curve.low, 'A')} to {show(curve.high, 'A')}" if curve.knee else show(curve.high, "A")
    go = "Go up to your working current" if current > curve.high else "Go down to your working current"
    return Finding(
        "stop",
        f"The readings are at {tested} of field; {show(current, 'A')} lies outside. Iron saturates, so nothing is "
        "claimed there.",
        f"{go}: add a reading at {show(current, 'A')}, or work with a field current that was tested.",
    )


def _findings(v: Values) -> list[Finding]:
    curve, rows = v["saturation"], v["emf_test"]
    outside = _outside(v)
    found = [outside] if outside else []
    if curve.knee == 0.0:
        found.append(
            Finding(
                "caution",
                f"One field current was tested. The number holds at {show(curve.high, 'A')} and nowhere else: "
                "half the field "
                "current gives more than half the volts.",
                "Add readings at a quarter, a half and three quarters of it, at the same speed.",
            )
        )
    elif len(rows) <= curve.constants:
        found.append(
            Finding(
                "caution",
                f"{len(rows)} readings are too few to find how sharply the curve bends. A usual bend was taken; "
                "the ± allows "
                "for another.",
                "Add readings between the lowest and the highest field current.",
            )
        )
    for number, off in enumerate(emf.residuals(rows, curve), 1):
        if abs(off) > OFF_THE_CURVE and curve.fall == 0.0 and rows[number - 1][1] > 0.15 * curve.high:
            found.append(
                Finding(
                    "caution",
                    f"Row {number} lies {show(abs(off), 'percent', 2)} {'above' if off > 0 else 'below'} the "
                    "curve through the "
                    "others.",
                    "Take it again: speed, field current and volts at the same moment.",
                )
            )
    found.append(_speed(v))
    return found + _advice(v)


def _advice(v: Values) -> list[Finding]:
    """The reading that would help most, or that there are enough."""
    best = emf.next_reading(v["emf_test"], _current(v))
    if best.after is None or best.before is None:
        return []  # said already: go to the working current, or add a second one
    before, after = show(best.before, "percent", 2), show(best.after, "percent", 2)
    where = show(best.field_current, "A", 2)
    if best.after < (1.0 - GAIN_COUNTS) * best.before:
        return [
            Finding(
                "ok",
                f"One more reading helps most at {where}: the ± at your working current falls from {before} to "
                f"{after}.",
                "Take it at the same speed.",
            )
        ]
    if v["saturation"].fall > FALL_COUNTS:
        return []  # said already: one speed does more than another row
    return [
        Finding(
            "ok",
            f"There are enough readings: one more at the best place, {where}, would bring the ± at your working "
            "current "
            f"from {before} to {after}.",
        )
    ]


def _speed(v: Values) -> Finding:
    """How far the tested speeds carry: EMF isn't exactly the product of speed and flux."""
    curve = v["saturation"]
    slow, fast = show(curve.slowest, "rpm"), show(curve.fastest, "rpm")
    if curve.fall > FALL_COUNTS:
        ratio = curve.fastest / curve.slowest
        return Finding(
            "caution",
            f"At {fast} each 1,000 rpm gives {show(curve.fall, 'percent', 2)} less than at {slow}: "
            f"{plain(ratio * (1.0 - curve.fall))} times the volts at {plain(ratio)} times the speed. Currents in the "
            "claws' solid iron push the flux back. The curve runs through the middle, and its ± reaches both.",
            "For the best number keep one speed, near the one you will ride at.",
        )
    if curve.fall < -FALL_COUNTS:
        return Finding(
            "caution",
            f"At {fast} each 1,000 rpm gives {show(-curve.fall, 'percent', 2)} more than at {slow}. A machine gives "
            "less there, never more.",
            "Check the speeds: a slipping belt or a wrong ratio of the pulleys shows like this.",
        )
    return Finding(
        "ok",
        f"Tested at {slow}." if slow == fast else f"Tested from {slow} to {fast}.",
        f"Above {fast} count on less than the product of speed and flux: a measured claw-pole machine gave 2.833 "
        "times the "
        "volts at 3 times the speed. Add a row near your working speed.",
    )


def _report(v: Values) -> Report:
    curve, current, rows = v["saturation"], _current(v), v["emf_test"]
    constant, spread = _constant(v), _spread(v)
    reach = (
        f"from {show(curve.low, 'A')} to {show(curve.high, 'A')} of field"
        if curve.knee
        else f"at {show(curve.high, 'A')} of field"
    )
    count = "1 reading" if len(rows) == 1 else f"{len(rows)} readings"
    figure = (lambda uid: figures.saturation(uid, curve, rows, current),)
    if constant is None or spread is None:
        return Report(
            f"no claim at {show(current, 'A')}",
            "outside the field currents that were tested",
            f"{count} {reach}. Between them the curve holds; outside, nobody knows.",
            tuple(_findings(v)),
            figure,
        )
    share = _rows(v)[-1]["share"]
    bend = (
        f" At {show(curve.high, 'A')} it gives {show(share, 'percent', 2)} of what a straight line from the "
        "lowest reading "
        "would: iron saturates, and the last ampere gives far less than the first."
        if curve.knee
        else ""
    )
    return Report(
        show_spread(constant, spread, "V/krpm", 4),
        f"between two leads, rms, at {show(current, 'A')} of field",
        f"{count} {reach}.{bend} Each ampere in the leads makes {show(_torque(v) or 0.0, 'N*m/A')} on average. ± "
        "is the "
        "furthest that the readings leave believable.",
        tuple(_findings(v)),
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
    reads=("saturation", "emf_test", "field_current", "pole_pairs", "connection"),
)
