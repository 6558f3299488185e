"""Other sprockets: every pair of the stock, and a tooth more or less."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from calc.build import Build, Input, Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.quantities import Array
from calc.units import from_si, show
from calc.vehicle import gearing, pairs, ride

MOST_LISTED = 40  # sprockets of one list
CLOSE = 0.2  # less in hand than this share is called close
MOST_ROWS = 200  # pairs told


def _lanes(v: Values, ratios: list[float]) -> Values:
    """The same build with each of the ratios, as lanes."""
    ratio = Input("gear_ratio", float(v["gear_ratio"]), 0.0, "", "computed")
    other = Build({**v.build.entered, "gear_ratio": ratio}, v.build.clashes, v.build.steps, like=v.build)
    return other.nominal(gear_ratio=np.array(ratios))


def _second(v: Values) -> float:
    """Ratio of the second stage, which stays; 1 with a single stage."""
    entered = v.build.entered
    if not {"jackshaft_driven_teeth", "jackshaft_driver_teeth"} <= entered.keys():
        return 1.0
    return float(v["jackshaft_driven_teeth"]) / float(v["jackshaft_driver_teeth"])


def present(v: Values) -> pairs.Pair | None:
    """The teeth of the build as it is; None where its ratio is known by itself."""
    entered = v.build.entered
    if "gear_ratio" in entered or not {"driver_teeth", "driven_teeth"} <= entered.keys():
        return None
    return int(v["driver_teeth"]), int(v["driven_teeth"])


def _listed(v: Values, key: str, usual: tuple[int, ...]) -> tuple[int, ...]:
    if key not in v.build.entered:
        return usual
    teeth: tuple[int, ...] = v[key]
    if len(set(teeth)) > MOST_LISTED:
        raise FIELDS[key].refuse(f"{len(teeth)} sprockets", f"are more than the {MOST_LISTED} that are tried")
    return teeth


def _across(values: Any, count: int) -> Array:
    spread: Array = np.broadcast_to(np.asarray(values, dtype=float), (count,))
    return spread


def start_in_hand(v: Values) -> float:
    """What the worst rotor position has over what breaking away takes, as a share of it."""
    return float(pairs.in_hand(v["start_torque_worst"], v["breakaway_needed"]))


def start(v: Values) -> list[Finding]:
    """Whether it starts with this gearing wherever the rotor rests."""
    share = start_in_hand(v)
    there = (
        f"In the worst rotor position the machine gives {show(max(float(v['start_torque_worst']), 0.0), 'N*m')}; "
        f"breaking away takes {show(v['breakaway_needed'], 'N*m')}."
    )
    if share < 0.0:
        return [Finding("stop", there, "See the standing start: it tells what is missing.")]
    if share < CLOSE:
        return [Finding("caution", f"{there} That is less than a fifth in hand.", "Gear a step lower.")]
    return []


def held(slope: Any) -> str:
    """A slope held, in words; slopes aren't told apart above the steepest."""
    if slope > gearing.STEEPEST - 1e-6:
        return f"more than {show(gearing.STEEPEST, 'percent')}"
    return show(round(max(float(slope), 0.0), 3), "percent")


def _margins(v: Values, lanes: Values, count: int) -> pairs.InHand:
    start = pairs.in_hand(v["start_torque_worst"], lanes["breakaway_needed"])
    slope = pairs.in_hand(lanes["climb_force"], lanes["climb_load"])
    speed = pairs.in_hand(lanes["top_speed"], v["road_speed"])
    return pairs.InHand(*(_across(values, count) for values in (start, slope, speed)))


def _gives_up(start: float, slope: float, speed: float) -> str:
    """What a pair gives up, in words: what it is short of, else where it is closest."""
    named = (("start", start), ("slope", slope), ("speed", speed))
    short = [
        f"{name} fails" if share <= -1.0 else f"{name} {show(-share, 'percent', 2)} short"
        for name, share in named
        if share < 0.0
    ]
    if short:
        return ", ".join(short)
    name, share = min(named, key=lambda pair: pair[1])
    return f"nothing; {name} {show(share, 'percent', 2)} in hand"


@lru_cache(maxsize=1)  # result, finding and words all ask
def options(v: Values) -> list[dict[str, Any]]:
    """Every pair of the stock, best first."""
    now = present(v)
    found = pairs.every(
        _listed(v, "motor_sprockets", pairs.USUAL_MOTOR), _listed(v, "axle_sprockets", pairs.USUAL_AXLE), now
    )
    ratios = [_second(v) * axle / motor for motor, axle in found]
    lanes = _lanes(v, ratios)
    margins = _margins(v, lanes, len(found))
    tops, slopes = (_across(lanes[node], len(found)) for node in ("top_speed", "geared_slope_limit"))
    rows: list[dict[str, Any]] = []
    for place, k in enumerate(pairs.ranked(found, margins), 1):
        start, slope, speed = (float(values[k]) for values in margins)
        rough = f"; rough, under {pairs.FEWEST} teeth" if found[k][0] < pairs.FEWEST else ""
        rows.append(
            {
                "pair": f"{found[k][0]}/{found[k][1]}" + (" (as it is)" if found[k] == now else ""),
                "ratio": ratios[k],
                "start": start,
                "climb": slope,
                "top_speed": float(tops[k]),
                "slope_limit": float(slopes[k]),
                "gives_up": _gives_up(start, slope, speed) + rough,
                "place": place,
            }
        )
    return [row for row in rows if row["place"] <= MOST_ROWS or str(row["pair"]).endswith(")")]


