"""What the reader should know about the field: heat standing still, hold current, switching, volts to spare."""

from __future__ import annotations

from calc import still
from calc.build import Values
from calc.calculators.excitation import coil
from calc.findings import Finding
from calc.machine import excitation
from calc.machine.thermal_class import allowed_temperature
from calc.units import show


def heat(v: Values) -> list[Finding]:
    """The coil with the rotor still, its fan with it, and at work."""
    limit, kind = float(allowed_temperature(v["insulation_class"])), v["insulation_class"]
    judged = still.judged(v)
    spot = "A still field heats one spot of each ring besides: turn the wheel a little now and then."
    found = [judged._replace(do=f"{judged.do} {spot}".strip())]
    if float(v["field_temperature"]) > limit:
        found.append(
            Finding(
                "stop",
                f"At work the coil is at {show(v['field_temperature'], 'degC')}, above the {show(limit, 'degC')} that "
                f"class {kind} allows, its hottest spot counted.",
                "Less field current, more air, or a shorter ride; measure its resistance warm to be sure.",
            )
        )
    return found


def held(v: Values) -> list[Finding]:
    if "field_hold_current" not in v.build.entered:
        return []
    held, current = float(v["field_hold_current"]), float(v["field_current"])
    if held >= current:
        return [
            Finding(
                "caution",
                f"The hold current of {show(held, 'A')} is no less than the field's {show(current, 'A')}: it saves "
                "nothing.",
                "Choose a third of the field current, or so.",
            )
        ]
    saved = float(v["field_drain"]) - coil.hold(v)
    back = excitation.rise_time(coil.slowest(v), held, current, 0.8)
    text = (
        f"Holding {show(held, 'A')} while standing takes {show(coil.hold(v), 'W')} from the pack instead of "
        f"{show(v['field_drain'], 'W')}: {show(saved * 3600, 'W*hour')} saved in each hour of standing. Back to four "
        f"fifths takes {show(float(back), 's', 2)}."
    )
    do = "Let the supply raise the field first and free the throttle after."
    if held < 0.1 * current:
        do = (
            "Next to no field gives the sensors nothing to read: codes are worthless until the field is back. "
            + do
        )
    return [Finding("note", text, do)]


def safety(v: Values) -> list[Finding]:
    current, wait = float(v["field_current"]), coil.slowest(v)
    speed = None if v.build.missing("emf_constant", "voltage_min") else coil.reconnect(v)
    above = f"above {show(speed, 'rpm')}" if speed else "while the machine runs faster than the pack's volts"
    twice = "twice the pack's volts"
    if not v.build.missing("voltage_full"):
        twice = f"{show(2 * v['voltage_full'], 'V')}, {twice},"
    return [
        Finding(
            "caution",
            f"The field takes {show(3 * wait, 's', 2)} to {show(5 * wait, 's', 2)} to come (3 to 5 time constants, the "
            "coil cold). Weak or lost, it takes away torque under load, and the speed limit of an unloaded machine.",
            f"Field on first, off last. No throttle below {show(0.8 * current, 'A')}, four fifths of this. Never "
            f"switch it on {above}: it would charge the pack and brake the wheel at once. The emergency stop opens "
            "traction and field.",
        ),
        Finding(
            "caution",
            f"Opened, the coil lets go of {show(v['flyback_energy'], 'J')}. With no way round it makes hundreds of "
            "volts and more, kills its supply, and bites whoever holds a brush lead.",
            f"A diode straight across the brush leads, stripe (cathode) to plus, for "
            f"{show(1.5 * coil.most(v, 'current'), 'A')} and {twice} or more. Keep off brushes and rings; switch off "
            "before a lead is lifted. A brush that is joined to the case must be isolated before a pack is connected.",
        ),
    ]


def boost(v: Values) -> list[Finding]:
    """Whether the volts drive anything, and whether the pack has them to the end."""
    if float(v["field_current"]) <= 0.0:
        return [
            Finding(
                "stop",
                f"{show(v['field_voltage'], 'V')} on the brush leads don't pass the brushes, which lose "
                f"{show(v['brush_drop'], 'V')}: no field at all.",
                "Check both readings. More than 1 V in the brushes asks for new brushes or clean rings.",
            )
        ]
    if v.build.missing("voltage_min"):
        return []
    volts, least = coil.most(v, "voltage"), float(v["voltage_min"])
    if volts < 0.9 * least:
        return []
    return [
        Finding(
            "caution",
            f"A hot coil asks for {show(volts, 'V')}; an empty pack has {show(least, 'V')}. A supply that only steps "
            "down can't hold this current to the end.",
            "Less field current, or a supply that can step up.",
        )
    ]


def fitted(v: Values, volts: float, amps: float) -> list[Finding]:
    """The supply that was entered against the most volts and amps that it must give."""
    if not {"field_supply_volts", "field_supply_amps"} <= v.build.entered.keys():
        return []
    has = float(v["field_supply_volts"]), float(v["field_supply_amps"])
    if has[0] >= volts and has[1] >= amps:
        return [
            Finding(
                "ok", f"The supply has {show(has[0], 'V')} and {show(has[1], 'A')}: enough, hot coil and all."
            )
        ]
    return [
        Finding(
            "caution",
            f"The supply has {show(has[0], 'V')} and {show(has[1], 'A')}; the coil at its class's limit asks "
            f"{show(volts, 'V')}, and {show(amps, 'A')}.",
            "A stronger supply, or a field current that it can hold. A field that fades under way pulls less, and an "
            "unloaded machine runs away.",
        )
    ]
