"""Does the pack fit what hangs on it?"""

from __future__ import annotations

from calc import figures
from calc.build import Values
from calc.spec import Calculator, Finding, Report, Result
from calc.units import show


def _pack(v: Values) -> Report:
    full, low, limit, asked = (
        v["voltage_full"],
        v["lowest_voltage"],
        v["pack_current_limit"],
        v["greatest_pack_current"],
    )
    entered = v.build.entered
    findings = []
    if "charger_voltage" in entered and v["charger_voltage"] > v["charge_voltage_limit"]:
        findings.append(
            Finding(
                "stop",
                f"Fire risk: this charger brings {show(v['charger_voltage'], 'V')} to a pack that is "
                f"full at {show(full, 'V')}. Every cell would be overcharged.",
                f"Use a charger of {show(full, 'V')} or a little less. Never rely on the protection board.",
            )
        )
    if "controller_voltage_max" in entered and full > v["controller_voltage_max"]:
        findings.append(
            Finding(
                "stop",
                f"A full pack has {show(full, 'V')}; the controller stands "
                f"{show(v['controller_voltage_max'], 'V')}.",
                "Fewer cells in series, or another controller.",
            )
        )
    if "controller_voltage_cutoff" in entered and low < v["controller_voltage_cutoff"]:
        findings.append(
            Finding(
                "stop",
                f"At {show(v['reserve_charge'], 'percent')} of charge and full throttle the pack sags to "
                f"{show(low, 'V')}; the controller cuts out at {show(v['controller_voltage_cutoff'], 'V')}.",
                "More cells in series, cells of lower resistance, or a lower battery current limit.",
            )
        )
    if asked > limit:
        others = asked - v["battery_current_limit"]
        findings.append(
            Finding(
                "stop",
                f"At full throttle {show(asked, 'A')} are asked of a pack whose protection opens at "
                f"{show(limit, 'A')}.",
                f"Set the controller's battery limit to {show(max(0.9 * limit - others, 0), 'A')} or less.",
            )
        )
    if full >= 60:
        findings.append(
            Finding(
                "caution",
                f"{show(full, 'V')} is at or above 60 V direct current, where the standards that "
                "limit touch voltage draw their line (UN R100, ISO 6469).",
                "Cover every live part, and let a licensed person check it; local codes come first.",
            )
        )
    return Report(
        f"{show(v['pack_energy'], 'W*hour')}",
        f"{show(v['voltage_min'], 'V')} empty to {show(full, 'V')} full",
        f"At the most the drive asks {show(asked, 'A')}, and the pack loses {show(v['pack_sag'], 'V')} in its "
        f"{show(v['pack_resistance'], 'mohm')}. With {show(v['reserve_charge'], 'percent')} of charge left that leaves "
        f"{show(low, 'V')} at the controller.",
        tuple(findings),
        (lambda uid: figures.voltage_windows(uid, v),),
    )


PACK = Calculator(
    id="pack",
    title="Pack",
    chapter="power",
    question="Does the pack fit controller, charger and current?",
    asks=(
        "chemistry",
        "series",
        "parallel",
        "cell_capacity",
        "cell_resistance",
        "pack_current_limit",
        "battery_current_limit",
        "controller_voltage_cutoff",
        "controller_voltage_max",
        "charger_voltage",
    ),
    gives=(
        Result("voltage_min", "Voltage, empty", "V"),
        Result("voltage_nominal", "Voltage, nominal", "V"),
        Result("voltage_full", "Voltage, full", "V"),
        Result("energy", "Energy from full to empty", "W*hour", "pack_energy"),
        Result("current_limit", "Current that protection and controller allow", "A"),
        Result("resistance", "Resistance with leads", "mohm", "pack_resistance"),
        Result("sag", "Voltage lost at that current", "V", "pack_sag"),
        Result("mass", "Mass of the cells", "kg", "pack_mass", optional=True),
    ),
    report=_pack,
    reads=(
        "lowest_voltage",
        "greatest_pack_current",
        "reserve_charge",
        "pack_current_limit",
        "charge_voltage_limit",
    ),
    optional=("charger_voltage", "controller_voltage_max", "controller_voltage_cutoff", "cell_mass"),
)
