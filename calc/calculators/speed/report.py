"""How fast, and with how much torque at each speed?"""

from __future__ import annotations

from itertools import pairwise

from calc.build import Values
from calc.calculators.speed import sweeps
from calc.figures.speed import torque_speed, torque_ways
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import show

_SIDE = (
    Column("no_load_speed", "No-load speed", "rpm"),
    *(Column(f"at_{part}", f"Torque at {part} %", "N*m") for part in (10, 25, 50, 75, 90)),
)


def _corners(v: Values) -> list[Finding]:
    """Where one limit hands over to the next."""
    rows = sweeps.curve_rows(v)
    found = []
    for before, after in pairwise(rows):
        if before["limit"] != after["limit"]:
            found.append(f"{before['limit']} up to {show(after['speed'], 'rpm')}")
    if not rows:
        return []
    text = f"Torque is held by: {', then '.join([*found, rows[-1]['limit']])}."
    do = ""
    if "battery limit" in text:
        do = "More battery current lifts the middle, where pack and wiring stand it; more phase current doesn't."
    return [Finding("ok", text, do)]


def _findings(v: Values) -> list[Finding]:
    found = _corners(v)
    all_of_it = sweeps.sweeps(v)
    rows = sweeps.curve_rows(v)
    if not rows:
        return [
            Finding(
                "stop",
                "The machine doesn't turn itself: its torque at a crawl is no more than its friction.",
                "More field, a higher limit, or free the bearings and brushes.",
            )
        ]
    lowest = float(min(all_of_it.main.found.bus_voltage[k] for k in range(len(rows))))
    if "controller_voltage_cutoff" in v.build.entered and lowest < v["controller_voltage_cutoff"]:
        found.append(
            Finding(
                "stop",
                f"Under full throttle the pack falls to {show(lowest, 'V')}; the controller cuts out at "
                f"{show(v['controller_voltage_cutoff'], 'V')}. The curve is not reached.",
                "More cells in series, cells of lower resistance, or a lower battery current limit.",
            )
        )
    middle = rows[len(rows) // 2]
    if middle["direct_current"] > 1.3 * middle["torque"] > 0.0:
        times = middle["direct_current"] / middle["torque"]
        found.append(
            Finding(
                "caution",
                f"At {show(middle['speed'], 'rpm')} the direct-current formula promises {times:.1f} times the torque "
                "that is there: it leaves out that the current needs time to change over in the windings' inductance.",
                "Gear by the curve, never by resistance and volts per speed alone.",
            )
        )
    found.extend(_open_ends(all_of_it))
    late = float(v["switching_error"])
    if late > 0.17:
        found.append(
            Finding(
                "caution",
                f"The switching comes {show(late, 'deg')} late. At speed that costs far more than at standstill: "
                "the table of advances shows what is to be had.",
                "Move the sensors, or give the controller advance where it has a setting.",
            )
        )
    shifts = all_of_it.main.found.armature_shift
    most = float(max(shifts[k] for k in range(len(rows))))
    if most > 0.35:
        found.append(
            Finding(
                "caution",
                f"At the highest current the machine's own field makes the sensors {show(most, 'deg')} early. That is "
                "counted here, by an estimate.",
                "The stall test with lever and scale tells how much it is.",
            )
        )
    found.append(
        Finding(
            "caution",
            "Never let the machine run unloaded at full volts with a weak field, or let the field fail while it runs: "
            "nothing else holds its speed.",
            "Field on first, off last; first runs at reduced voltage, guarded, chain off.",
        )
    )
    return found


def _open_ends(all_of_it: sweeps.Sweeps) -> list[Finding]:
    """Curves that early switching keeps from ending: nothing but the load holds the machine's speed there."""
    main = all_of_it.main
    if not main.closed:
        return [
            Finding(
                "stop",
                f"With this much advance the torque doesn't fall to the friction: it still pulls at "
                f"{show(main.ends, 'rpm')}, the last speed worked out. Unloaded it runs on beyond that; its no-load "
                "speed is not known.",
                "Less timing_advance, or sensors less early. Never run it unloaded at full volts like this.",
            )
        ]
    open_ones = [line for line in all_of_it.advances if not line.closed]
    if not open_ones:
        return []
    return [
        Finding(
            "caution",
            f"Switching {open_ones[0].name} still pulls at {show(open_ones[0].ends, 'rpm')}, the last speed worked "
            "out: no no-load speed is told, and unloaded the machine runs on.",
            "Raise an advance in small steps, guarded, at reduced voltage.",
        )
    ]


def _torque_speed(v: Values) -> Report:
    all_of_it = sweeps.sweeps(v)
    rows, supply = sweeps.curve_rows(v), all_of_it.supply
    findings = tuple(_findings(v))
    if not rows:
        return Report("0 N·m", "at any speed", findings[0].text, findings)
    best = max(rows, key=lambda row: row["torque"])
    sags = "held stiff" if supply.source_resistance == 0.0 else "sagging with the current"
    return Report(
        f"{'' if all_of_it.main.closed else 'over '}{show(all_of_it.main.ends, 'rpm')}",
        f"with nothing to drive; {show(best['torque'], 'N*m')} at most, {show(sweeps.peak_power(v), 'W')} at best",
        f"Full throttle on {show(float(supply.open_voltage), 'V')}, {sags}, in {v['connection']}. The torque is the "
        f"machine's own; {show(v['friction_torque'], 'N*m')} of friction come off it. Efficiency counts field and "
        "electronics. Away from the limits the inductance decides how much current gets in.",
        findings,
        (lambda uid: torque_speed(uid, rows), lambda uid: torque_ways(uid, all_of_it)),
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
                Column("battery_current", "Battery current", "A"),
                Column("efficiency", "Efficiency", "percent"),
                Column("limit", "Held by"),
                Column("direct_current", "Direct-current formula", "N*m"),
            ),
            made=sweeps.curve_rows,
        ),
        Result(
            "connections",
            "Star and delta, at shares of the present no-load speed",
            columns=(Column("way", "Connection"), *_SIDE),
            made=sweeps.connection_rows,
        ),
        Result(
            "advances",
            "Switching earlier, at shares of the present no-load speed",
            columns=(Column("way", "Switching"), *_SIDE),
            made=sweeps.advance_rows,
        ),
        Result(
            "fields",
            "The field as a gearbox: the best field current at each speed",
            columns=(
                Column("speed", "Speed", "rpm"),
                Column("best_field", "Best field current", "A"),
                Column("best_torque", "Torque with it", "N*m"),
                Column("least_field_torque", "With the weakest field", "N*m"),
                Column("full_field_torque", "With full field", "N*m"),
            ),
            made=sweeps.field_rows,
            optional=True,
            needs=("saturation", "field_current", "leakage_share"),
        ),
        Result(
            "efficiency_map",
            "Efficiency at part of the torque that is there",
            columns=(
                Column("speed", "Speed", "rpm"),
                *(Column(f"load_{share}", f"{share} % of it", "percent") for share in (25, 50, 75, 100)),
            ),
            made=sweeps.map_rows,
            optional=True,
            needs=("field_drain", "idle_power", "controller_efficiency"),
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
        "switching_error",
        "friction_torque",
        "connection",
        "drive_kind",
    ),
    optional=("controller_voltage_cutoff",),
)
