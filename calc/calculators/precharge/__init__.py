"""How the bus is filled before the main switch closes, and emptied before anybody touches it."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.calculators.precharge import parts
from calc.figures.bus import filling
from calc.findings import Finding
from calc.graph import alias, step
from calc.power import precharge
from calc.power.limits import SHOCK_VOLTAGE
from calc.spec import Calculator, Column, Report, Result
from calc.units import show

SHOWN = 6


def _rows(v: Values) -> list[dict[str, Any]]:
    """Standard resistors that fill the bus in the time there is, and what each has to stand."""
    most = float(v["precharge_time"]) / float(-np.log(1.0 - precharge.FULL) * v["bus_capacitance"])
    volts = v["supply_voltage"]
    return [
        {
            "resistor": ohms,
            "time": float(precharge.filling_time(v["bus_capacitance"], ohms)),
            "current": float(precharge.first_current(volts, ohms)),
            "power": float(precharge.first_power(volts, ohms)),
            "ends": _held(v, ohms),
        }
        for ohms in precharge.nearby_values(most, SHOWN)
    ]


def _held(v: Values, ohms: float) -> float:
    """Where the bus ends if the electronics run, V, filled through `ohms`; what empties it counted."""
    given = (float(v["supply_voltage"]), ohms, float(v["idle_power"]))
    if "bleed_resistor" in v.build.entered:
        return float(precharge.held_voltage_bled(*given, float(v["bleed_resistor"])))
    return float(precharge.held_voltage(*given))


def _without(v: Values) -> float:
    """What the main switch closes on with no precharge at all, A."""
    return float(precharge.inrush(1.0, v["supply_voltage"], v["pack_resistance"]))


def _findings(v: Values) -> list[Finding]:
    found = parts.resistor(v) + parts.pulse(v) + parts.small(v) + parts.switch(v) + parts.breaking(v)
    ends, full = _held(v, float(v["precharge_resistor"])), float(v["supply_voltage"])
    low = v["precharge_electronics"] == "on" and ends < precharge.FULL * full
    if v["precharge_left"] > 1.0 - precharge.FULL:
        found.insert(
            0,
            Finding(
                "stop",
                f"The main switch closes with {show(v['precharge_left'], 'percent')} of the volts missing, on "
                f"{show(v['inrush'], 'A')}: contacts weld, and then the switch can't open any more."
                f"{v['precharge_told']}",
                "Wait longer, a smaller resistor, a larger one that empties the bus, or electronics that stay off "
                "until the main switch is closed.",
            ),
        )
    if low:
        where = "never comes up" if ends == 0.0 else f"ends at {show(ends, 'V')}"
        found.append(
            Finding(
                "caution",
                f"If the controller's electronics ({show(v['idle_power'], 'W')}) feed from the bus meanwhile, it "
                f"{where} at best, instead of {show(full, 'V')}.",
                "Keep the electronics off until the main switch is closed, or take a smaller resistor.",
            )
        )
    found.append(
        Finding(
            "caution",
            f"Without precharge the main switch closes on up to {show(_without(v), 'A')}: a spark each time, and "
            "contacts that weld shut. Then it can't be switched off any more.",
            "Precharge every time. Test now and then that the main switch really opens.",
        )
    )
    if "bleed_resistor" in v.build.entered:
        found += _bleed(v)
    else:
        found.append(
            Finding(
                "caution",
                f"Nothing empties the bus. It holds {show(energy_of(v), 'J')}, more than the {precharge.LOW_ENERGY:g} "
                "J that count as harmless, for minutes or hours."
                if energy_of(v) > precharge.LOW_ENERGY
                else "Nothing empties the bus.",
                "A bleed resistor, or a lamp held across it. Never a screwdriver. Measure before you touch.",
            )
        )
    if full >= SHOCK_VOLTAGE:
        found.append(
            Finding(
                "caution",
                f"{show(full, 'V')} are {SHOCK_VOLTAGE:g} V or more: a charged bus hurts, pack unplugged or not.",
                "Cover it; a licensed person checks it. Local codes come first.",
            )
        )
    return found


def _bleed(v: Values) -> list[Finding]:
    """How long the bleed resistor takes, and what it has to stand all the time the pack is on."""
    full, ohms = float(v["supply_voltage"]), float(v["bleed_resistor"])
    heat = float(precharge.first_power(full, ohms))
    takes = f"{show(ohms, 'ohm')} across {show(full, 'V')} take {show(heat, 'W')} all the time the pack is on"
    if heat > precharge.BLEED_BURNS:
        return [
            Finding(
                "stop",
                f"{takes}: that is a heater, not a bleed resistor. It burns, and empties the pack.",
                "Don't connect it. Read its print again; kilo-ohms are what is wanted.",
            )
        ]
    safe = float(precharge.emptying_time(v["bus_capacitance"], ohms, full, precharge.SAFE_VOLTS))
    text = f"Switched off, the bus is down to {precharge.SAFE_VOLTS:g} V after {show(safe, 's')}. {takes}"
    wait = "Wait that long, then measure, then touch. A resistor can come off: the meter decides."
    if heat > precharge.BLEED_WARM:
        return [
            Finding(
                "caution",
                f"{text}: hot enough to burn skin and insulation.",
                f"A larger resistor, or one rated for twice that, on metal, away from cells and cables. {wait}",
            )
        ]
    return [Finding("ok", f"{text}.", wait)]


def energy_of(v: Values) -> float:
    """What the full bus holds, J."""
    return float(v["energy"])


def _emptying(v: Values, end: float) -> float | None:
    if "bleed_resistor" not in v.build.entered:
        return None
    return float(precharge.emptying_time(v["bus_capacitance"], v["bleed_resistor"], v["supply_voltage"], end))


def _headline(v: Values) -> tuple[str, str]:
    """The time it takes, or that the bus isn't full when the switch closes; and what goes with it."""
    takes, through = show(v["time"], "s"), f"to 95 % through {show(v['precharge_resistor'], 'ohm')}"
    first = f"{show(v['peak_current'], 'A')} at the first moment"
    if v["precharge_left"] <= 1.0 - precharge.FULL:
        return takes, f"{through}; {first}"
    held = "may never fill: electronics that start early hold it down"
    named = held if v["precharge_told"] else "not full when the switch closes"
    return named, f"with nothing else on the bus {takes} {through}; {first}"


