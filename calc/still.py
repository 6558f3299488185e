"""The field coil of a rotor that stands still, its fan with it: one judgement for every page that tells of it."""

from __future__ import annotations

from calc.build import Values
from calc.findings import Finding, Severity
from calc.machine import excitation
from calc.machine.thermal_class import HOT_SPOT, allowed_temperature
from calc.units import show

BURNS = 250.0 + 273.15
"""Above this a temperature says no more than that it burns, K (common practice, no source)."""
KEPT = 0.9
"""Of the current that it surely stands, what is advised to be held (common practice, no source)."""


def most_heating(v: Values) -> float:
    """The most kelvin that each watt was said to heat the still rotor by, K/W."""
    known = v.build.input("field_thermal_resistance")
    return known.value + known.spread


def ends(v: Values, thermal: float) -> float:
    """Where the coil ends at full field, K, if each watt heats it by `thermal`, K/W; NEVER where there is no end."""
    given = (v["field_resistance"], thermal, v["ambient_temperature"])
    if "field_voltage" in v.build.entered:
        return float(excitation.standing_temperature_at_volts(v["field_voltage"], v["brush_drop"], *given))
    return float(excitation.standing_temperature(v["field_current"], *given))


def held_end(v: Values, thermal: float) -> float:
    """Where it ends at the hold current, K; without one that is the full current."""
    given = (v["field_resistance"], thermal, v["ambient_temperature"])
    return float(excitation.standing_temperature(v["field_hold_current"], *given))


def power(v: Values) -> float:
    """Watts that the still rotor surely loses for ever, W."""
    return float(excitation.standing_power(most_heating(v), v["ambient_temperature"], v["insulation_class"]))


def stands(v: Values) -> float:
    """Field current that it surely stands for ever, A."""
    return float(excitation.standing_current(power(v), v["field_resistance"], v["insulation_class"]))


def judged(v: Values) -> Finding:
    """Full field at standstill, and the hold current where one was entered; the worst believable heating counts."""
    limit, kind = float(allowed_temperature(v["insulation_class"])), v["insulation_class"]
    known, current = v.build.input("field_thermal_resistance"), float(v["field_current"])
    likely, worst = ends(v, known.value), ends(v, most_heating(v))
    where = f"ends at about {show(likely, 'degC')}" if likely < BURNS else "ends where it burns"
    if likely >= excitation.NEVER:
        where = "has no end: hotter copper takes more and more"
    text = (
        f"Full field with the rotor still, and its fan with it: the coil {where}. {show(limit, 'degC')} are allowed, "
        f"class {kind} with {HOT_SPOT:g} K left for its hottest spot."
    )
    unmeasured = known.source == "usual"
    if likely <= limit < worst:
        text += (
            f" How much each watt heats it is {'a usual value' if unmeasured else 'not known well'}: it may "
        )
        text += "go without end." if worst >= excitation.NEVER else f"go to {show(worst, 'degC')}."
    elif worst <= limit and unmeasured:
        text += " How much each watt heats it is a usual value, though."
    if worst <= limit:
        do = "Measure it, rotor still, for an hour." if unmeasured else ""
        return Finding("caution" if unmeasured else "ok", text, do)
    advised = (
        f"Hold {show(KEPT * min(stands(v), current), 'A')} or less while it stands, or switch the field off after a "
        "minute. Full field comes back before the throttle does."
    )
    severity: Severity = "stop" if likely > limit else "caution"
    if "field_hold_current" in v.build.entered and v["field_hold_current"] < current:
        held, most = held_end(v, known.value), held_end(v, most_heating(v))
        if most <= limit:
            do = f"The hold current ends at {show(most, 'degC')} at most: see that the supply does fall back to it."
            return Finding("caution", text, do)
        text += f" The hold current of {show(v['field_hold_current'], 'A')} may be too much as well."
        severity = "stop" if held > limit else "caution"
    return Finding(severity, text, advised)
