"""Does it move off under load?"""

from __future__ import annotations

from calc.build import Values
from calc.calculators.standing import places, way
from calc.drive import launch, standing
from calc.figures.launch import standing_torque
from calc.findings import Finding
from calc.graph import step
from calc.machine import armature
from calc.spec import Calculator, Column, Report, Result
from calc.told import UNCOUNTED
from calc.told.machine import one_field, too_much_current
from calc.units import show

AIM_FIRST = 0.17  # rad electrical, 10°


def _current_needed(v: Values) -> float | None:
    """The line current that starts it in the worst position, or None when none will do."""
    current = float(v["current_needed"])
    return None if current >= standing.NO_CURRENT_WILL_DO else current


def _main(v: Values, least: float) -> list[Finding]:
    """Whether it moves off in the worst place, `least` torque there (N·m)."""
    bare, need = float(v["torque_available_worst"]), float(v["breakaway_needed"])
    astray = abs(v["alignment_error"]) > AIM_FIRST
    if bare <= 1e-6 * need:
        return [
            Finding(
                "stop",
                "In some rotor positions the machine pulls backwards or not at all: the sensors switch "
                f"{show(abs(v['alignment_error']), 'deg')} out of place. No current will do.",
                "Move the sensors, then match the leads again.",
            )
        ]
    if least < need:
        mend = (
            f"Mend the sensors first: they are {show(abs(v['alignment_error']), 'deg')} out."
            if astray
            else "More field and less line current, and a lower gear."
            if v["start_share"] > armature.ARMATURE_COUNTS
            else "Gear lower, take weight off, or raise the phase current limit within reason."
        )
        return [
            Finding(
                "stop",
                "It stands still when the rotor happens to rest in its weak position: "
                f"{show(need - least, 'N*m')} are missing.",
                mend,
            )
        ]
    if least < standing.IN_HAND * need:
        text = "It starts, with less than a fifth in hand. A stone under the wheel takes more."
        return [Finding("caution", text, "Gear a step lower.")]
    return []


def _by_current(v: Values) -> list[Finding]:
    """What the machine's own current and the sensors' thresholds take."""
    need = float(v["breakaway_needed"])
    bare = float(v["torque_available_worst"] * v["start_current"] / v["stall_current"])
    with_current, share = float(v["start_torque_worst"]), float(v["start_share"])
    stops = with_current < need <= bare
    found = []
    if share > armature.ARMATURE_COUNTS and with_current >= bare:
        found.append(
            Finding(
                "ok",
                f"Sensors are late by {show(v['alignment_error'], 'deg')}, and the current pulls them "
                f"{show(v['start_shift'], 'deg')} early: that makes up for it at the start, "
                f"{show(with_current, 'N*m')} instead of {show(bare, 'N*m')} in the worst position. At less current it "
                "makes up for less.",
            )
        )
    elif share > armature.ARMATURE_COUNTS:
        left = "nothing" if with_current <= 0 else show(with_current, "N*m")
        found.append(
            Finding(
                "stop" if stops else "caution",
                f"At this current the machine's own field is about {share:.2g} times its working field. Sensors see "
                f"both together and switch about {show(v['start_shift'], 'deg')} early: {left} "
                f"of {show(bare, 'N*m')} is left in the worst position.",
                "More field current and less line current, and a lower gear."
                + (
                    ""
                    if "stall_test" in v.build.entered
                    else " The stall test with lever and scale tells how much it is."
                ),
            )
        )
    blind = armature.switching_fault(
        v["sensor_threshold"], v["sensor_field"], v["edge_on_delay"], v["edge_off_delay"]
    )
    if blind:
        mend = "More field, or latching sensors of a lower threshold, nearer the bore."
        found.append(Finding("stop", blind, mend))
    elif v["sensor_kind"] == "unipolar":
        left = "nothing" if with_current <= 0 else show(with_current, "N*m")
        found.append(
            Finding(
                "stop" if stops else "caution",
                f"Unipolar sensors switch on {show(v['edge_on_delay'], 'deg')} late and off "
                f"{show(-v['edge_off_delay'], 'deg')} early. With the pull of the current the edge that is furthest "
                f"off leaves {left} in the worst position.",
                "Latching sensors; else more field at the sensors, or sensors of a lower threshold.",
            )
        )
    return found


def _beside(v: Values, least: float) -> list[Finding]:
    need, mean, found = float(v["breakaway_needed"]), float(v["start_torque"]), []
    if least < float(v["start_torque_worst"]) - 0.02 * abs(mean):
        text = (
            f"Sensors off their places leave {show(max(least, 0.0), 'N*m')} in one sector "
            f"({places.words(v)}), where an even set would leave {show(v['start_torque_worst'], 'N*m')}."
        )
        found.append(Finding("caution", text, "Move the sensor whose lamp is too long or too short."))
    if mean > 0 and least < need <= mean:
        found.append(
            Finding(
                "caution",
                "The average torque would do, the worst position won't: it starts on some "
                "tries and twitches on others.",
                "Count on the worst position.",
            )
        )
    if v["stall_current"] < 0.999 * v["phase_current_limit"]:
        found.append(
            Finding(
                "caution",
                f"At standstill only {show(v['stall_current'], 'A')} flow: pack voltage, "
                "battery limit and winding resistance hold it below the phase current limit.",
                "Count on this current, not on the label.",
            )
        )
    return found