def _precharge(v: Values) -> Report:
    return Report(
        *_headline(v),
        f"{show(v['bus_capacitance'], 'uF')} on {show(v['supply_voltage'], 'V')}. After "
        f"{show(v['precharge_time'], 's')} {show(v['precharge_left'], 'percent')} of the volts is missing, and the "
        f"main switch closes on {show(v['inrush'], 'A')}.",
        tuple(_findings(v)),
        (
            lambda uid: filling(
                uid,
                float(v["supply_voltage"]),
                float(v["bus_capacitance"] * v["precharge_resistor"]),
                float(v["precharge_time"]),
            ),
        ),
    )


PRECHARGE = Calculator(
    id="precharge",
    title="Precharge",
    chapter="power",
    question="Does the bus fill gently, and empty before it is touched?",
    asks=(
        "bus_capacitance",
        "supply_voltage",
        "precharge_resistor",
        "precharge_time",
        "precharge_electronics",
        "precharge_rating",
        "precharge_energy",
        "switch_make_rating",
        "switch_break_rating",
        "bleed_resistor",
        "idle_power",
    ),
    gives=(
        Result("time", "Time to 95 %", "s"),
        Result("peak_current", "Current at the first moment", "A"),
        Result("energy", "Heat in the resistor, each filling", "J"),
        Result("resistor_power", "Power in the resistor at the first moment", "W"),
        Result("short_energy", "Heat in it, a try with a short behind", "J"),
        Result("tries_per_minute", "Tries a minute that it stands", made=lambda v: parts.tries(v, "energy")),
        Result(
            "short_tries_per_minute",
            "The same with a short behind it",
            made=lambda v: parts.tries(v, "short_energy"),
        ),
        Result("inrush", "Current that the main switch closes on", "A"),
        Result(
            "held",
            "Where the bus ends at best if the electronics run",
            "V",
            made=lambda v: _held(v, float(v["precharge_resistor"])),
        ),
        Result(
            "emptied",
            "Time until the bus is at 5 V",
            "s",
            made=lambda v: _emptying(v, precharge.SAFE_VOLTS),
        ),
        Result("harmless", "Voltage at which it holds 0.2 J", "V"),
        Result(
            "resistors",
            "Resistors that fill it in time",
            columns=(
                Column("resistor", "Resistor", "ohm"),
                Column("time", "To 95 %", "s"),
                Column("current", "Current at first", "A"),
                Column("power", "Power at first", "W"),
                Column("ends", "Ends at, electronics on", "V"),
            ),
            made=_rows,
        ),
    ),
    report=_precharge,
    rules={
        "supply_voltage": alias("voltage_full"),
        "time": step(precharge.filling_time),
        "peak_current": step(precharge.first_current),
        "energy": step(precharge.pulse_energy),
        "resistor_power": step(precharge.first_power),
        "short_energy": step(precharge.short_energy),
        "inrush": step(precharge.inrush, missing="precharge_left"),
        "harmless": step(precharge.harmless_voltage),
    },
    early=dict.fromkeys(
        ("time", "peak_current", "energy", "resistor_power", "short_energy", "harmless"),
        (),
    ),
    reads=("precharge_time", "precharge_left", "precharge_electronics", "pack_resistance", "idle_power"),
    optional=(
        "precharge_rating",
        "precharge_energy",
        "switch_make_rating",
        "switch_break_rating",
        "break_asked",
        "bleed_resistor",
        "pack_current_limit",
    ),
)
