"""What several answers say of pack, charger and fuse."""

from __future__ import annotations

from contextlib import suppress

from calc import units
from calc.build import Input, Values
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.findings import Finding
from calc.power import cells, fuse, guarded
from calc.power.charging import GUIDANCE_TO
from calc.power.limits import SHOCK_VOLTAGE

UNGUARDED = (
    "Don't connect the pack and don't charge it before a main fuse and a protection for each group are there and "
    "proven."
)

NOTHING_BACK = (
    "Switch it off in the controller, and try: wheels up, throttle let go, brake lever pulled, a clamp meter on the "
    "pack's plus. Else a fire risk on a cold morning, and on a full pack the protection opens on the hill."
)
TURN_DOWN = (
    "Turn it down before it is joined, measured with nothing connected; if it can't be set, don't join it."
)

FUSE_CURVE = ", ".join(
    FIELDS[key].quoted for key in ("opens_short", "opens_short_rating", "opens_short_current")
)
"""What is entered of a fuse's curve, in words."""


MADE = {"made_peak": "the machine at its fastest", "descent_peak": "the machine downhill"}


def touch(values: Values, made: str = "made_peak") -> list[Finding]:
    """The caution where the full pack, its charger or the machine reaches the limit of touch voltage.

    made: the node of the volts that the machine makes, one of `MADE`; '' where the answer doesn't rest on them. Where
    nobody can tell how fast it goes by itself, those downhill.
    """
    build, volts = values.build, {}
    if not build.missing("voltage_full"):
        volts["the full pack"] = float(values["voltage_full"])
    if "charger_voltage" in build.entered:
        charger = build.input("charger_voltage")
        volts["the charger, at most"] = float(charger.value + charger.spread)
    if made and build.missing(made):
        made = "descent_peak"
    if made and not build.missing(made):
        with suppress(NoSolution):  # the checks say why
            volts[MADE[made]] = float(values[made])
    over = {name: value for name, value in volts.items() if value >= SHOCK_VOLTAGE}
    if not over:
        return []
    told = ", ".join(f"{name} {units.show(value, 'V')}" for name, value in over.items())
    return [
        Finding(
            "caution",
            f"At {SHOCK_VOLTAGE:g} V of direct current or more, where standards end voltage class A (UN R100, ISO "
            f"6469-4): {told}. A touch can hurt or kill, and other rules hold.",
            "Every live part, the machine's leads too, behind covers that only a tool opens; cables outside them "
            "orange; metal that can be touched joined to the frame under 0.1 ohm; insulation to the frame 500 ohm for "
            "each volt, measured before each season or watched all the time. Local codes come first, and a licensed "
            "person does or checks this work.",
        )
    ]


def over_downhill(values: Values) -> list[Finding]:
    """The stop where the volts made downhill are too many already, while nobody can tell how fast it goes by itself."""
    build = values.build
    if not build.missing("made_peak") or build.missing("descent_peak", "controller_voltage_max"):
        return []
    try:
        peak, stands = float(values["descent_peak"]), float(values["controller_voltage_max"])
    except NoSolution:  # the page of the spin test says why
        return []
    if peak <= stands:
        return []
    return [
        Finding(
            "stop",
            f"{units.show(peak, 'V')} between two leads at {units.show(values['descent_speed'], 'km/h')} downhill; the "
            f"controller stands {units.show(stands, 'V')}.",
            "Less field downhill, a lower speed there held by the brakes, or a controller for more volts.",
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
            TURN_DOWN,
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
            f"After a ride on the hottest day the cells are at {units.show(hot, 'degC')} or more: fire services "
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


def unguarded(v: Values, key: str) -> list[Finding]:
    """The stop where somebody entered that there is no main fuse, or no protection for each group."""
    if key not in v.build.entered or (key, v[key]) not in guarded.FAULTS:
        return []
    return [Finding("stop", f"Fire risk: {guarded.FAULTS[key, v[key]]}", UNGUARDED)]
