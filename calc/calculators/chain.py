"""Does the chain stand it, and how long is it?"""

from __future__ import annotations

from calc.build import Values
from calc.figures.chain import drive
from calc.findings import Finding
from calc.graph import alias, step
from calc.spec import Calculator, Report, Result
from calc.told import LARGER_CHAIN
from calc.units import plain, show
from calc.vehicle import chain, pairs

JACKSHAFT = {"jackshaft_driven_teeth", "jackshaft_driver_teeth"}
"""With both entered there are two chains."""
LEVEL = ("level_motor_speed", "level_load")
"""What the rating at the speed wanted on the level rests on."""


def _axle_rating(v: Values, at: str = "motor_speed") -> float | None:
    """Power that the chain from a jackshaft to the axle carries for long, W, the machine turning as fast as the node
    `at`; None without a jackshaft."""
    if not v.build.entered.keys() >= JACKSHAFT:
        return None
    return float(
        chain.second_rating(
            v["chain_size"],
            v["chain_pitch"],
            v["driver_teeth"],
            v["jackshaft_driven_teeth"],
            v["jackshaft_driver_teeth"],
            v[at],
        )
    )


def _weaker(first: float, second: float | None) -> float:
    return first if second is None else min(first, second)


def _rating(v: Values) -> float:
    """Power that the chain, or the weaker of the two, carries for long, W."""
    return _weaker(float(v["motor_rating"]), _axle_rating(v))


def _level_rating(v: Values) -> float:
    """The same at the speed wanted on the level, W."""
    return _weaker(float(v["motor_rating_level"]), _axle_rating(v, "level_motor_speed"))


def _rated(v: Values) -> list[Finding]:
    """What the chain carries for long at the climb's speed and at the one wanted on the level; the worse is told."""
    ways = [(_rating(v), float(v["rating_needed"]), _axle_rating(v), "")]
    if not v.build.missing(*LEVEL):
        at = f"At {show(v['road_speed'], 'km/h')} on the level"
        needed, axle = float(v["level_rating_needed"]), _axle_rating(v, "level_motor_speed")
        ways.append((_level_rating(v), needed, axle, at))
    has, asked, second, level = min(ways, key=lambda way: way[0] / max(way[1], 1e-9))
    if has >= asked:
        return []
    which, where = "an oiled chain", "the motor"
    if second is not None and has == second:
        which, where = "the oiled chain from jackshaft to axle", "the jackshaft"
    carries = f"{which} carries {show(has, 'W')}"
    text = f"{level} {carries}" if level else f"On long climbs {carries} at this speed"
    mend = (
        "Slower, or larger sprockets of the same ratio"
        if level
        else f"A larger chain or more teeth on {where}"
    )
    return [
        Finding(
            "caution", f"{text}; {show(asked, 'W')} are asked.", f"It holds, and wears fast. {mend}; oil it."
        )
    ]


def _strength(v: Values) -> list[Finding]:
    pull, has, needed = (float(v[k]) for k in ("chain_pull", "chain_strength", "strength_needed"))
    text = (
        f"{show(pull, 'N')} at the most that the machine pulls: {plain(has / pull, 3)} times as much breaks it, "
        f"{chain.SAFE:g} times are wanted."
    )
    if has >= needed:
        return [Finding("ok", text)]
    return [
        Finding(
            "stop",
            f"The chain is too weak. {text}",
            f"{LARGER_CHAIN} A chain that breaks under load whips, and takes the motor's hold on the wheel with it.",
        )
    ]