def _gathers(v: Values) -> str:
    found = way.gathering(v)
    if found is None:
        return "It doesn't reach walking pace on this slope."
    return (
        f"So it reaches walking pace ({show(launch.WALKING_PACE, 'm/s')}) in {show(found[0], 's', 2)} "
        f"and {show(found[1], 'm', 2)}."
    )


def _in_hand(v: Values) -> float:
    """What the worst position has over what breaking away takes, as a share of it."""
    need = float(v["breakaway_needed"])
    return (float(v["start_torque_worst"]) - need) / need


def _standing_start(v: Values) -> Report:
    drawn, bare, worst = places.curves(v)
    need = float(v["breakaway_needed"])
    findings = (
        *_main(v, worst.torque),
        *_by_current(v),
        *too_much_current(v),
        *one_field(v),
        *_beside(v, worst.torque),
        *way.grip_findings(v),
        *way.stall_findings(v),
        UNCOUNTED,
    )
    return Report(
        f"{show(worst.torque, 'N*m')}",
        f"in the worst rotor position; {show(need, 'N*m')} are needed to break away",
        f"Worst place: {worst.words}. Averaged over rotor positions the machine gives "
        f"{show(v['start_torque'], 'N*m')} at {show(v['start_current'], 'A')}, the current's pull on the sensors "
        f"counted. Between two sensor edges the torque follows an arch, and the wheel decides where on it the rotor "
        f"rests. {show(v['standing_force'], 'N')} at the wheel's rim hold {show(v['total_mass'], 'kg')} on a slope of "
        f"{show(v['slope'], 'percent')} and overcome the rolling: {show(v['torque_needed'], 'N*m')}; the machine's own "
        f"sticking is {show(v['breakaway_torque'], 'N*m')}. {_gathers(v)}",
        findings,
        (lambda uid: standing_torque(uid, drawn, bare, need, (worst.angle, worst.torque)),),
    )


STANDING_START = Calculator(
    id="standing-start",
    title="Standing start",
    chapter="decide",
    question="Does it move off on the slope, wherever the rotor rests?",
    asks=(
        "emf_constant",
        "phase_current_limit",
        "slope",
        "total_mass",
        "rolling_coefficient",
        "driver_teeth",
        "driven_teeth",
        "wheel_diameter",
        "alignment_error",
        "grip",
    ),
    gives=(
        Result("in_hand", "In hand in the worst position, all counted", "percent", made=_in_hand),
        Result(
            "torque_with_current", "Torque in the worst position, all counted", "N*m", "start_torque_worst"
        ),
        Result("breakaway_needed", "Torque to break away, the machine's own sticking counted", "N*m"),
        Result("mean_with_current", "Mean torque, all counted", "N*m", "start_torque"),
        Result("start_current", "Line current that starts most", "A"),
        Result("full_current_torque", "Worst position with all of the current", "N*m", "full_torque_worst"),
        Result("armature_shift", "How early it makes the sensors switch", "deg", "start_shift"),
        Result("worst_sector", "Worst place of the rotor", made=places.words),
        Result("grip_force", "Force that the driven tyres hold at a crawl", "N"),
        Result("start_held", "The same while it gathers way", "N"),
        Result("start_slope", "The hardest start uphill is like standing on", "percent"),
        Result("tip_slope", "Slope where it tips over backwards, standing", "percent"),
        Result("front_share", "Weight on the front axle at a hard start", "percent", made=way.front_at_start),
        Result("launch_time", "Time to walking pace uphill", "s", made=way.time, nothing="never"),
        Result("launch_distance", "Distance to walking pace uphill", "m", made=way.distance, nothing="never"),
        Result("stall_loss", "Heat while stalled", "W"),
        Result("hottest_coil", "Of it in the hottest coil", "W", made=way.hottest),
        Result("stall_time", "How long a stall may last", "s", made=way.stall_seconds),
        Result(
            "torque_available",
            "For comparison, the current's pull on the sensors left out: mean torque",
            "N*m",
        ),
        Result("torque_available_worst", "The same in the worst rotor position", "N*m"),
        Result("torque_needed", "Needed at the sprocket for slope and rolling alone", "N*m"),
        Result(
            "current_needed",
            "Line current for that, pull left out",
            "A",
            made=_current_needed,
            nothing="no current will do",
        ),
        Result("margin", "Margin over that, pull left out", "percent", "start_margin"),
        Result(
            "positions",
            "Sector by sector",
            columns=(
                Column("lamps", "Lamps 1 2 3"),
                Column("begin", "From", "deg"),
                Column("end", "To", "deg"),
                Column("first", "Torque at its begin", "N*m"),
                Column("last", "Torque at its end", "N*m"),
            ),
            made=places.table,
        ),
    ),
    rules={
        "stall_loss": step(launch.stall_loss, current="stall_current"),
    },
    report=_standing_start,
    hinges=("start_torque_worst", "breakaway_needed"),
    reads=(
        "current_needed",
        "hardest_force",
        "start_share",
        "start_current",
        "armature_shift",
        "stall_current",
        "standing_force",
        "total_mass",
        "slope",
        "sensor_kind",
        "sensor_threshold",
        "sensor_field",
        "edge_on_delay",
        "edge_off_delay",
        "sensor_spacing",
        "breakaway_torque",
        "friction_torque",
        "iron_share",
        "moved_mass",
        "wheelbase",
        "cog_from_axle",
        "cog_height",
        "line_resistance",
        "winding_mass",
        "winding_temperature",
        "insulation_class",
        "connection",
    ),
    optional=("sensor_offsets", "bore_diameter"),
)
