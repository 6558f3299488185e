"""How fast may it go, with whom, and how is that set?"""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.errors import NoSolution
from calc.fields import FIELDS
from calc.figures.handling import caps
from calc.findings import Finding
from calc.spec import Calculator, Column, Report, Result
from calc.told.handling import light_rider
from calc.units import show
from calc.vehicle import gearing, rider

_NAMES = {c.key: dict(c.choices) for c in FIELDS["riders"].columns}
BUILT = ("built_speed",)
HANDS = ("throttle_returns", "stop_reach", "dead_man")
MOST_TEETH = 120  # on an axle (common practice, no source)

SHORT = {"grown": "grown", "learner": "first hours", "child": "under 16"} | {
    "alone": "alone",
    "sight": "watched",
    "beside": "walked with",
}
"""Who rides and how watched, in a word or two."""


def _capped(v: Values) -> list[tuple[Any, Any]]:
    """Each row of the riders with its cap, m/s."""
    return list(zip(v["riders"], v["riders_caps"], strict=True))


def _built(v: Values) -> float | None:
    """Top speed on the level, m/s; None where it isn't known yet or the machine can't be worked out."""
    if v.build.missing(*BUILT):
        return None
    try:
        return float(v["built_speed"])
    except NoSolution:
        return None


def _cap(v: Values) -> float:
    """The least of the riders' caps, m/s."""
    return float(min(v["riders_caps"]))


def _ground(v: Values) -> float:
    """What free way and bend allow anybody, m/s."""
    return min(float(v["sight_cap"]), float(v["bend_cap"]))


def _reason(v: Values, kind: str, watched: str) -> str:
    caps = {
        "to stop within the free way": float(v["sight_cap"]),
        "the bend": float(v["bend_cap"]),
        "rider and supervision": float(rider.people_cap(kind, watched)),
    }
    return min(caps, key=caps.__getitem__)


def _table(v: Values) -> list[dict[str, Any]]:
    built = _built(v)
    found = []
    for (kind, watched, limit), cap in _capped(v):
        reached = limit if built is None else built if limit is None else min(limit, built)
        found.append(
            {
                "rider": _NAMES["rider"][kind],
                "watched": _NAMES["watched"][watched],
                "cap": float(cap),
                "reason": _reason(v, kind, watched),
                "reached": reached,
            }
        )
    return found


def _limit_speed(v: Values) -> float:
    """Shaft speed of the motor at the cap, rad/s: what the controller's limit is set to."""
    return float(gearing.motor_speed_at(_cap(v), v["gear_ratio"], v["wheel_diameter"]))


def _teeth(v: Values) -> float | None:
    built, ground = _built(v), _ground(v)
    return None if built is None or ground <= 0.0 else rider.teeth_for(v["driven_teeth"], built, ground)


def _who(v: Values) -> list[Finding]:
    found = []
    for row in _table(v):
        name = f"{row['rider'][0].upper()}{row['rider'][1:]}, {row['watched']}"
        if row["cap"] <= 0.0:
            why = "a child alone" if row["reason"] == "rider and supervision" else row["reason"]
            found.append(Finding("stop", f"{name}: not at all, because of {why}.", "See to that first."))
            continue
        text = f"{name}: {show(row['cap'], 'km/h')} at most, because of {row['reason']}."
        if row["reached"] is None:
            do = "Enter the machine, or the limit set."
            found.append(Finding("caution", f"{text} What the machine reaches isn't known yet.", do))
        elif row["reached"] > row["cap"] * 1.0001:
            found.append(
                Finding(
                    "stop",
                    f"{text} The machine reaches {show(row['reached'], 'km/h')} with them.",
                    "Set the controller's speed limit for them, with a key they don't have.",
                )
            )
        else:
            found.append(Finding("ok", f"{text} It reaches {show(row['reached'], 'km/h')}."))
    return found + _down(v) + light_rider(v)


def _down(v: Values) -> list[Finding]:
    """What is let run downhill, where no limit of the controller holds, against the cap of who rides there."""
    if v.build.missing("descent_speed"):
        return []
    caps = [float(cap) for (_, watched, _), cap in _capped(v) if rider.rides_down(watched)]
    down = float(v["descent_speed"])
    if not caps or down <= min(caps) * 1.0001:
        return []
    return [
        Finding(
            "stop",
            f"Downhill it is let run to {show(down, 'km/h')}; whom nobody walks beside may go "
            f"{show(min(caps), 'km/h')}. The controller's limit holds nothing there.",
            "Somebody walks beside, hand at the brake; or hold less by the brakes, and enter that as the fastest speed "
            "downhill.",
        )
    ]


