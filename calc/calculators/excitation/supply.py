"""The field coil and its supply: what it must give, what it does to coil and fingers, which current pays."""

from __future__ import annotations

from collections.abc import Callable

from calc import still
from calc.build import Values
from calc.calculators.excitation import coil, findings
from calc.calculators.excitation.worth import NOT_ENOUGH, losses, optimum, worth
from calc.figures.excitation import field_losses
from calc.graph import step
from calc.machine import copper, excitation
from calc.spec import Calculator, Column, Report, Result
from calc.units import show


def _field_supply(v: Values) -> Report:
    current, drain = float(v["field_current"]), float(v["field_drain"])
    best = optimum(v)
    cold, work, hot = coil.supply(v)
    if coil.fixed_volts(v):
        swing = f"a fixed {show(work['voltage'], 'V')} drives"
        first, last = show(cold["current"], "A"), show(hot["current"], "A")
    else:
        swing = "this current needs"
        first, last = show(cold["voltage"], "V"), show(hot["voltage"], "V")
    swing += f" {first} cold, {last} at its class's limit"
    drawings: tuple[Callable[[str], str], ...] = ()
    if best.curve is not None and best.current is not None:
        curve, at = best.curve, best.current
        drawings = (lambda uid: field_losses(uid, curve, lambda i, share: losses(v, i, share), at, current),)
    return Report(
        show(current, "A"),
        f"{show(work['voltage'], 'V')} on the brush leads, {show(v['field_power'], 'W')} when warm; the supply must "
        f"be good for {show(coil.most(v, 'power'), 'W')}",
        f"The coil has {show(v['field_resistance'], 'ohm')} at 20 °C and {show(v['resistance_hot'], 'ohm')} at "
        f"{show(v['field_temperature'], 'degC')}; {swing}. From the pack it takes {show(drain, 'W')}, moving or "
        f"standing: {show(drain * 3600, 'W*hour')} in an hour.",
        (
            *best.findings,
            *findings.safety(v),
            *findings.fitted(v, coil.most(v, "voltage"), coil.most(v, "current")),
            *findings.heat(v),
            *findings.held(v),
            *findings.boost(v),
        ),
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
        "field_supply_volts",
        "field_supply_amps",
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
            "supply_rating", "Most watts that the supply must give", "W", made=lambda v: coil.most(v, "power")
        ),
        Result(
            "supply_voltage_most", "Most volts that it must give", "V", made=lambda v: coil.most(v, "voltage")
        ),
        Result(
            "supply_current_most", "Most amps that it must give", "A", made=lambda v: coil.most(v, "current")
        ),
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
            made=coil.supply,
        ),
        Result(
            "input_ripple",
            "Most ripple current that a chopper's input must stand",
            "A",
            optional=True,
            made=coil.ripple,
            needs=("voltage_min", "voltage_full"),
        ),
        Result(
            "chopping_frequency",
            "Least frequency for 5 % ripple in the coil",
            "Hz",
            optional=True,
            made=coil.frequency,
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
            made=coil.opened,
        ),
        Result(
            "reconnect_speed",
            "Speed above which no field may be switched on",
            "rpm",
            optional=True,
            made=coil.reconnect,
            needs=("reconnect_motor_speed",),
        ),
        Result(
            "standing_temperature",
            "Where the coil ends with the rotor still",
            "degC",
            made=coil.still_end,
        ),
        Result("standing_power", "Watts that the still rotor surely loses", "W", made=still.power),
        Result(
            "standing_current", "Field current that the still rotor surely stands", "A", made=still.stands
        ),
        Result(
            "hold_power",
            "Power from the pack at the hold current",
            "W",
            optional=True,
            made=coil.hold,
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
                Column("start_torque", "Start: worst rotor position, all counted", "N*m"),
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
    optional=("field_hold_current", "emf_test", "field_supply_volts", "field_supply_amps"),
)
