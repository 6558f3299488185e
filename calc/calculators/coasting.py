"""Rolling and air by coasting past marks."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.figures.coasting import times_off
from calc.findings import Finding
from calc.graph import GRAPH
from calc.spec import Calculator, Column, Report, Result
from calc.units import plain, show
from calc.vehicle import coast_fit, coasting
from calc.vehicle.road import GRAVITY

BUMPY = (
    4.0 * coast_fit.FILM
)  # a time further off than this wasn't read well, or wind came (common practice, no source)
FAST = 20 / 3.6  # from here air counts for enough to be told (common practice, no source)


def _fit(v: Values) -> coast_fit.Fit:
    found: coast_fit.Coasted = v["coasted"]
    return found.free if found.told and found.free else found.without


def _drag_open(v: Values) -> float:
    """How far the drag area that was taken may be off, m²."""
    return v.spread("drag_area")


def _rolling_off(v: Values) -> float:
    """± of the rolling coefficient: of the rows, and of the drag area where that had to be taken from elsewhere."""
    own = float(v["tested_rolling"]) * float(v["rolling_spread"])
    if v["coasted"].told:
        return own
    air = v["coasted"].per_drag * float(v["air_density"]) * _drag_open(v) / (2.0 * float(v["coast_mass"]))
    return float(np.hypot(own, air / GRAVITY))


def _drag(v: Values) -> float | None:
    """Drag area, m²; None where it can't be told."""
    return float(v["tested_drag"]) if v["coasted"].told else None


def _drag_off(v: Values) -> float | None:
    return float(v["tested_drag"]) * float(v["tested_drag_spread"]) if v["coasted"].told else None


def _slope(v: Values) -> float | None:
    """Slope of the way out, rise over run; None where all runs went one way."""
    return _fit(v).slope / GRAVITY if v["coasted"].both_ways else None


def _left(v: Values) -> tuple[float, ...]:
    """What the fit leaves of each row's time, s, in the rows' own order."""
    order = [k for rows in _places(v).values() for k in rows]
    found = dict(zip(order, _fit(v).left, strict=True))
    return tuple(found[k] for k in range(len(order)))


def _places(v: Values) -> dict[int, list[int]]:
    """Which rows belong to each run."""
    places: dict[int, list[int]] = {}
    for k, row in enumerate(v["coast_runs"]):
        places.setdefault(int(row[0]), []).append(k)
    return places


def _rows(v: Values) -> list[dict[str, Any]]:
    return [
        {"run": int(run), "way": way, "distance": distance, "time": time, "off": round(left, 6)}
        for (run, way, distance, time), left in zip(v["coast_runs"], _left(v), strict=True)
    ]


def _speeds(v: Values) -> tuple[float, float]:
    """Slowest and fastest mean speed between two marks, m/s."""
    speeds = []
    for rows in _places(v).values():
        way, clock = 0.0, 0.0
        for k in rows:
            _, _, distance, time = v["coast_runs"][k]
            speeds.append((distance - way) / (time - clock))
            way, clock = distance, time
    return min(speeds), max(speeds)


