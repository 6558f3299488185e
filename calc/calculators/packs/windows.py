"""Windows of voltage that must nest: cells, protection, controller, charger, and what the machine makes downhill."""

from __future__ import annotations

from typing import Any, NamedTuple

from calc.build import Values
from calc.findings import Finding
from calc.power import cells, limits
from calc.told import LARGER_RESERVE, MORE_SERIES, unsaid
from calc.told.power import may_be_over, never_fills, over_full, overcharges
from calc.units import show

Faults = tuple[tuple[str, Finding], ...]


class Window(NamedTuple):
    """One window, V (None: an end that wasn't entered), and each thing wrong with it: in a word, and as a finding."""

    name: str
    low: float | None
    high: float | None
    faults: Faults = ()


def windows(v: Values) -> list[Window]:
    """Each window that is known, the cells' own first."""
    full, empty, low = (float(v[key]) for key in ("voltage_full", "voltage_min", "lowest_voltage"))
    found = [Window("cells", empty, full), Window("under load", low, full, _under_load(v, low, empty))]
    for name, bottom, top, faults in (
        ("protection", "protection_voltage_min", "protection_voltage_max", _protection),
        ("controller", "controller_voltage_cutoff", "controller_voltage_max", _controller),
    ):
        if {bottom, top} & v.build.entered.keys():
            found.append(Window(name, _entered(v, bottom), _entered(v, top), faults(v)))
    if (charger := _entered(v, "charger_voltage")) is not None:
        found.append(Window("charger", charger, charger, _charger(v, charger)))
    if not v.build.missing("descent_peak"):
        peak = float(v["descent_peak"])
        found.append(Window("made downhill", 0.0, peak, _downhill(v, peak)))
    return found


def rows(v: Values) -> list[dict[str, Any]]:
    """Each window as a row: its ends, and the first thing wrong with it ("" when it nests)."""
    return tabled(windows(v))


def tabled(found: list[Window]) -> list[dict[str, Any]]:
    """Windows as rows of a table."""
    return [
        {"window": w.name, "low": w.low, "high": w.high, "fault": w.faults[0][0] if w.faults else ""}
        for w in found
    ]


def findings(v: Values) -> list[Finding]:
    """Everything that is wrong with a window, and what to do."""
    return [finding for window in windows(v) for _, finding in window.faults]


def _entered(v: Values, key: str) -> float | None:
    return float(v[key]) if key in v.build.entered else None


def _edges(v: Values, key: str) -> tuple[float, float]:
    """The lowest and highest value that is believed of an entry: where harm may follow, the far one counts."""
    item = v.build.input(key)
    return item.value - item.spread, item.value + item.spread


def _under_load(v: Values, low: float, empty: float) -> Faults:
    if low >= empty:
        return ()
    finding = Finding(
        "stop",
        f"Full throttle at the reserve drags the cells to {show(low, 'V')}, under their least of {show(empty, 'V')}.",
        LARGER_RESERVE,
    )
    return (("sags under the cells' least", finding),)


def _protection(v: Values) -> Faults:
    """What the protection board's two voltages mean for pack, controller and rider."""
    full, low, empty = (float(v[key]) for key in ("voltage_full", "lowest_voltage", "voltage_min"))
    bottom, top = _entered(v, "protection_voltage_min"), _entered(v, "protection_voltage_max")
    cutoff, found = _entered(v, "controller_voltage_cutoff"), []
    if top is not None and top > limits.protection_most(full, v["series"]):
        found.append(
            (
                "lets the cells be overcharged",
                Finding(
                    "stop",
                    f"Fire risk: the protection opens at {show(top, 'V')} when charging; the cells are full at "
                    f"{show(full, 'V')}. It doesn't guard them.",
                    "A board for this chemistry and this number of cells.",
                ),
            )
        )
    if top is not None and top < full:
        found.append(
            (
                "opens before the pack is full",
                Finding(
                    "caution",
                    f"The protection opens at {show(top, 'V')}, before the pack is full at {show(full, 'V')}.",
                    "It may open while charging, or downhill, and then the controller gets all the volts. A board for "
                    "these cells.",
                ),
            )
        )
    if bottom is not None and low < bottom:
        found.append(
            (
                "opens under throttle",
                Finding(
                    "stop",
                    f"Under full throttle the pack falls to {show(low, 'V')}; its protection opens at "
                    f"{show(bottom, 'V')}, all at once, on the hill.",
                    LARGER_RESERVE,
                ),
            )
        )
    if bottom is not None and cutoff is not None and bottom > cutoff:
        found.append(
            (
                "opens before the controller cuts out",
                Finding(
                    "caution",
                    f"The protection opens at {show(bottom, 'V')}, before the controller cuts out at "
                    f"{show(cutoff, 'V')}: the drive ends without the controller knowing.",
                    "The controller's cut-out above the protection's, where it can be set.",
                ),
            )
        )
    if bottom is not None and bottom < limits.protection_least(empty):
        found.append(
            (
                "lets the cells be run flat",
                Finding(
                    "caution",
                    f"The protection lets the cells be run down to {show(bottom, 'V')}; they are empty at "
                    f"{show(empty, 'V')}.",
                    "Stop by a meter or a timer before that. Cells run flat are a danger when charged again.",
                ),
            )
        )
    return tuple(found)


