"""How fast, and with how much torque at each speed?"""

from __future__ import annotations

from calc.build import Values
from calc.calculators.speed import sweeps, tables
from calc.calculators.speed.findings import WISHES
from calc.calculators.speed.findings import findings as findings_of
from calc.figures.speed import efficiency_map, torque_speed, torque_ways
from calc.spec import Calculator, Column, Report, Result
from calc.units import show

_SIDE = (
    Column("no_load_speed", "No-load speed", "rpm"),
    *(Column(f"at_{part}", f"Torque at {part} %", "N*m") for part in (10, 25, 50, 75, 90)),
)


def _torque_speed(v: Values) -> Report:
    all_of_it = sweeps.sweeps(v)
    rows, supply = tables.curve_rows(v), all_of_it.supply
    findings = tuple(findings_of(v))
    if not rows:
        return Report("0 N·m", "at any speed", findings[0].text, findings)
    best = max(rows, key=lambda row: row["torque"])
    parts = tables.map_rows(v)
    most = [(row["speed"], row["torque"] - float(sweeps.drag(v, row["speed"]))) for row in rows]
    sags = "held stiff" if supply.source_resistance == 0.0 else "sagging with the current"
    return Report(
        f"{'' if all_of_it.main.closed else 'over '}{show(all_of_it.main.ends, 'rpm')}",
        f"with nothing to drive; {show(best['torque'], 'N*m')} at most, {show(sweeps.peak_power(v), 'W')} at best",
        f"Full throttle on {show(float(supply.open_voltage), 'V')}, {sags}, in {v['connection']}. The torque is the "
        f"machine's own; its drag comes off it, {show(v['friction_torque'], 'N*m')} at 1000 rpm, more above. "
        "Efficiency counts controller, "
        "field and electronics. Away from the limits the inductance decides how much current gets in.",
        findings,
        (
            lambda uid: torque_speed(uid, rows),
            lambda uid: torque_ways(uid, all_of_it),
            *([lambda uid: efficiency_map(uid, most, parts)] if parts else []),
        ),
    )


TORQUE_SPEED = Calculator(
    id="torque-speed",
    title="Torque and speed",
    chapter="drive",
    question="How much torque is there at each speed, and how fast does it run?",
    asks=(
        "emf_constant",
        "line_resistance",
        "line_inductance",
        "pole_pairs",
        "supply_voltage",
        "phase_current_limit",
        "battery_current_limit",
        "drive_kind",
        "timing_advance",
        "alignment_error",
    ),
    gives=(
        Result("no_load_speed", "No-load speed", "rpm", made=sweeps.no_load),
        Result("peak_power", "Most power at the shaft", "W", made=sweeps.peak_power),
        Result(
            "curve",
            "Full throttle",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("torque", "Torque", "N*m"),
                Column("line_current", "Line current, rms", "A"),
                Column("battery_current", "From the pack for the drive", "A"),
                Column("efficiency", "Efficiency", "percent"),
                Column("limit", "Held by"),
                Column("direct_current", "Direct-current formula", "N*m"),
            ),
            made=tables.curve_rows,
            sweep=True,
        ),
        Result(
            "connections",
            "Star and delta, at shares of the present no-load speed",
            columns=(Column("way", "Connection"), *_SIDE),
            made=tables.connection_rows,
        ),
        Result(
            "advances",
            "Switching earlier, at shares of the present no-load speed",
            columns=(Column("way", "Switching"), *_SIDE),
            made=tables.advance_rows,
        ),
        Result(
            "fields",
            "The field as a gearbox: the best field current at each speed",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("best_field", "Best field current", "A"),
                Column("best_torque", "At the shaft with it", "N*m"),
                Column("least_field_torque", "At the shaft with the weakest", "N*m"),
                Column("full_field_torque", "At the shaft with full field", "N*m"),
            ),
            made=tables.field_rows,
            optional=True,
            needs=("saturation", "field_current", "leakage_share"),
        ),
        Result(
            "efficiency_map",
            "Efficiency at part of the torque that is there",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("most", "Most torque at the shaft", "N*m"),
                *(Column(f"load_{load}", f"{load} % of it", "percent") for load in tables.LOADS),
            ),
            made=tables.map_rows,
            optional=True,
            needs=tables.TAKERS,
        ),
    ),
    report=_torque_speed,
    reads=(
        "emf_constant",
        "hot_line_resistance",
        "line_inductance",
        "pole_pairs",
        "supply_voltage",
        "phase_current_limit",
        "battery_current_limit",
        "controller_efficiency",
        "switching_error",
        "friction_torque",
        "iron_share",
        "connection",
        "drive_kind",
    ),
    despite_sensors=True,
    optional=(
        "controller_voltage_cutoff",
        "controller_voltage_max",
        "armature_per_ampere",
        *(node for _, speed, force in WISHES.values() for node in (speed, force)),
        "drive_efficiency",
    ),
)
