"""The field coil and its supply: what it must give, what it does to coil and fingers, which current pays."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc import figures
from calc.build import Values
from calc.calculators.worth import NOT_ENOUGH, losses, optimum, worth
from calc.errors import NoSolution
from calc.graph import step
from calc.machine import copper, excitation
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import show


def _fixed_volts(v: Values) -> bool:
    """Whether the supply was stated by its volts, so that the current follows the coil's heat."""
    return "field_voltage" in v.build.entered


def _supply(v: Values) -> list[dict[str, Any]]:
    """What the supply gives into a cold coil, one at work, and one at its insulation's limit."""
    limit, rows = excitation.CLASS_LIMIT[v["insulation_class"]], []
    hot = max(limit, float(v["field_temperature"]))
    for coil, temperature in (
        ("cold", copper.REFERENCE_TEMPERATURE),
        ("at work", float(v["field_temperature"])),
        ("at its class's limit", hot),
    ):
        given = (v["brush_drop"], v["field_resistance"], temperature)
        if _fixed_volts(v):
            volts = float(v["field_voltage"])
            current = float(excitation.field_current(volts, *given))
        else:
            current = float(v["field_current"])
            volts = float(excitation.field_voltage_needed(current, *given))
        rows.append(
            {
                "coil": coil,
                "temperature": temperature,
                "resistance": float(copper.hot_resistance(v["field_resistance"], temperature)),
                "voltage": volts,
                "current": current,
                "power": volts * current,
            }
        )
    return rows


def _most(v: Values, key: str) -> float:
    return max(float(row[key]) for row in _supply(v))


def _ripple(v: Values) -> float:
    volts = [row["voltage"] for row in _supply(v)]
    return float(
        excitation.input_ripple(
            _most(v, "current"), min(volts), max(volts), v["voltage_min"], v["voltage_full"]
        )
    )


def _frequency(v: Values) -> float:
    first = _supply(v)[0]
    return float(
        excitation.chopping_frequency(
            first["current"], first["voltage"], v["voltage_full"], v["field_inductance"]
        )
    )


def _standing(v: Values, thermal: float) -> float:
    """Where the coil ends with the rotor still, K, if each watt heats it by `thermal`, K/W."""
    given = (v["field_resistance"], thermal, v["ambient_temperature"])
    if _fixed_volts(v):
        return float(excitation.standing_temperature_at_volts(v["field_voltage"], v["brush_drop"], *given))
    return float(excitation.standing_temperature(v["field_current"], *given))


def _standing_end(v: Values) -> float | None:
    end = _standing(v, float(v["field_thermal_resistance"]))
    return None if end >= excitation.NEVER else end


def _opened(v: Values) -> list[dict[str, Any]]:
    """What the coil does when its current is cut, for each way that it may have round."""
    current, coil = float(v["field_current"]), float(v["resistance_hot"])
    rows = []
    for way, extra in (("a diode", 0.0), ("a diode and a resistor of twice the coil's", 2.0 * coil)):
        drop = excitation.DIODE_DROP + float(v["brush_drop"])
        time = excitation.decay_time(current, coil + extra, v["field_inductance"], drop)
        rows.append(
            {"way": way, "voltage": excitation.DIODE_DROP + current * extra, "time": float(time)},
        )
    return [*rows, {"way": "none: an arc, wherever it opens", "voltage": None, "time": None}]


def _reconnect(v: Values) -> float | None:
    try:
        return float(excitation.reconnect_speed(v["emf_constant"], v["voltage_min"]))
    except NoSolution:  # the spin test doesn't reach this field current
        return None


def _hold(v: Values) -> float:
    """Watts from the pack at the hold current, the coil as warm as at work."""
    given = (v["field_hold_current"], v["field_resistance"], v["field_temperature"], v["brush_drop"])
    return float(copper.field_drain(copper.field_power(*given), v["field_supply_efficiency"]))


def _heat(v: Values) -> list[Finding]:
    """The still rotor: no fan. Judged with the worst heating that was said to be believable."""
    limit, kind = excitation.CLASS_LIMIT[v["insulation_class"]], v["insulation_class"]
    known = v.build.input("field_thermal_resistance")
    ends, worst = _standing(v, known.value), _standing(v, known.value + known.spread)
    stands = min(float(v["standing_current"]), float(v["field_current"]))
    heat = f"With the rotor still its fan is still too: the coil ends at about {show(ends, 'degC')}"
    if ends >= excitation.NEVER:
        heat = "With the rotor still its fan is still too, and there is no end to the heating: hotter copper takes more"
    heat += f". Class {kind} stands {show(limit, 'degC')}, which is {show(v['standing_power'], 'W')} in the coil for ever."
    spot = "A still field heats one spot of each ring besides: turn the wheel a little now and then."
    found = []
    if worst <= limit:
        found.append(Finding("ok", heat, spot))
    else:
        if ends <= limit:
            worse = "without end" if worst >= excitation.NEVER else f"to {show(worst, 'degC')}"
            heat += f" How much each watt heats it is {'a usual value' if known.source == 'usual' else 'not known well'}: "
            heat += f"it may go {worse}."
        hold = f"Hold {show(0.9 * stands, 'A')} or less while the vehicle stands, or switch the field off after a minute. "
        found.append(
            Finding("caution", heat, hold + "Full field comes back before the throttle does. " + spot)
        )
    if float(v["field_temperature"]) > limit:
        found.append(
            Finding(
                "stop",
                f"At work the coil is at {show(v['field_temperature'], 'degC')}, above the {show(limit, 'degC')} of class "
                f"{kind}.",
                "Less field current, more air, or a shorter ride; measure its resistance warm to be sure.",
            )
        )
    return found


