"""The machine by its readings, at standstill, and its sensors."""

from __future__ import annotations

from calc.drive import launch, shaft, standing
from calc.graph.model import Step, alias, step
from calc.machine import (
    armature,
    bench,
    copper,
    emf,
    excitation,
    insulation,
    losses,
    sensors,
    stall,
    timing,
    winding,
)
from calc.vehicle import gearing

COUNTED = ("pole_pairs", "slots")

STEPS: dict[str, Step] = {
    # The machine by its readings
    "saturation": step(emf.saturation),
    "emf_spread": step(emf.emf_spread),
    # A spin test says at which field currents the volts are known, and nothing of a usual one.
    "emf_constant": step(emf.emf_at)._replace(spread="emf_spread", entered=("field_current",)),
    "inductance_spread": step(bench.inductance_spread),
    "line_inductance": step(bench.line_inductance)._replace(spread="inductance_spread"),
    "resistance_spread": step(bench.resistance_spread),
    "line_resistance": step(bench.line_resistance)._replace(spread="resistance_spread"),
    "friction_spread": step(bench.friction_spread),
    "friction_torque": step(bench.friction_torque)._replace(spread="friction_spread"),
    "sensed_spread": step(stall.sensed_spread),
    "sensed_share": step(stall.sensed_share)._replace(spread="sensed_spread"),
    "breakaway_torque": step(launch.usual_breakaway)._replace(stands_in=True),
    "insulation_spread": step(insulation.insulation_spread),
    "insulation_resistance": step(insulation.insulation_resistance)._replace(spread="insulation_spread"),
    "windings_read": step(insulation.windings_read),
    "insulation_needed": step(insulation.insulation_needed),
    "insulation_good": step(insulation.insulation_good),
    "insulation_least": alias("insulation_resistance"),
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
    # The same with the current's own pull on the sensors, and their thresholds: on and off edges may differ
    "edge_on_delay": step(armature.edge_on_delay),
    "edge_off_delay": step(armature.edge_off_delay),
    "armature_ratio": step(armature.armature_ratio, current="stall_current"),
    "armature_share": step(armature.armature_share),
    "armature_shift": step(armature.armature_shift),
    "full_on_error": step(armature.stall_alignment, edge_delay="edge_on_delay"),
    "full_off_error": step(armature.stall_alignment, edge_delay="edge_off_delay"),
    "full_torque": step(
        standing.edge_torque, current="stall_current", on_error="full_on_error", off_error="full_off_error"
    ),
    "full_torque_worst": step(
        standing.edge_torque_worst,
        current="stall_current",
        on_error="full_on_error",
        off_error="full_off_error",
    ),
    # And at the current that starts most, which may be less
    "start_current": step(standing.start_current),
    "start_ratio": step(armature.armature_ratio, current="start_current"),
    "start_share": step(armature.armature_share, armature_ratio="start_ratio"),
    "start_shift": step(armature.armature_shift, armature_share="start_share"),
    "start_on_error": step(
        armature.stall_alignment, edge_delay="edge_on_delay", armature_shift="start_shift"
    ),
    "start_off_error": step(
        armature.stall_alignment, edge_delay="edge_off_delay", armature_shift="start_shift"
    ),
    "start_torque": step(
        standing.edge_torque, current="start_current", on_error="start_on_error", off_error="start_off_error"
    ),
    "start_torque_worst": step(
        standing.edge_torque_worst,
        current="start_current",
        on_error="start_on_error",
        off_error="start_off_error",
    ),
    # The most that it can make: winding and field coil cold, pack full
    "cold_line_resistance": step(copper.cold_resistance, resistance="line_resistance"),
    "strongest_current": step(
        standing.stall_current, line_resistance="cold_line_resistance", supply_voltage="full_supply"
    ),
    "hardest_torque": step(standing.hardest_torque),
    "hardest_force": step(gearing.wheel_force, torque="hardest_torque"),
    # The sensors
    "coil_span": step(timing.full_pitch),
    "alignment_error": step(timing.sensed_alignment)._replace(entered=COUNTED),
    "best_alignment": step(timing.best_alignment)._replace(entered=COUNTED),
    "sensors_usable": step(sensors.sensors_usable)._replace(entered=COUNTED),
    "sensors_reason": step(sensors.sensors_reason)._replace(entered=COUNTED),
    "sensors_work": step(armature.sensors_work),
    "sensors_told": step(armature.sensors_told),
}

WHEN_ENTERED: dict[str, dict[str, Step]] = {
    "insulation_test": {"insulation_least": step(insulation.insulation_least)},
}
