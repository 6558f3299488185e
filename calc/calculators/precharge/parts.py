"""What precharge resistor and main switch stand: watts, pulses, tries, and what is left to close on."""

from __future__ import annotations

from calc.build import Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.power import precharge
from calc.units import show

LASTING = 3  # tries one after the other that a resistor has to stand (common practice, no source)


def tries(v: Values, energy: str) -> float | None:
    """Tries a minute that the resistor stands for good, each leaving the joules of `energy` in it."""
    if "precharge_rating" not in v.build.entered:
        return None
    return float(precharge.tries_per_minute(v["precharge_rating"], v[energy], v["precharge_time"]))


def resistor(v: Values) -> list[Finding]:
    found = []
    energy, power = float(v["energy"]), float(v["resistor_power"])
    rating = float(v["precharge_rating"]) if "precharge_rating" in v.build.entered else power
    if power > precharge.OVERLOAD * rating:
        found.append(
            Finding(
                "stop",
                f"Fire risk: {show(power, 'W')} at the first moment on a resistor for "
                f"{show(v['precharge_rating'], 'W')}. When something holds the bus down it takes that for good.",
                "A larger one, in a tin or on metal, and a circuit that gives up after a few seconds.",
            )
        )
    else:
        if power > rating:
            found.append(
                Finding(
                    "caution",
                    f"{show(power, 'W')} at the first moment on a resistor for {show(rating, 'W')}: it stands that for "
                    "seconds, not for good (common practice, no source).",
                    "A circuit that gives up after a few seconds when the bus isn't full.",
                )
            )
        found.append(
            Finding(
                "caution",
                f"Each filling leaves {show(energy, 'J')} in the resistor; {LASTING} tries in a row "
                f"{show(LASTING * energy, 'J')}. With a short behind it, it takes {show(power, 'W')} for good.",
                "A wire-wound one, on metal, away from anything that burns. Let the circuit give up when the bus isn't "
                "full in time.",
            )
        )
    return found


def pulse(v: Values) -> list[Finding]:
    """How many tries the resistor stands, one after the other and by the minute."""
    entered, energy = v.build.entered, float(v["energy"])
    if "precharge_energy" not in entered:
        return [
            Finding(
                "caution",
                f"What pulse the resistor stands isn't entered; one filling is {show(energy, 'J')}. Its watts for good "
                "say nothing of that.",
                f"Look up {FIELDS['precharge_energy'].quoted} in its data sheet, or take a wire-wound one far larger "
                "than it looks needed.",
            )
        ]
    stands, short = _edge(v, "precharge_energy"), float(v["short_energy"])
    if energy > stands:
        return [
            Finding(
                "stop",
                f"Fire risk: one filling leaves {show(energy, 'J')} in a resistor for pulses of {show(stands, 'J')}. "
                "It cracks or burns, and then the main switch closes on an empty bus.",
                "A resistor for a larger pulse. More ohms don't help: the energy stays the same.",
            )
        ]
    found = []
    if LASTING * energy > stands:
        found.append(
            Finding(
                "caution",
                f"{LASTING} tries in a row are {show(LASTING * energy, 'J')}; it stands {show(stands, 'J')} at once.",
                "Let it cool for a minute after each try, or take one for a larger pulse.",
            )
        )
    if short > stands:
        found.append(
            Finding(
                "caution",
                f"With a short behind it one try of {show(v['precharge_time'], 's')} leaves {show(short, 'J')} in a "
                f"resistor for {show(stands, 'J')}.",
                "Let the circuit give up sooner when the volts don't climb, or fit a fuse that does.",
            )
        )
    often, most = tries(v, "short_energy"), 60.0 / float(v["precharge_time"])
    if often is not None and often < most:
        found.append(
            Finding(
                "caution",
                f"With a short behind it the resistor stands {often:.1f} tries a minute; a circuit that tries again at "
                f"once makes {most:.0f}.",
                "Let it give up after three tries, and ask for somebody to look.",
            )
        )
    return found


def _edge(v: Values, key: str) -> float:
    """The least that is believed of an entry."""
    item = v.build.input(key)
    return float(item.value - item.spread)


def switch(v: Values) -> list[Finding]:
    """What is left to close on, against what the switch may make."""
    left = float(v["inrush"])
    if "switch_make_rating" not in v.build.entered:
        return [
            Finding(
                "caution",
                f"The main switch closes on {show(left, 'A')}. What it may close on isn't entered.",
                "Look up its making capacity or inrush at direct current, and enter "
                f"{FIELDS['switch_make_rating'].quoted}. What it carries for good is another number.",
            )
        ]
    if left <= (stands := _edge(v, "switch_make_rating")):
        return []
    return [
        Finding(
            "stop",
            f"The main switch closes on {show(left, 'A')} and may close on {show(stands, 'A')}: its contacts weld, and "
            "then it can't open any more.",
            "Wait longer, a smaller precharge resistor, or a switch for more.",
        )
    ]


def breaking(v: Values) -> list[Finding]:
    """What the main switch has to break under load, against what it may."""
    if "switch_break_rating" not in v.build.entered:
        asked = ""
        if not v.build.missing("break_asked"):
            asked = f" It may have to break {show(v['break_asked'], 'A')} at {show(v['voltage_full'], 'V')}."
        return [
            Finding(
                "caution",
                f"What main switch and emergency stop may break isn't entered.{asked} A contact that is too small, or "
                "one for alternating current, draws an arc that goes on burning.",
                f"Enter {FIELDS['switch_break_rating'].quoted}: its breaking capacity for direct current at the full "
                "pack's volts, no less than the main fuse's rating. Alternating ratings don't count.",
            )
        ]
    if v.build.missing("break_asked"):
        return []
    most, stands = float(v["break_asked"]), _edge(v, "switch_break_rating")
    if most <= stands:
        return []
    return [
        Finding(
            "stop",
            f"Main switch and emergency stop may have to break {show(most, 'A')}; they are for {show(stands, 'A')}. "
            "The arc goes on burning, and the emergency stop doesn't stop it.",
            "A switch for more, at the full pack's direct volts.",
        )
    ]


def small(v: Values) -> list[Finding]:
    """A resistor that lets more through at the first moment than the protection does."""
    if "pack_current_limit" not in v.build.entered or v["peak_current"] <= v["pack_current_limit"]:
        return []
    return [
        Finding(
            "stop",
            f"{show(v['peak_current'], 'A')} at the first moment; the pack's protection opens at "
            f"{show(v['pack_current_limit'], 'A')}.",
            "A larger resistor.",
        )
    ]
