"""What does the machine do when the slope drives it, or when the throttle shuts at its fastest?"""

from __future__ import annotations

from calc.build import Values
from calc.calculators.overspeed import parts
from calc.calculators.overspeed.findings import findings, sent_back
from calc.figures.overspeed import made_volts
from calc.spec import Calculator, Report, Result
from calc.units import show
from calc.vehicle.gearing import motor_speed_at


def _overspeed(v: Values) -> Report:
    counts = parts.fastest(v)
    top = 1.3 * max(counts.speed, float(v["limit_speed"]) * 0.9)
    peak = float(v["descent_peak"]) * top / float(v["descent_speed"])
    present = peak * float(v["emf_constant"]) / float(v["full_field_constant"])
    held = "field_supply_holds" in v.build.entered and v["field_supply_holds"] == "current"
    levels = [("pack", float(v["reserve_voltage"])), ("controller", float(v["controller_voltage_max"]))]
    mark = (counts.speed, counts.peak, "downhill" if counts.downhill else "by itself")
    free = not counts.downhill and counts.speed < float(v["speed_limit"])
    cold = "field coil cold: it takes more at the same volts"
    field = "" if free else f"Counted with the {'working field, which the supply holds' if held else cold}. "
    return Report(
        show(counts.peak, "V"),
        f"between two leads at the {show(counts.speed, 'km/h')} {counts.told}; the controller stands "
        f"{show(v['controller_voltage_max'], 'V')}",
        f"{_compared(v, counts)}The machine then turns at {show(_turning(v, counts.speed), 'rpm')}. "
        f"{field}A pack at its reserve rests at {show(v['reserve_voltage'], 'V')}: above that the diodes conduct.",
        (*sent_back(v), *findings(v)),
        (lambda uid: made_volts(uid, top, peak, present, levels, mark),),
    )


def _turning(v: Values, speed: float) -> float:
    return float(motor_speed_at(speed, v["gear_ratio"], v["wheel_diameter"]))


def _compared(v: Values, counts: parts.Fastest) -> str:
    """Both speeds, and why the one counts."""
    if not counts.itself:
        return ""
    itself = float(v["full_pack_speed"])
    how = (
        f"{show(itself, 'km/h')} by the greatest limit that is set for a rider"
        if itself >= float(v["speed_limit"])
        else f"{show(itself, 'km/h')} on the level with a full pack, {show(v['driven_speed'], 'km/h')} with one at its "
        "reserve (with a cold field coil slower, with as many volts)"
    )
    return (
        f"Downhill the brakes hold it to {show(v['descent_speed'], 'km/h')}; by itself it goes {how}. What makes more "
        "counts, for whoever shuts the throttle there has what a descent has. "
    )


OVERSPEED = Calculator(
    id="overspeed",
    title="Volts made downhill",
    chapter="drive",
    question="What does an energised field do to pack and controller downhill?",
    asks=(
        "emf_constant",
        "field_current",
        "descent_speed",
        "driver_teeth",
        "driven_teeth",
        "wheel_diameter",
        "series",
        "controller_voltage_max",
    ),
    gives=(
        Result("emf_peak", "Peak between two leads, at most", "V", made=parts.peak),
        Result("fastest_speed", "Speed that counts for it", "km/h", "peak_speed", optional=True),
        Result("charging_speed", "Road speed from which current flows back, field coil cold", "km/h"),
        Result(
            "charging_current",
            "Current back into the pack, at most",
            "A",
            made=lambda v: parts.fastest(v).charge,
        ),
        Result("charge_speed", "Speed that counts for it, pack at its reserve", "km/h", optional=True),
        Result(
            "braking_torque",
            "Torque that holds back meanwhile",
            "N*m",
            made=lambda v: parts.fastest(v).torque,
        ),
        Result("limit_speed", "Road speed at which the controller's limit is met, field coil cold", "km/h"),
        Result("charging_allowed", "What the pack may take then", "A", "downhill_current"),
        Result("voltage_class", "Voltage class at the most", made=parts.voltage_class),
        Result("bus_opened", "Bus when the pack opens at full current, at most", "V", "opened_voltage"),
        Result(
            "field_limit",
            "Field current with which nothing flows back downhill",
            "A",
            made=parts.field_limit,
            optional=True,
            needs=("saturation", "field_current"),
        ),
    ),
    report=_overspeed,
    early={"emf_peak": ("descent_peak",), "limit_speed": ()},
    despite_sensors=True,
    reads=(
        "descent_speed",
        "descent_motor_speed",
        "descent_peak",
        "descent_charge",
        "descent_torque",
        "gear_ratio",
        "wheel_diameter",
        "emf_constant",
        "full_field_constant",
        "reconnect_speed",
        "reserve_voltage",
        "controller_voltage_max",
        "phase_current_limit",
        "bus_capacitance",
        "cold_air",
        "ambient_temperature",
    ),
    optional=("field_supply_holds", "electric_brake"),
)
