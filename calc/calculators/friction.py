"""What the machine loses by itself: friction by run-down, and by the current of running free."""

from __future__ import annotations

from calc.build import Values
from calc.figures.rows import rows_about_mean
from calc.findings import Finding
from calc.graph import step
from calc.machine import bench
from calc.machine.scatter import ROWS_APART
from calc.spec import Calculator, Report, Result
from calc.units import show, show_spread

TIMING_COUNTS = 0.15  # from this ± on a better clock is worth it (common practice, no source)
DRIVE_ALONE = (
    0.3  # ± of the drive's current alone: a controller's loss at no load (common practice, no source)
)
AGREE = 0.3  # two ways to measure friction agree within this share (common practice, no source)


def _has(v: Values, node: str) -> bool:
    return not v.build.missing(node)


def _friction_spread(v: Values) -> float:
    """Timing, and the ± of the moment of inertia."""
    inertia = v.build.input("rotor_inertia")
    return float((v["friction_spread"] ** 2 + (inertia.spread / inertia.value) ** 2) ** 0.5)


def _friction(v: Values) -> Report:
    coasted, driven = _has(v, "tested_friction"), _has(v, "friction_by_drive")
    if not coasted and not driven:
        v.build.need("tested_friction")
    if not coasted:
        value = float(v["friction_by_drive"])
        torques = [float(x) for x in bench.drags(v["no_load_test"], v["controller_efficiency"])]
        return Report(
            show(value, "N*m"),
            "of friction at 1000 rpm, by the drive's current",
            "Power into the controller, its loss taken off, divided by the speed: bearings, brushes, fan and iron. The "
            "little that the copper loses is left in.",
            (
                Finding(
                    "caution",
                    "Only the drive's current was measured. A controller's loss at no load is the weak number.",
                    f"Enter {show(value, 'N*m')} as friction torque, as a guess, or add a run-down.",
                ),
            ),
            (lambda uid: rows_about_mean(uid, "Friction", "N*m", torques, value, DRIVE_ALONE),),
        )
    value, spread = float(v["tested_friction"]), _friction_spread(v)
    torques = [float(v["rotor_inertia"]) * loss for loss in bench.decelerations_there(v["coast_down_test"])]
    found = []
    if v["friction_spread"] > TIMING_COUNTS:
        found.append(
            Finding(
                "caution",
                f"Timing alone leaves ± {show(v['friction_spread'], 'percent', 2)}.",
                "Time a longer fall of speed, from a film of the tachometer, and take five rows.",
            )
        )
    if v.build.input("rotor_inertia").source == "usual":
        found.append(
            Finding(
                "caution",
                "The rotor's moment of inertia wasn't entered; the answer is only as good as its usual range.",
                "Weigh the rotor: 0.4 times mass times the square of its radius is near (common practice, no source).",
            )
        )
    if max(torques) > (1.0 + ROWS_APART) * min(torques):
        found.append(
            Finding(
                "note",
                f"The rows differ: {show(min(torques), 'N*m')} to "
                f"{show(max(torques), 'N*m')} at 1000 rpm, the usual law of drag over speed counted.",
                "Timing, or a machine that drags otherwise. Take the rows over the speeds that you will ride at.",
            )
        )
    if driven:
        by_drive = float(v["friction_by_drive"])
        agree = abs(by_drive - value) < max(AGREE, spread) * value
        found.append(
            Finding(
                "ok" if agree else "caution",
                f"Running free as a motor it takes {show(by_drive, 'N*m')}; the two {'agree' if agree else 'differ'}.",
                ""
                if agree
                else "Check the moment of inertia first, then that the field was on for both, then the sensors: wrong "
                "timing takes current too.",
            )
        )
    return Report(
        show_spread(value, spread, "N*m"),
        "of friction at 1000 rpm",
        f"A rotor of {show(v['rotor_inertia'], 'kg*m**2')} that loses its speed so fast is held back by this "
        "much: bearings, "
        "brushes, fan, and the iron that the field magnetises.",
        tuple(found),
        (lambda uid: rows_about_mean(uid, "Friction", "N*m", torques, value, spread),),
    )


FRICTION_TEST = Calculator(
    id="friction-test",
    title="Friction",
    chapter="convert",
    question="How much torque does it lose by itself?",
    asks=("coast_down_test", "rotor_inertia", "no_load_test", "controller_efficiency"),
    gives=(
        Result(
            "friction_torque", "Friction at 1000 rpm by run-down", "N*m", "tested_friction", optional=True
        ),
        Result(
            "spread",
            "How far timing and inertia leave it open",
            "percent",
            optional=True,
            made=_friction_spread,
            needs=("friction_spread", "rotor_inertia"),
        ),
        Result("friction_by_drive", "Friction at 1000 rpm by the drive's current", "N*m", optional=True),
    ),
    report=_friction,
    rules={
        "tested_friction": step(bench.friction_torque),
        "friction_by_drive": step(bench.friction_by_drive),
    },
    optional=("no_load_test", "coast_down_test"),
)