def _controller(v: Values) -> Faults:
    full, low, empty = (float(v[key]) for key in ("voltage_full", "lowest_voltage", "voltage_min"))
    entered, cutoff, found = v.build.entered, _entered(v, "controller_voltage_cutoff"), []
    if "controller_voltage_max" in entered and full > (least := _edges(v, "controller_voltage_max")[0]):
        found.append(
            (
                "the full pack is over it",
                Finding(
                    "stop",
                    f"A full pack has {show(full, 'V')}; the controller may stand no more than {show(least, 'V')}."
                    + unsaid(v.build.input("controller_voltage_max")),
                    "Read its label. Fewer cells in series, or another controller.",
                ),
            )
        )
    if cutoff is not None and low < cutoff:
        found.append(
            (
                "the pack sags under its cut-out",
                Finding(
                    "stop",
                    f"At {show(v['reserve_charge'], 'percent')} of charge and full throttle the pack sags to "
                    f"{show(low, 'V')}; the controller cuts out at {show(cutoff, 'V')}.",
                    MORE_SERIES,
                ),
            )
        )
    if cutoff is not None and cutoff < empty:
        found.append(
            (
                "goes on below empty",
                Finding(
                    "caution",
                    f"The controller goes on down to {show(cutoff, 'V')}; the cells are empty at {show(empty, 'V')}.",
                    "Only the protection board guards them. Stop earlier by a meter or a timer.",
                ),
            )
        )
    return tuple(found)


def _charger(v: Values, charger: float) -> Faults:
    full, limit, found = float(v["voltage_full"]), float(v["charge_voltage_limit"]), []
    entry = v.build.input("charger_voltage")
    if charger > limit:
        found.append(("overcharges", overcharges(charger, full)))
    found += [("measure it first", one) for one in may_be_over(entry, full, limit)]
    found += [("a little over full", one) for one in over_full(entry, full, limit)]
    if charger < v["charger_least"]:
        found.append(("never fills it", never_fills(charger, full)))
    return tuple(found)


def _downhill(v: Values, peak: float) -> Faults:
    stands = _entered(v, "controller_voltage_max")
    if stands is not None and peak > stands:
        finding = Finding(
            "stop",
            f"Downhill the machine makes {show(peak, 'V')}; the controller stands {show(stands, 'V')}. When the pack's "
            "protection opens, it gets them all.",
            "Less field downhill, or a lower speed held with the brakes: work out “Volts made downhill” before "
            "the ride.",
        )
        return (("over what the controller stands", finding),)
    least, _ = cells.temperatures(v["chemistry"], "charge")
    if peak > v["rested_voltage"] and v["cold_air"] < least:
        finding = Finding(
            "stop",
            f"Fire risk later: downhill the machine makes {show(peak, 'V')}, more than the rested pack's "
            f"{show(v['rested_voltage'], 'V')}, and charges cells at {show(v['cold_air'], 'degC')} on the coldest day: "
            f"below {show(least, 'degC')} metal grows inside them and may short them weeks after.",
            "Less field downhill, or a lower speed held with the brakes; no riding in frost until then.",
        )
        return (("charges a frozen pack downhill", finding),)
    if peak > v["rested_voltage"]:
        finding = Finding(
            "caution",
            f"Downhill the machine makes {show(peak, 'V')}, more than the rested pack's "
            f"{show(v['rested_voltage'], 'V')}: it charges the pack, throttle or no throttle.",
            "Start downhill with room in the pack. Never charge below 0 °C: work out “Volts made downhill” first.",
        )
        return (("charges the pack downhill", finding),)
    return ()
