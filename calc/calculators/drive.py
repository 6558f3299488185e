"""Does it move off under load?"""

from __future__ import annotations

from calc import figures
from calc.build import Values
from calc.spec import Calculator, Finding, Report, Result
from calc.units import show


def _standing_start(v: Values) -> Report:
    have, need, mean = v["torque_available_worst"], v["torque_needed"], v["torque_available"]
    findings = []
    if have <= 0:
        findings.append(
            Finding(
                "stop",
                "In some rotor positions the machine pulls backwards or not at all: the "
                "sensors switch too far out of place.",
                "Move the sensors, then match the leads again.",
            )
        )
    elif have < need:
        findings.append(
            Finding(
                "stop",
                f"It stands still when the rotor happens to rest in its weak position: "
                f"{show(need - have, 'N*m')} are missing.",
                "Gear lower, take weight off, or raise the phase current limit if the machine stands it.",
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
        tuple(findings),
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
        Result("current_needed", "Line current needed in the worst position", "A"),
        Result("margin", "Margin over what is needed", "percent", "start_margin"),
    ),
    report=_standing_start,
    reads=("stall_current", "standing_force", "total_mass", "slope"),
)
