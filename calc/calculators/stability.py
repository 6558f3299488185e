"""Does it stay on its wheels: side slope, bend, both, and backwards?"""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.figures.stability import footprint
from calc.findings import Finding
from calc.graph import step
from calc.spec import Calculator, Column, Report, Result
from calc.told import CLOSE_SIDE, on_its_nose
from calc.units import plain, show
from calc.vehicle import stability
from calc.vehicle.rider import BEND_SHARE
from calc.vehicle.road import GRAVITY

LIFTS = (0.0, 0.1, 0.2, 0.3)  # m
TRY = (
    "Try it at walking pace: helmet on, a helper on the uphill side, nobody below, and never ride out of a tip "
    "with a foot."
)


def _shape(v: Values) -> tuple[Any, Any, Any, Any, Any]:
    return v["wheels"], v["lone_wheel"], v["wheelbase"], v["track"], v["cog_from_axle"]


def _frame(v: Values) -> tuple[Any, Any, Any, Any, Any, Any]:
    return (*_shape(v), v["cog_height"])


def _bend_braking(v: Values) -> float:
    """Speed at which it tips or slides in the bend while braking as hard as it was tried, on the level, m/s."""
    pull = min(float(v["deceleration"]) / GRAVITY, float(v["grip"]))
    tips = float(stability.tip_share(*_frame(v), pull))
    slides = float(np.sqrt(max(float(v["grip"]) ** 2 - pull**2, 0.0)))
    return float(stability.cornering_speed(min(tips, slides), v["corner_radius"]))


def _loads(v: Values) -> list[dict[str, float]]:
    """The load stacked higher than it was when the height was found."""
    share = float(v["load_mass"]) / float(v["total_mass"])
    found = []
    for lift in LIFTS:
        height = float(stability.raised_height(v["cog_height"], share, lift))
        tip = stability.tip_share(*_shape(v), height)
        cap = stability.speed_cap(
            stability.corner_tip_share(*_shape(v), height, v["slope"], v["side_slope"]),
            v["corner_slide_share"],
            v["corner_radius"],
        )
        found.append(
            {
                "lift": lift,
                "height": height,
                "angle": float(stability.tip_angle(tip)),
                "cap": float(cap),
            }
        )
    return found


def _textbook(v: Values) -> float:
    """t/(2·h), which is right for four wheels alone."""
    return float(v["track"]) / (2.0 * float(v["cog_height"]))


def _findings(v: Values) -> list[Finding]:
    if nose := on_its_nose(v["cog_from_axle"], v["wheelbase"]):
        return nose
    found: list[Finding] = []
    share, usual = float(v["tip_share"]), _textbook(v)
    if v["wheels"] == "3":
        where = {"front": "in front", "rear": "behind"}.get(
            v["lone_wheel"], "(front or rear? the worse counts)"
        )
        found.append(
            Finding(
                "caution",
                f"Three wheels tip about the line from the single wheel {where} to one of the pair. Track "
                "divided by twice "
                f"the height, {usual:.2g}, is too good for it: {share:.2g} is what it stands.",
                "Weight nearer the axle with two wheels, and lower. Four wheels stand more.",
            )
        )
        if v["lone_wheel"] != "rear":
            found.append(
                Finding(
                    "caution",
                    "With the single wheel in front, braking in a bend or nose down tips it sooner.",
                    "Brake before the bend, straight on.",
                )
            )
    side, limit = float(v["side_slope"]), float(v["side_hold"])
    does = "tips" if v["side_limit"] <= limit else "slides"
    told = (
        f"Standing on the slope entered it {does} on a side slope of {show(limit, 'percent')}; "
        f"{show(side, 'percent')} is "
        "there."
    )
    if side > limit:
        found.append(Finding("stop", told, "Don't go there. Lower load, wider track, or another way."))
    elif side > v["side_good"]:
        found.append(Finding("caution", f"{told} {CLOSE_SIDE[0]}", f"{CLOSE_SIDE[1]} {TRY}"))
    else:
        found.append(Finding("ok", told, TRY))
    cap, wanted = float(v["speed_cap"]), float(v["bend_speed"])
    tips, slides = float(v["corner_tip_share"]), float(v["corner_slide_share"])
    how = "tips" if tips < slides else "slides"
    if cap <= 0.0:
        found.append(
            Finding(
                "stop",
                "On slope and side slope at once it slides or tips before it turns at all.",
                "Another way; wait until it is dry.",
            )
        )
    else:
        downhill = v["descent_speed"] > v["road_speed"]
        met = show(wanted, "km/h")
        met = f"downhill it is let run to {met}." if downhill else f"{met} are wanted."
        text = f"In a bend of {show(v['corner_radius'], 'm')} it {how} at {show(cap, 'km/h')}; {met}"
        if wanted > cap:
            first = "Hold less downhill by the brakes" if downhill else "Slower before the bend"
            found.append(Finding("stop", text, f"{first}; a wider bend; weight lower."))
        elif wanted > np.sqrt(0.5) * cap:
            found.append(
                Finding(
                    "caution", text, "More than half of the pull that it stands: slow down before that bend."
                )
            )
        else:
            found.append(Finding("ok", text))
    if tips < slides:
        text = "On this ground it tips before it slides: no warning comes from the tyres."
        do = "Slower in every bend, load lower, track wider."
    else:
        text = "On this ground it slides before it tips. A rut, a kerb or a dry patch trips it all the same."
        do = "Don't count on the slide."
    found.append(Finding("caution" if tips < slides else "ok", text, do))
    return [*found, *_backwards(v)]


