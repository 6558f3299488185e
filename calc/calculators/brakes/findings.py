"""What to know of the brakes: runaway, locking, the second brake, parking, heat, and how others compare."""

from __future__ import annotations

from calc.build import Values
from calc.calculators.brakes import parts
from calc.findings import Finding
from calc.told import CLOSE_PARKING, ROLL_BACK, on_its_nose
from calc.units import show
from calc.vehicle.road import GRAVITY

MOTOR = Finding(
    "note",
    "The motor never counts as a brake here: it ends without warning when a fuse, the pack's protection or the "
    "field goes.",
    "Ask what your local rules want of brakes before anybody rides on a road.",
)


def _parking(v: Values) -> Finding:
    held, needed = float(v["parking_held"]), float(v["parking_needed"])
    text = (
        f"Parked on {show(v['slope'], 'percent')} it holds {show(held, 'N')}; the slope pulls with "
        f"{show(needed, 'N')}."
    )
    if held < needed:
        by = "the tyres slip" if v["parking_grip"] < v["parking_force"] else "the brake gives way"
        return Finding(
            "stop", f"{text} It rolls away: {by}.", "Chocks below both wheels, always, until it holds."
        )
    if held < v["parking_wanted"]:
        return Finding("caution", f"{text} {CLOSE_PARKING[0]}", CLOSE_PARKING[1])
    return Finding("ok", text, "Turn the wheels to a kerb or bank all the same.")


def _second(v: Values) -> Finding:
    if v["second_axle"] == "none":
        return Finding(
            "stop",
            "Only one brake. When its cable, lever or chain goes, nothing stops it.",
            "Fit a second brake with lever, cable and shoes of its own, and try it alone.",
        )
    given, wanted = float(v["second_given"]), float(v["second_wanted"])
    text = f"The second brake alone gives {show(given, 'm/s**2')}; the slope asks {show(wanted, 'm/s**2')} of it."
    if given < wanted:
        return Finding("stop", text, "A stronger second brake, or one on the axle that carries more.")
    return Finding("ok", text, "Try each alone once a month, at walking pace.")


def _rolling_back(v: Values) -> Finding:
    lift, given = float(v["back_lift"]), float(v["back_braking"])
    text = (
        f"Rolling back down {show(v['slope'], 'percent')} after a start that failed, {show(lift, 'm/s**2')} of braking "
        f"lifts the front wheels; with all brakes pulled the rear ones give up to {show(given, 'm/s**2')}."
    )
    if given > lift:
        return Finding("stop", f"{text} It goes over backwards.", ROLL_BACK)
    return Finding("ok", text, "All the same: throttle shut, brake gently, nobody behind it.")


def findings(v: Values) -> list[Finding]:
    found: list[Finding] = []
    if nose := on_its_nose(v["cog_from_axle"], v["wheelbase"]):
        return nose
    net, first = float(v["net_deceleration"]), parts.first(v)
    if not parts.slows(v):
        found.append(
            Finding(
                "stop",
                f"On {show(v['slope'], 'percent')} downhill it doesn't stop: the brakes give "
                f"{show(v['braking_share'] * GRAVITY, 'm/s**2')}, the slope adds "
                f"{show(v['slope_pull'], 'm/s**2')}.",
                "Don't take this slope. More braked wheels, a better split, tyres of more grip, or another way.",
            )
        )
    grabs = float(v["deceleration"]) > float(v["brake_cap"]) * GRAVITY
    if grabs and first == "it tips over the front":
        text = "Hard braking lifts the rear wheels before any wheel locks: it goes over the front."
        found.append(Finding("stop", text, "Weight lower and further back, or less brake in front."))
    elif grabs:
        what = {
            "front": "the front wheels lock: it won't steer",
            "rear": "the rear wheels lock: it swings round",
        }
        found.append(
            Finding(
                "caution",
                f"Downhill {what.get(first, 'an axle may lock')} at "
                f"{show(v['brake_cap'] * GRAVITY, 'm/s**2')} of braking; "
                f"{show(v['deceleration'], 'm/s**2')} was "
                "entered. The lesser counts.",
                "Squeeze, don't grab. Brakes on both axles, split as the weight is, hold most.",
            )
        )
    if parts.split(v) is None:
        found.append(
            Finding(
                "caution",
                "Both axles brake, and nobody measured how the force is split: only the worse axle alone is counted.",
                "Measure the split with a luggage scale and enter it.",
            )
        )
    split = v.build.entered.get("front_brake_share")
    if v["braked_axle"] != "both" and split is not None and split.source != "demo":
        text = (
            "A split between the axles is entered, and the working brake acts on one axle only: it counts for "
            "nothing."
        )
        found.append(Finding("caution", text, "Say both axles, or leave the split out."))
    if v["braked_wheels"] == "one":
        text = "One wheel of the axle brakes alone: half the grip, and it pulls to that side."
        found.append(Finding("caution", text, "Brake both wheels of the axle, or brake a solid axle."))
    if v["slope"] > 0.0 and not v.build.missing("back_braking"):
        found.append(_rolling_back(v))
    if not v.build.missing("sight_distance") and net > 0.0:
        runs, free = float(v["longest_stop"]), float(v["sight_distance"])
        steep = v["descent_stop"] >= v["level_stop"]
        where = (
            f"{show(v['descent_speed'], 'km/h')} downhill, and what it gathers until the brake bites,"
            if steep
            else f"{show(v['road_speed'], 'km/h')} on the level"
        )
        text = f"From {where} it needs {show(runs, 'm')}; {show(free, 'm')} of the way are surely free."
        slower = f"Hold {show(v['sight_cap'], 'km/h')} or less there."
        found.append(Finding("stop" if runs > free else "ok", text, slower if runs > free else ""))
    none_fitted = "second_axle" in v.build.entered and v["second_axle"] == "none"
    if none_fitted or not v.build.missing("second_axle", "second_deceleration"):
        found.append(_second(v))
    else:
        text = "A second brake isn't entered. One brake is none when its cable goes."
        found.append(Finding("stop", text, "Enter its axle, and what it gives alone."))
    if not v.build.missing("parking_axle", "parking_force"):
        found.append(_parking(v))
    if not v.build.missing("brake_mass", "descent_height"):
        rise = float(v["descent_rise"])
        text = (
            f"A descent of {show(v['descent_height'], 'm')} at steady speed and a stop at its end warm the metal by "
            f"{show(rise, 'K')} at most, nothing given off."
        )
        hot = rise > v["hot_brake"]
        do = (
            "Stop half-way and let it cool; more metal; never hold it on one brake."
            if hot
            else "Hands off: it burns."
        )
        found.append(Finding("caution" if hot else "ok", text, do))
    short = [row for row in parts.published(v) if row["share"] < 1.0]
    if short:
        row = max(short, key=lambda one: one["share"])
        found.append(
            Finding(
                "caution",
                f"It gives {show(v['level_deceleration'], 'm/s**2')} on the level; a {row['machine']} once had to give "
                f"{show(row['asked'], 'm/s**2')} with the same brakes (directive 93/14/EEC).",
                "A comparison, no rule for this machine. Check your local rules.",
            )
        )
    return [*found, MOTOR]
