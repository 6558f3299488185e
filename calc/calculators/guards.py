"""How far behind an opening of a guard what moves must be."""

from __future__ import annotations

from calc.build import Values
from calc.figures.handling import reach
from calc.findings import Finding
from calc.spec import Calculator, Report, Result
from calc.standards import column
from calc.units import show
from calc.vehicle import rider


def _stairs(v: Values) -> list[tuple[float, float]]:
    """The table's stairs for the shape entered, up to 40 mm: (width, reach), mm."""
    widths, reaches = column("finger_reach", "opening_mm"), column("finger_reach", f"{v['guard_shape']}_mm")
    thumb = v["guard_shape"] == "slot" and float(v["slot_length"]) <= rider.THUMB + 1e-9
    most = rider.THUMB_REACH * 1e3 if thumb else float("inf")
    end = max(40.0, float(v["guard_opening"]) * 1e3)
    return [
        (w, min(r, most))
        for w, r in zip(widths, reaches, strict=True)
        if w <= end or (w == 120.0 and end > 40.0)
    ]


def _findings(v: Values) -> list[Finding]:
    found = []
    solid = float(v["guard_opening"]) <= rider.SOLID
    needed = float(v["stand_off"] if v.build.missing("guard_needed") else v["guard_needed"])
    if not v.build.missing("guard_distance") and not solid:
        there = float(v["guard_distance"])
        text = f"{show(there, 'mm')} from the opening to what moves; {show(needed, 'mm')} are needed."
        if there < needed:
            found.append(Finding("stop", text, "A finer mesh, a solid cover, or the guard further out."))
        else:
            found.append(Finding("ok", text))
    found.append(
        Finding(
            "caution",
            "For persons of 14 and older. A child's hand is thinner and reaches further.",
            "Solid covers where children ride or stand by. Guards come off with a tool only, pack unplugged.",
        )
    )
    return found


def _guards(v: Values) -> Report:
    solid = float(v["guard_opening"]) <= rider.SOLID
    return Report(
        "solid" if solid else show(v["stand_off"], "mm"),
        "there is no opening to reach through"
        if solid
        else f"behind a {v['guard_shape']} opening of {show(v['guard_opening'], 'mm')}",
        "So far fingers, hand or arm reach through (ISO 13857, table 4, read at second hand).",
        tuple(_findings(v)),
        (lambda uid: reach(uid, _stairs(v), float(v["guard_opening"]) * 1e3, float(v["stand_off"]) * 1e3),),
    )


GUARD_OPENING = Calculator(
    id="guard-opening",
    title="Openings of guards",
    chapter="vehicle",
    question="How far behind the mesh must chain and spokes be?",
    asks=("guard_opening", "guard_shape", "slot_length", "guard_distance"),
    gives=(Result("stand_off", "From the opening to what moves, at least", "mm"),),
    report=_guards,
    reads=("guard_opening", "guard_shape", "slot_length"),
    optional=("guard_distance", "guard_needed"),
)
