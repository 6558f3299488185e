"""What does the machine do when the slope drives it?"""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.drive.overspeed import TOUCH_AC
from calc.fields import FIELDS
from calc.figures.overspeed import made_volts
from calc.findings import Finding
from calc.machine import emf
from calc.power import charging
from calc.power.limits import SHOCK_VOLTAGE
from calc.spec import Calculator, Report, Result
from calc.told.power import NOTHING_BACK
from calc.units import show

_TRIED = 200
_ABOVE = f"at or above {TOUCH_AC:g} V ac or {SHOCK_VOLTAGE:g} V dc"


def _field_limit(v: Values) -> float | None:
    """The most field current with which the peak stays under the pack at the descent's speed, A; None if untold.

    Along the spin test's curve, the coil's cold share counted; None where even the lowest field tried makes more.
    """
    if v.build.missing("saturation", "field_current"):
        return None
    curve, share = v["saturation"], float(v["full_field_constant"]) / float(v["emf_constant"])
    currents = np.linspace(curve.low, curve.high, _TRIED)
    peaks = np.array([np.sqrt(2.0) * share * float(emf.emf_at(curve, float(i))) for i in currents])
    fits = currents[peaks * float(v["descent_motor_speed"]) <= float(v["reserve_voltage"])]
    return float(fits[-1]) if len(fits) else None


def _class(v: Values) -> str:
    """The voltage class at the descent, by the volts between leads."""
    rms, peak = float(v["descent_peak"]) / np.sqrt(2.0), float(v["descent_peak"])
    return (
        _ABOVE
        if rms >= TOUCH_AC or peak >= SHOCK_VOLTAGE
        else f"below {TOUCH_AC:g} V ac and {SHOCK_VOLTAGE:g} V dc"
    )


def _sent_back(v: Values) -> list[Finding]:
    """What the controller itself sends back, where somebody said; none of the numbers here counts it."""
    if "electric_brake" not in v.build.entered or charging.sends_nothing(v["electric_brake"]):
        return []
    return [Finding("stop", charging.sends_told(v["electric_brake"]), NOTHING_BACK)]


def _findings(v: Values) -> list[Finding]:
    peak, stands, pack = (float(v[k]) for k in ("descent_peak", "controller_voltage_max", "reserve_voltage"))
    found = []
    if peak > stands:
        found.append(
            Finding(
                "stop",
                f"{show(peak, 'V')} at {show(v['descent_speed'], 'km/h')}: more than the {show(stands, 'V')} that the "
                "controller stands. While the pack is connected it holds the volts down and takes the current; when "
                "its protection opens, the controller gets them all.",
                "Less field downhill, or hold a lower speed with the brakes: "
                f"{show(v['limit_speed'], 'km/h')} is the end.",
            )
        )
    elif peak > 0.85 * stands:
        found.append(
            Finding(
                "caution",
                f"{show(peak, 'V')} downhill leaves little under the controller's {show(stands, 'V')}.",
                "Less field downhill.",
            )
        )
    if peak > pack:
        charge, allowed = float(v["descent_charge"]), float(v["downhill_current"])
        if charge > allowed:
            found.append(
                Finding(
                    "stop",
                    f"Up to {show(charge, 'A')} flow back at {show(v['descent_speed'], 'km/h')}; cells from "
                    f"{show(v['cold_air'], 'degC')} to {show(v['ambient_temperature'], 'degC')} take "
                    f"{show(allowed, 'A')}, protection counted.",
                    "Fire risk, at the time or weeks later: less field downhill, or a lower speed held by the brakes.",
                )
            )
        found.append(
            Finding(
                "caution",
                f"From {show(v['charging_speed'], 'km/h')} on current flows back through the controller's diodes, "
                f"throttle or no throttle: up to {show(charge, 'A')} at {show(v['descent_speed'], 'km/h')}, holding "
                f"back with {show(v['descent_torque'], 'N*m')}. It charges a pack that may be full or too cold.",
                "Start downhill with room in the pack, not full. Never charge below 0 °C. Never count on it as a "
                "brake: it ends without warning.",
            )
        )
        limit = _field_limit(v)
        if limit is not None:
            found.append(
                Finding(
                    "ok",
                    f"With {show(limit, 'A')} of field or less nothing flows back at that speed.",
                    "Turn the field down before the descent, slowly, and not on an unloaded machine.",
                )
            )
    rows = v["short_circuit_test"] if "short_circuit_test" in v.build.entered else ()
    if peak > pack and any(row[3] is None for row in rows):
        found.append(
            Finding(
                "caution",
                "The short-circuit spin doesn't note its field current. The current back is counted with the least "
                f"inductance that this leaves, {show(v['least_inductance'], 'uH')} between two leads; with the spin's "
                f"own {show(v['line_inductance'], 'uH')} less flows.",
                f"Note it in each row of {FIELDS['short_circuit_test'].quoted}.",
            )
        )
    opened = float(v["opened_voltage"])
    if opened > stands:
        usual = v.build.is_leaf("bus_capacitance") and v.build.input("bus_capacitance").source == "usual"
        found.append(
            Finding(
                "caution",
                f"When the pack opens at {show(v['phase_current_limit'], 'A')} of line current, the windings' energy "
                f"lifts the bus to {show(opened, 'V')} at most; the controller stands {show(stands, 'V')}."
                + (" Its capacitance is only usual." if usual else ""),
                "Let go of the throttle before anything opens. Keep the battery limit under what opens protection and "
                "fuse, or have more capacitance across the controller, with its precharge.",
            )
        )
    if _class(v) == _ABOVE:
        found.append(
            Finding(
                "caution",
                f"{show(peak / np.sqrt(2.0), 'V')} rms between leads, {show(peak, 'V')} at the peak: at or above "
                f"{TOUCH_AC:g} V ac or {SHOCK_VOLTAGE:g} V dc, where standards draw the line of touch voltage "
                "(UN R100, ISO 6469-4).",
                "Cover every live part, and let a licensed person check it; local codes come first.",
            )
        )
    found.append(
        Finding(
            "caution",
            "The emergency stop has to open two things: traction, and the field. With the field on, the machine makes "
            "volts as long as it turns.",
            "Never switch the field on again while it rolls faster than "
            f"{show(min(float(v['reconnect_speed']), float(v['limit_speed'])), 'km/h')}. Motor braking never "
            "counts as a brake: fit two independent ones.",
        )
    )
    return found


