"""What the reader should know about an answer: how bad, what was found, what to do; and what several answers say."""

from __future__ import annotations

from contextlib import suppress
from typing import Literal, NamedTuple

from calc import units
from calc.build import Clash, Input, Values
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.machine import armature, winding
from calc.power import cells, fuse, guarded
from calc.power.charging import GUIDANCE_TO
from calc.power.limits import SHOCK_VOLTAGE

Severity = Literal["ok", "caution", "stop"]
WORST = {"ok": 0, "caution": 1, "stop": 2}
GUARDED_SPEED = 15 / 3.6
"""From here on brakes, helmet and rider are spoken of whatever speed was wished, m/s (common practice, no source)."""


UNGUARDED = (
    "Don't connect the pack and don't charge it before a main fuse and a protection for each group are there and "
    "proven."
)
FUSE_CURVE = ", ".join(
    FIELDS[key].quoted for key in ("opens_short", "opens_short_rating", "opens_short_current")
)
"""What is entered of a fuse's curve, in words."""
NEARLY_ALL = 0.95
"""A start's best current from this share of all of it on counts as all of it."""

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
LARGER_PACK = "A larger pack, a slower ride, or a better field supply."


class Finding(NamedTuple):
    """Something the reader should know about the answer: how bad, what was found, what to do.

    clears: entries of which one group is too many, for the page to offer to clear.
    """

    severity: Severity
    text: str
    do: str = ""
    clears: tuple[tuple[str, ...], ...] = ()


def touch(values: Values, downhill: bool = True) -> list[Finding]:
    """The caution where the full pack, its charger or the machine downhill is at or above the limit of touch voltage.

    downhill: whether the answer rests on what the machine makes there.
    """
    build, volts = values.build, {}
    if not build.missing("voltage_full"):
        volts["the full pack"] = float(values["voltage_full"])
    if "charger_voltage" in build.entered:
        charger = build.input("charger_voltage")
        volts["the charger, at most"] = float(charger.value + charger.spread)
    if downhill and not build.missing("descent_peak"):
        with suppress(NoSolution):  # the checks say why
            volts["the machine downhill"] = float(values["descent_peak"])
    over = {name: value for name, value in volts.items() if value >= SHOCK_VOLTAGE}
    if not over:
        return []
    told = ", ".join(f"{name} {units.show(value, 'V')}" for name, value in over.items())
    return [
        Finding(
            "caution",
            f"At or above {SHOCK_VOLTAGE:g} V of direct current, where standards end voltage class A (UN R100, ISO "
            f"6469-4): {told}. A touch can hurt or kill, and other rules hold.",
            "Every live part, the machine's leads too, behind covers that only a tool opens; cables outside them "
            "orange; metal that can be touched joined to the frame under 0.1 ohm; insulation to the frame 500 ohm for "
            "each volt, measured before each season or watched all the time. Local codes come first, and a licensed "
            "person does or checks this work.",
        )
    ]


def may_be_over(charger: Input, full: float, limit: float) -> list[Finding]:
    """What to say of a charger whose voltage fits while its ± reaches beyond what the cells stand, `limit` (V): measure
    it. A stop where it is a guess."""
    if not charger.value <= limit < charger.value + charger.spread:
        return []
    said, off = units.show(charger.value, "V", 4), units.show(charger.spread, "V")
    how = {
        "rated": f"The charger's label says {said}; labels are believed to ± {off}",
        "measured": f"The charger was measured at {said} ± {off}",
    }.get(charger.basis, f"Fire risk: the charger's {said} counts as a guess, ± {off}")
    return [
        Finding(
            "stop" if charger.guessed else "caution",
            f"{how}, so it may bring {units.show(charger.value + charger.spread, 'V', 4)} to a pack that is full at "
            f"{units.show(full, 'V', 4)}.",
            "Plug it in with nothing connected, measure its leads, enter that as measured. Over "
            f"{units.show(limit, 'V', 4)}: don't connect it.",
        )
    ]


