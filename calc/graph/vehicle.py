"""What the road asks, where the weight lies, brakes, tipping, riders, gearing, chain and mount."""

from __future__ import annotations

from calc.drive import launch
from calc.fields import FIELDS
from calc.graph.model import Step, alias, step
from calc.vehicle import (
    brakes,
    chain,
    coast_fit,
    coasting,
    gearing,
    holding,
    mount,
    rider,
    road,
    scrub,
    stability,
    weighing,
)

# What counts where a coast-down can't tell the drag area: the field's usual range.
_LOW, _HIGH = (float(x) for x in FIELDS["drag_area"].usual or ())

STEPS: dict[str, Step] = {
    # The load
    "total_mass": step(road.total_mass),
    "standing_force": step(road.road_load, road_speed=0.0, drag_area=0.0),
    "climb_load": step(road.road_load, road_speed="climb_speed"),
    "driven_share": step(launch.driven_share),
    "grip_force": step(launch.grip_force),
    "moved_mass": step(launch.moved_mass),
    "tip_slope": step(launch.tip_slope),
    "start_held": step(launch.held_force, load="standing_force"),
    "start_slope": step(launch.start_slope, start_force="hardest_force"),
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
    "level_stop": step(brakes.stopping_distance, net_deceleration="level_deceleration", slope_pull=0.0),
    "longest_stop": step(brakes.longest),
    "trial_stop": step(
        brakes.stopping_distance,
        road_speed=brakes.TRIAL_SPEED,
        reaction_time=0.0,
        net_deceleration="level_deceleration",
        slope_pull=0.0,
    ),
    "sight_cap": step(brakes.speed_for_distance, distance="sight_distance"),
    "second_cap": step(brakes.brake_cap, braked_axle="second_axle"),
    "second_given": step(brakes.second_given),
    "second_wanted": step(brakes.second_wanted),
    "parking_grip": step(holding.parking_grip),
    "parking_held": step(holding.parking_held),
    "parking_needed": step(holding.parking_needed),
    "parking_wanted": step(holding.parking_wanted),
    "reaction_least": step(brakes.reaction_least),
    "descent_rise": step(brakes.descent_rise),
    "hot_brake": step(brakes.hot_brake),
    # Rolling back after a start that failed, and braking
    "rear_braking": step(holding.rear_braking),
    "rear_second": step(holding.no_second),
    "back_lift": step(holding.back_lift),
    "back_braking": step(holding.back_braking),
    # Tipping and sliding
    "lone_wheel": step(stability.either),
    "tip_share": step(stability.tip_share, single_wheel="lone_wheel", forward=0.0, down=1.0),
    "corner_tip_share": step(stability.corner_tip_share, single_wheel="lone_wheel"),
    "corner_slide_share": step(stability.corner_slide_share),
    "speed_cap": step(stability.speed_cap),
    "bend_speed": step(stability.bend_speed),
    "steering_taken": step(scrub.steering_taken, single_wheel="lone_wheel"),
    "much_steering": step(scrub.much_steering),
    "side_limit": step(stability.side_limit, single_wheel="lone_wheel"),
    "side_hold": step(stability.side_hold),
    "side_good": step(stability.side_good),
    "weighed_mass": step(weighing.weighed_mass),
    # Who rides
    "bend_cap": step(rider.bend_cap),
    "riders_caps": step(rider.riders_caps),
    "built_speed": alias("top_speed")._replace(stated=True),
    "rider_share": step(rider.rider_share),
    "stoppable": step(rider.stoppable),
    "stoppable_told": step(rider.stoppable_told),
    "stand_off": step(rider.stand_off),
    "guard_needed": step(rider.guard_needed),
    "guard_given": step(rider.guard_given),
    "guard_told": step(rider.guard_told),
    "told_caps": step(rider.told_caps),
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
    "most_torque": step(chain.most_torque, emf_constant="full_field_constant", current="strongest_current"),
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
}

JACKSHAFT = {
    "gear_ratio": step(gearing.two_stage_ratio),
    "drive_efficiency": step(gearing.two_stage_efficiency),
}

WHEN_ENTERED: dict[str, dict[str, Step]] = {
    "single_wheel": {"lone_wheel": alias("single_wheel")},
    "front_brake_share": {
        "brake_cap": step(brakes.split_cap),
        "level_cap": step(brakes.split_cap, slope=0.0),
        "rear_braking": step(holding.rear_braking_split),
    },
    "second_deceleration": {"rear_second": step(holding.rear_second)},
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
}
