"""The field coil and its supply, and the choice between star and delta."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc import figures
from calc.build import Values
from calc.drive.standing import current_needed, torque_constant
from calc.drive.torque import no_load_speed
from calc.graph import step
from calc.machine import alignment, connection, copper, emf, excitation
from calc.machine.winding import fault
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import show

_LOSS_PARTS = (
    "saturation",
    "field_resistance",
    "field_temperature",
    "brush_drop",
    "field_supply_efficiency",
    "hot_line_resistance",
)


def _losses(v: Values, field_current: Any) -> Any:
    return excitation.total_loss(field_current, v["torque_needed"], *(v[part] for part in _LOSS_PARTS))


def _worth(v: Values) -> list[dict[str, Any]]:
    """Field currents along the tested range: what each gives and costs."""
    curve, rows = v["saturation"], []
    currents = np.unique(np.append(np.linspace(curve.low, curve.high, 9), [v["best_field"]]))
    for current in (float(c) for c in currents):
        constant = float(emf.emf_at(curve, current))
        watts = float(
            copper.field_power(current, v["field_resistance"], v["field_temperature"], v["brush_drop"])
        )
        rows.append(
            {
                "field_current": current,
                "emf_constant": constant,
                "field_power": watts,
                "torque_per_watt": float(torque_constant(constant)) * v["phase_current_limit"] / watts,
                "line_current": float(v["torque_needed"] / torque_constant(constant)),
                "total_loss": float(_losses(v, current)),
            }
        )
    return rows


def _standing(v: Values) -> list[Finding]:
    limit = excitation.CLASS_LIMIT[v["insulation_class"]]
    ends, stands = float(v["standing_temperature"]), float(v["standing_current"])
    if ends >= excitation.NEVER:
        heat = "With the rotor still there is no end to its heating: hotter copper takes more watts still."
    else:
        heat = f"With the rotor still the coil ends at about {show(ends, 'degC')}."
    if ends <= limit:
        return [
            Finding(
                "ok",
                f"{heat} Its class {v['insulation_class']} stands {show(limit, 'degC')}.",
                "It heats one spot of each slip ring all the same: turn the rotor a little now and then.",
            )
        ]
    return [
        Finding(
            "caution",
            f"{heat} Its class {v['insulation_class']} stands {show(limit, 'degC')}: the fan stands still, and "
            "its rated "
            "current is no evidence.",
            f"Hold {show(0.95 * stands, 'A')} or less while the vehicle stands, or switch the field off after a "
            "minute. Full "
            "field comes back before the throttle does.",
        )
    ]


def _field_supply(v: Values) -> Report:
    current, watts = float(v["field_current"]), float(v["field_power"])
    volts, wait = float(v["field_voltage_needed"]), float(v["field_time_constant"])
    findings = _standing(v)
    findings.append(
        Finding(
            "caution",
            f"Switching it off frees {show(v['flyback_energy'], 'J')} at once. Without a way round, the coil "
            "makes hundreds of "
            "volts, kills its supply, and bites.",
            f"A diode across the brush leads, plus side to cathode, for {show(1.5 * current, 'A')} and twice "
            "the pack's "
            "volts. Keep off the brushes; switch off before a lead is lifted.",
        )
    )
    findings.append(
        Finding(
            "caution",
            f"It takes {show(4 * wait, 's')} to full field, and a weak or lost field takes away torque under "
            "load and the "
            "speed limit of an unloaded machine.",
            f"Throttle only above {show(0.8 * current, 'A')}, four fifths of this. Field on first, off last. "
            "Never switch it on "
            "again while the machine runs faster than the pack's volts.",
        )
    )
    if "field_hold_current" in v.build.entered:
        held = float(
            copper.field_power(
                v["field_hold_current"], v["field_resistance"], v["field_temperature"], v["brush_drop"]
            )
        )
        findings.append(
            Finding(
                "ok",
                f"Holding {show(v['field_hold_current'], 'A')} while standing takes {show(held, 'W')} instead of "
                f"{show(watts, 'W')} in the coil.",
                "",
            )
        )
    if v.build.missing("best_field"):
        findings.append(
            Finding(
                "ok",
                "Which current is worth its watts can't be told without a spin test at several field currents, and the load.",
                "Enter the rows of the spin test, and what the vehicle weighs.",
            )
        )
    else:
        findings += _optimum(v)
    drawings = () if v.build.missing("best_field") else (lambda uid: figures.field_losses(uid, v),)
    return Report(
        show(current, "A"),
        f"{show(volts, 'V')} on the brush leads, {show(watts, 'W')} hot",
        f"The coil has {show(v['field_resistance'], 'ohm')} cold and {show(v['resistance_hot'], 'ohm')} at "
        f"{show(v['field_temperature'], 'degC')}: the same volts drive less current when it is warm. From the pack that is "
        f"{show(v['field_drain'], 'W')}, moving or standing, {show(v['field_drain'] * 3600, 'W*hour')} in an hour.",
        tuple(findings),
        drawings,
    )


def _optimum(v: Values) -> list[Finding]:
    curve, best = v["saturation"], float(v["best_field"])
    torque, now = show(v["torque_needed"], "N*m"), float(v["field_current"])
    least = show(_losses(v, best), "W")
    text = f"For the {torque} of this build's start, {show(best, 'A')} of field loses least: {least} in field and stator"
    if curve.low <= now <= curve.high:
        text += f", {show(_losses(v, now), 'W')} at your {show(now, 'A')}"
    do = "Torque for each field watt alone is best at the smallest current; that is why the stator's heat counts too."
    if best > 0.995 * curve.high:
        do = "The best lies at the end of what was tested: more might pay still. Measure higher, if the coil stands it."
    return [Finding("ok", text + ".", do)]


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
        "field_inductance",
        "brush_drop",
    ),
    gives=(
        Result("field_current", "Field current", "A"),
        Result("resistance_cold", "Resistance of the coil at 20 °C", "ohm", "field_resistance"),
        Result("resistance_hot", "Resistance of the coil, hot", "ohm"),
        Result("field_power", "Power into coil and brushes", "W"),
        Result("supply_rating", "Power that the supply must give", "W"),
        Result("field_voltage_needed", "Voltage on the brush leads", "V"),
        Result("input_ripple", "Ripple current its input must stand", "A", optional=True),
        Result("energy_per_hour", "Energy from the pack in an hour", "W*hour"),
        Result("time_constant", "Time constant of the field", "s", "field_time_constant"),
        Result("flyback_energy", "Energy that switching off frees", "J"),
        Result("standing_temperature", "Where the coil ends with the rotor still", "degC"),
        Result("standing_current", "Field current that the still rotor stands", "A"),
        Result("best_field", "Field current with the least loss", "A", optional=True),
        Result(
            "worth",
            "What each field current gives and costs",
            columns=(
                Column("field_current", "Field current", "A"),
                Column("emf_constant", "EMF constant", "V/krpm"),
                Column("field_power", "Field power", "W"),
                Column("torque_per_watt", "Torque for each field watt, at the phase limit", "N*m/W"),
                Column("line_current", "Line current for the start", "A"),
                Column("total_loss", "Lost in field and stator", "W"),
            ),
            optional=True,
            made=_worth,
            needs=("saturation", "best_field"),
        ),
    ),
    report=_field_supply,
    rules={
        "resistance_hot": step(
            copper.hot_resistance, resistance="field_resistance", temperature="field_temperature"
        ),
        "field_voltage_needed": step(excitation.field_voltage_needed),
        "field_time_constant": step(excitation.time_constant),
        "flyback_energy": step(excitation.flyback_energy),
        "input_ripple": step(excitation.input_ripple, supply_voltage="rested_voltage"),
        "standing_temperature": step(excitation.standing_temperature),
        "standing_current": step(excitation.standing_current),
        "best_field": step(excitation.best_field, torque="torque_needed"),
        "supply_rating": step(excitation.supply_rating),
        "energy_per_hour": step(excitation.energy_per_hour),
    },
    reads=("field_drain", "field_temperature", "insulation_class", "phase_current_limit", "brush_drop"),
    optional=("field_hold_current", "emf_test"),
)


REFERENCE_TORQUE = 10.0
"""Torque for which the two connections are compared, N·m."""


def _or_none(v: Values, node: str) -> float | None:
    return None if v.build.missing(node) else float(v[node])


def _both(v: Values) -> list[dict[str, Any]]:
    """One row for each connection of the same coils."""
    now, rows, supply = v["connection"], [], _or_none(v, "supply_voltage")
    for wanted in connection.CONNECTIONS:
        constant, resistance, hot, inductance = (
            float(connection.in_connection(v[node], ratio, now, wanted))
            for node, ratio in (
                ("emf_constant", connection.VOLTAGE_RATIO),
                ("line_resistance", connection.IMPEDANCE_RATIO),
                ("hot_line_resistance", connection.IMPEDANCE_RATIO),
                ("line_inductance", connection.IMPEDANCE_RATIO),
            )
        )
        current = REFERENCE_TORQUE / float(torque_constant(constant))
        rows.append(
            {
                "connection": wanted,
                "emf_constant": constant,
                "torque_constant": float(torque_constant(constant)),
                "line_resistance": resistance,
                "line_inductance": inductance,
                "no_load_speed": None if supply is None else float(no_load_speed(constant, supply)),
                "current": current,
                "copper_loss": current**2 * hot,
                "hottest_coil": current**2 * hot * connection.HOTTEST_COIL[wanted],
                "alignment_error": _timing(v, wanted),
            }
        )
    return rows


def _timing(v: Values, wanted: str) -> float | None:
    """Alignment error that the winding brings in a connection, or None when it wasn't counted."""
    if not {"slots", "pole_pairs"} <= v.build.entered.keys():
        return None
    slots, pole_pairs, span, layers = (
        round(float(v[key])) for key in ("slots", "pole_pairs", "coil_span", "layers")
    )
    if fault(slots, pole_pairs, span, layers):
        return None
    return float(alignment.alignment_error(slots, pole_pairs, span, layers, wanted, (0,)))