def over_full(charger: Input, full: float, limit: float) -> list[Finding]:
    """The caution for a charger above the full pack (V), though surely within what its cells stand, `limit`."""
    if charger.value <= full + 0.005 or charger.value + charger.spread > limit:  # a meter's last digit
        return []
    return [
        Finding(
            "caution",
            f"The charger gives {units.show(charger.value, 'V', 4)}, a little over the {units.show(full, 'V', 4)} of "
            "the full pack. That is within the cells' tolerance, and it wears them.",
            f"Turn it down to {units.show(full, 'V', 4)} or a little less if it can be set. Stay with it while it "
            "charges.",
        )
    ]


def overcharges(charger: float, full: float, why: str = "") -> Finding:
    """The stop for a charger (V) above what cells stand; full: the pack's volts when full, V.

    why: what else is known of where its volts come from.
    """
    return Finding(
        "stop",
        f"Fire risk: this charger brings {units.show(charger, 'V', 4)} to a pack that is full at "
        f"{units.show(full, 'V', 4)}. Every cell would be overcharged.{why}",
        f"Don't connect it. Get a charger of {units.show(full, 'V')} or a little less, made for these cells. Never "
        "rely on the protection board.",
    )


def never_fills(charger: float, full: float, why: str = "") -> Finding:
    """The caution for a charger (V) under what the full pack needs (V); why: what else is known of it."""
    return Finding(
        "caution",
        f"A charger of {units.show(charger, 'V')} never fills a pack of {units.show(full, 'V')}.{why}",
        "Check that charger and pack belong together before they are joined.",
    )


def hot_day(values: Values) -> list[Finding]:
    """The caution where cells come home from the hottest day's ride warmer than a pack is charged at."""
    hot = float(values["ambient_temperature"])
    if hot <= GUIDANCE_TO:
        return []
    _, most = cells.temperatures(values["chemistry"], "charge")
    return [
        Finding(
            "caution",
            f"After a ride on the hottest day the cells are at {units.show(hot, 'degC')} or more: fire departments "
            f"charge up to {units.show(GUIDANCE_TO, 'degC')}, cells' sheets end at {units.show(most, 'degC')}.",
            "Let them cool in the shade first, by a probe.",
        )
    ]


def fuse_reading(values: Values) -> list[Finding]:
    """What counts of a time that was read off a fuse's curve: it holds for one rating, from one current on."""
    build = values.build
    if "opens_short" not in build.entered:
        return []
    time = f"{units.show(float(build.input('opens_short').value), 's')} was read from a data sheet and isn't used"
    again = "Read the curve again, or leave the time out."
    keys = ("opens_short_rating", "opens_short_current")
    if missing := [key for key in keys if key not in build.entered]:
        names = " and ".join(FIELDS[key].name for key in missing)
        return [
            Finding(
                "caution",
                f"{time}: nobody said for which fuse and current. The published gate of its kind counts.",
                f"Enter the {names}, or leave the time out.",
            )
        ]
    if build.missing("far_short", "fuse_rating"):
        return []
    rating, current = (float(build.input(key).value) for key in keys)
    if fuse.tied(rating, current, values["fuse_rating"], values["far_short"]):
        return []
    fitted, short = (units.show(float(values[key]), "A") for key in ("fuse_rating", "far_short"))
    why = (
        f"it is the time of a fuse of {units.show(rating, 'A')}; {fitted} is fitted"
        if not fuse.tied(rating, 0.0, values["fuse_rating"], values["far_short"])
        else f"it was read at {units.show(current, 'A')}; a short at the cable's far end makes {short}, and a fuse "
        "is slower at less"
    )
    return [Finding("caution", f"{time}: {why}. The published gate of its kind counts.", again)]


def unsaid(item: Input) -> str:
    """What to say of a number that counts as a guess, because that is what it is or because nobody said: its ±."""
    if item.basis != "guess" or not item.spread:
        return ""
    unit = FIELDS[item.key].unit
    off = units.show(item.spread, "K" if unit == "degC" else unit)  # a difference of temperatures
    return f" {units.show(item.value, unit)} counts as a guess, ± {off}; measure it, and say so."


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


