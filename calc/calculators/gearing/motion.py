"""From the torque over speed to the ground: force within grip, gathering speed, and a solid axle in a turn."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc.build import Values
from calc.drive import launch
from calc.drive.correction import corrected_torque
from calc.figures.svg import ticks
from calc.findings import Finding
from calc.machine.losses import drag_torque
from calc.quantities import Array
from calc.told import STRAIGHT_ON, WIDE_TURNS, lifts_front
from calc.units import from_si, show, to_si
from calc.vehicle import run, scrub
from calc.vehicle.gearing import motor_speed_at, wheel_force
from calc.vehicle.road import road_load

FRAME = ("wheelbase", "cog_from_axle", "cog_height", "driven_axle", "driven_wheels")
CREEP = 0.05  # below this share of sliding a tyre gives way instead (common practice, no source)


def pull(v: Values, speeds: Array) -> Array:
    """Force at the rim at full throttle, N, as the motor gives it."""
    motor = motor_speed_at(speeds, v["gear_ratio"], v["wheel_diameter"])
    torque = corrected_torque(
        motor,
        v["emf_constant"],
        v["hot_line_resistance"],
        v["line_inductance"],
        v["pole_pairs"],
        v["supply_voltage"],
        v["phase_current_limit"],
        v["bus_current_limit"],
        v["switching_error"],
        v["correction"],
    )
    left = torque - drag_torque(v["friction_torque"], v["iron_share"], motor)
    force = wheel_force(left, v["gear_ratio"], v["wheel_diameter"], v["drive_efficiency"])
    return np.maximum(force, 0.0)


def load(v: Values, slope: float, speeds: Array) -> Array:
    """What slope, rolling and air ask at the rim, N."""
    force: Array = np.broadcast_to(
        road_load(v["total_mass"], slope, v["rolling_coefficient"], v["drag_area"], speeds), speeds.shape
    )
    return force


def crawl_grip(v: Values, slope: float) -> float:
    """What the driven tyres hold on a slope at steady speed, N."""
    share = launch.driven_share(slope, *(v[key] for key in FRAME))
    return float(launch.grip_force(v["total_mass"], v["grip"], share))


class Run(NamedTuple):
    """A run from standstill on one slope: speeds (m/s), times (s), distances (m), and whether the tyres bound it."""

    speeds: Array
    times: list[float]
    distances: list[float]
    bound: bool


def marks(v: Values) -> list[float]:
    """Round speeds up to nearly the top speed, m/s."""
    top = float(from_si(v["top_speed"], "km/h")) * run.NEARLY
    return [float(to_si(mark, "km/h")) for mark in ticks(0.0, top, 8) if mark > 0.0] if top > 0.5 else []


@lru_cache(maxsize=4)  # table, words and figure all ask
def gathered(v: Values, slope: float) -> Run:
    """The run at full throttle on a slope, the tyres' grip counted."""
    speeds = run.grid(max(float(v["top_speed"]), 0.1), marks(v))
    mass = float(run.run_mass(v["moved_mass"], v["wheel_inertia"], v["wheel_diameter"]))
    given, asked = pull(v, speeds), load(v, slope, speeds)
    held = launch.held_force(asked, mass, v["total_mass"], slope, v["grip"], *(v[key] for key in FRAME))
    return Run(
        speeds, *run.times(speeds, np.minimum(given, held) - asked, mass), bool(given[0] > np.ravel(held)[0])
    )


def table(v: Values) -> list[dict[str, Any]]:
    """Time and distance to round speeds, on the level and on the slope; None where it isn't reached."""
    runs = {"level": gathered(v, 0.0), "slope": gathered(v, float(v["slope"]))}
    rows = []
    for mark in marks(v):
        row: dict[str, Any] = {"speed": mark}
        for name, found in runs.items():
            k = int(np.searchsorted(found.speeds, mark - 1e-9))
            reached = k < len(found.times)
            row |= {
                f"{name}_time": found.times[k] if reached else None,
                f"{name}_distance": found.distances[k] if reached else None,
            }
        rows.append(row)
    return rows


def _to(found: Run, speed: float) -> tuple[float, float] | None:
    """Time and distance to a speed within the run."""
    count = len(found.times)
    if count < 2 or speed > found.speeds[count - 1]:
        return None
    there = found.speeds[:count]
    return float(np.interp(speed, there, found.times)), float(np.interp(speed, there, found.distances))


