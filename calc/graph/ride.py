"""What a ride takes, and how hot it makes the machine."""

from __future__ import annotations

from calc.drive import launch
from calc.graph.model import Step, alias, step
from calc.machine import endurance, excitation, heat, heat_run, losses
from calc.vehicle import duty, ride, route, walk, warm

STEPS: dict[str, Step] = {
    # The ride
    "duty": step(duty.usual_duty),
    "duty_powers": step(
        duty.duty_powers,
        line_resistance="hot_line_resistance",
        field_power="field_drain",
        alignment_error="switching_error",
    ),
    "mean_power": step(duty.duty_mean, values="duty_powers"),
    "mean_speed": step(duty.duty_speed),
    "energy_per_distance": step(ride.energy_per_distance),
    "run_time": step(ride.run_time),
    "ride_range": step(ride.ride_range),
    "field_share": step(ride.field_share, field_power="field_drain"),
    "duty_rolling": step(duty.same_rolling),
    "duty_torques": step(duty.duty_torques),
    "reach_rows": alias("duty"),
    "reach_torques": alias("duty_torques"),
    "duty_reach": step(
        duty.duty_reach,
        duty="reach_rows",
        duty_torques="reach_torques",
        line_resistance="hot_line_resistance",
        alignment_error="switching_error",
    ),
    "least_reach": step(duty.least_reach),
    "whole": step(duty.whole),
    "surface_spread": step(route.surface_spread),
    "surface_share": step(route.surface_share)._replace(spread="surface_spread"),
    "stretches": step(route.from_duty),
    "walk": step(
        walk.walk,
        line_resistance="hot_line_resistance",
        alignment_error="switching_error",
        field_power="field_drain",
    )._replace(stated=True),
    "walk_distance": step(walk.walk_distance),
    "walk_time": step(walk.walk_time),
    "walk_energy": step(walk.walk_energy),
    "charge_left": step(walk.charge_left),
    "ride_voltage": step(walk.ride_voltage),
    # Heat: the paths it takes, what the ride and its starts put in, and the still field
    "heat_run_end": step(heat_run.stopped),
    "winding_heat_spread": step(heat_run.winding_resistance_spread),
    "winding_thermal_resistance": step(heat_run.winding_thermal_resistance)._replace(
        spread="winding_heat_spread"
    ),
    "body_heat_spread": step(heat_run.body_resistance_spread),
    "body_thermal_resistance": step(heat_run.body_thermal_resistance)._replace(spread="body_heat_spread"),
    "iron_share": step(losses.iron_share),
    "duty_currents": step(warm.duty_currents, alignment_error="switching_error"),
    "ring_loss": step(warm.no_ring),
    "duty_rings": step(warm.no_rings),
    "duty_speeds": step(warm.duty_speeds),
    "ride_cooling": step(warm.ride_cooling),
    "ride_network": step(heat.network, cooling="ride_cooling"),
    "ride_losses": step(warm.ride_losses),
    "ride_temperatures": step(warm.ride_temperatures),
    "row_temperature": step(warm.row_temperature),
    "coil_share": step(launch.hottest_share),
    "start_rise": step(
        endurance.pulse_rise, current="stall_current", temperature="row_temperature", time="start_time"
    ),
    "hottest_temperature": step(warm.start_temperature),
    "winding_rise": step(endurance.rise, temperature="hottest_temperature"),
    "rise_allowed": step(endurance.allowed_rise),
    "field_hold_current": alias("field_current"),
    "held_field_temperature": step(excitation.standing_temperature, field_current="field_hold_current"),
    "hottest_field_temperature": step(warm.hotter_field),
    "field_rise": step(endurance.rise, temperature="hottest_field_temperature"),
    "field_voltage_hot": step(excitation.field_voltage_needed, field_temperature="hottest_field_temperature"),
    "field_supply_share": step(excitation.supply_share),
}

WHEN_ENTERED: dict[str, dict[str, Step]] = {
    "route": {
        "stretches": step(route.from_route),
        "classes": step(route.classes),
        "duty": step(route.class_rows),
        "duty_rolling": step(route.rolling_of),
        "hardest": step(route.hardest),
        "reach_rows": step(route.class_rows, classes="hardest"),
        "reach_rolling": step(route.rolling_of, classes="hardest"),
        "reach_torques": step(duty.duty_torques, duty="reach_rows", duty_rolling="reach_rolling"),
    },
    "corner_test": {"ring_loss": step(warm.ring_loss), "duty_rings": step(warm.duty_rings)},
}
