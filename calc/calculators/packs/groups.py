"""The same windows for one group of cells, where the protection's limits for each group were entered."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.calculators.packs.windows import Faults, Window, tabled
from calc.findings import Finding
from calc.power import cells, limits
from calc.power.groups import GOOD
from calc.told import LARGER_RESERVE
from calc.units import show

KEYS = ("group_voltage_min", "group_voltage_max")


def windows(v: Values) -> list[Window]:
    """Each window of one group, V; none where the protection's limits for groups weren't entered."""
    entered = v.build.entered
    if not entered.keys() & set(KEYS):
        return []
    least, _, full = cells.window(v["chemistry"])
    low, high = (float(v[key]) if key in entered else None for key in KEYS)
    found = [
        Window("one cell", least, full),
        Window("a group under load", float(v["group_lowest"]), full),
        Window("protection, each group", low, high, _faults(v, low, high)),
    ]
    if "charger_voltage" in entered:
        each = float(v["charger_voltage"] / v["series"])
        found.append(Window("charger, each group", each, each))
    return found


def rows(v: Values) -> list[dict[str, Any]]:
    """Each window of one group as a row."""
    return tabled(windows(v))


def findings(v: Values) -> list[Finding]:
    """Everything that is wrong with a group's window, and what to do."""
    return [finding for window in windows(v) for _, finding in window.faults]


def _faults(v: Values, low: float | None, high: float | None) -> Faults:
    (least, _, full), lowest = cells.window(v["chemistry"]), float(v["group_lowest"])
    found = []
    if high is not None and high > (most := float(limits.group_most(v["chemistry"]))):
        found.append(
            (
                "lets a group be overcharged",
                Finding(
                    "stop",
                    f"Fire risk: the protection lets a group go to {show(high, 'V')}; such a cell is full at "
                    f"{show(full, 'V')}, and boards that guard it open by {show(most, 'V')}.",
                    "Set it lower if it can be set, or a board for this chemistry.",
                ),
            )
        )
    if high is not None and high < full:
        found.append(
            (
                "opens before a group is full",
                Finding(
                    "caution",
                    f"The protection opens when a group has {show(high, 'V')}, before it is full at {show(full, 'V')}.",
                    "It ends each charge early, and may open downhill: then the controller gets all the volts.",
                ),
            )
        )
    elif high is not None and "charger_voltage" in v.build.entered:
        each = float(v["charger_voltage"] / v["series"]) + GOOD
        if high < each:
            found.append(
                (
                    "opens while charging",
                    Finding(
                        "caution",
                        f"With groups {show(GOOD, 'mV')} apart, as good ones are, this charger takes the highest to "
                        f"{show(each, 'V')}; the protection opens at {show(high, 'V')} and cuts the charge off.",
                        "A charger of a little less, or groups levelled first.",
                    ),
                )
            )
    if low is not None and lowest < low:
        found.append(
            (
                "opens under throttle",
                Finding(
                    "stop",
                    f"Under full throttle each group falls to {show(lowest, 'V')}; the protection opens when the first "
                    f"has {show(low, 'V')}, all at once, on the hill.",
                    LARGER_RESERVE,
                ),
            )
        )
    if low is not None and low < limits.protection_least(least):
        found.append(
            (
                "lets a group be run flat",
                Finding(
                    "caution",
                    f"The protection lets a group be run down to {show(low, 'V')}; such a cell is empty at "
                    f"{show(least, 'V')}.",
                    "Set it higher, or stop by a meter before that. Cells run flat are a danger when charged again.",
                ),
            )
        )
    return tuple(found)
