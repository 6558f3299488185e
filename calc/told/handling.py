"""What several answers say of who rides and of what stood on the scales."""

from __future__ import annotations

from calc.build import Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.units import show
from calc.vehicle import weighing

CHILDS_MASS = 35.0
"""A rider of less is a child more often than not, kg (common practice, no source)."""


def weighed_apart(v: Values) -> list[Finding]:
    """The caution where the scales and the masses entered are two different loads."""
    if "cog_weighing" not in v.build.entered or v.build.missing("total_mass"):
        return []
    weighed, entered = float(v["weighed_mass"]), float(v["total_mass"])
    if abs(weighed - entered) <= weighing.SAME_WEIGHT * entered:
        return []
    return [
        Finding(
            "caution",
            f"{show(weighed, 'kg')} stood on the scales; {show(entered, 'kg')} are entered with rider and load.",
            "Weigh it as it is ridden: the heaviest rider on, the load on and tied.",
        )
    ]


def light_rider(v: Values) -> list[Finding]:
    """The caution where the rider entered weighs what a child weighs, and nobody on the list is one."""
    if not {"rider_mass", "riders"} <= v.build.entered.keys() or float(v["rider_mass"]) >= CHILDS_MASS:
        return []
    if any(kind == "child" for kind, *_ in v["riders"]):
        return []
    return [
        Finding(
            "caution",
            f"A rider of {show(v['rider_mass'], 'kg')} is a child more often than not, and none is on the list.",
            f"Enter the child in {FIELDS['riders'].quoted}: guards, stop and speed are judged for children then.",
        )
    ]
