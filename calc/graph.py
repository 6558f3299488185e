"""What is derived from what. Each step is a formula; its arguments are fields or other steps, by name.

A formula's own parameter names are its arguments unless the step renames them. A quantity of the registry that
stands here too (total mass, gear ratio) is derived when it isn't entered. A test sorts the graph and finds no
cycle but the one between the two ways to give a pack's capacity, of which only one is ever taken.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from calc.drive import correction, curve, launch, overspeed, shaft, standing, torque
from calc.fields import FIELDS
from calc.machine import (
    armature,
    bench,
    copper,
    emf,
    endurance,
    excitation,
    heat,
    heat_run,
    losses,
    sensors,
    stall,
    timing,
    winding,
)
from calc.power import charging, conductor, fuse, limits, pack, precharge
from calc.vehicle import (
    brakes,
    chain,
    coast_fit,
    coasting,
    duty,
    gearing,
    mount,
    ride,
    rider,
    road,
    route,
    stability,
    walk,
    warm,
    weighing,
)


class Step(NamedTuple):
    """One derivation: `function` called with the nodes in `arguments`, and with the constants in `fixed`.

    entered: arguments that somebody must have entered, because a usual value would tell nothing.
    spread: the node that says how far the result may be off, as a share of it: what a table of readings leaves open.
    stated: too slow for thousands of draws: worked out at the stated values alone, single ones, and used for all.
    """

    function: Callable[..., Any]
    arguments: tuple[str, ...]
    fixed: tuple[tuple[str, float], ...] = ()
    entered: tuple[str, ...] = ()
    spread: str = ""
    stated: bool = False

    def __call__(self, values: Sequence[Any]) -> Any:
        """The result for the arguments' values, in order."""
        return self.function(**dict(zip(self.parameters, values, strict=True)), **dict(self.fixed))

    @property
    def parameters(self) -> tuple[str, ...]:
        code = getattr(self.function, "__wrapped__", self.function).__code__  # also of a cached one
        held = {name for name, _ in self.fixed}
        return tuple(name for name in code.co_varnames[: code.co_argcount] if name not in held)


def step(function: Callable[..., Any], **given: str | float) -> Step:
    """A step whose arguments are the function's parameters; `given` names another node or a constant for some."""
    fixed = tuple((name, value) for name, value in given.items() if not isinstance(value, str))
    names = Step(function, (), fixed).parameters
    return Step(function, tuple(str(given.get(name, name)) for name in names), fixed)


def alias(node: str) -> Step:
    """A step that passes another node on under its own name."""
    return Step(lambda value: value, (node,))


# What counts where a coast-down can't tell the drag area: the field's usual range.
_LOW, _HIGH = (float(x) for x in FIELDS["drag_area"].usual or ())
COUNTED = ("pole_pairs", "slots")