def _findings(v: Values) -> list[Finding]:
    found: coast_fit.Coasted = v["coasted"]
    fastest, told = _speeds(v)[1], []
    if not found.told:
        known = "entered" if v.build.is_leaf("drag_area") and "drag_area" in v.build.entered else "usual"
        told.append(
            Finding(
                "caution",
                f"These runs can't tell the air from the rolling: {show(fastest, 'km/h')} was the fastest stretch. "
                f"The {known} drag area of {show(v['drag_area'], 'm**2')} is taken, and rolling alone is told.",
                "Under 20 km/h air counts for little, so that may do. Otherwise more runs, from 20 km/h and from half "
                "of that, where it can be done safely.",
            )
        )
    slope = _slope(v)
    if slope is None:
        told.append(
            Finding(
                "caution",
                f"All runs go one way. A slope of {show(coasting.UNLEVEL, 'percent')} that nobody sees is "
                f"{plain(coasting.UNLEVEL, 2)} of rolling coefficient, and counts as open.",
                "As many runs back over the same marks.",
            )
        )
    else:
        side = "rises" if slope > 0 else "falls"
        told.append(
            Finding(
                "note",
                f"On the way out the ground {side} by {show(abs(slope), 'percent', 2)}; that is taken off.",
            )
        )
    off = _left(v)
    worst = max(range(len(off)), key=lambda k: abs(off[k]))
    if abs(off[worst]) > BUMPY:
        told.append(
            Finding(
                "caution",
                f"Row {worst + 1} is {show(abs(off[worst]), 's', 2)} off what fits all rows.",
                "Read the film again there. If it stands: gusts, a bump, or a brake that drags.",
            )
        )
    if v.build.entered.get("coast_chain") and v["coast_chain"] == "on":
        share = plain(float(v["machine_share"]), 2)
        told.append(
            Finding(
                "caution",
                f"The machine was dragged along: {share} of the coefficient is its own and is taken off.",
                "Chain off tells it better.",
            )
        )
    told.append(
        Finding(
            "note",
            "Not counted here: wind. It never averages out in full.",
            "Only on a calm day; leaves hang still.",
        )
    )
    return told


def _coast_down(v: Values) -> Report:
    rolling, off = float(v["tested_rolling"]), _rolling_off(v)
    slow, fast = _speeds(v)
    area, area_off = _drag(v), _drag_off(v)
    drag = (
        f"drag area {show(area, 'm**2')} ± {show(area_off, 'm**2', 2)}"
        if area is not None and area_off is not None
        else "drag area not told"
    )
    ground = rolling * float(v["coast_mass"]) * GRAVITY
    counted = area if area is not None else float(v["drag_area"])
    air = 0.5 * float(v["air_density"]) * counted * fast**2
    return Report(
        f"{plain(rolling, 3)} ± {plain(off, 2)}",
        f"rolling coefficient; {drag}",
        f"{show(v['coast_mass'], 'kg')} rolled at {show(slow, 'km/h')} to {show(fast, 'km/h')} between marks. The "
        f"ground held it back by {show(ground, 'N')} at every speed, the air by {show(air, 'N')} at the fastest. What "
        "turns is counted with the mass, and the air as dense as it was there: "
        f"{show(v['air_density'], 'kg/m**3')}.",
        tuple(_findings(v)),
        (lambda uid: times_off(uid, _left(v), coast_fit.FILM),),
    )


COAST_DOWN = Calculator(
    id="coast-down",
    title="Coast-down",
    chapter="decide",
    question="How hard do ground and air hold it back?",
    asks=("coast_runs", "coast_mass", "wheel_inertia", "wheel_diameter", "altitude", "coast_temperature"),
    gives=(
        Result("rolling_coefficient", "Rolling coefficient", "", "tested_rolling"),
        Result("rolling_off", "± of it", "", made=_rolling_off),
        Result("drag_area", "Drag area, where it can be told", "m**2", made=_drag),
        Result("drag_off", "± of it", "m**2", made=_drag_off),
        Result("slope", "Slope of the way out", "percent", made=_slope),
        Result("air_density", "Density of the air", "kg/m**3"),
        Result(
            "rows",
            "Row by row",
            columns=(
                Column("run", "Run"),
                Column("way", "Way"),
                Column("distance", "Distance", "m"),
                Column("time", "Time", "s"),
                Column("off", "Off the fit", "ms"),
            ),
            made=_rows,
        ),
    ),
    rules={
        "tested_rolling": GRAPH["rolling_coefficient"],
        "tested_drag": GRAPH["drag_area"],
        "tested_drag_spread": GRAPH["drag_spread"],
    },
    report=_coast_down,
    reads=(
        "coasted",
        "coast_mass",
        "coast_moved",
        "machine_share",
        "drag_area",
        "rolling_spread",
        "tested_drag_spread",
    ),
    optional=("coast_chain",),
)
