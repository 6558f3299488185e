"""What several answers say, verdict and calculators alike: findings and advice that stand once."""

from __future__ import annotations

from collections.abc import Sequence

from calc import units
from calc.build import Clash, Input
from calc.fields import FIELDS
from calc.findings import Finding

GUARDED_SPEED = 15 / 3.6
"""From here on brakes, helmet and rider are spoken of whatever speed was wished, m/s (common practice, no source)."""

# What to do, said by the verdict and by the calculators that tell the same.
LARGER_CHAIN = "A larger chain, a larger sprocket on the motor, or a lower phase current limit."
MORE_SERIES = "More cells in series, cells of lower resistance, or a lower battery current limit."
MORE_PARALLEL = "More cells side by side, a lower battery current limit, or cells for more current."
LESS_ASKED = "Lower the controller's battery limit, or fit cells and protection for more current."
LARGER_RESERVE = "A larger reserve, a lower battery current limit, or cells of lower resistance."
THICKER_BOLTS = "More or thicker bolts, a wider pattern, the chain nearer to the bracket."
MORE_GRIP = (
    "More of the weight on the driven axle, both wheels driven, tyres of more grip, or another way up."
)
OPEN_DRIVE = (
    "Let the charging plug open the drive: a contact in the socket, or a lid switch, in line with the controller's "
    "enable."
)
CLOSE_PARKING = ("It holds less than half as much again.", "Chock it, and park it across the slope.")
CLOSE_SIDE = ("That is more than half of it.", "Go straight up and down there, never along.")
LARGER_PACK = "A larger pack, a slower ride, or a better field supply."


def few(names: Sequence[str], most: int = 3) -> str:
    """The first of many names in a line, and how many more; '' for none."""
    more = len(names) - most
    return ", ".join(names) if more <= 0 else f"{', '.join(names[:most])} and {more} more"


def unsaid(item: Input) -> str:
    """What to say of a number that counts as a guess, because that is what it is or because nobody said: its ±."""
    if item.basis != "guess" or not item.spread:
        return ""
    unit = FIELDS[item.key].unit
    off = units.show(item.spread, "K" if unit == "degC" else unit)  # a difference of temperatures
    return f" {units.show(item.value, unit)} counts as a guess, ± {off}; measure or read it, and say so."


def fast(top: float, wanted: float | None) -> list[Finding]:
    """The caution for a top speed (m/s) that brakes and rider must be fit for, or that nobody asked for.

    wanted: the speed wanted on the level, None when it wasn't entered.
    """
    least = GUARDED_SPEED if wanted is None else min(1.5 * wanted, GUARDED_SPEED)
    if top < least:
        return []
    asked = "" if wanted is None else f", where {units.show(wanted, 'km/h')} are wanted"
    return [
        Finding(
            "caution",
            f"At full throttle it reaches {units.show(top, 'km/h')} on the level{asked}; downhill it is faster still.",
            "Set the controller's speed limit until two independent brakes, helmet and rider are tried at that "
            "speed. Local rules may ask for more.",
        )
    ]


def on_its_nose(cog_from_axle: float, wheelbase: float) -> list[Finding]:
    """The stop where the centre of gravity is entered in front of the front axle; both from the rear axle, m."""
    if cog_from_axle < wheelbase:
        return []
    return [
        Finding(
            "stop",
            f"The centre of gravity is entered {units.show(cog_from_axle, 'mm')} in front of the rear axle, and the "
            f"front axle is only {units.show(wheelbase, 'mm')} away: it would lie on its nose.",
            "Measure again: front reading divided by total mass, times the wheelbase.",
        )
    ]


LIFTS = "Load lower and further forward, less phase current, throttle opened slowly. Nobody behind it, ever."

ROLL_BACK = (
    "It rolls back after a failed start: throttle shut, brake gently, nobody behind it. Load further forward and "
    "lower; brakes in front too."
)

STRAIGHT_ON = "It runs straight on. Drive one wheel, a longer wheelbase, less track, or more weight in front."
WIDE_TURNS = (
    "Slow in turns and steer wide; on wet ground it runs wide sooner. Driving one wheel alone ends it."
)


def lifts_front(start_slope: float, tip_slope: float) -> list[Finding]:
    """The stop when the hardest start uphill, told as the slope that it is like standing on, tips it over backwards."""
    if start_slope < tip_slope:
        return []
    text = (
        "A start with full throttle uphill lifts the front wheels: it tips over backwards. It is like standing on "
        f"{units.show(float(start_slope), 'percent')}, and {units.show(float(tip_slope), 'percent')} tip it."
    )
    return [Finding("stop", text, LIFTS)]


UNCOUNTED = Finding(
    "note",
    "Not told here: whether chain, shaft, key and mount hold, and whether it tips over sideways or slides.",
    "Read Chain, Shaft and mount, and Tipping and sliding in the Vehicle chapter. Try the slope unladen first, with "
    "somebody beside the vehicle, never behind or below it.",
)
"""Said where a pull at the wheel is told: by the gearing and by the standing start."""


def both_ways(clash: Clash) -> Finding:
    """The caution when a quantity was entered in both ways, with both numbers where both are whole."""
    f = FIELDS[clash.direct]
    parts = ", ".join(FIELDS[p].name for p in clash.parts)
    both = ((clash.direct,), clash.parts)
    if f.kind == "table":
        return Finding(
            "caution",
            f"{f.label} was entered, and {parts} too. The first counts.",
            "Clear one of the two.",
            both,
        )
    stated = units.show(clash.stated, f.unit)
    other = f" gives {units.show(clash.derived, f.unit)}" if clash.derived is not None else " was entered too"
    if clash.why:
        other = f" tells nothing of it. {clash.why}"
    told = (
        f"{f.label} was entered as {stated}; what was entered of its parts ({parts}){other.rstrip('.')}. The {stated} "
        "counts."
    )
    if (
        clash.guess
        and clash.derived is not None
        and all(FIELDS[part].kind == "table" for part in clash.parts)
    ):
        return Finding(
            "caution", f"{told} It is a guess, and those are readings.", f"Clear {f.name}.", (both[0],)
        )
    return Finding("caution", told, "Clear one of the two.", both)