def _overspeed(v: Values) -> Report:
    top = 1.3 * max(float(v["descent_speed"]), float(v["limit_speed"]) * 0.9)
    scale = top / float(v["descent_speed"])
    peak = float(v["descent_peak"])
    present = peak * float(v["emf_constant"]) / float(v["full_field_constant"])
    held = "field_supply_holds" in v.build.entered and v["field_supply_holds"] == "current"
    levels = [("pack", float(v["reserve_voltage"])), ("controller", float(v["controller_voltage_max"]))]
    return Report(
        show(v["descent_peak"], "V"),
        f"between two leads at {show(v['descent_speed'], 'km/h')} downhill; the controller stands "
        f"{show(v['controller_voltage_max'], 'V')}",
        f"The machine then turns at {show(v['descent_motor_speed'], 'rpm')}. Counted with the "
        f"{'working field, which the supply holds' if held else 'field coil cold: it takes more at the same volts'}. "
        "A pack at its reserve rests at "
        f"{show(v['reserve_voltage'], 'V')}: above that the diodes conduct.",
        (*_sent_back(v), *_findings(v)),
        (lambda uid: made_volts(uid, top, peak * scale, present * scale, levels, float(v["descent_speed"])),),
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
        Result("emf_peak", "Peak between two leads downhill", "V", "descent_peak"),
        Result("charging_speed", "Road speed from which current flows back", "km/h"),
        Result("charging_current", "Current back into the pack downhill, at most", "A", "descent_charge"),
        Result("braking_torque", "Torque that holds back meanwhile", "N*m", "descent_torque"),
        Result("limit_speed", "Road speed at which the controller's limit is met", "km/h"),
        Result("charging_allowed", "What the pack may take then", "A", "downhill_current"),
        Result("voltage_class", "Voltage class downhill", made=_class),
        Result("bus_opened", "Bus when the pack opens at full current, at most", "V", "opened_voltage"),
        Result(
            "field_limit",
            "Field current with which nothing flows back",
            "A",
            made=_field_limit,
            optional=True,
            needs=("saturation", "field_current"),
        ),
    ),
    report=_overspeed,
    early=dict.fromkeys(("emf_peak", "limit_speed"), ()),
    reads=(
        "descent_speed",
        "descent_motor_speed",
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
