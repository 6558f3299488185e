"""From the air gap to the ground: grip, weight on the wheels, acceleration, and what a stall costs."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.drive import launch
from calc.drive.shaft import shaft_torque
from calc.drive.standing import IN_HAND
from calc.drive.torque import torque_at_speed
from calc.findings import Finding
from calc.machine.copper import REFERENCE_TEMPERATURE
from calc.machine.losses import drag_torque
from calc.machine.thermal_class import HOT_SPOT, allowed_temperature
from calc.quantities import Array
from calc.told import MORE_GRIP, lifts_front, on_its_nose
from calc.units import show
from calc.vehicle.gearing import motor_speed_at, wheel_force
from calc.vehicle.road import road_load

STEPS = 9
SHORT_STALL = 20.0  # s; a stall that may last less is warned of (common practice, no source)


def _geared(v: Values, torque: Array | float) -> Array | float:
    return wheel_force(torque, v["gear_ratio"], v["wheel_diameter"], v["drive_efficiency"])


def _net_forces(v: Values) -> tuple[Array, Array]:
    """Speeds up to walking pace (m/s) and the force that is left there (N), no more than the tyres hold.

    The standstill's mean torque, falling with speed as the closed form does; the tyres as they are loaded while it
    gathers way. Air drag is left out: a newton there.
    """
    speeds = np.linspace(0.0, launch.WALKING_PACE, STEPS)
    motor = motor_speed_at(speeds, v["gear_ratio"], v["wheel_diameter"])
    closed = np.asarray(
        torque_at_speed(
            motor,
            *(
                v[key]
                for key in (
                    "emf_constant",
                    "hot_line_resistance",
                    "line_inductance",
                    "pole_pairs",
                    "supply_voltage",
                    "phase_current_limit",
                    "bus_current_limit",
                    "alignment_error",
                )
            ),
        )
    )
    torque = float(v["start_torque"]) * closed / max(float(closed[0]), 1e-9)
    left = shaft_torque(torque, drag_torque(v["friction_torque"], v["iron_share"], motor))
    load = road_load(v["total_mass"], v["slope"], v["rolling_coefficient"], 0.0, speeds)
    return speeds, np.minimum(_geared(v, left), float(v["start_held"])) - load


def gathering(v: Values) -> tuple[float, float] | None:
    """Time and distance to walking pace uphill, or None when some speed on the way leaves nothing."""
    speeds, forces = _net_forces(v)
    if float(forces.min()) <= 0.0 or float(v["start_torque_worst"]) < float(v["breakaway_needed"]):
        return None
    seconds, metres = launch.gathering(speeds, forces, float(v["moved_mass"]))
    return float(seconds), float(metres)


def time(v: Values) -> float | None:
    found = gathering(v)
    return found[0] if found else None


def distance(v: Values) -> float | None:
    found = gathering(v)
    return found[1] if found else None


def front_at_start(v: Values) -> float:
    """Share of the weight on the front axle at the hardest start that tyres and motor allow."""
    push = min(float(v["hardest_force"]), float(v["start_held"])) - float(v["standing_force"])
    gained = max(push, 0.0) / float(v["moved_mass"])
    return float(launch.front_share(*_frame(v), gained))


def _frame(v: Values) -> tuple[float, float, float, float]:
    return float(v["slope"]), float(v["wheelbase"]), float(v["cog_from_axle"]), float(v["cog_height"])


def grip_findings(v: Values) -> list[Finding]:
    """What the tyres hold, and whether the front stays down."""
    held, needed = float(v["grip_force"]), float(v["standing_force"])
    if nose := on_its_nose(v["cog_from_axle"], v["wheelbase"]):
        return nose
    found = []
    if held < IN_HAND * needed:
        found.append(
            Finding(
                "stop" if held < needed else "caution",
                f"The driven wheels pass on {show(held, 'N')} before they slip; slope and rolling ask "
                f"{show(needed, 'N')}. {'They spin' if held < needed else 'Less than a fifth is in hand'}.",
                MORE_GRIP,
            )
        )
    else:
        text = f"The driven wheels hold {show(held, 'N')} before they slip; slope and rolling ask {show(needed, 'N')}."
        found.append(Finding("ok", text))
    pull, moving = float(v["hardest_force"]), float(v["start_held"])
    if needed <= held and moving < pull:
        found.append(
            Finding(
                "caution",
                f"Full throttle pulls up to {show(pull, 'N')}, copper cold and pack full; as it gathers way the tyres "
                f"hold {show(moving, 'N')}: once it turns, they spin.",
                "Open the throttle slowly, or lower the phase current limit.",
            )
        )
    return found + _tipping(v)


def _tipping(v: Values) -> list[Finding]:
    standing, started = float(launch.front_share(*_frame(v))), front_at_start(v)
    tips = show(float(v["tip_slope"]), "percent")
    if standing <= 0.0:
        text = f"It tips over backwards as it stands: its limit is a slope of {tips}."
        return [Finding("stop", text, "Carry the load lower and further forward. Don't try this slope.")]
    if lifts := lifts_front(v["start_slope"], v["tip_slope"]):
        return lifts
    if started < launch.LEAST_STEERED:
        return [
            Finding(
                "caution",
                f"A start with full throttle uphill leaves {show(started, 'percent', 2)} of the weight in front: the "
                "steering is light.",
                "Load further forward, and throttle opened slowly.",
            )
        ]
    return []


def stall_seconds(v: Values) -> float:
    """How long a stall may last from a winding at work to what its insulation allows, its hottest spot counted, s."""
    return float(
        launch.stall_time(
            float(v["stall_current"]),
            float(v["line_resistance"]),
            float(v["winding_mass"]),
            v["connection"],
            max(float(v["winding_temperature"]), REFERENCE_TEMPERATURE),
            allowed_temperature(v["insulation_class"]),
        )
    )


def hottest(v: Values) -> float:
    """Heat of the hottest coil in a stall, W."""
    return float(launch.hottest_share(v["connection"]) * v["stall_loss"])


def stall_findings(v: Values) -> list[Finding]:
    lasts = stall_seconds(v)
    part = "two thirds" if v["connection"] == "delta" else "half"
    return [
        Finding(
            "caution" if lasts < SHORT_STALL else "ok",
            f"Stalled at {show(v['stall_current'], 'A')} the winding makes {show(v['stall_loss'], 'W')}, {part} of it "
            f"in one coil. From {show(v['winding_temperature'], 'degC')} that coil is at what class "
            f"{v['insulation_class']} allows, {HOT_SPOT:g} K left for its hottest spot, in {show(lasts, 's', 2)}.",
            "Throttle shut after 2 s without movement; after three tries let it cool. After a ride it lasts less: "
            "see winding heat.",
        )
    ]
