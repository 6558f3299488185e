"""What the reader should know of the volts that the machine makes: the controller, the pack, the emergency stop."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.calculators.overspeed import parts
from calc.drive.overspeed import TOUCH_AC
from calc.fields import FIELDS
from calc.findings import Finding
from calc.power import charging
from calc.power.limits import SHOCK_VOLTAGE
from calc.told import few
from calc.told.power import NOTHING_BACK
from calc.units import show


def sent_back(v: Values) -> list[Finding]:
    """What the controller itself sends back, where somebody said; none of the numbers here counts it."""
    if "electric_brake" not in v.build.entered or charging.sends_nothing(v["electric_brake"]):
        return []
    return [Finding("stop", charging.sends_told(v["electric_brake"]), NOTHING_BACK)]


def findings(v: Values) -> list[Finding]:
    stands, fastest = float(v["controller_voltage_max"]), parts.fastest(v)
    peak, back = fastest.peak, fastest.charge > 0.0
    mend = (
        "Less field downhill, or a lower speed held by the brakes"
        if fastest.downhill
        else "A speed limit set in the controller for every rider, or less timing advance; neither less field nor a "
        "lower gear helps there"
    )
    found = []
    if peak > stands:
        found.append(
            Finding(
                "stop",
                f"{show(peak, 'V')} at the {show(fastest.speed, 'km/h')} {fastest.told}: more than the "
                f"{show(stands, 'V')} that the controller stands. While the pack is connected it holds the volts down "
                "and takes the current; when its protection opens, the controller gets them all.",
                f"{mend}. {show(v['limit_speed'], 'km/h')} is the end.",
            )
        )
    elif peak > 0.85 * stands:
        found.append(
            Finding(
                "caution",
                f"{show(peak, 'V')} at the {show(fastest.speed, 'km/h')} {fastest.told} leaves little under the "
                f"controller's {show(stands, 'V')}.",
                f"{mend}.",
            )
        )
    if back:
        charge, allowed = fastest.charge, float(v["downhill_current"])
        if charge > allowed:
            found.append(
                Finding(
                    "stop",
                    f"Up to {show(charge, 'A')} flow back with the throttle shut at the "
                    f"{show(fastest.charge_speed, 'km/h')} {fastest.charge_told}; cells from "
                    f"{show(v['cold_air'], 'degC')} to {show(v['ambient_temperature'], 'degC')} take "
                    f"{show(allowed, 'A')}, protection counted.",
                    f"Fire risk, at the time or weeks later: {mend[0].lower()}{mend[1:]}.",
                )
            )
        found.append(
            Finding(
                "caution",
                f"From {show(v['charging_speed'], 'km/h')} on, field coil cold, current flows back through the "
                f"controller's diodes, throttle or no throttle: up to {show(charge, 'A')} at "
                f"{show(fastest.charge_speed, 'km/h')}, holding back with {show(fastest.torque, 'N*m')}. It charges a "
                "pack that may be full or too cold.",
                "Start downhill with room in the pack, not full. Never charge below 0 °C. Never count on it as a "
                "brake: it ends without warning.",
            )
        )
        limit = parts.field_limit(v)
        if limit is not None and fastest.charge_speed <= float(v["descent_speed"]):
            found.append(
                Finding(
                    "note",
                    f"With {show(limit, 'A')} of field or less nothing flows back at that speed.",
                    "Turn the field down before the descent, slowly, and not on an unloaded machine.",
                )
            )
    rows = v["short_circuit_test"] if "short_circuit_test" in v.build.entered else ()
    if back and any(row[3] is None for row in rows):
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
    found += _untold(v, fastest) + _beyond(v)
    if parts.voltage_class(v) == parts.ABOVE:
        found.append(
            Finding(
                "caution",
                f"{show(peak / np.sqrt(2.0), 'V')} rms between leads, {show(peak, 'V')} at the peak: "
                f"{TOUCH_AC:g} V ac or {SHOCK_VOLTAGE:g} V dc or more, where standards draw the line of touch voltage "
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


def _untold(v: Values, fastest: parts.Fastest) -> list[Finding]:
    """The speed that it drives itself to waits for entries: until then only the descent is judged."""
    if fastest.itself:
        return []
    names = few([FIELDS[key].quoted for key in parts.untold(v)])
    return [
        Finding(
            "caution",
            f"Only {show(fastest.speed, 'km/h')} downhill is judged. By itself it may go faster, and with the throttle "
            "shut there the same happens.",
            f"Enter {names}.",
        )
    ]


def _beyond(v: Values) -> list[Finding]:
    """Where the cold coil takes more than the spin test reached."""
    build = v.build
    if build.is_leaf("emf_constant") or "emf_test" not in build.entered or v["saturation"].knee == 0.0:
        return []
    curve, cold = v["saturation"], float(v["field_current"]) * float(v["cold_share"])
    if cold <= curve.high * (1.0 + 1e-9):
        return []
    return [
        Finding(
            "ok",
            f"Cold the field takes up to {show(cold, 'A')}; the spin test ends at {show(curve.high, 'A')}. The curve "
            f"through its readings is drawn on to there, its ± of {show(curve.errors[-1], 'percent', 2)} put on top.",
            f"A spin reading at {show(cold, 'A')}, coil cold and quick, would tell it.",
        )
    ]