def _held(v: Values) -> list[Finding]:
    if "field_hold_current" not in v.build.entered:
        return []
    held, current = float(v["field_hold_current"]), float(v["field_current"])
    if held >= current:
        return [
            Finding(
                "caution",
                f"The hold current of {show(held, 'A')} is no less than the field's {show(current, 'A')}: it saves nothing.",
                "Choose a third of the field current, or so.",
            )
        ]
    saved = float(v["field_drain"]) - _hold(v)
    back = excitation.rise_time(v["field_time_constant"], held, current, 0.8)
    text = (
        f"Holding {show(held, 'A')} while standing takes {show(_hold(v), 'W')} from the pack instead of "
        f"{show(v['field_drain'], 'W')}: {show(saved * 3600, 'W*hour')} saved in each hour of standing. Back to four fifths "
        f"takes {show(back, 's')}."
    )
    do = "Let the supply raise the field first and free the throttle after."
    if held < 0.1 * current:
        do = (
            "Next to no field gives the sensors nothing to read: codes are worthless until the field is back. "
            + do
        )
    return [Finding("ok", text, do)]


def _safety(v: Values) -> list[Finding]:
    current, wait = float(v["field_current"]), float(v["field_time_constant"])
    speed = None if v.build.missing("emf_constant", "voltage_min") else _reconnect(v)
    above = f"above {show(speed, 'rpm')}" if speed else "while the machine runs faster than the pack's volts"
    twice = "twice the pack's volts"
    if not v.build.missing("voltage_full"):
        twice = f"{show(2 * v['voltage_full'], 'V')}, {twice},"
    return [
        Finding(
            "caution",
            f"The field takes {show(3 * wait, 's')} to {show(5 * wait, 's')} to come (three to five time constants). Weak or "
            "lost, it takes away torque under load, and the speed limit of an unloaded machine.",
            f"Field on first, off last. No throttle below {show(0.8 * current, 'A')}, four fifths of this. Never switch it on "
            f"{above}: it would charge the pack and brake the wheel at once. The emergency stop opens traction and field.",
        ),
        Finding(
            "caution",
            f"Opened, the coil lets go of {show(v['flyback_energy'], 'J')}. With no way round it makes hundreds of volts and "
            "more, kills its supply, and bites whoever holds a brush lead.",
            f"A diode straight across the brush leads, cathode to plus, for {show(1.5 * _most(v, 'current'), 'A')} and "
            f"{twice} or more. Keep off brushes and rings; switch off before a lead is lifted. A brush that is joined to the "
            "case must be isolated before a pack is connected.",
        ),
    ]


def _boost(v: Values) -> list[Finding]:
    if v.build.missing("voltage_min"):
        return []
    volts, least = _most(v, "voltage"), float(v["voltage_min"])
    if volts < 0.9 * least:
        return []
    return [
        Finding(
            "caution",
            f"A hot coil asks for {show(volts, 'V')}; an empty pack has {show(least, 'V')}. A supply that only steps down "
            "can't hold this current to the end.",
            "Less field current, or a supply that can step up.",
        )
    ]


def _field_supply(v: Values) -> Report:
    current, drain = float(v["field_current"]), float(v["field_drain"])
    best = optimum(v)
    cold, work, hot = _supply(v)
    if _fixed_volts(v):
        swing = f"a fixed {show(work['voltage'], 'V')} drives {show(cold['current'], 'A')} cold, {show(hot['current'], 'A')} "
        swing += "at its class's limit"
    else:
        swing = f"this current needs {show(cold['voltage'], 'V')} cold, {show(hot['voltage'], 'V')} at its class's limit"
    drawings: tuple[Callable[[str], str], ...] = ()
    if best.curve is not None and best.current is not None:
        curve, at = best.curve, best.current
        drawings = (
            lambda uid: figures.field_losses(uid, curve, lambda i, share: losses(v, i, share), at, current),
        )
    return Report(
        show(current, "A"),
        f"{show(work['voltage'], 'V')} on the brush leads, {show(v['field_power'], 'W')} when warm; the supply must be good "
        f"for {show(_most(v, 'power'), 'W')}",
        f"The coil has {show(v['field_resistance'], 'ohm')} at 20 °C and {show(v['resistance_hot'], 'ohm')} at "
        f"{show(v['field_temperature'], 'degC')}; {swing}. From the pack it takes {show(drain, 'W')}, moving or standing: "
        f"{show(drain * 3600, 'W*hour')} in an hour.",
        (*best.findings, *_safety(v), *_heat(v), *_held(v), *_boost(v)),
        drawings,
    )