def _length(v: Values) -> list[Finding]:
    pitch, center, exact = (float(v[k]) for k in ("chain_pitch", "center_distance", "center_distance_exact"))
    least = float(chain.least_center(pitch, v["driver_teeth"], v["chain_driven_teeth"]))
    if center < least:
        return [
            Finding(
                "stop",
                f"The sprockets touch: their centres are {show(center, 'mm')} apart, {show(least, 'mm')} is the least.",
                "Move the shafts apart, or smaller sprockets of the same ratio.",
            )
        ]
    move = exact - center
    way = "more" if move > 0.0 else "less"
    found = [
        Finding(
            "note",
            f"{v['links']:.0f} links lie without slack at {show(exact, 'mm', 4)}: {show(abs(move), 'mm', 2)} {way} "
            f"than the distance entered. Set {show(chain.SAG * center, 'mm', 2)} of play in the middle of the loose "
            "side.",
            f"Give the motor's mount {show(pitch, 'mm', 2)} of adjustment or more: that is a pair of links, and wear.",
        )
    ]
    found += _ground(v)
    pitches = center / pitch
    low, high = chain.CENTER_PITCHES
    if not low <= pitches <= high:
        found.append(
            Finding(
                "caution",
                f"The centres are {plain(pitches, 3)} pitches apart; {low:g} to {high:g} run well, 30 to 50 best "
                "(common practice, no source).",
                "Further apart where it is too near; a tensioner on the loose side where it is too far.",
            )
        )
    if float(v["wrap"]) < chain.LEAST_WRAP:
        found.append(
            Finding(
                "caution",
                f"The chain lies only {show(v['wrap'], 'deg', 3)} round the small sprocket; 120° or more carry well.",
                "Shafts further apart, or two stages.",
            )
        )
    line_up = chain.OUT_OF_LINE * center
    found.append(
        Finding(
            "note",
            f"Sprockets in line within {show(line_up, 'mm', 2)} (common practice, no source), by a straight edge.",
            "Out of line it climbs the teeth and comes off under load.",
        )
    )
    return found


def _ground(v: Values) -> list[Finding]:
    """Whether the axle's sprocket clears the ground; with a jackshaft its own sprocket isn't the axle's."""
    if "jackshaft_driven_teeth" in v.build.entered:
        return []
    left = float(chain.ground_left(v["wheel_diameter"], v["driven_pitch_diameter"], v["chain_pitch"]))
    if left >= chain.OFF_GROUND:
        return []
    where = "drags on the ground" if left <= 0.0 else f"hangs {show(left, 'mm', 2)} above the ground"
    return [
        Finding(
            "stop" if left <= 0.0 else "caution",
            f"The axle's sprocket, {show(v['driven_pitch_diameter'], 'mm')} across, {where}.",
            "A chain of smaller pitch, fewer teeth, a jackshaft with two stages, or larger wheels.",
        )
    ]


def _findings(v: Values) -> list[Finding]:
    found = _strength(v) + _length(v)
    found += _rated(v)
    if v.build.entered.keys() >= JACKSHAFT:
        found.append(
            Finding(
                "note",
                "Links and centre distance are those of the chain from motor to jackshaft. Strength and rating count "
                "both.",
                "For the length of the axle's chain enter its two sprockets as a drive of its own, without jackshaft.",
            )
        )
    if v["driver_teeth"] < pairs.FEWEST:
        found.append(
            Finding(
                "caution",
                f"With {v['driver_teeth']:.0f} teeth the chain's speed wavers by "
                f"{show(v['speed_variation'], 'percent', 2)} a tooth.",
                f"{pairs.FEWEST} teeth or more where there is room: smoother, quieter, less wear.",
            )
        )
    found.append(
        Finding(
            "caution",
            "A chain takes a fingertip at walking pace, and cloth and hair at once.",
            "A guard over chain and both sprockets before the first powered turn; measure and oil it with the pack "
            "unplugged.",
        )
    )
    return found


