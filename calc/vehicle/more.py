"""What a longer ride costs in cells: more of them in parallel, carried along."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from calc.quantities import (
    EmfConstant,
    Fraction,
    Joule,
    Kilogram,
    Metre,
    Nm,
    Number,
    Ohm,
    Radian,
    Real,
    Second,
    SquareMetre,
    Volt,
    Watt,
)
from calc.vehicle.duty import Rows, duty_mean, duty_powers, duty_torques

MORE = 600.0
"""The time that is asked about, s."""
_TRIED = 5.0
"""More cells are tried up to so many times what they would be if they weighed nothing."""


class More(NamedTuple):
    """What ten minutes more cost. None where even many more cells don't give them, because they weigh too much.

    energy: usable, that is needed in addition, J. weightless: the same if cells weighed nothing. parallel: whole cells
    more in each group. mass: of all those cells, kg. time: what those whole cells give in addition, s.
    """

    energy: Joule | None
    weightless: Joule
    parallel: int | None
    mass: Kilogram | None
    time: Second | None


def more_time(
    duty: Rows,
    duty_rolling: tuple[float, ...],
    total_mass: float,
    drag_area: SquareMetre,
    gear_ratio: Number,
    wheel_diameter: Metre,
    drive_efficiency: Fraction,
    friction_torque: Nm,
    iron_share: Fraction,
    emf_constant: EmfConstant,
    line_resistance: Ohm,
    controller_efficiency: Fraction,
    field_power: Watt,
    idle_power: Watt,
    alignment_error: Radian,
    rested_voltage: Volt,
    series: float,
    parallel: float,
    cell_resistance: float,
    pack_lead_resistance: Ohm,
    cell_mass: float,
    usable_energy: float,
    run_time: float,
) -> More:
    """What ten more minutes of the same ride cost, the mass of the cells counted that give them. Single values.

    More cells in parallel bring energy in proportion and lower the pack's resistance; their mass is carried along on
    every row of the ride. Validity: case, links and a stronger frame are not counted.

    Source: [method-power] #ten-minutes
    """

    def lasts(share: Real) -> Real:
        """Riding time, s, with so many more cells, as a share of those that there are."""
        mass = total_mass + share * series * parallel * cell_mass
        torques = duty_torques(
            duty,
            duty_rolling,
            mass,
            drag_area,
            gear_ratio,
            wheel_diameter,
            drive_efficiency,
            friction_torque,
            iron_share,
        )
        resistance = series * cell_resistance / (parallel * (1.0 + share)) + pack_lead_resistance
        powers = duty_powers(
            duty,
            torques,
            gear_ratio,
            wheel_diameter,
            emf_constant,
            line_resistance,
            controller_efficiency,
            field_power,
            idle_power,
            alignment_error,
            rested_voltage,
            resistance,
        )
        return usable_energy * (1.0 + share) / np.maximum(duty_mean(powers, duty), 1e-3)

    weightless = usable_energy * MORE / run_time
    share = np.linspace(0.0, _TRIED * MORE / run_time, 81)
    lasting = np.asarray(lasts(share))
    enough = np.flatnonzero(lasting >= run_time + MORE)
    if not len(enough):
        return More(None, weightless, None, None, None)
    k = int(enough[0])
    needed = float(np.interp(run_time + MORE, lasting[k - 1 : k + 1], share[k - 1 : k + 1]))
    whole = max(int(np.ceil(needed * parallel - 1e-9)), 1)
    gained = float(lasts(whole / parallel)) - run_time
    return More(needed * usable_energy, weightless, whole, whole * series * cell_mass, gained)
