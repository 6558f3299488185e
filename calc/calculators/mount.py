"""Do shaft, joint and mount hold what the chain pulls?"""

from __future__ import annotations

from calc.build import Values
from calc.fields import FIELDS
from calc.figures.mount import bars, forces
from calc.findings import Finding
from calc.spec import Calculator, Report, Result
from calc.told import THICKER_BOLTS
from calc.units import plain, show


def _parts(v: Values) -> list[tuple[str, float, float, str, str]]:
    """What holds: name, what it stands, what is asked, the unit, what to do when it is too little."""
    found = [
        (
            "shaft",
            float(v["shaft_allowed"]),
            float(v["shaft_asked"]),
            "N*m",
            "The sprocket nearer to the bearing, a larger sprocket (less pull), or an outer bearing.",
        ),
        (
            "bolts of the mount",
            float(v["bolt_allowed"]),
            float(v["bolt_load"]),
            "N",
            THICKER_BOLTS,
        ),
    ]
    if not v.build.missing("joint_torque"):
        found.insert(
            0,
            (
                "sprocket's joint",
                float(v["joint_torque"]),
                float(v["joint_needed"]),
                "N*m",
                "A longer key, a nut tightened to more where its thread stands it, or a spline.",
            ),
        )
    return found


def _slips(v: Values) -> list[Finding]:
    """Whether friction alone keeps the machine where it was set, bolts tightened as told."""
    grip, shear = float(v["bolt_grip"]), float(v["bolt_shear"])
    text = f"Tight bolts hold {show(grip, 'N')} each by friction; {show(shear, 'N')} push the worst one sideways."
    wrench = f"Tighten to {show(v['tightening'], 'N*m', 2)}, thread dry as it comes."
    if grip >= shear:
        return [Finding("ok", text, wrench)]
    return [
        Finding(
            "caution",
            f"{text} The machine creeps in its slots, the chain gets slack and the bolts work loose.",
            f"{wrench} A screw that pushes against the machine, or thicker bolts of class 8.8.",
        )
    ]


def _bearing(v: Values) -> list[Finding]:
    """The bearing's load beside what it may carry, where both are known."""
    if v.build.missing("bearing_load"):
        if "bearing_limit" not in v.build.entered:
            return []
        return [
            Finding(
                "caution",
                "What the bearing may carry is entered; what it carries isn't known without the distance to the other.",
                f"Measure it and enter {FIELDS['bearing_span'].quoted}.",
            )
        ]
    load = float(v["bearing_load"])
    text = f"The bearing at the sprocket carries {show(load, 'N')} at the highest pull"
    if "bearing_limit" not in v.build.entered:
        return [
            Finding(
                "caution",
                f"{text}; what it may carry isn't entered.",
                "Read the number on it, look up its static load rating in a bearing table, and enter "
                f"{FIELDS['bearing_limit'].quoted}.",
            )
        ]
    limit = float(v["bearing_limit"])
    if load <= limit:
        return [Finding("ok", f"{text}; it may carry {show(limit, 'N')}.")]
    return [
        Finding(
            "stop",
            f"{text}; it may carry {show(limit, 'N')}. It dents, gets rough and seizes.",
            "The sprocket nearer to the bearing, a larger sprocket, or an outer bearing.",
        )
    ]


def _findings(v: Values) -> list[Finding]:
    found = []
    for name, stands, asked, unit, do in _parts(v):
        text = f"The {name}: {show(stands, unit)} may be asked, {show(asked, unit)} are."
        found.append(Finding("ok" if stands >= asked else "stop", text, "" if stands >= asked else do))
    if v.build.missing("joint_torque"):
        found.append(
            Finding(
                "caution",
                "How the sprocket is held on the shaft isn't entered.",
                "Key: width, height, length. Nut against a shoulder: torque, thread, shoulder. A grub screw alone "
                "slips, then wears the shaft round.",
            )
        )
    found += [*_slips(v), *_bearing(v)]
    round_shaft = "" if "mount_offset" in v.build.entered else " (bolts taken as lying round the shaft)"
    found.append(
        Finding(
            "caution",
            f"The chain pulls {show(v['motor_pull'], 'N')} at one side of a machine whose bearing was made for a belt; "
            f"the machine twists in its bolts with {show(v['mount_twist'], 'N*m')}{round_shaft}.",
            "A plate that doesn't bend by hand, braced both ways. After the first ride: bearing no warmer than a hand "
            "stands, every bolt tight, a line across head and plate unbroken.",
        )
    )
    return found


def _mount(v: Values) -> Report:
    parts = _parts(v)
    weakest = min(parts, key=lambda part: part[1] / max(part[2], 1e-9))
    return Report(
        f"{plain(weakest[1] / max(weakest[2], 1e-9), 3)} times",
        f"what is asked of the weakest, the {weakest[0]}",
        f"The most that the machine makes at the controller's limit, copper cold and pack full, is "
        f"{show(v['most_torque'], 'N*m')}; the chain then pulls {show(v['motor_pull'], 'N')}. What is allowed holds "
        "room for jerks already.",
        tuple(_findings(v)),
        (
            lambda uid: bars(uid, [(name, stands / max(asked, 1e-9)) for name, stands, asked, *_ in parts]),
            lambda uid: forces(
                uid, *(float(v[node]) for node in ("motor_pull", "mount_twist", "bolt_shear", "bolt_pull"))
            ),
        ),
    )


MOUNT = Calculator(
    id="mount",
    title="Shaft and mount",
    chapter="vehicle",
    question="Do joint, shaft and bolts hold what the chain pulls?",
    asks=(
        "shaft_diameter",
        "sprocket_overhang",
        "key_width",
        "key_height",
        "key_length",
        "nut_torque",
        "mount_bolts",
        "bolt_size",
        "bolt_class",
        "bolt_spacing",
        "mount_overhang",
        "mount_offset",
        "bearing_span",
        "bearing_limit",
    ),
    gives=(
        Result("joint", "Torque that the sprocket's joint holds", "N*m", "joint_torque", optional=True),
        Result("joint_needed", "Torque that it has to hold", "N*m"),
        Result("shaft_allowed", "Torque that the shaft stands", "N*m"),
        Result("shaft_asked", "Torque that bending and twisting amount to", "N*m"),
        Result("bolt_shear", "Shear in one bolt", "N"),
        Result("bolt_pull", "Pull in one bolt", "N"),
        Result("bolt_load", "Both together in one bolt", "N"),
        Result("bolt_allowed", "Load that one bolt may carry", "N"),
        Result("bolt_grip", "Shear that friction holds there, bolts tight", "N"),
        Result("tightening", "Torque for the bolts' wrench", "N*m"),
        Result("bearing_load", "Load on the bearing at the sprocket", "N", optional=True),
    ),
    report=_mount,
    reads=("motor_pull", "most_torque", "mount_twist"),
    optional=(
        "joint_torque",
        "key_width",
        "key_height",
        "key_length",
        "nut_torque",
        "nut_thread",
        "shoulder_diameter",
        "mount_offset",
        "bearing_span",
        "bearing_limit",
    ),
    despite_sensors=True,
)