def _changes(v: Values) -> list[tuple[str, float]]:
    """The gearing as it is and a step either way: by teeth where they are known, else by a tenth of the ratio."""
    ratio, now = float(v["gear_ratio"]), present(v)
    if now is None:
        return [("as it is", ratio), ("a tenth taller", 0.9 * ratio), ("a tenth lower", 1.1 * ratio)]
    motor, axle = now
    worth = max(round(axle / motor), 1)
    teeth = "tooth" if worth == 1 else "teeth"
    tried = [
        (f"a tooth fewer on the motor ({motor - 1})", motor - 1, axle),
        (f"a tooth more on the motor ({motor + 1})", motor + 1, axle),
        (f"{worth} {teeth} fewer on the axle ({axle - worth})", motor, axle - worth),
        (f"{worth} {teeth} more on the axle ({axle + worth})", motor, axle + worth),
    ]
    low = FIELDS["driver_teeth"].low
    return [("as it is", ratio)] + [(w, _second(v) * b / a) for w, a, b in tried if min(a, b) >= low]


@lru_cache(maxsize=1)
def steps(v: Values) -> list[dict[str, Any]]:
    """What a tooth more or less changes."""
    changes = _changes(v)
    lanes = _lanes(v, [ratio for _, ratio in changes])
    torque = ride.machine_torque(
        v["climb_load"], lanes["gear_ratio"], v["wheel_diameter"], v["drive_efficiency"], lanes["climb_drag"]
    )
    columns = {
        "slope_limit": lanes["geared_slope_limit"],
        "top_speed": lanes["top_speed"],
        "current": ride.line_current(torque, v["emf_constant"], v["switching_error"]),
        "road_speed": lanes["geared_speed"],
        "wheel_force": lanes["geared_force"],
    }
    spread = {key: _across(values, len(changes)) for key, values in columns.items()}
    return [
        {"change": words, "ratio": ratio, **{key: float(values[k]) for key, values in spread.items()}}
        for k, (words, ratio) in enumerate(changes)
    ]


def in_words(v: Values) -> list[Finding]:
    """The first two steps as sentences."""
    now, *others = steps(v)
    found = []
    for row in others[:2]:
        more = row["current"] > now["current"]
        apart = show(abs(row["current"] - now["current"]), "A", 2)
        change = str(row["change"])
        slopes = [held(r["slope_limit"]) for r in (row, now)]
        same = slopes[0] == slopes[1]
        holding = f"still holds {slopes[0]}" if same else f"holds {slopes[0]} instead of {slopes[1]}"
        tops = [f"{float(from_si(r['top_speed'], 'km/h')):.3g}" for r in (row, now)]
        faster = f"{tops[0]} instead of {tops[1]} km/h, " if now["top_speed"] > 0.0 else ""
        found.append(
            Finding(
                "note",
                f"{change[0].upper()}{change[1:]}: {holding}, {faster}and {apart} "
                f"{'more' if more else 'less'} on the slope of {show(v['slope'], 'percent')}.",
            )
        )
    return found


def best(v: Values) -> list[Finding]:
    """The best pair of the stock, against the present one."""
    rows, now = options(v), present(v)
    first = rows[0]
    usual = not {"motor_sprockets", "axle_sprockets"} & v.build.entered.keys()
    stock = "usual sizes" if usual else "your sprockets"
    tried = (
        f"Of the pairs of {stock} the best in all three is {first['pair']}. It gives up: {first['gives_up']}."
    )
    if first["start"] <= -1.0:
        text = f"No gearing makes it start: {show(v['start_torque_worst'], 'N*m')} in the machine's worst position."
        return [
            Finding("caution", text, "See the standing start: field, line current and sensors come first.")
        ]
    if not first["gives_up"].startswith("nothing"):
        text = f"No pair of {stock} meets start, slope and speed together. {tried}"
        return [Finding("caution", text, "Less load or slope, less speed wanted, or other sprockets.")]
    own = next((row for row in rows if str(row["pair"]).endswith(")")), None)
    if now is None or own is None or own is first:
        return [Finding("note", tried)]
    return [Finding("note", f"{tried} Yours is number {own['place']}; it gives up: {own['gives_up']}.")]
