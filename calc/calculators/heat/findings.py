"""What the reader should know about the machine's heat: winding, stall, still field, what was measured."""

from __future__ import annotations

from calc import still
from calc.build import Values
from calc.calculators.heat import parts
from calc.findings import Finding
from calc.machine import endurance, excitation
from calc.machine.copper import hot_resistance
from calc.machine.thermal_class import HOT_SPOT
from calc.units import show

CLOSE = 20.0
"""Kelvin under the limit from where on it is spoken of (common practice, no source)."""
APART = 20.0
"""Kelvin between what was entered for the winding and what comes out (common practice, no source)."""
LONG = 120.0
"""From here on the iron's share of a stall can't be left out, s (common practice, no source)."""
RING_WATTS = 1.0
"""From here on a still ring is spoken of (common practice, no source)."""


def winding(v: Values) -> list[Finding]:
    """The winding on the ride, and what its insulation makes of it."""
    hot, limit, kind = float(v["hottest_temperature"]), parts.limit(v), v["insulation_class"]
    if hot >= excitation.NEVER:
        return [
            Finding(
                "stop",
                "On this ride there is no end to the winding's heat: hotter copper makes more of it than leaves.",
                "Gear lower, less weight, shorter climbs with rests between, or a fan of its own.",
            )
        ]
    text = (
        f"After the ride and one more start the hottest coil is at {show(hot, 'degC')}; class {kind} allows "
    )
    text += f"{show(limit, 'degC')} with {HOT_SPOT:g} K left for its hottest spot."
    if hot > limit:
        life = float(endurance.life_factor(hot, limit))
        left = show(life, "percent", 2) if life > 0.005 else "under 1 %"
        return [
            Finding(
                "stop",
                f"{text} Each 10 K more halve the insulation's life: {left} of it is left.",
                "Gear lower, rest between climbs, or blow air through it. A smell of varnish means stop at once.",
            )
        ]
    if hot > limit - CLOSE:
        return [
            Finding("caution", text, "Measure it on the first rides, by the resistance, as the page tells.")
        ]
    return [Finding("ok", text, "")]


def riding(v: Values) -> list[Finding]:
    """The field coil on the ride: its own heat at full field, and the body's."""
    hot, limit = float(v["ride_temperatures"].rotor), parts.limit(v)
    if hot <= limit - CLOSE:
        return []
    ends = "has no end" if hot >= excitation.NEVER else f"is at {show(hot, 'degC')}"
    return [
        Finding(
            "stop" if hot > limit else "caution",
            f"After the ride the field coil {ends}; {show(limit, 'degC')} are allowed.",
            "Less field current, air blown through, or a shorter ride; its resistance on the rings right after tells.",
        )
    ]


def measured(v: Values) -> list[Finding]:
    """Whether the thermal data are this machine's, and whether what was entered for the winding fits."""
    found = []
    usual = [
        key
        for key in ("winding_thermal_resistance", "body_thermal_resistance", "fan_gain")
        if v.build.is_leaf(key) and v.build.input(key).source == "usual"
    ]
    if usual:
        found.append(
            Finding(
                "caution",
                "How well this machine cools was not measured. What is usual spans a factor of three and more, and the "
                "kelvins with it.",
                "A heat run, as the page tells. Until then feel your way: short rides, and the resistance after each.",
            )
        )
    if "unexcited_torque" in v.build.entered and v["unexcited_torque"] >= v["friction_torque"]:
        found.append(
            Finding(
                "caution",
                f"{show(v['unexcited_torque'], 'N*m')} of friction with the field off and "
                f"{show(v['friction_torque'], 'N*m')} with it on: the field can't take friction away. No iron loss is "
                "counted.",
                "Measure both again in one go, the same string, the same pulley, the field on for one and off for "
                "the other.",
            )
        )
    pairs = (
        ("winding_temperature", "winding", float(v["row_temperature"]), "Torque and range"),
        ("field_temperature", "field coil", float(v["ride_temperatures"].rotor), "Field power and range"),
    )
    for key, name, comes, counted in pairs:
        if key not in v.build.entered or comes >= excitation.NEVER or abs(float(v[key]) - comes) <= APART:
            continue
        found.append(
            Finding(
                "caution",
                f"The temperature of the {name} at work was entered as {show(v[key], 'degC')}; by its losses it comes "
                f"to {show(comes, 'degC')}.",
                f"Measure it after a ride. {counted} are counted with what was entered.",
            )
        )
    return found


def standing(v: Values) -> list[Finding]:
    """The still rotor: full field is a finding of its own, with the hold current as the way out."""
    full, found = parts.standing_rows(v)[0], [still.judged(v)]
    if full["ring"] > RING_WATTS:
        found.append(
            Finding(
                "caution",
                f"{show(full['ring'], 'W')} go into one spot of each slip ring while it stands.",
                "Turn the wheel a little now and then. Clean rings and full-length brushes lose less.",
            )
        )
    return found


def held(v: Values, end: float | None, lasts: float | None) -> list[Finding]:
    """Whether the current and speed asked about may be held for good."""
    if lasts is None:
        return []
    ends = "with no end" if end is None else "past its class in the end"
    return [
        Finding(
            "caution",
            f"{show(v['current'], 'A')} at {show(v['motor_speed'], 'rpm')} heats it {ends}: "
            f"{show(lasts, 'minute', 2)} from cold, less from warm.",
            "Rest before that. Longer climbs want a lower gear or air blown through.",
        )
    ]


def lasting(v: Values) -> list[Finding]:
    """The stall, and the current that may flow for good."""
    stall, amps = parts.stall_time(v), v["stall_current"]
    part = "two thirds" if v["connection"] == "delta" else "half"
    watts = float(amps) ** 2 * float(hot_resistance(v["line_resistance"], v["row_temperature"]))
    text = f"Stalled at {show(amps, 'A')} it makes {show(watts, 'W')}, {part} of it in one coil. Warm from the ride "
    text += f"that coil lasts {show(stall, 's', 2)}." if stall < LONG else "that coil lasts minutes."
    if stall <= 0.0:
        text = f"Stalled at {show(amps, 'A')} right after the ride no time is left: the winding is too hot already."
    quick = stall < float(v["start_time"])
    return [
        Finding(
            "stop" if quick else "caution",
            text,
            "Never hold it on a slope by the throttle: brakes hold, the throttle moves. "
            "Throttle shut after 2 s; the controller's stall time-out 2 to 5 s, never over half of that.",
        )
    ]
