"""What is told of a spin test: which rows to mend or to add, and what the curve says of saturation."""

from __future__ import annotations

from calc.build import Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.machine import emf
from calc.machine.curve import counted
from calc.machine.spin import unlikely_field
from calc.units import plain, show

OFF_THE_CURVE = 0.05  # a reading further off than this is named (common practice, no source)
FALL_COUNTS = 0.03  # volts per speed that differ by less between speeds are told apart by no hand meter
HARDLY_BENT = (
    0.9  # above this share of a straight line nobody speaks of saturation (common practice, no source)
)
LAST_PART = 0.1  # of the range that was tested: there the slope at the top is read
NOTHING_MORE = 0.01  # of what the first ampere added: no meter sees it
GAIN_COUNTS = 0.15  # a further reading is worth its trouble when it takes this share off the ±


def _is_unnamed(v: Values) -> bool:
    """Whether nobody named the working current."""
    return v.build.is_leaf("field_current") and v.build.input("field_current").source == "usual"


def working_current(v: Values) -> float:
    """The working current: the build's; where nobody named one, the highest that was tested."""
    return v["saturation"].high if _is_unnamed(v) else float(v["field_current"])


def _unnamed(v: Values) -> list[Finding]:
    """The question that the rest of the book waits for once there are readings."""
    if not _is_unnamed(v):
        return []
    high = show(v["saturation"].high, "A")
    return [
        Finding(
            "caution",
            f"No field current is entered: the number is that at {high}, the highest tested.",
            f"Enter the field current that you will ride with, {high} or less; for more, test there first.",
        )
    ]


def findings(v: Values) -> list[Finding]:
    curve, rows = v["saturation"], v["emf_test"]
    outside = _outside(v)
    found = _unnamed(v) + _field_read(v) + ([outside] if outside else [])
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
    found += _off_the_curve(v)
    found.append(_speed(v))
    return found + _advice(v)


def _field_read(v: Values) -> list[Finding]:
    """A row whose field current is more than any of its kind takes: mostly a decimal point."""
    row = unlikely_field(v["emf_test"])
    if row is None:
        return []
    current = float(v["emf_test"][row - 1][1])
    return [
        Finding(
            "caution",
            f"Row {row}: {show(current, 'A')} of field? Such coils take {FIELDS['field_current'].usual_range()}.",
            f"Read it again: {show(current / 10.0, 'A')}? The whole curve leans on its highest row.",
        )
    ]


def _outside(v: Values) -> Finding | None:
    curve, current = v["saturation"], working_current(v)
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


def _off_the_curve(v: Values) -> list[Finding]:
    """The row to take again: where the others agree without it that one alone, else every row that lies off."""
    curve, rows = v["saturation"], v["emf_test"]
    far = [(n, off) for n, off in enumerate(counted(rows, curve), 1) if abs(off) > OFF_THE_CURVE]
    if not far or curve.fall != 0.0:
        return []
    again = "speed, field current and volts at the same moment."
    odd = emf.odd_row(rows)
    if odd and odd.others <= OFF_THE_CURVE:
        side = "above" if odd.off > 0 else "below"
        return [
            Finding(
                "caution",
                f"Row {odd.row} lies {show(abs(odd.off), 'percent', 2)} {side} the curve through the others.",
                f"Take it again: {again}",
            )
        ]
    named = ", ".join(
        f"row {n} {show(abs(off), 'percent', 2)} {'above' if off > 0 else 'below'}" for n, off in far
    )
    return [
        Finding(
            "caution",
            f"Off the curve through all rows: {named}. No single row explains it.",
            f"Take them again: {again}",
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
            f"At {fast} each 1000 rpm gives {show(curve.fall, 'percent', 2)} less than at {slow}: "
            f"{plain(ratio * (1.0 - curve.fall))} times the volts at {plain(ratio)} times the speed. Currents in the "
            "claws' solid iron push the flux back. The curve runs through the middle, and its ± reaches both.",
            "For the best number keep one speed, near the one you will ride at.",
        )
    if curve.fall < -FALL_COUNTS:
        return Finding(
            "caution",
            f"At {fast} each 1000 rpm gives {show(-curve.fall, 'percent', 2)} more than at {slow}. A machine gives "
            "less there, never more.",
            "Check the speeds: a slipping belt or a wrong ratio of the pulleys shows like this.",
        )
    return Finding(
        "note",
        f"Tested at {slow}." if slow == fast else f"Tested from {slow} to {fast}.",
        f"Above {fast} count on less than the product of speed and flux: a measured claw-pole machine gave 2.833 "
        "times the "
        "volts at 3 times the speed. Add a row near your working speed.",
    )


def _advice(v: Values) -> list[Finding]:
    """The reading that would help most, or that there are enough."""
    if len(v["emf_test"]) <= v["saturation"].constants:
        return []  # said already: too few for the bend, and where to add some
    best = emf.next_reading(v["emf_test"], working_current(v))
    if best.after is None or best.before is None:
        return []  # said already: go to the working current, or add a second one
    before, after = show(best.before, "percent", 2), show(best.after, "percent", 2)
    where = show(best.field_current, "A", 2)
    if best.after < (1.0 - GAIN_COUNTS) * best.before:
        return [
            Finding(
                "note",
                f"One more reading helps most at {where}: the ± at your working current falls from {before} to "
                f"{after}.",
                "Take it at the same speed.",
            )
        ]
    if v["saturation"].fall > FALL_COUNTS:
        return []  # said already: one speed does more than another row
    enough = "For the EMF constant these readings are enough"
    more = (
        f"one more at the best place, {where}, would leave its ± at {before}"
        if before == after
        else f"one more at the best place, {where}, would bring its ± from {before} to {after}"
    )
    return [Finding("ok", f"{enough}: {more}.")]


def bend(v: Values) -> str:
    """What the curve says of saturation up to the highest field current, in a sentence; '' where it can't."""
    curve = v["saturation"]
    if not curve.knee:
        return ""
    low, near, high = (
        float(emf.emf_at(curve, i)) for i in (curve.low, curve.high - LAST_PART * _width(v), curve.high)
    )
    share = high / (low / curve.low * curve.high)
    told = f" At {show(curve.high, 'A')} it gives {show(share, 'percent', 2)} of what a straight line "
    told += "from the lowest reading would"
    if share > HARDLY_BENT:
        return f"{told}: up to there the iron hardly saturates, and more field would still pay."
    last = (high - near) / (LAST_PART * _width(v)) / (low / curve.low)
    if last < NOTHING_MORE:
        return f"{told}: iron saturates, and at the top an ampere more adds next to nothing."
    return (
        f"{told}: iron saturates, and at the top an ampere more adds {show(last, 'percent', 2)} of what the first "
        "added."
    )


def _width(v: Values) -> float:
    return v["saturation"].high - v["saturation"].low
