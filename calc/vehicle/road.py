"""Forces that the road asks for at the wheel's rim."""

from __future__ import annotations

import numpy as np

from calc.quantities import Fraction, Kilogram, MetrePerSecond, Newton, Number, SquareMetre

GRAVITY = 9.80665
"""Standard acceleration of gravity, m/s². Source: [si-brochure] standard acceleration of gravity"""
AIR_DENSITY = 1.225
"""Air at sea level and 15 °C, kg/m³; 1.112 at 1000 m. Source: [isa] sea level"""


def total_mass(vehicle_mass: Kilogram, rider_mass: Kilogram, load_mass: Kilogram) -> Kilogram:
    """Mass that has to be moved, kg: vehicle with pack, rider, load.

    Source: [method] #road-load
    """
    return vehicle_mass + rider_mass + load_mass


def along(slope: Fraction) -> tuple[Number, Number]:
    """Cosine and sine of the angle of a slope given as rise over run.

    Source: [method] #road-load
    """
    cosine = 1.0 / np.sqrt(1.0 + np.square(slope))
    return cosine, slope * cosine


def rolling_force(total_mass: Kilogram, slope: Fraction, rolling_coefficient: Number) -> Newton:
    """Rolling resistance on a slope, N.

    `slope` is rise over run; the wheel carries the weight square to the road, m·g·cos(atan(slope)).
    Validity: firm ground; on sand or mud the coefficient itself grows with load and speed.

    Source: [method] #road-load
    """
    return total_mass * GRAVITY * rolling_coefficient / np.sqrt(1.0 + np.square(slope))


def grade_force(total_mass: Kilogram, slope: Fraction) -> Newton:
    """Part of the weight along the road, N: m·g·sin(atan(slope)), positive uphill.

    Source: [method] #road-load
    """
    return total_mass * GRAVITY * slope / np.sqrt(1.0 + np.square(slope))


def drag_force(drag_area: SquareMetre, road_speed: MetrePerSecond) -> Newton:
    """Air drag in still air at sea level, N; `drag_area` is drag coefficient times frontal area, m².

    Always against the motion, so negative for a negative `road_speed`.

    Source: [method] #road-load
    """
    return 0.5 * AIR_DENSITY * drag_area * road_speed * np.abs(road_speed)


def road_load(
    total_mass: Kilogram,
    slope: Fraction,
    rolling_coefficient: Number,
    drag_area: SquareMetre,
    road_speed: MetrePerSecond,
) -> Newton:
    """Force at the wheel's rim that holds a steady `road_speed` forward on `slope`, N.

    Rolling + slope + air. Negative on a descent steep enough to push the vehicle.

    Source: [method] #road-load
    """
    return (
        rolling_force(total_mass, slope, rolling_coefficient)
        + grade_force(total_mass, slope)
        + drag_force(drag_area, road_speed)
    )
