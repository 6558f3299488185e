"""What is found on a ride: time, stretches that can't be ridden, limits that bind, what the answer rests on."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.calculators.ride.places import CELLS, CUTOFF, HELD, PROTECTION, RESERVE
from calc.findings import Finding
from calc.told import LARGER_PACK, LESS_ASKED, MORE_SERIES
from calc.units import show


def lasting(v: Values) -> list[Finding]:
    """Whether it runs as long as wanted."""
    time, wanted = float(v["run_time"]), float(v["ride_time"])
    if time < wanted:
        text = f"The pack lasts {show(time, 'minute')}; {show(wanted, 'minute')} are wanted."
        return [Finding("stop", text, LARGER_PACK)]
    if time < 1.15 * wanted:
        text = "Less than 15 % in hand. Cold cells and soft ground take more than that."
        return [Finding("caution", text, "Count on turning back early until a ride is measured.")]
    return []


def rows(v: Values) -> list[Finding]:
    """The rows, or the hardest stretches of a route, that can't be driven at their speed."""
    found = []
    for (speed, slope, _), reach in zip(v["reach_rows"], v["duty_reach"], strict=True):
        if reach >= 1:
            continue
        where = f"{show(speed, 'km/h')} on {show(slope, 'percent')}"
        if slope < 0:
            text = f"{where}: the machine turns faster than the pack's voltage allows. It makes voltage, "
            text += "and may charge the pack or kill the controller."
            do = "Go slower there, on the brakes. Gearing lower makes it worse."
        else:
            given = show(max(float(reach), 0.0), "percent")
            text = f"{where} can't be driven: full throttle gives {given} of the torque it needs. "
            text += "The times told here don't hold."
            do = "Ride that part slower, or gear lower."
        found.append(Finding("stop", text, do))
    return found


def limits(v: Values, placed: list[dict[str, Any]]) -> list[Finding]:
    """Where pack, protection and controller bind on the way."""
    found: list[Finding] = []
    first: dict[str, dict[str, Any]] = {}
    for row in placed:
        first.setdefault(row["limit"], row)
    if HELD["stands"] in first and "route" in v.build.entered:
        row = first[HELD["stands"]]
        found.append(
            Finding(
                "stop",
                f"{_at(row)} it stands: full throttle doesn't move it on {show(row['slope'], 'percent')}. The times "
                "told here count as if it did.",
                "Gear lower, take weight off, or another way up. Never stand behind or below it to push.",
            )
        )
    if PROTECTION in first:
        row = first[PROTECTION]
        found.append(
            Finding(
                "stop",
                f"{_at(row)} the pack has to give {show(row['current'], 'A')}; its protection opens at "
                f"{show(v['pack_current_limit'], 'A')} and leaves the rider without drive, on a slope perhaps.",
                LESS_ASKED,
            )
        )
    if CUTOFF in first:
        row = first[CUTOFF]
        found.append(
            Finding(
                "stop",
                f"{_at(row)} the pack sags, to {show(row['voltage'], 'V', 4)} at the worst; the controller cuts out at "
                f"{show(v['controller_voltage_cutoff'], 'V', 4)}.",
                f"Turn back earlier, or ride slower there. {MORE_SERIES}",
            )
        )
    elif CELLS in first:
        row = first[CELLS]
        found.append(
            Finding(
                "stop",
                f"{_at(row)} the pack sags, to {show(row['voltage'], 'V', 4)} at the worst; its cells suffer under "
                f"{show(v['voltage_min'], 'V')}, and nothing entered here stops before.",
                "Turn back earlier, or a controller that cuts out above that.",
            )
        )
    if RESERVE in first and "route" in v.build.entered:
        row = first[RESERVE]
        found.append(
            Finding(
                "stop",
                f"{_at(row)} the charge is down to the reserve of {show(v['reserve_charge'], 'percent')}; the route is "
                f"{show(v['walk_distance'], 'km')} long.",
                "A shorter route, a larger pack, or a charger on the way.",
            )
        )
    if "route" in v.build.entered:
        found += _slowed(placed)
    return found


def _at(row: dict[str, Any]) -> str:
    return f"From {show(row['start'], 'km')} on"


def _slowed(placed: list[dict[str, Any]]) -> list[Finding]:
    """The caution that it goes slower than wanted, by the worst place."""
    slow = [row for row in placed if row["limit"] in HELD.values() and row["limit"] != HELD["stands"]]
    if not slow:
        return []
    worst = min(slow, key=lambda row: float(row["speed"] / row["speed_wanted"]))
    length = sum(row["end"] - row["start"] for row in slow)
    return [
        Finding(
            "caution",
            f"On {show(length, 'km')} it goes slower than wanted; the worst is after {show(worst['start'], 'km')}: "
            f"{show(worst['speed'], 'km/h')} instead of {show(worst['speed_wanted'], 'km/h')} up "
            f"{show(worst['slope'], 'percent')} ({worst['limit']}).",
            "Count with those speeds, or see Gearing and Torque and speed for what would lift them.",
        )
    ]


def resting(v: Values) -> list[Finding]:
    """What the answer rests on: no ride entered, shares, tables of surfaces, smoothed heights."""
    found = []
    entered, share = v.build.entered, float(v["field_share"])
    if share > 0.2:
        found.append(
            Finding(
                "caution",
                f"The field and its supply take {show(share, 'percent')} of the energy.",
                "A better field supply first. Less field current saves as well, but a weak field lets an unloaded "
                "machine run away: no throttle below 80 % of the field it was tried with.",
            )
        )
    if "route" in entered:
        tabled = sorted({row[2] for row in entered["route"].value} - {None, "measured"})
        if tabled:
            found.append(
                Finding(
                    "caution",
                    f"The rolling coefficients of {', '.join(tabled)} come from published tables, read at second hand, "
                    "which differ by half and more.",
                    "Pull the loaded vehicle there with a luggage scale; enter that as its coefficient.",
                )
            )
        if v["stretches"].heights:
            found.append(
                Finding(
                    "note",
                    "Slopes were made from heights, smoothed over 50 m of the way. A steep ramp shorter than that is "
                    "flattened.",
                    "Judge a short ramp by the standing start.",
                )
            )
        return found
    if "duty" not in entered:
        found.append(
            Finding(
                "caution",
                "No ride was entered. Taken: four fifths of the time level at the wanted speed, one "
                "fifth up the steepest slope.",
                "Enter the rows of your own ride.",
            )
        )
    elif abs(sum(row[2] for row in v["duty"]) - 1) > 0.005:
        total = sum(row[2] for row in v["duty"])
        text = f"The shares add up to {show(total, 'percent')}; they were scaled to 100 %."
        found.append(Finding("caution", text, "Correct the shares."))
    return found
