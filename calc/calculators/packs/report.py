"""Does the pack fit what hangs on it?"""

from __future__ import annotations

from calc.build import Values
from calc.calculators.packs import box, groups, windows
from calc.calculators.packs.search import search_rows
from calc.figures.pack import voltage_windows
from calc.findings import Finding
from calc.power import cells, pack
from calc.spec import Calculator, Column, Report, Result
from calc.told import LARGER_RESERVE, MORE_PARALLEL
from calc.told.power import touch, unguarded
from calc.units import show


def _cells(v: Values) -> list[Finding]:
    if "cell_current_limit" not in v.build.entered or v["cell_current"] <= v["cell_current_limit"]:
        return []
    return [
        Finding(
            "stop",
            f"Fire risk: each cell gives {show(v['cell_current'], 'A')} at full throttle; its sheet allows "
            f"{show(v['cell_current_limit'], 'A')} for good.",
            MORE_PARALLEL,
        )
    ]


def _air(v: Values) -> list[Finding]:
    """Cells as cold and as hot as the air gets, against their limits of discharge."""
    coldest, hottest = cells.temperatures(v["chemistry"], "discharge")
    found = [
        Finding(
            "stop",
            f"Cells at {show(air, 'degC')}: sheets end at {show(coldest, 'degC')} and {show(hottest, 'degC')} for "
            "riding, and a cell at work is warmer than the air.",
            "Don't ride. Bring the pack to room temperature slowly first; its own sheet goes before this.",
        )
        for air in (v["cold_air"], v["ambient_temperature"])
        if not coldest <= air < hottest
    ]
    if v["cold_factor"] < 1.2:
        return found
    return [
        *found,
        Finding(
            "caution",
            f"On the coldest day, at {show(v['cold_air'], 'degC')}, the cells have about {v['cold_factor']:.1f} times "
            "their resistance (common practice, no source): the volts under load are counted so.",
            "Keep the pack in the warm until you ride. Never charge below 0 °C.",
        ),
    ]


def _minutes(v: Values) -> list[Finding]:
    """What full throttle for minutes adds, where the pack holds it for seconds."""
    if v.build.missing("least_voltage") or v["lowest_voltage"] < v["least_voltage"]:
        return []
    more = pack.minutes_factor(v["chemistry"]) - 1.0
    cells_part = v["cold_resistance"] - v["pack_lead_resistance"]
    low = v["lowest_voltage"] - more * v["greatest_pack_current"] * cells_part
    if low >= v["least_voltage"]:
        return []
    return [
        Finding(
            "caution",
            f"Held for minutes, full throttle takes the pack on to {show(low, 'V')}: inside, the cells lag. Under "
            f"{show(v['least_voltage'], 'V')} the controller cuts out or the cells suffer.",
            LARGER_RESERVE,
        )
    ]


def _side_by_side(v: Values) -> list[Finding]:
    if v["packs_parallel"] < 2:
        return []
    return [
        Finding(
            "caution",
            f"Of {v['packs_parallel']:.0f} packs the best one gives {show(v['pack_share'], 'percent')} of the current: "
            f"{show(v['one_pack_current'], 'A')} at full throttle.",
            "Leads of one length, a fuse at each plus, joined only when level.",
        )
    ]


def _current(v: Values) -> list[Finding]:
    limit, asked = v["pack_current_limit"], v["one_pack_current"]
    others = v["greatest_pack_current"] - v["battery_current_limit"]
    if asked <= limit:
        return []
    if limit <= others:
        do = f"Field and electronics alone take {show(others, 'A')}: another protection board, or another pack."
    else:
        do = f"Set the controller's battery limit to {show(max(0.9 * limit - others, 0.5), 'A')} or less."
    return [
        Finding(
            "stop",
            f"At full throttle {show(asked, 'A')} are asked of a pack whose protection opens at {show(limit, 'A')}.",
            do,
        )
    ]


