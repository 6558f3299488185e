"""Does the charger belong to the pack? Voltage, kind, and what the answer is called."""

from __future__ import annotations

from calc.build import Values
from calc.findings import Finding
from calc.power import cells, charging
from calc.told.power import may_be_over, never_fills, over_full, overcharges, touch
from calc.units import show

OVER, KIND, NEVER, FITS = "over: fire risk", "wrong kind", "never full", "fits"
MEASURE = "measure it first"


def wrong_kind(v: Values) -> bool:
    """Whether the charger is said to be for other cells, or nobody knows."""
    if "charger_kind" not in v.build.entered:
        return False
    return not charging.right_kind(v["charger_kind"], v["chemistry"])


def over(v: Values) -> bool:
    """Whether the charger brings more than the cells stand, or is a guess that may."""
    return bool(v["charger_voltage"] > v["charge_voltage_limit"]) or any(
        one.severity == "stop" for one in _unsure(v)
    )


def _unsure(v: Values) -> list[Finding]:
    """What is said of a charger that fits, with a ± that doesn't."""
    charger = v.build.input("charger_voltage")
    return may_be_over(charger, float(v["voltage_full"]), float(v["charge_voltage_limit"]))


def match(v: Values) -> str:
    """One word on charger and pack."""
    if over(v):
        return OVER
    if wrong_kind(v):
        return KIND
    if _unsure(v):
        return MEASURE
    return NEVER if v["charger_voltage"] < v["charger_least"] else FITS


def _counts(volts: float) -> str:
    """How many cells of each kind a charger's voltage would fill."""
    fits = [
        f"{round(volts / full)} {'LFP' if kind == 'lfp' else 'lithium-ion'} cells ({show(full, 'V')} each)"
        for kind, full in ((kind, cells.window(kind)[2]) for kind in charging.MADE_FOR)
        if abs(volts / full - round(volts / full)) < 0.06
    ]
    return f" It would fill {' or '.join(fits)}." if fits else ""


def voltage(v: Values) -> list[Finding]:
    """What the charger's voltage and kind mean, the worst first."""
    charger, full = v.build.input("charger_voltage"), float(v["voltage_full"])
    limit, found = float(v["charge_voltage_limit"]), []
    if charger.value > limit:
        found.append(overcharges(charger.value, full, _counts(charger.value)))
    found += _unsure(v)
    if wrong_kind(v):
        told = charging.right_kind_told(v["charger_kind"], v["chemistry"])
        found.append(
            Finding(
                "stop",
                f"Fire risk: {told[0].lower()}{told[1:]}",
                f"Don't connect it. Get one made for {v['series']:.0f} {v['chemistry'].upper()} cells in series.",
            )
        )
    found += over_full(charger, full, limit)
    if charger.value < v["charger_least"]:
        why = f"{_counts(charger.value)} Against a fuller pack, current may even flow back into it."
        found.append(never_fills(charger.value, full, why))
    return found + touch(v, made="")