def _starts(v: Values, rows: list[dict[str, Any]]) -> list[Finding]:
    """Whether the controller's current starts this build in each connection; nothing where the load isn't known."""
    if v.build.missing("torque_needed"):
        return []
    limit, found = float(v["phase_current_limit"]), []
    for row in rows:
        worst = float(current_needed(v["torque_needed"], row["emf_constant"], 0.0))
        fits = worst <= limit
        found.append(
            Finding(
                "ok" if fits else "caution",
                f"In {row['connection']} the start needs {show(worst, 'A')} in the worst rotor position; the controller "
                f"gives {show(limit, 'A')}.",
                "" if fits else "Gear lower in this connection, or take the other.",
            )
        )
    return found


def _third_harmonic(v: Values) -> Finding:
    if v.build.missing("circulating_current"):
        return Finding(
            "ok",
            "Claw poles make a third harmonic. In a delta it drives a current round the ring that no lead shows.",
            "Measure it: open one corner of the ring, spin, and read the volts across the gap.",
        )
    current = float(v["circulating_current"])
    loss = float(connection.circulating_loss(current, v["delta_resistance"]))
    return Finding(
        "caution" if loss > NOTED_LOSS else "ok",
        f"In delta the third harmonic drives {show(current, 'A')} round the ring at the speed wanted on the level: "
        f"{show(loss, 'W')} of heat that no lead shows.",
        "A star has none of it." if loss > NOTED_LOSS else "",
    )


