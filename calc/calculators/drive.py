"""Does it move off under load?"""

from __future__ import annotations

from calc import figures
from calc.build import Values
from calc.drive import standing
from calc.machine import armature
from calc.spec import UNCOUNTED, Calculator, Finding, Report, Result
from calc.units import show

AIM_FIRST = 0.17  # rad electrical, 10°


def _current_needed(v: Values) -> float | None:
    """The line current that starts it in the worst position, or None when none will do."""
    current = float(v["current_needed"])
    return None if current >= standing.NO_CURRENT_WILL_DO else current


def _standing_start(v: Values) -> Report:
    have, need, mean = v["torque_available_worst"], v["torque_needed"], v["torque_available"]
    findings = []
    astray = abs(v["alignment_error"]) > AIM_FIRST
    if have <= 1e-6 * need:
        findings.append(
            Finding(
                "stop",
                "In some rotor positions the machine pulls backwards or not at all: the sensors switch "
                f"{show(abs(v['alignment_error']), 'deg')} out of place. No current will do.",
                "Move the sensors, then match the leads again.",
            )
        )
    elif have < need:
        findings.append(
            Finding(
                "stop",
                "It stands still when the rotor happens to rest in its weak position: "
                f"{show(need - have, 'N*m')} are missing.",
                f"Mend the sensors first: they are {show(abs(v['alignment_error']), 'deg')} out."
                if astray
                else "Gear lower, take weight off, or raise the phase current limit within reason.",
            )
        )
    elif have < 1.2 * need:
        findings.append(
            Finding(
                "caution",
                "It starts, with less than a fifth in hand. A stone under the wheel takes more.",
                "Gear a step lower.",
            )
        )
    with_current, share = float(v["start_torque_worst"]), float(v["armature_share"])
    if share > armature.ARMATURE_COUNTS:
        left = "nothing is left" if with_current <= 0 else f"{show(with_current, 'N*m')} are left"
        findings.append(
            Finding(
                "stop" if with_current < need <= have else "caution",
                f"At this current the machine's own field is about {share:.2g} times its working field. Sensors see "
                f"both together and switch about {show(v['armature_shift'], 'deg')} early: {left} in the worst "
                "position. The verdict counts with that.",
                "More field current and less line current, and a lower gear. Stall torque with lever and scale at half "
                "this current and at all of it tells how much it is.",
            )
        )
    blind = armature.switching_fault(
        v["sensor_threshold"], v["sensor_field"], v["edge_on_delay"], v["edge_off_delay"]
    )
    if blind:
        findings.append(
            Finding("stop", blind, "More field, or latching sensors of a lower threshold, nearer the bore.")
        )
    elif v["sensor_kind"] == "unipolar":
        left = "nothing" if with_current <= 0 else show(with_current, "N*m")
        findings.append(
            Finding(
                "stop" if with_current < need <= have else "caution",
                f"Unipolar sensors switch on {show(v['edge_on_delay'], 'deg')} late and off "
                f"{show(-v['edge_off_delay'], 'deg')} early. With the pull of the current the edge that is furthest "
                f"off leaves {left} in the worst position.",
                "Latching sensors; else more field at the sensors, or sensors of a lower threshold.",
            )
        )
    if mean > 0 and have < need <= mean:
        findings.append(
            Finding(
                "caution",
                "The average torque would do, the worst position won't: it starts on some "
                "tries and twitches on others.",
                "Count on the worst position.",
            )
        )
    if v["stall_current"] < 0.999 * v["phase_current_limit"]:
        findings.append(
            Finding(
                "caution",
                f"At standstill only {show(v['stall_current'], 'A')} flow: pack voltage, "
                "battery limit and winding resistance hold it below the phase current limit.",
                "Count on this current, not on the label.",
            )
        )
    return Report(
        f"{show(have, 'N*m')}",
        f"in the worst rotor position; {show(need, 'N*m')} are needed",
        f"Averaged over rotor positions the machine gives {show(mean, 'N*m')} at {show(v['stall_current'], 'A')}. "
        f"Between two sensor edges the torque follows an arch, and the wheel decides where on it the rotor rests. "
        f"{show(v['standing_force'], 'N')} at the wheel's rim hold {show(v['total_mass'], 'kg')} on a slope of "
        f"{show(v['slope'], 'percent')} and overcome the rolling.",
        (*findings, UNCOUNTED),
        (
            lambda uid: figures.standing_torque(
                uid, v["alignment_error"], v["emf_constant"], v["stall_current"], need
            ),
        ),
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
    ),
    gives=(
        Result("torque_available", "Mean torque at standstill", "N*m"),
        Result("torque_available_worst", "Torque in the worst rotor position", "N*m"),
        Result("torque_needed", "Torque needed at the motor's sprocket", "N*m"),
        Result("current_needed", "Line current needed in the worst position", "A", made=_current_needed),
        Result("margin", "Margin over what is needed", "percent", "start_margin"),
        Result("armature_shift", "How early its own current makes the sensors switch", "deg"),
        Result(
            "mean_with_current",
            "Mean torque with that and the sensors' threshold counted",
            "N*m",
            "start_torque",
        ),
        Result(
            "torque_with_current",
            "Torque in the worst position with both counted",
            "N*m",
            "start_torque_worst",
        ),
    ),
    report=_standing_start,
    reads=(
        "current_needed",
        "armature_share",
        "stall_current",
        "standing_force",
        "total_mass",
        "slope",
        "sensor_kind",
        "sensor_threshold",
        "sensor_field",
        "edge_on_delay",
        "edge_off_delay",
    ),
)