def _pack(v: Values) -> Report:
    full, low, asked = v["voltage_full"], v["lowest_voltage"], v["greatest_pack_current"]
    findings = (
        unguarded(v, "protection_kind")
        + windows.findings(v)
        + _current(v)
        + _cells(v)
        + _minutes(v)
        + _side_by_side(v)
        + _air(v)
        + groups.findings(v)
        + box.findings(v)
        + touch(v, made="descent_peak")
    )
    ohms = show(v["pack_resistance"], "mohm")
    if v["cold_factor"] > 1.0:
        cold, air = show(v["cold_resistance"], "mohm"), show(v["cold_air"], "degC")
        ohms = f"{cold}, cells as cold as the air at its coldest, {air} ({ohms} at 25 °C)"
    return Report(
        f"{show(v['pack_energy'], 'W*hour')}",
        f"{show(v['voltage_min'], 'V')} empty to {show(full, 'V')} full",
        f"At the most the drive asks {show(asked, 'A')}, and the pack loses {show(v['pack_sag'], 'V')} in its "
        f"{ohms}. With {show(v['reserve_charge'], 'percent')} of charge left that leaves "
        f"{show(low, 'V')} at the controller.",
        tuple(findings),
        (lambda uid: voltage_windows(uid, windows.rows(v)),),
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
        "protection_voltage_min",
        "protection_voltage_max",
        "cell_current_limit",
    ),
    gives=(
        Result("voltage_min", "Voltage, empty", "V"),
        Result("voltage_nominal", "Voltage, nominal", "V"),
        Result("voltage_full", "Voltage, full", "V"),
        Result("energy", "Energy from full to empty", "W*hour", "pack_energy"),
        Result("current_limit", "Current that protection and controller allow", "A"),
        Result("resistance", "Resistance with leads", "mohm", "pack_resistance"),
        Result("sag", "Voltage lost at full throttle", "V", "pack_sag"),
        Result("mass", "Mass of the cells", "kg", "pack_mass", optional=True),
        Result("cost", "Price of the cells", "", "pack_cost", optional=True),
        Result("cell_current", "Current of each cell at full throttle", "A"),
        Result("one_pack_current", "Current of the best pack", "A"),
        Result("box_holds", "Cells that the box takes in layers", made=box.holds),
        Result(
            "layouts",
            "How they lie",
            columns=(
                Column("terminals", "Terminals"),
                Column("laid", "Laid"),
                Column("length", "Along length"),
                Column("width", "Along width"),
                Column("height", "Along height"),
                Column("cells", "Cells"),
            ),
            made=box.rows,
        ),
        Result(
            "windows",
            "Windows that must nest",
            columns=(
                Column("window", "Window"),
                Column("low", "From", "V"),
                Column("high", "To", "V"),
                Column("fault", "What is wrong"),
            ),
            made=windows.rows,
        ),
        Result(
            "group_windows",
            "Windows of one group",
            columns=(
                Column("window", "Window"),
                Column("low", "From", "V"),
                Column("high", "To", "V"),
                Column("fault", "What is wrong"),
            ),
            made=groups.rows,
        ),
        Result(
            "options",
            "Counts of these cells that would do",
            columns=(
                Column("series", "In series"),
                Column("parallel", "Side by side"),
                Column("cells", "Cells"),
                Column("fault", "What is wrong"),
                Column("energy", "Usable energy", "W*hour"),
                Column("full", "Full", "V"),
                Column("lowest", "Lowest", "V"),
                Column("each", "Each cell", "A"),
                Column("mass", "Mass", "kg"),
                Column("cost", "Price"),
            ),
            made=search_rows,
            nothing="nothing asks for a number of cells yet: enter what the controller stands, or the energy wanted",
        ),
    ),
    report=_pack,
    reads=(
        "lowest_voltage",
        "greatest_pack_current",
        "reserve_charge",
        "pack_current_limit",
        "charge_voltage_limit",
        "charger_least",
        "cold_air",
        "cold_factor",
        "ambient_temperature",
        "packs_parallel",
        "pack_share",
        "cell_capacity",
        "cold_resistance",
        "group_lowest",
        "pack_lead_resistance",
    ),
    optional=(
        "charger_voltage",
        "controller_voltage_max",
        "controller_voltage_cutoff",
        "cell_mass",
        "cell_current_limit",
        "protection_kind",
        "protection_voltage_min",
        "protection_voltage_max",
        *groups.KEYS,
        "energy_wanted",
        "pack_mass_limit",
        "box_volume",
        "cell_volume",
        *box.KEYS,
        "cell_cost",
        "descent_peak",
        "least_voltage",
    ),
)