def longer_than_a_pole(span: int, slots: int, pole_pairs: int) -> list[Finding]:
    """The caution where a coil spans over a slot more than a pole has."""
    pole = slots / (2 * pole_pairs)
    if span <= pole + 1:
        return []
    return [
        Finding(
            "caution",
            f"A coil span of {span} is longer than a pole, which has {winding.counted(pole, 'slot')}.",
            "Follow one coil again, from where it goes in to where the same wire comes out.",
        )
    ]


def odd_slots(slots: int, pole_pairs: int) -> Finding:
    """The caution where slots to a pair of poles are what no vehicle generator has; poles may stand for pole pairs."""
    return Finding(
        "caution",
        f"{slots} slots on {winding.counted(pole_pairs, 'pole pair')} are {units.plain(slots / pole_pairs)} to a pair; "
        "vehicle generators have 6 or 12.",
        "Are these the poles rather than the pole pairs? Count the claws of one half of the rotor, and the slots once "
        "more."
        if slots < 4 * pole_pairs
        else "Count the claws of one half of the rotor and the slots once more, with chalk.",
    )


UNCOUNTED = Finding(
    "ok",
    "Not told here: whether chain, shaft, key and mount hold, and whether it tips over sideways or slides.",
    "Read Chain, Shaft and mount, and Tipping and sliding in the Vehicle chapter. Try the slope unladen first, with "
    "somebody beside the vehicle, never behind or below it.",
)
"""Said where a pull at the wheel is told: by the gearing and by the standing start."""


def too_much_current(v: Values) -> list[Finding]:
    """Where less line current starts more: all of it pulls the sensors too far from their place."""
    best, full = float(v["start_current"]), float(v["stall_current"])
    if best >= NEARLY_ALL * full:
        return []
    left = float(v["full_torque_worst"])
    return [
        Finding(
            "caution",
            f"It starts best with {units.show(best, 'A', 2)}: {units.show(v['start_torque_worst'], 'N*m')} in the "
            f"worst position. At the full {units.show(full, 'A')} the current pulls the sensors "
            f"{units.show(v['armature_shift'], 'deg')} early, and "
            f"{units.show(left, 'N*m') if left > 0.0 else 'nothing'} is left.",
            f"Set the controller's phase current limit to {units.show(best, 'A', 2)}, or open the throttle slowly. "
            "More field lets more current help.",
        )
    ]


def one_field(v: Values) -> list[Finding]:
    """Where more field is the cure, and the EMF constant that counts is one number: it knows no other field current."""
    if not v.build.is_leaf("emf_constant") or v["start_share"] <= armature.ARMATURE_COUNTS:
        return []
    entered = v.build.entered
    usual = "emf_constant" not in entered
    which = (
        "The usual EMF constant"
        if usual
        else f"The EMF constant of {units.show(v['emf_constant'], 'V/krpm')}"
    )
    told = f"{which} stands for one field current"
    if "field_current" in entered:
        told += f": the {units.show(v['field_current'], 'A')} that are entered change nothing in it"
    return [
        Finding(
            "caution" if usual and "field_current" in entered else "ok",
            f"{told}.",
            f"Before you count on more field, enter {FIELDS['emf_test'].quoted} at that field current too.",
        )
    ]


def unguarded(v: Values, key: str) -> list[Finding]:
    """The stop where somebody entered that there is no main fuse, or no protection for each group."""
    if key not in v.build.entered or (key, v[key]) not in guarded.FAULTS:
        return []
    return [Finding("stop", f"Fire risk: {guarded.FAULTS[key, v[key]]}", UNGUARDED)]


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
    return Finding(
        "caution",
        f"{f.label} was entered as {stated}; what was entered of its parts ({parts}){other.rstrip('.')}. The {stated} "
        "counts.",
        "Clear one of the two.",
        both,
    )
