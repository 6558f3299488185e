"""The machine at speed, and driven downhill."""

from __future__ import annotations

from calc.drive import controller, correction, curve, overspeed, shaft, torque
from calc.graph.model import Step, alias, step
from calc.machine import armature, bench, excitation, losses
from calc.power import charging
from calc.vehicle import gearing, ride, road

STEPS: dict[str, Step] = {
    # The machine at speed
    "no_load_speed": step(torque.no_load_speed),
    "bus_current_limit": step(controller.bus_current_limit),
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
    "descent_speed": step(overspeed.usual_descent)._replace(stands_in=True),
    "descent_motor_speed": step(gearing.motor_speed_at, road_speed="descent_speed"),
    "cold_share": step(overspeed.cold_share),
    "cold_rise": alias("cold_share"),
    "full_field_constant": step(overspeed.full_field_constant),
    "least_inductance": alias("line_inductance"),
    "full_field_inductance": step(overspeed.full_field_inductance, line_inductance="least_inductance"),
    "descent_peak": step(overspeed.peak_emf, motor_speed="descent_motor_speed"),
    "charging_motor_speed": step(overspeed.speed_at_peak, volts="reserve_voltage"),
    "charging_speed": step(gearing.road_speed, motor_speed="charging_motor_speed"),
    "reconnect_motor_speed": step(excitation.reconnect_speed, emf_constant="full_field_constant"),
    "reconnect_speed": step(gearing.road_speed, motor_speed="reconnect_motor_speed"),
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
    "opened_voltage": step(overspeed.opened_voltage, pack_voltage="voltage_full"),
    "descent_torque": step(
        overspeed.braking_torque, bridge_power="descent_power", motor_speed="descent_motor_speed"
    ),
    # By itself, and the worse of both; the volts on a full pack, what flows back on one at its reserve
    "speed_limit": step(overspeed.no_limit),
    "top_share": step(overspeed.top_share)._replace(stated=True),
    "driven_speed": step(overspeed.driven_speed),
    "full_pack_speed": step(overspeed.driven_speed, supply_voltage="full_supply"),
    "full_pack_motor_speed": step(gearing.motor_speed_at, road_speed="full_pack_speed"),
    "full_pack_constant": step(
        overspeed.driven_constant, supply_voltage="full_supply", driven_motor_speed="full_pack_motor_speed"
    ),
    "full_pack_peak": step(
        overspeed.peak_emf, motor_speed="full_pack_motor_speed", full_field_constant="full_pack_constant"
    ),
    "made_peak": step(overspeed.greater, descent="descent_peak", driven="full_pack_peak"),
    "peak_speed": step(
        overspeed.counting, descent="descent_peak", driven="full_pack_peak", driven_speed="full_pack_speed"
    ),
    "peak_told": step(overspeed.peak_told),
    "driven_motor_speed": step(gearing.motor_speed_at, road_speed="driven_speed"),
    "driven_constant": step(overspeed.driven_constant),
    "driven_power": step(
        overspeed.charging_power,
        motor_speed="driven_motor_speed",
        full_field_constant="driven_constant",
        line_inductance="full_field_inductance",
        pack_voltage="reserve_voltage",
    ),
    "driven_charge": step(
        overspeed.charging_current, bridge_power="driven_power", pack_voltage="reserve_voltage"
    ),
    "driven_torque": step(
        overspeed.braking_torque, bridge_power="driven_power", motor_speed="driven_motor_speed"
    ),
    "made_charge": step(overspeed.greater, descent="descent_charge", driven="driven_charge"),
    "charge_speed": step(overspeed.counting, descent="descent_charge", driven="driven_charge"),
    "charge_told": step(overspeed.charge_told),
    "made_torque": step(overspeed.greater, descent="descent_torque", driven="driven_torque"),
}

WHEN_ENTERED: dict[str, dict[str, Step]] = {
    "supply_voltage": {
        "bus_current_limit": alias("battery_current_limit"),
        "full_supply": alias("supply_voltage"),
    },
    "riders": {"speed_limit": step(overspeed.riders_limit)},
    "emf_test": {"cold_rise": step(overspeed.cold_rise)._replace(entered=("field_current",))},
    "emf_constant": {"cold_rise": alias("cold_share")},
    "field_supply_holds": {"cold_share": step(overspeed.held_share)},
    "short_circuit_test": {"least_inductance": step(bench.least_inductance)},
}