def _backwards(v: Values) -> list[Finding]:
    lift, slope = float(v["lift_acceleration"]), show(v["slope"], "percent")
    if lift <= 0.0:
        return [
            Finding("stop", f"It tips over backwards standing on {slope}.", "Load lower and further forward.")
        ]
    text = f"Uphill on {slope} the front wheels lift when it accelerates by {show(lift, 'm/s**2')}."
    rears = v["driven_axle"] == "rear" and float(v["grip"]) * float(v["cog_height"]) >= float(
        v["cog_from_axle"]
    )
    if rears:
        return [
            Finding(
                "caution",
                text + " The tyres hold enough for that, if the motor pulls so hard.",
                "Throttle opened slowly; see the standing start for what your motor pulls.",
            )
        ]
    return [Finding("ok", text + " The driven tyres slip sooner.")]


def _stability(v: Values) -> Report:
    cap = float(v["speed_cap"])
    how = "tips" if v["corner_tip_share"] < v["corner_slide_share"] else "slides"
    return Report(
        show(cap, "km/h"),
        f"in a bend of {show(v['corner_radius'], 'm')} it {how}, "
        f"slope {show(v['slope'], 'percent')} and side slope {show(v['side_slope'], 'percent')} counted",
        f"Level it tips at {show(v['tip_speed'], 'km/h')} in that bend and slides at {show(v['slide_speed'], 'km/h')}. "
        f"Standing, it tips on a side slope of {show(v['tip_angle'], 'deg')}, turned the worst way on "
        f"{show(v['weakest_angle'], 'deg')}. The centre of gravity is {show(v['tip_distance'], 'mm')} from the "
        "nearest edge "
        f"and {show(v['cog_height'], 'mm')} up. Tyres and frame give, so keep to half of that pull to the side: "
        f"{show(v['bend_cap'], 'km/h')}, {plain(BEND_SHARE**0.5, 2)} of the speed.",
        tuple(_findings(v)),
        (
            lambda uid: footprint(
                uid,
                str(v["wheels"]),
                str(v["lone_wheel"]),
                float(v["wheelbase"]),
                float(v["track"]),
                float(v["cog_from_axle"]),
                float(v["tip_distance"]),
            ),
        ),
    )


STABILITY = Calculator(
    id="stability",
    title="Tipping and sliding",
    chapter="vehicle",
    question="Does it stay on its wheels in the bend and on the side slope?",
    asks=(
        "wheels",
        "single_wheel",
        "track",
        "wheelbase",
        "cog_from_axle",
        "cog_height",
        "corner_radius",
        "side_slope",
        "slope",
        "grip",
        "road_speed",
        "descent_speed",
    ),
    gives=(
        Result("speed_cap", "Speed at which it tips or slides in the bend, as the ground is", "km/h"),
        Result("tip_speed", "Tips in the bend on level ground", "km/h"),
        Result("slide_speed", "Slides in the bend on level ground", "km/h"),
        Result("tip_angle", "Side slope at which it tips standing", "deg"),
        Result("weakest_angle", "Slope at which it tips turned the worst way", "deg"),
        Result("side_limit", "Side slope at which it tips, slope counted", "percent"),
        Result("side_hold", "Side slope at which it tips or slides, slope counted", "percent"),
        Result("tip_share", "Pull to the side at which it tips, of the weight", "percent"),
        Result(
            "textbook", "Track over twice the height, right for four wheels only", "percent", made=_textbook
        ),
        Result("tip_distance", "Centre of gravity from the nearest edge", "mm"),
        Result(
            "braking_speed",
            "Tips or slides in the bend while braking, level",
            "km/h",
            made=_bend_braking,
            optional=True,
            needs=("deceleration",),
        ),
        Result("tip_slope", "Slope where it tips over backwards, standing", "percent"),
        Result("lift_acceleration", "Acceleration uphill that lifts the front", "m/s**2"),
        Result(
            "loads",
            "The load stacked higher",
            columns=(
                Column("lift", "Higher by", "mm"),
                Column("height", "Centre of gravity", "mm"),
                Column("angle", "Tips on a side slope of", "deg"),
                Column("cap", "Speed in the bend", "km/h"),
            ),
            made=_loads,
            optional=True,
            needs=("load_mass", "total_mass"),
        ),
    ),
    rules={
        "tip_speed": step(stability.cornering_speed, share="tip_share"),
        "slide_speed": step(stability.cornering_speed, share="grip"),
        "tip_angle": step(stability.tip_angle),
        "tip_distance": step(stability.tip_distance, single_wheel="lone_wheel"),
        "weakest_angle": step(stability.weakest_angle),
        "lift_acceleration": step(stability.lift_acceleration),
    },
    report=_stability,
    reads=(
        "side_good",
        "bend_cap",
        "bend_speed",
        "descent_speed",
        "road_speed",
        "corner_tip_share",
        "corner_slide_share",
        "side_slope",
        "driven_axle",
        "grip",
        "track",
    ),
)