FIELD_SUPPLY = Calculator(
    id="field-supply",
    title="Field supply",
    chapter="convert",
    question="What must the field supply give, and which field current is worth its watts?",
    asks=(
        "field_resistance",
        "field_current",
        "field_voltage",
        "field_temperature",
        "field_hot_resistance",
        "brush_drop",
        "field_inductance",
        "field_thermal_resistance",
        "field_hold_current",
    ),
    gives=(
        Result("field_current", "Field current", "A"),
        Result("resistance_cold", "Resistance of the coil at 20 °C", "ohm", "field_resistance"),
        Result("resistance_hot", "Resistance of the coil at work", "ohm"),
        Result("field_temperature", "Temperature of the coil at work", "degC"),
        Result("field_power", "Power into coil and brushes", "W"),
        Result("field_drain", "Power from the pack", "W"),
        Result("energy_per_hour", "Energy from the pack in an hour", "W*hour"),
        Result(
            "supply_rating", "Most watts that the supply must give", "W", made=lambda v: _most(v, "power")
        ),
        Result(
            "supply_voltage_most", "Most volts that it must give", "V", made=lambda v: _most(v, "voltage")
        ),
        Result("supply_current_most", "Most amps that it must give", "A", made=lambda v: _most(v, "current")),
        Result(
            "supply",
            "What the supply gives",
            columns=(
                Column("coil", "Coil"),
                Column("temperature", "Temperature", "degC"),
                Column("resistance", "Resistance", "ohm"),
                Column("voltage", "Brush leads", "V"),
                Column("current", "Current", "A"),
                Column("power", "Power", "W"),
            ),
            made=_supply,
        ),
        Result(
            "input_ripple",
            "Most ripple current that a chopper's input must stand",
            "A",
            optional=True,
            made=_ripple,
            needs=("voltage_min", "voltage_full"),
        ),
        Result(
            "chopping_frequency",
            "Least frequency for 5 % ripple in the coil",
            "Hz",
            optional=True,
            made=_frequency,
            needs=("voltage_full",),
        ),
        Result("time_constant", "Time constant of the field", "s", "field_time_constant"),
        Result("flyback_energy", "Energy that switching off frees", "J"),
        Result(
            "opened",
            "When the current is cut, with this way round the coil",
            columns=(
                Column("way", "Way round"),
                Column("voltage", "Volts on the brush leads", "V"),
                Column("time", "Gone to a twentieth in", "s"),
            ),
            made=_opened,
        ),
        Result(
            "reconnect_speed",
            "Speed above which no field may be switched on",
            "rpm",
            optional=True,
            made=_reconnect,
            needs=("emf_constant", "voltage_min"),
        ),
        Result(
            "standing_temperature",
            "Where the coil ends with the rotor still",
            "degC",
            made=_standing_end,
        ),
        Result("standing_power", "Watts that the still rotor can lose", "W"),
        Result("standing_current", "Field current that the still rotor stands", "A"),
        Result(
            "hold_power",
            "Power from the pack at the hold current",
            "W",
            optional=True,
            made=_hold,
            needs=("field_hold_current",),
        ),
        Result(
            "best_field",
            "Field current with the least loss",
            "A",
            optional=True,
            made=lambda v: optimum(v).current,
            needs=NOT_ENOUGH,
        ),
        Result(
            "least_loss",
            "Lost in field and stator at that current",
            "W",
            optional=True,
            made=lambda v: optimum(v).loss,
            needs=NOT_ENOUGH,
        ),
        Result(
            "present_loss",
            "Lost at the present field current",
            "W",
            optional=True,
            made=lambda v: optimum(v).now,
            needs=NOT_ENOUGH,
        ),
        Result(
            "worth",
            "What each field current gives and costs",
            columns=(
                Column("field_current", "Field current", "A"),
                Column("emf_constant", "EMF constant", "V/krpm"),
                Column("torque_constant", "Torque constant", "N*m/A"),
                Column("field_power", "Field power", "W"),
                Column("torque_per_watt", "Torque for each field watt, at the phase limit", "N*m/W"),
                Column("line_current", "Line current for the start", "A"),
                Column("total_loss", "Lost in field and stator", "W"),
                Column("note", "Note"),
            ),
            optional=True,
            made=worth,
            needs=NOT_ENOUGH,
        ),
    ),
    report=_field_supply,
    rules={
        "resistance_hot": step(
            copper.hot_resistance, resistance="field_resistance", temperature="field_temperature"
        ),
        "field_time_constant": step(excitation.time_constant),
        "flyback_energy": step(excitation.flyback_energy),
        "standing_power": step(excitation.standing_power),
        "standing_current": step(excitation.standing_current),
        "energy_per_hour": step(excitation.energy_per_hour),
    },
    reads=(
        "field_resistance",
        "field_inductance",
        "field_thermal_resistance",
        "ambient_temperature",
        "insulation_class",
        "brush_drop",
        "field_supply_efficiency",
    ),
    optional=("field_hold_current", "emf_test"),
)