GRAPH: dict[str, Step] = {
    # The load
    "total_mass": step(road.total_mass),
    "standing_force": step(road.road_load, road_speed=0.0, drag_area=0.0),
    "climb_load": step(road.road_load, road_speed="climb_speed"),
    "driven_share": step(launch.driven_share),
    "grip_force": step(launch.grip_force),
    # The centre of gravity by weighing
    "cog_axle_spread": step(weighing.cog_axle_spread)._replace(stated=True),
    "cog_from_axle": step(weighing.cog_from_axle)._replace(spread="cog_axle_spread"),
    "cog_height_spread": step(weighing.cog_height_spread)._replace(stated=True),
    "cog_height": step(weighing.cog_height)._replace(spread="cog_height_spread"),
    # Brakes: the steepest slope nose down; on the level where it says so
    "brake_cap": step(brakes.brake_cap),
    "level_cap": step(brakes.brake_cap, slope=0.0),
    "braking_share": step(brakes.braking_share),
    "level_share": step(brakes.braking_share, brake_cap="level_cap"),
    "slope_pull": step(brakes.slope_pull),
    "net_deceleration": step(brakes.net_deceleration),
    "level_deceleration": step(brakes.net_deceleration, braking_share="level_share", slope=0.0),
    "stopping_distance": step(brakes.stopping_distance),
    "descent_stop": step(brakes.stopping_distance, road_speed="descent_speed"),
    "level_stop": step(brakes.stopping_distance, net_deceleration="level_deceleration"),
    "longest_stop": step(brakes.longest),
    "trial_stop": step(
        brakes.stopping_distance,
        road_speed=brakes.TRIAL_SPEED,
        reaction_time=0.0,
        net_deceleration="level_deceleration",
    ),
    "sight_cap": step(brakes.speed_for_distance, distance="sight_distance"),
    "second_cap": step(brakes.brake_cap, braked_axle="second_axle"),
    "second_given": step(brakes.second_given),
    "second_wanted": step(brakes.second_wanted),
    "parking_grip": step(brakes.parking_grip),
    "parking_held": step(brakes.parking_held),
    "parking_needed": step(road.grade_force),
    # Tipping and sliding
    "lone_wheel": step(stability.either),
    "tip_share": step(stability.tip_share, single_wheel="lone_wheel", forward=0.0, down=1.0),
    "corner_tip_share": step(stability.corner_tip_share, single_wheel="lone_wheel"),
    "corner_slide_share": step(stability.corner_slide_share),
    "speed_cap": step(stability.speed_cap),
    "side_limit": step(stability.side_limit, single_wheel="lone_wheel"),
    "side_hold": step(stability.side_hold),
    # Who rides
    "bend_cap": step(rider.bend_cap),
    "riders_caps": step(rider.riders_caps),
    "built_speed": alias("top_speed")._replace(stated=True),
    "rider_share": step(rider.rider_share),
    # What rolling and air ask, by a coast-down
    "coast_mass": alias("total_mass"),
    "coasted": step(coast_fit.coasted),
    "coast_moved": step(coasting.coast_moved),
    "machine_share": step(coasting.no_machine),
    "air_density": step(coasting.air_density),
    "rolling_spread": step(coasting.rolling_spread),
    "rolling_coefficient": step(coasting.rolling_coefficient)._replace(spread="rolling_spread"),
    "drag_spread": step(coasting.drag_spread, stated_low=_LOW, stated_high=_HIGH),
    "drag_area": step(coasting.drag_area, stated_low=_LOW, stated_high=_HIGH)._replace(spread="drag_spread"),
    # The gearing
    "gear_ratio": step(gearing.gear_ratio),
    "climb_motor_speed": step(gearing.motor_speed_at, road_speed="climb_speed"),
    # The chain, at the most that the machine can pull; with a jackshaft the second one pulls harder
    "chain_pitch": step(chain.pitch),
    "chain_strength": step(chain.chain_strength),
    "chain_driven_teeth": alias("driven_teeth"),
    "most_torque": step(chain.most_torque, current="stall_current"),
    "driver_pitch_diameter": step(chain.pitch_diameter, pitch="chain_pitch", teeth="driver_teeth"),
    "motor_pull": step(chain.tension, torque="most_torque"),
    "chain_pull": alias("motor_pull"),
    "strength_needed": step(chain.strength_needed),
    # What holds the sprocket and the machine against that
    "joint_needed": step(mount.joint_needed),
    "shaft_allowed": step(mount.shaft_torque_allowed),
    "shaft_asked": step(mount.shaft_torque_asked, chain_pull="motor_pull"),
    "bolt_allowed": step(mount.bolt_allowed),
    "mount_twist": alias("most_torque"),
    "bolt_shear": step(mount.bolt_shear, chain_pull="motor_pull"),
    "bolt_pull": step(mount.bolt_pull, chain_pull="motor_pull"),
    "bolt_load": step(mount.bolt_load),
    "bolt_grip": step(mount.bolt_grip),
    "tightening": step(mount.tightening),
    "bearing_load": step(mount.bearing_load, chain_pull="motor_pull"),
    # The supply
    "pack_capacity": step(pack.pack_capacity),
    "cell_capacity": step(limits.cell_capacity),
    "cell_resistance": step(limits.cell_resistance),
    "pack_resistance": step(pack.pack_resistance),
    "voltage_min": step(pack.voltage_min),
    "voltage_nominal": step(pack.voltage_nominal),
    "voltage_full": step(pack.voltage_full),
    "charge_voltage_limit": step(limits.charge_voltage_limit),
    "rested_voltage": step(pack.open_circuit_voltage, state_of_charge=0.5),
    "reserve_voltage": step(pack.open_circuit_voltage, state_of_charge="reserve_charge"),
    "supply_voltage": step(
        limits.supply_voltage, open_circuit_voltage="reserve_voltage", battery_current="battery_current_limit"
    ),
    "pack_energy": step(pack.pack_energy),
    "usable_energy": step(pack.usable_energy),
    "pack_mass": step(pack.pack_mass),
    "pack_cost": step(pack.pack_cost),
    "greatest_pack_current": step(limits.greatest_current, field_power="field_drain"),
    "pack_sag": step(limits.sag),
    "current_limit": step(limits.current_limit),
    "least_voltage": step(limits.least_voltage),
    "group_voltage_max": step(limits.group_share, pack_voltage="protection_voltage_max"),
    "group_most": step(limits.group_most),
    "group_lowest": step(limits.group_lowest),
    "protection_opens": alias("protection_voltage_min"),
    "charger_least": step(limits.charger_least),
    "cold_air": step(pack.cold_air),
    "cold_factor": step(pack.cold_factor),
    "cold_resistance": step(pack.cold_resistance),
    "lowest_voltage": step(
        pack.loaded_voltage,
        open_circuit_voltage="reserve_voltage",
        battery_current="greatest_pack_current",
        pack_resistance="cold_resistance",
    ),
    "cell_current": step(pack.cell_current),
    "pack_share": step(pack.pack_share),
    "one_pack_current": step(pack.one_pack_current),
    # What it may be charged with
    "coldest_charge": step(charging.coldest_charge, air="ambient_temperature"),
    "temperature": alias("coldest_charge"),
    "cell_charge_limit": step(charging.cell_charge_limit),
    "cells_current": step(charging.cells_current),
    "current_allowed": alias("cells_current"),
    "season_current": step(charging.season_current),
    "season_allowed": alias("season_current"),
    # The cable from the pack, and its fuse
    "cross_section": step(conductor.area_of_gauge),
    "cable_resistance": step(conductor.cable_resistance),
    "cable_ampacity": step(conductor.ampacity),
    "cells_resistance": step(fuse.cells_resistance),
    "prospective_current": step(fuse.prospective_current),
    "far_short": step(fuse.far_short),
    "guarded_rating": step(fuse.guarded_rating, ampacity="cable_ampacity"),
    "lasting_rating": step(fuse.lasting_rating, current="greatest_pack_current"),
    "fuse_opens": step(fuse.gate_time),
    "cable_stands": step(fuse.cable_stands, current="far_short"),
    "precharge_left": step(precharge.left_over, supply_voltage="voltage_full"),
    "bus_filled": step(precharge.filled),
    "bus_wanted": step(precharge.wanted),
    "inrush_current": step(precharge.inrush, missing="precharge_left", supply_voltage="voltage_full"),
    # The machine by its readings
    "saturation": step(emf.saturation),
    "emf_spread": step(emf.emf_spread),
    "emf_constant": step(emf.emf_at)._replace(spread="emf_spread"),
    "inductance_spread": step(bench.inductance_spread),
    "line_inductance": step(bench.line_inductance)._replace(spread="inductance_spread"),
    "resistance_spread": step(bench.resistance_spread),
    "line_resistance": step(bench.line_resistance)._replace(spread="resistance_spread"),
    "friction_spread": step(bench.friction_spread),
    "friction_torque": step(bench.friction_torque)._replace(spread="friction_spread"),
    "sensed_spread": step(stall.sensed_spread),
    "sensed_share": step(stall.sensed_share)._replace(spread="sensed_spread"),
    "breakaway_torque": step(launch.usual_breakaway),
    "insulation_spread": step(bench.insulation_spread),
    "insulation_resistance": step(bench.insulation_resistance)._replace(spread="insulation_spread"),
    "insulation_needed": step(bench.insulation_needed),
    "field_current": step(excitation.field_current),
    "field_temperature": step(
        copper.temperature_by_resistance, hot_resistance="field_hot_resistance", resistance="field_resistance"
    ),
    "layers": step(winding.usual_layers)._replace(entered=COUNTED),
    # The machine at stall; its copper as hot as it is at work
    "hot_line_resistance": step(
        copper.hot_resistance, resistance="line_resistance", temperature="winding_temperature"
    ),
    "field_power": step(copper.field_power),
    "field_drain": step(copper.field_drain),
    "torque_constant": step(standing.torque_constant),
    "stall_current": step(standing.stall_current, line_resistance="hot_line_resistance"),
    "torque_available": step(standing.standing_torque, current="stall_current"),
    "torque_available_worst": step(standing.standing_torque_worst, current="stall_current"),
    "torque_needed": step(gearing.torque_needed, force="standing_force"),
    "breakaway_needed": step(launch.breakaway_needed),
    "current_needed": step(standing.current_needed),
    "start_margin": step(shaft.start_margin),
    "still_drag": step(losses.drag_torque, motor_speed=0.0, flux_share=1.0),
    "stall_shaft_torque": step(
        shaft.shaft_torque, machine_torque="torque_available", drag_torque="still_drag"
    ),
    # The same with the current's own pull on the sensors, and their thresholds: on and off edges may differ
    "armature_ratio": step(armature.armature_ratio, current="stall_current"),
    "armature_share": step(armature.armature_share),
    "armature_shift": step(armature.armature_shift),
    "edge_on_delay": step(armature.edge_on_delay),
    "edge_off_delay": step(armature.edge_off_delay),
    "stall_on_error": step(armature.stall_alignment, edge_delay="edge_on_delay"),
    "stall_off_error": step(armature.stall_alignment, edge_delay="edge_off_delay"),
    "start_torque": step(
        standing.edge_torque, current="stall_current", on_error="stall_on_error", off_error="stall_off_error"
    ),
    "start_torque_worst": step(
        standing.edge_torque_worst,
        current="stall_current",
        on_error="stall_on_error",
        off_error="stall_off_error",
    ),
    # The sensors
    "coil_span": step(timing.full_pitch),
    "alignment_error": step(timing.sensed_alignment)._replace(entered=COUNTED),
    "best_alignment": step(timing.best_alignment)._replace(entered=COUNTED),
    "sensors_usable": step(sensors.sensors_usable)._replace(entered=COUNTED),
    "sensors_reason": step(sensors.sensors_reason)._replace(entered=COUNTED),
    "sensors_work": step(armature.sensors_work),
    "sensors_told": step(armature.sensors_told),
    # The machine at speed
    "no_load_speed": step(torque.no_load_speed),
    "armature_per_ampere": step(armature.armature_per_ampere, current="stall_current"),
    "switching_error": step(curve.switching_error),
    "correction": step(
        correction.correction, line_resistance="hot_line_resistance", alignment_error="switching_error"
    )._replace(stated=True),
    "climb_machine_torque": step(
        correction.corrected_torque,
        motor_speed="climb_motor_speed",
        line_resistance="hot_line_resistance",
        alignment_error="switching_error",
    ),
    "climb_drag": step(losses.drag_torque, motor_speed="climb_motor_speed", flux_share=1.0),
    "climb_torque": step(shaft.shaft_torque, machine_torque="climb_machine_torque", drag_torque="climb_drag"),
    "climb_force": step(gearing.wheel_force, torque="climb_torque"),
    "level_motor_speed": step(gearing.motor_speed_at),
    "level_machine_torque": step(
        correction.corrected_torque,
        motor_speed="level_motor_speed",
        line_resistance="hot_line_resistance",
        alignment_error="switching_error",
    ),
    "level_drag": step(losses.drag_torque, motor_speed="level_motor_speed", flux_share=1.0),
    "level_torque": step(shaft.shaft_torque, machine_torque="level_machine_torque", drag_torque="level_drag"),
    "level_force": step(gearing.wheel_force, torque="level_torque"),
    "level_load": step(road.road_load, slope=0.0),
    "top_speed": step(
        ride.top_speed, slope=0.0, line_resistance="hot_line_resistance", alignment_error="switching_error"
    ),
    # Downhill
    "descent_speed": step(overspeed.usual_descent),
    "descent_motor_speed": step(gearing.motor_speed_at, road_speed="descent_speed"),
    "cold_share": step(overspeed.cold_share),
    "full_field_constant": step(overspeed.full_field_constant),
    "full_field_inductance": step(overspeed.full_field_inductance),
    "descent_peak": step(overspeed.peak_emf, motor_speed="descent_motor_speed"),
    "charging_motor_speed": step(overspeed.speed_at_peak, volts="reserve_voltage"),
    "charging_speed": step(gearing.road_speed, motor_speed="charging_motor_speed"),
    "blocking_motor_speed": step(overspeed.speed_at_peak, volts="controller_voltage_max"),
    "limit_speed": step(gearing.road_speed, motor_speed="blocking_motor_speed"),
    "descent_power": step(
        overspeed.charging_power,
        motor_speed="descent_motor_speed",
        line_inductance="full_field_inductance",
        pack_voltage="reserve_voltage",
    ),
    "descent_charge": step(
        overspeed.charging_current, bridge_power="descent_power", pack_voltage="reserve_voltage"
    ),
    "downhill_cells": step(charging.season_current, coldest_charge="cold_air"),
    "downhill_current": alias("downhill_cells"),
    "descent_allowed": step(overspeed.stood_current),
    "opened_from": alias("voltage_full"),
    "opened_voltage": step(overspeed.opened_voltage, pack_voltage="opened_from"),
    "descent_torque": step(
        overspeed.braking_torque, bridge_power="descent_power", motor_speed="descent_motor_speed"
    ),
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

JACKSHAFT = {
    "gear_ratio": step(gearing.two_stage_ratio),
    "drive_efficiency": step(gearing.two_stage_efficiency),
}

# Steps that take the place of others once a field is entered: a route is walked, and its classes are the ride's rows.
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
    "charge_current_limit": {
        "current_allowed": step(charging.guarded_current),
        "season_allowed": step(charging.guarded_current, cells_current="season_current"),
        "downhill_current": step(charging.guarded_current, cells_current="downhill_cells"),
    },
    "group_voltage_min": {"protection_opens": step(limits.groups_open)},
    "single_wheel": {"lone_wheel": alias("single_wheel")},
    "front_brake_share": {
        "brake_cap": step(brakes.split_cap),
        "level_cap": step(brakes.split_cap, slope=0.0),
    },
    "opens_short_rating": {"fuse_opens": step(fuse.read_time)},
    "coldest_day": {"coldest_charge": step(charging.coldest_charge, air="cold_air")},
    "protection_voltage_max": {"opened_from": alias("protection_voltage_max")},
    "corner_test": {"ring_loss": step(warm.ring_loss), "duty_rings": step(warm.duty_rings)},
    "nut_torque": {"joint_torque": step(mount.clamped_torque)},
    "mount_offset": {"mount_twist": step(mount.twist, chain_pull="motor_pull")},
    "key_length": {"joint_torque": step(mount.key_torque)},
    "jackshaft_driven_teeth": JACKSHAFT | {"chain_driven_teeth": alias("jackshaft_driven_teeth")},
    "jackshaft_driver_teeth": JACKSHAFT
    | {"chain_pull": step(chain.second_tension, torque="most_torque", pitch="chain_pitch")},
    "coast_chain": {
        "coast_moved": step(coasting.dragged_moved),
        "machine_share": step(coasting.machine_share),
    },
    "bleed_resistor": {"precharge_left": step(precharge.left_over_bled, supply_voltage="voltage_full")},
}
