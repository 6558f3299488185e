"""When a pack isn't charged at all, and what current it and its leads stand."""

from __future__ import annotations

from calc.build import Input, Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.power import cells, charging, fuse
from calc.power.charging import GUIDANCE_TO, WARM_FROM
from calc.told import OPEN_DRIVE, unsaid
from calc.told.power import hot_day
from calc.units import show

STATES = {
    "wet": (
        "Fire risk: water between the groups makes currents that no fuse sees, and corrosion that shorts days later.",
        "Don't charge. Unplug, outdoors, away from anything that burns; dry it for days, and have whoever knows such "
        "packs look inside.",
    ),
    "damaged": (
        "Fire risk: a swollen, dented, dropped, leaking or smelling cell may short inside while it charges.",
        "Never charge it. Move a cool one outdoors in gloves, away from anything that burns, to where local codes want "
        "it. If it is hot, hisses or smokes: out, door shut, call the fire service.",
    ),
    "hot": (
        "Fire risk: a pack that is warmer than the hand and hasn't just been ridden heats itself.",
        "Don't charge, don't touch. If it gets hotter, hisses or smokes: everyone out, door shut, call the fire "
        "service. Warm from a ride: wait until it feels cool.",
    ),
    "bypassed": (
        "Fire risk: without its protection nothing stops when one group is full before the others.",
        "Don't charge. Fit a protection board that senses every group, and prove that it opens.",
    ),
}
PLACES = {
    "unattended": (
        "Fire risk: nobody would pull the plug when a cell goes wrong. Minutes count.",
        "Charge only with somebody awake beside it (fire services' guidance, at second hand).",
    ),
    "overnight": (
        "Fire risk: people asleep learn of it too late. The smoke is poisonous.",
        "Charge by day, with somebody awake beside it, a smoke alarm above.",
    ),
    "escape-route": (
        "Fire risk: a pack that burns there shuts everybody in.",
        "Charge outdoors under a roof or in a room nobody has to pass, a door between, a smoke alarm above.",
    ),
}
"""Why a pack isn't charged so, and what to do: the bulletin and the guidance that calc.power.charging names, and common
practice, no source."""
ASKED = (("pack_state", "the pack"), ("charge_place", "the place"), ("charge_port", "the plug"))


def never(v: Values) -> list[Finding]:
    """States and places in which a pack isn't charged; where nobody said, what to look for."""
    entered, found = v.build.entered, []
    for key, table in (("pack_state", STATES), ("charge_place", PLACES)):
        if key in entered and v[key] in table:
            found.append(Finding("stop", *table[v[key]]))
    if "charge_port" in entered and v["charge_port"] == "nothing":
        found.append(
            Finding(
                "stop",
                charging.port_told(v["charge_port"]),
                OPEN_DRIVE,
            )
        )
    open_ = [name for key, name in ASKED if key not in entered]
    if open_:
        listed = " and ".join((", ".join(open_[:-1]), open_[-1])) if len(open_) > 1 else open_[0]
        found.append(
            Finding(
                "caution",
                f"Nothing was said of {listed}. Never charge a pack that is below 0 °C, hot, wet, swollen, dented, "
                "dropped or bypassed, nor one with a group far from the others; never unattended, overnight or on a "
                "way out.",
                "Go through the list on this page before each charge. The plug has to open the drive.",
            )
        )
    return found


def _known_by(v: Values) -> Input:
    """The entry that says how warm the cells are: their own, else the coldest of what stands in for it."""
    inputs = [v.build.input(key) for key in v.build.leaves("temperature")]
    return min(inputs, key=lambda item: float(item.value))


