"""How well a connection suits the build: does it start, does it reach the speed, and which to choose."""

from __future__ import annotations

from typing import Any, NamedTuple

from calc.build import Values
from calc.drive import shaft
from calc.drive.standing import stall_current
from calc.drive.torque import torque_at_speed
from calc.started import SENSING, Start, late, start
from calc.told.machine import NEARLY_ALL
from calc.units import show
from calc.vehicle import gearing

START = ("breakaway_needed", "phase_current_limit")
LEVEL = (*START, "supply_voltage", "bus_current_limit", "level_torque", "level_load")
"""What must be known before a connection can be judged for this build: its start, and its speed on the level."""


class Fit(NamedTuple):
    """How one connection suits the build.

    torque: in the worst rotor position at the current that starts most, its pull on the sensors counted, N·m. reach:
    torque at the speed wanted on the level over the torque asked there. Each None where the build doesn't tell. astray:
    it starts with its sensors right, not with them where they are. pulled: more current would start no more. words:
    both as a sentence.
    """

    name: str
    torque: float | None
    reach: float | None
    starts: bool
    reaches: bool
    astray: bool
    pulled: bool
    words: str

    @property
    def suits(self) -> bool:
        return self.starts and self.reaches

    @property
    def verdict(self) -> str:
        weak, slow = "" if self.starts else "too weak", "" if self.reaches else "too slow"
        return " and ".join(fault for fault in (weak, slow) if fault) or "suits"


def fit(v: Values, row: dict[str, Any], hot_line_resistance: float) -> Fit:
    """The fit of one connection; `row` has its name, emf_constant and line_inductance.

    Sensors right; those of the present connection where they are, when the start is better for it.
    """
    name, torque, reach, parts = str(row["connection"]), None, None, []
    starts, astray, pulled = True, False, False
    if not v.build.missing(*SENSING, *START):
        need = float(v["breakaway_needed"])
        whole = float(v["phase_current_limit"])
        if not v.build.missing("supply_voltage", "bus_current_limit"):
            limits = (v["supply_voltage"], whole, v["bus_current_limit"])
            whole = float(stall_current(hot_line_resistance, *limits))
        machine = (row["emf_constant"], row["line_inductance"], whole)
        right = here = Start(*(float(x) for x in start(v, *machine, 0.0)))
        if name == v["connection"]:
            here = Start(*(float(x) for x in start(v, *machine, late(v))))
        astray = here.torque < need <= right.torque
        torque, current = max(right, here)
        starts, pulled = torque >= need, current < NEARLY_ALL * whole
        gives = show(torque, "N*m") if torque > 0.0 else "nothing"
        parts.append(
            f"the worst rotor position gives {gives} at {show(current, 'A')}"
            f"{', its sensors right' if astray else ''}; {show(need, 'N*m')} are needed to break away"
        )
    if not v.build.missing(*LEVEL):
        reach = _reach(v, row, hot_line_resistance)
        speed = f"{show(v['level_motor_speed'], 'rpm')}, the speed wanted on the level"
        pulls = f"at {speed}, it has {reach:.1f} times the torque asked"
        parts.append(pulls if reach > 0.0 else f"it doesn't turn at {speed}")
    words = f"In {name} {'; '.join(parts)}." if parts else ""
    return Fit(name, torque, reach, starts, reach is None or reach >= 1.0, astray, pulled, words)


def _reach(v: Values, row: dict[str, Any], hot_line_resistance: float) -> float:
    asked = gearing.torque_needed(
        v["level_load"], v["gear_ratio"], v["wheel_diameter"], v["drive_efficiency"]
    )
    given = torque_at_speed(
        v["level_motor_speed"],
        row["emf_constant"],
        hot_line_resistance,
        row["line_inductance"],
        v["pole_pairs"],
        v["supply_voltage"],
        v["phase_current_limit"],
        v["bus_current_limit"],
        0.0,
    )
    return float(shaft.shaft_torque(given, v["level_drag"])) / max(float(asked), 1e-6)


def choice(now: Fit, other: Fit) -> tuple[str, str, str]:
    """Headline, what follows it, and what to do: the present connection when it suits, for soldering is work."""
    if now.torque is None:
        return now.name, "", ""
    good = "it starts the build and reaches the speed" if now.reach is not None else "it starts the build"
    if now.suits and now.astray:
        good += ", once its sensors are right"
        return (
            f"stay with {now.name}",
            good,
            "Leave it, and put the sensors right: as they are it doesn't start.",
        )
    if now.suits and other.suits and other.name == "star":
        do = "Leave it. A star would do too, with less current in controller and leads and nothing in the ring."
        return f"stay with {now.name}", good, do
    if now.suits:
        return f"stay with {now.name}", good, "Leave it as it is."
    if other.suits:
        why = f"{now.name} is {now.verdict} for this build, {other.name} is not"
        return f"change to {other.name}", why, "Find the six ends and join them anew, as the page tells."
    if not now.starts and not other.starts and now.pulled and other.pulled:
        why = "the machine's own current pulls the sensors further than it helps, in star and delta alike"
        return "neither", why, "More field, a lower gear, or less weight. More current makes it worse."
    if not now.starts and not other.starts:
        do = "Gear lower, take weight off, or a controller for more current."
        return "neither", "no connection starts this build", do
    if not now.reaches and not other.reaches:
        do = "Gear taller where the start allows it, a pack of more volts, or a lower speed."
        return "neither", "no connection reaches the speed with this gear and pack", do
    do = "Gear lower and take the delta, or gear taller and take the star; a larger current limit helps either."
    return "neither", "star starts but is too slow, delta is fast enough but too weak", do