def run_words(v: Values) -> str:
    """How long and how far to the speed wanted, in a sentence."""
    wanted = float(v["road_speed"])
    level, uphill = _to(gathered(v, 0.0), wanted), _to(gathered(v, float(v["slope"])), wanted)
    if level is None:
        return f"At full throttle it doesn't come to {show(wanted, 'km/h')} on the level."
    told = (
        f"At full throttle on the level it comes to {show(wanted, 'km/h')} in {show(level[0], 's', 2)} and "
    )
    told += show(level[1], "m", 2)
    if uphill is None:
        return f"{told}; on the slope it doesn't reach that."
    return f"{told}, on the slope in {show(uphill[0], 's', 2)} and {show(uphill[1], 'm', 2)}."


def grip_findings(v: Values) -> list[Finding]:
    """Whether the tyres pass on what the slope asks, and what full throttle gives, and whether the front stays down."""
    slope = float(v["slope"])
    crawl, asked = crawl_grip(v, slope), float(load(v, slope, np.zeros(1))[0])
    given, held, where = float(v["hardest_force"]), float(v["start_held"]), show(slope, "percent")
    if crawl < asked:
        text = (
            f"On {where} the driven tyres hold {show(crawl, 'N')}; slope and rolling ask {show(asked, 'N')}."
        )
        return [Finding("stop", text, "No gearing mends this: more weight on the driven axle, or more grip.")]
    lifts = lifts_front(v["start_slope"], v["tip_slope"])
    if given > held:
        text = f"On {where} full throttle from standstill pulls {show(given, 'N')}, the driven tyres hold "
        text += f"{show(held, 'N')} as it gathers way: once it turns, they spin."
        do = "A lower gear gains nothing here. Open the throttle slowly."
        return [*lifts, Finding("caution", text, do)]
    text = f"On {where} the driven tyres hold {show(held, 'N')} as it gathers way, full throttle pulls less."
    return [*lifts, Finding("ok", text)]


def _stance(v: Values) -> tuple[str, str]:
    """Wheels on the ground and the single one, as far as they were entered."""
    entered = v.build.entered
    wheels = str(v["wheels"]) if "wheels" in entered else "4"
    return wheels, str(v["single_wheel"]) if "single_wheel" in entered else "either"


def _solid(v: Values) -> bool:
    """Whether two wheels of one axle turn alike, a known track apart."""
    alike = scrub.pair_driven(v["driven_wheels"], v["driven_axle"], *_stance(v))
    return "track" in v.build.entered and alike


def _moment(v: Values) -> float:
    share = launch.driven_share(0.0, *(v[key] for key in FRAME))
    return float(scrub.scrub_moment(v["total_mass"], v["grip"], share, v["track"]))


def scrub_force(v: Values) -> float | None:
    """What a solid axle's sliding costs in the tightest turn, N; None without one."""
    return float(scrub.scrub_force(_moment(v), float(v["turn_radius"]))) if _solid(v) else None


def steering(v: Values) -> float | None:
    """Share of the front tyres' grip that a solid rear axle takes in the tightest turn."""
    if not _solid(v) or v["driven_axle"] == "front":
        return None
    keys = ("track", "turn_radius", "wheelbase", "cog_from_axle", "driven_axle", "driven_wheels")
    wheels, single = _stance(v)
    taken = scrub.steering_taken(**{key: v[key] for key in keys}, wheels=wheels, single_wheel=single)
    return float(taken)


def scrub_findings(v: Values) -> list[Finding]:
    """What a solid axle does in the tightest turn."""
    force, share = scrub_force(v), steering(v)
    if force is None:
        return []
    radius = float(v["turn_radius"])
    slides = float(scrub.slide_share(float(v["track"]), radius))
    wide = " Rubber gives way so little sliding; in truth it is less." if slides < CREEP else ""
    text = (
        f"A solid axle in a turn of {show(radius, 'm')}: its tyres slide {show(slides, 'percent', 2)} of the way, "
        f"which asks up to {show(force, 'N')} more at the rim."
    )
    missing = float(v["climb_load"]) + force - float(v["climb_force"])
    weak = missing > 0.0 and v["climb_force"] >= v["climb_load"]
    if share is not None:
        text += f" The front tyres spend {show(min(share, 9.99), 'percent', 2)} of their grip on forcing it round."
    if share is not None and share >= 1.0:
        return [Finding("stop", text + wide, STRAIGHT_ON)]
    if weak:
        mend = (
            f"{show(missing, 'N')} are missing for such a turn on the slope: turn wide there, or gear lower."
        )
        return [Finding("caution", text + wide, mend)]
    if share is not None and share > scrub.MUCH_STEERING:
        return [Finding("caution", text + wide, WIDE_TURNS)]
    return [Finding("ok", text + wide)]