NOTED_LOSS = 20.0
"""Heat from which the circulating current is worth a thought, W (common practice, no source)."""


def _star_delta(v: Values) -> Report:
    rows = _both(v)
    now, other = rows if v["connection"] == "star" else rows[::-1]
    return Report(
        now["connection"],
        f"{show(now['emf_constant'], 'V/krpm')}; in {other['connection']} {show(other['emf_constant'], 'V/krpm')}",
        "The same coils: a star gives 1.73 times the volts and the torque of each ampere, has three times the resistance "
        "and inductance, and runs 1.73 times slower on the same supply. For the same torque both lose the same in copper. "
        "A delta asks more of the controller's current, a star more of its volts.",
        (*_starts(v, [now, other]), _third_harmonic(v)),
        (lambda uid: figures.star_delta(uid, v["connection"]),),
    )


STAR_DELTA = Calculator(
    id="star-delta",
    title="Star or delta",
    chapter="convert",
    question="Which connection suits this controller and pack?",
    asks=("connection", "emf_constant", "line_resistance", "line_inductance", "corner_test"),
    gives=(
        Result(
            "both",
            "The same coils in star and in delta",
            columns=(
                Column("connection", "Connection"),
                Column("emf_constant", "EMF constant", "V/krpm"),
                Column("torque_constant", "Torque constant", "N*m/A"),
                Column("line_resistance", "Resistance between leads", "mohm"),
                Column("line_inductance", "Inductance between leads", "uH"),
                Column("no_load_speed", "No-load speed", "rpm"),
                Column("current", "Line current for 10 N·m", "A"),
                Column("copper_loss", "Heat in all coils for it", "W"),
                Column("hottest_coil", "in the hottest coil, stalled", "W"),
                Column("alignment_error", "Sensors in slots are late by", "deg"),
            ),
            made=_both,
        ),
        Result(
            "circulating_current", "Third harmonic round the delta, at the speed wanted", "A", optional=True
        ),
    ),
    report=_star_delta,
    rules={
        "corner_per_speed": step(connection.corner_per_speed),
        "corner_voltage": step(connection.corner_voltage, motor_speed="level_motor_speed"),
        "delta_resistance": step(connection.delta_resistance),
        "delta_inductance": step(connection.delta_inductance),
        "circulating_current": step(connection.circulating_current, motor_speed="level_motor_speed"),
    },
    reads=(
        "emf_constant",
        "hot_line_resistance",
        "line_resistance",
        "line_inductance",
        "phase_current_limit",
        "connection",
    ),
    optional=(
        "corner_test",
        "slots",
        "pole_pairs",
        "coil_span",
        "layers",
        "supply_voltage",
        "torque_needed",
    ),
)