def cold(v: Values) -> list[Finding]:
    """What the cells' temperature allows."""
    item = _known_by(v)
    given, coldest = float(v["temperature"]), item.value - item.spread
    least, most = cells.temperatures(v["chemistry"], "charge")
    if coldest < least:
        below = f"cells at {show(given, 'degC')}" + (
            "" if given < least else f", perhaps at {show(coldest, 'degC')}"
        )
        return [
            Finding(
                "stop",
                f"Fire risk later: {below}. Charged below {show(least, 'degC')}, metal grows inside them and may "
                f"short them weeks after.{unsaid(item)}",
                "Wait until a probe between the cells reads 5 °C or more. Current that flows back downhill is charging "
                "too.",
            )
        ]
    if given > most:
        return [
            Finding(
                "stop",
                f"Fire risk: cells at {show(given, 'degC')}; sheets end at {show(most, 'degC')} for charging.",
                "Let them cool in the shade, unplugged, before the charger is joined.",
            )
        ]
    if given > GUIDANCE_TO:
        return [
            Finding(
                "caution",
                f"{show(given, 'degC')} is near the end: cells' sheets say {show(most, 'degC')}, fire services "
                f"{show(GUIDANCE_TO, 'degC')}.",
                "Let them cool first.",
            )
        ]
    if given < WARM_FROM:
        return [
            Finding(
                "caution",
                f"Cells at {show(given, 'degC')} take {show(v['current_allowed'], 'A')}: less than warm ones (one "
                "sheet, at second hand).",
                "The cell's own sheet goes first. Let them warm up, or charge with less.",
            )
        ]
    return [] if "temperature" in v.build.entered else hot_day(v)


def current(v: Values) -> list[Finding]:
    """The charger's current against cells, protection, lead and fuse."""
    item, allowed = v.build.input("charger_current"), float(v["current_allowed"])
    most, entered, found = item.value + item.spread, v.build.entered, []
    stand = float(v["cells_current"])
    if most > stand > 0.0:
        found.append(
            Finding(
                "stop",
                f"Fire risk: the charger may give {show(most, 'A')}; cells at {show(v['temperature'], 'degC')} stand "
                f"{show(stand, 'A')}.{unsaid(item)}",
                "A charger of less current, or one that can be set"
                + (", or warmer cells." if v["temperature"] < WARM_FROM else "."),
            )
        )
    if "charge_current_limit" in entered and most > allowed and allowed < stand:
        found.append(
            Finding(
                "caution",
                f"The protection opens at {show(allowed, 'A')} of charging current; the charger may give "
                f"{show(most, 'A')}. It would cut out and come back again and again.",
                "A charger of less current. Never count on the protection to do the charger's work.",
            )
        )
    if "cell_charge_limit" not in entered:
        found.append(
            Finding(
                "caution",
                f"What one cell stands was not entered: {show(v['charge_share'], 'percent')} of the capacity each hour "
                "stands in for it, from one sheet at second hand.",
                "Look up “standard charge” in the cell's own sheet, and enter it as "
                f"{FIELDS['cell_charge_limit'].quoted}.",
            )
        )
    return found + leads(v, item.value, most)


def leads(v: Values, amps: float, most: float) -> list[Finding]:
    """The charging lead and its fuse."""
    entered, found = v.build.entered, []
    air = max(float(v["room_temperature"]), float(v["ambient_temperature"]))  # it is charged on that day too
    needed = float(fuse.lasting_rating(amps, air))
    rating = float(v["charger_fuse"]) if "charger_fuse" in entered else 0.0
    if "charger_lead_section" in entered:
        carries = float(v["charge_lead_carries"])
        if most > carries or rating > carries:
            what = (
                f"the charger gives {show(amps, 'A')}"
                if most > carries
                else f"its fuse is {show(rating, 'A')}"
            )
            found.append(
                Finding(
                    "stop",
                    f"Fire risk: a charging lead of {show(v['charger_lead_section'], 'mm**2')} carries "
                    f"{show(carries, 'A')} coiled or bundled; {what}.",
                    "A thicker lead, or a smaller fuse.",
                )
            )
    if not rating:
        found.append(
            Finding(
                "caution",
                "No fuse in the charging lead was entered. The pack itself feeds a short in lead or charger, with far "
                "more than the charger's current.",
                f"A fuse at the pack's end, rated {show(needed, 'A')} or the next size up, for "
                f"{show(v['voltage_full'], 'V')} DC or more: blade fuses are made for 32 V.",
            )
        )
    elif rating < needed:
        found.append(
            Finding(
                "caution",
                f"A fuse of {show(rating, 'A')} runs hot with {show(amps, 'A')} for hours, and opens some day.",
                f"{show(needed, 'A')} or the next size up, if the lead carries it.",
            )
        )
    return found
