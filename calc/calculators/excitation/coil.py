"""Numbers of the field coil that are no node of the graph: tables, and what depends on the kind of supply."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from calc import still
from calc.build import Values
from calc.errors import NoSolution
from calc.machine import copper, excitation
from calc.machine.thermal_class import CLASS_LIMIT


def fixed_volts(v: Values) -> bool:
    """Whether the supply was stated by its volts, so that the current follows the coil's heat."""
    return "field_voltage" in v.build.entered


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def supply(v: Values) -> list[dict[str, Any]]:
    """What the supply gives into a cold coil, one at work, and one at its insulation's limit.

    Cold is 20 °C, or what the air or the coil at work has where that is less.
    """
    limit, rows = CLASS_LIMIT[v["insulation_class"]], []
    hot = max(limit, float(v["field_temperature"]))
    cold = min(copper.REFERENCE_TEMPERATURE, float(v["ambient_temperature"]), float(v["field_temperature"]))
    for coil, temperature in (
        ("cold", cold),
        ("at work", float(v["field_temperature"])),
        ("at its class's limit", hot),
    ):
        given = (v["brush_drop"], v["field_resistance"], temperature)
        if fixed_volts(v):
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


def slowest(v: Values) -> float:
    """Time constant of the field with its coil cold, when it is longest, s."""
    return float(
        excitation.time_constant(v["field_inductance"], v["field_resistance"], supply(v)[0]["temperature"])
    )


def most(v: Values, key: str) -> float:
    return max(float(row[key]) for row in supply(v))


def ripple(v: Values) -> float:
    volts = [row["voltage"] for row in supply(v)]
    return float(
        excitation.input_ripple(
            most(v, "current"), min(volts), max(volts), v["voltage_min"], v["voltage_full"]
        )
    )


def frequency(v: Values) -> float | None:
    """Least switching frequency of a chopper, Hz; None without a current to smooth."""
    least = min(float(row["current"]) for row in supply(v))
    if least <= 0.0:
        return None
    volts = [row["voltage"] for row in supply(v)]
    return float(
        excitation.chopping_frequency(least, min(volts), max(volts), v["voltage_full"], v["field_inductance"])
    )


def still_end(v: Values) -> float | None:
    end = still.ends(v, float(v["field_thermal_resistance"]))
    return None if end >= excitation.NEVER else end


def opened(v: Values) -> list[dict[str, Any]]:
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


def reconnect(v: Values) -> float | None:
    """Speed above which no field may be switched on, rad/s; None where this machine's EMF is not known."""
    if v.build.is_leaf("emf_constant") and v.build.input("emf_constant").source == "usual":
        return None
    try:
        return float(v["reconnect_motor_speed"])
    except NoSolution:  # the spin test doesn't reach this field current
        return None


def hold(v: Values) -> float:
    """Watts from the pack at the hold current, the coil as warm as at work."""
    given = (v["field_hold_current"], v["field_resistance"], v["field_temperature"], v["brush_drop"])
    return float(copper.field_drain(copper.field_power(*given), v["field_supply_efficiency"]))