def _chain(v: Values) -> Report:
    driver, driven, center = (
        float(v[k]) for k in ("driver_pitch_diameter", "driven_pitch_diameter", "center_distance_exact")
    )
    words = (
        f"{v['driver_teeth']:.0f} teeth, {show(driver, 'mm', 4)}",
        f"{v['chain_driven_teeth']:.0f} teeth, {show(driven, 'mm', 4)}",
        f"{v['links']:.0f} links, {show(center, 'mm', 4)}",
    )
    return Report(
        f"{v['links']:.0f} links",
        f"{plain(float(v['safety_factor']), 3)} times as strong as its highest pull",
        f"At {show(v['torque'], 'N*m')} the tight side pulls {show(v['tension'], 'N')}. That torque is the most that "
        "the machine makes at the controller's limit, copper cold and pack full, unless you type another. The length "
        "is that of two tangents and of the teeth that each sprocket wraps, to the nearest even number.",
        tuple(_findings(v)),
        (lambda uid: drive(uid, driver, driven, center, words),),
    )


_BETWEEN = {"pitch": "chain_pitch", "driven_teeth": "chain_driven_teeth"}

CHAIN = Calculator(
    id="chain",
    title="Chain",
    chapter="vehicle",
    question="How long is the chain, and does it stand the pull?",
    asks=("chain_size", "driver_teeth", "driven_teeth", "center_distance", "chain_strength"),
    gives=(
        Result("links", "Links"),
        Result("center_distance_exact", "Centre distance for them, no slack", "mm"),
        Result("driver_pitch_diameter", "Pitch diameter on the motor", "mm"),
        Result("driven_pitch_diameter", "Pitch diameter driven", "mm"),
        Result("tension", "Pull in the tight side", "N"),
        Result("safety_factor", "Tensile strength over the highest pull"),
        Result("speed_variation", "Speed wavers within each tooth", "percent"),
        Result("dip", "Chain rises and falls within each tooth, of the radius", "percent"),
        Result("wrap", "Wrap on the small sprocket", "deg"),
        Result(
            "rating", "Power that it carries for long, oiled; of two chains the weaker", "W", made=_rating
        ),
        Result("rating_needed", "Rating that the climb asks for", "W"),
        Result("chain_speed", "Speed of the chain there", "m/s"),
        Result(
            "level_rating",
            "Power that it carries for long at the speed wanted on the level",
            "W",
            made=_level_rating,
            optional=True,
            needs=("motor_rating_level", *LEVEL),
        ),
        Result("level_rating_needed", "Rating that this asks for", "W", optional=True),
        Result("strength", "Tensile strength counted with", "kN", "chain_strength"),
    ),
    report=_chain,
    # With nothing typed for the shaft: the most that the machine pulls, and the climb at its speed.
    rules={
        "torque": alias("most_torque"),
        "motor_speed": alias("climb_motor_speed"),
        "driven_pitch_diameter": step(chain.pitch_diameter, pitch="chain_pitch", teeth="chain_driven_teeth"),
        "links": step(chain.links, **_BETWEEN),
        "center_distance_exact": step(chain.center_distance_exact, **_BETWEEN),
        "tension": step(chain.tension),
        "safety_factor": step(chain.safety_factor),
        "speed_variation": step(chain.speed_variation),
        "dip": step(chain.chordal_dip),
        "wrap": step(chain.wrap, **_BETWEEN),
        "motor_rating": step(chain.rating, pitch="chain_pitch"),
        "motor_rating_level": step(chain.rating, pitch="chain_pitch", motor_speed="level_motor_speed"),
        "rating_needed": step(chain.rating_needed, force="climb_load", speed="climb_speed"),
        "level_rating_needed": step(chain.rating_needed, force="level_load", speed="road_speed"),
        "chain_speed": step(chain.chain_speed, pitch="chain_pitch"),
    },
    reads=(
        "chain_pitch",
        "chain_pull",
        "strength_needed",
        "center_distance",
        "chain_driven_teeth",
        "driver_teeth",
        "wheel_diameter",
        "torque",
        "motor_rating",
        "motor_speed",
    ),
    optional=tuple(sorted(JACKSHAFT)),
    despite_sensors=True,
    early=dict.fromkeys(
        (
            "links",
            "center_distance_exact",
            "driver_pitch_diameter",
            "driven_pitch_diameter",
            "speed_variation",
            "wrap",
        ),
        (),
    ),
    early_findings=_length,
)
