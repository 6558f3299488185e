"""What the volts of the groups say, once they were measured."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.findings import Finding
from calc.power import cells
from calc.power.groups import FAR, GOOD, Groups, groups
from calc.power.limits import CELL_TOLERANCE
from calc.units import show


def measured(v: Values) -> Groups:
    """The groups that were entered."""
    return groups(v["chemistry"], v["group_voltages"])


def rows(v: Values) -> list[dict[str, Any]]:
    """Each group: its volts, how far off the mean, and the charge that its volts stand for."""
    found = measured(v)
    return [
        {
            "group": number,
            "voltage": float(volts),
            "off": round(float(volts - found.volts.mean()), 4),
            "state": float(state),
        }
        for number, (volts, state) in enumerate(zip(found.volts, found.states, strict=True), 1)
    ]


def _count(v: Values, found: Groups) -> list[Finding]:
    if found.volts.size == round(float(v["series"])):
        return []
    return [
        Finding(
            "caution",
            f"{found.volts.size} groups were measured, the pack has {v['series']:.0f} in series.",
            "Measure every one: the group that is left out may be the bad one.",
        )
    ]


def findings(v: Values) -> list[Finding]:
    """The state of the groups, the worst first."""
    if "group_voltages" not in v.build.entered:
        return []
    found, (least, _, full) = measured(v), cells.window(v["chemistry"])
    low, high, spread = float(found.volts.min()), float(found.volts.max()), found.spread
    said = (
        f"Group {found.lowest} is lowest with {show(low, 'V', 4)}, group {found.highest} highest with "
        f"{show(high, 'V', 4)}: {show(spread, 'mV')} apart"
    )
    stops = []
    if low < least:
        stops.append(
            Finding(
                "stop",
                f"Fire risk: group {found.lowest} stands at {show(low, 'V', 4)}, under the least of "
                f"{show(least, 'V')}. Emptied that far, copper dissolves inside and may short it when charged.",
                "Never charge it. Take the group out of use; have it judged and disposed of as local codes want.",
            )
        )
    if high > full + CELL_TOLERANCE:
        stops.append(
            Finding(
                "stop",
                f"Fire risk: group {found.highest} stands at {show(high, 'V', 4)}, over full, {show(full, 'V')}.",
                "Don't charge. Outdoors, let it down through a resistor to the others' volts, and find why it was "
                "overcharged.",
            )
        )
    if spread >= FAR and not stops:
        stops.append(
            Finding(
                "stop",
                f"Fire risk: {said}. The highest is full long before the others; the lowest is weak, leaks or has a "
                "bad joint.",
                "Don't charge the pack as it is. Measure again after a night's rest; charge the low group alone with "
                "a charger for one cell, with little current, and watch whether it holds for a week.",
            )
        )
    if stops:
        return stops + _count(v, found)
    lost = (
        f"By their curve that is {show(found.lost, 'percent')} of the charge, which the pack can't give: the highest "
        "ends the charge, the lowest the ride."
    )
    if spread > GOOD:
        return [
            Finding(
                "caution",
                f"{said}. {lost}",
                "Stay with it to the end of the next charge and watch the highest group. Leave it on the charger's "
                "voltage so that the protection can level the groups, hours if need be. Growing? The lowest is on its "
                "way out.",
            ),
            *_count(v, found),
        ]
    return [Finding("ok", f"{said}: level, as good packs are."), *_count(v, found)]