def _setting(v: Values) -> list[Finding]:
    """The ways to hold the cap, and which of them hold it."""
    if v.build.missing("gear_ratio", "wheel_diameter") or _cap(v) <= 0.0:
        return []
    cap, built = show(_cap(v), "km/h"), _built(v)
    found = [
        Finding(
            "note",
            f"Controller: a limit of {show(_limit_speed(v), 'rpm')} of the motor is {cap}. This is the way to set it.",
            "Set it, wheels up, and read the speed; then on the level. It doesn't brake downhill: children and "
            "beginners are walked down, a helper beside, hand at the brake.",
        )
    ]
    if built is not None and built > _ground(v) > 0.0 and not v.build.missing("driven_teeth"):
        teeth, told = _teeth(v) or 0.0, show(_ground(v), "km/h")
        if teeth > MOST_TEETH:
            text = (
                f"Gearing: {teeth:g} teeth on the axle would be needed for {told}, what free way and bend allow "
                "anybody."
            )
            found.append(
                Finding("note", text, "No sprocket has that many here: leave it to the controller's limit.")
            )
        else:
            found.append(
                Finding(
                    "note",
                    f"Gearing: about {teeth:g} teeth on the axle for {float(v['driven_teeth']):g} bring the top "
                    "speed from "
                    f"{show(built, 'km/h')} down to {told}, what free way and bend allow anybody. No switch "
                    "undoes that.",
                    "Downhill the machine then turns faster and makes more volts: see volts made downhill.",
                )
            )
    found.append(
        Finding(
            "caution",
            "Field current is no way to limit speed: less field makes the machine faster, and with none it runs away.",
            "Never lower the field, or fit a throttle stop alone, to make it slow for somebody.",
        )
    )
    return found


def _hands(v: Values) -> list[Finding]:
    """Throttle, stop and cord, where they were entered."""
    said = {key: v[key] for key in HANDS if key in v.build.entered}
    faults = rider.stopping_faults(**{key: said.get(key, "") for key in HANDS}, riders=v["riders"])
    found = [Finding("stop", text, do) for text, do in faults]
    if said.get("dead_man") == "no" and all(kind == "grown" for kind, *_ in v["riders"]):
        found.append(
            Finding(
                "caution",
                "Nothing stops the drive when the rider falls off.",
                "A cord from wrist to stop, or a seat switch; tried with the pack off.",
            )
        )
    missing = [FIELDS[key].name for key in HANDS if key not in said]
    if missing:
        found.append(
            Finding("caution", f"Not said: {'; '.join(missing)}.", "Try them, pack off, and enter them.")
        )
    return found


def _bars(v: Values) -> list[tuple[str, float]]:
    """What the figure shows: the ground's two caps, then each rider's own."""
    ground = [("stops in the free way", float(v["sight_cap"])), ("the tightest bend", float(v["bend_cap"]))]
    people = [(SHORT[kind] + ", " + SHORT[watched], float(cap)) for (kind, watched, _), cap in _capped(v)]
    return [*ground, *people]


def _rider_cap(v: Values) -> Report:
    cap, ground = _cap(v), _ground(v)
    row = min(_table(v), key=lambda one: one["cap"])
    return Report(
        show(cap, "km/h") if cap > 0 else "not at all",
        f"for the slowest of the riders ({row['rider']}, {row['watched']}): {row['reason']}",
        f"Stopping within the free way allows {show(v['sight_cap'], 'km/h')} downhill, the tightest bend "
        f"{show(v['bend_cap'], 'km/h')} at half the pull to the side that tips or slides it: {show(ground, 'km/h')} "
        "for anybody. The pace of learners, children and whoever walks beside is common practice, no source.",
        (
            *_who(v),
            *_setting(v),
            *_hands(v),
            Finding(
                "caution",
                "Whether somebody may ride it at all, how old, where and how fast, is for local rules and for "
                "the parents.",
                "Ask before, not after.",
            ),
        ),
        (lambda uid: caps(uid, _bars(v), _built(v)),),
    )


RIDER_CAP = Calculator(
    id="rider-cap",
    title="Rider cap",
    chapter="vehicle",
    question="How fast may it go, and with whom?",
    asks=("riders", "sight_distance", "corner_radius", *HANDS),
    gives=(
        Result("rider_cap", "Speed for the slowest rider", "km/h", made=_cap),
        Result("sight_cap", "Stops within the free way, downhill", "km/h"),
        Result("bend_cap", "In the bend, at half the pull to the side that it stands", "km/h"),
        Result(
            "built_speed", "The machine reaches", "km/h", made=_built, optional=True, needs=("built_speed",)
        ),
        Result(
            "limit_speed_motor",
            "Controller's limit for the cap",
            "rpm",
            made=_limit_speed,
            optional=True,
            needs=("gear_ratio", "wheel_diameter"),
        ),
        Result(
            "limit_teeth",
            "Teeth on the axle for what free way and bend allow",
            "",
            made=_teeth,
            optional=True,
            needs=("built_speed", "driven_teeth"),
        ),
        Result(
            "riders_table",
            "Each rider",
            columns=(
                Column("rider", "Rider"),
                Column("watched", "Watched"),
                Column("cap", "At most", "km/h"),
                Column("reason", "Because of"),
                Column("reached", "It reaches", "km/h"),
            ),
            made=_table,
        ),
    ),
    report=_rider_cap,
    reads=("riders", "riders_caps"),
    optional=(*HANDS, "descent_speed", "rider_mass"),
    despite_sensors=True,
    hinges=("sight_cap", "bend_cap"),
)
