"""The checks of the whole build: what is compared with what, how it is said, and what to do about it."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np

from calc.build import Values

# What a builder must settle otherwise: said with every verdict, so that an ok isn't read as more than it is.
NOT_JUDGED = (
    "joints of the cables, chain, mounting, brakes, tipping sideways, and what the rider can "
    "handle"
)


class Check(NamedTuple):
    """One check: `have` and `need` are nodes of the graph.

    kind: floor (have at least need), ceiling (have at most need) or flag (have must be true). safety: a shortfall
    can hurt somebody, so anything but near certainty is a stop, and a check that rests on usual values is never ok.
    say: what have and need are, with {have}, {need} and the nodes of `tells`, each with its unit. do: what to do
    when it isn't ok. despite_sensors: where the sensors give no usable pattern, judge as if they were mended; the
    checks of start and sensors stop for them. decided_by: two other nodes that have the same order as have and need
    and cost less to draw.
    """

    id: str
    title: str
    have: str
    need: str
    kind: Literal["floor", "ceiling", "flag"]
    unit: str
    say: str
    do: str
    safety: bool = False
    despite_sensors: bool = False
    tells: tuple[tuple[str, str], ...] = ()
    decided_by: tuple[str, str] | None = None

    @property
    def nodes(self) -> tuple[str, ...]:
        return (self.have, self.need) if self.need else (self.have,)

    def margin(self, values: Values) -> Any:
        """(have − need)/need for a floor, (limit − value)/limit for a ceiling, ±1 for a flag."""
        if self.kind == "flag":
            return np.where(np.asarray(values[self.have], dtype=float) > 0, 1.0, -1.0)
        return self._margin(values[self.have], values[self.need])

    def drawn_margin(self, values: Values) -> Any:
        """The margin over the draws, or one of the same sign where `decided_by` says how."""
        return (
            self._margin(*(values[node] for node in self.decided_by))
            if self.decided_by
            else self.margin(values)
        )

    def _margin(self, have: Any, need: Any) -> Any:
        return (have - need) / need if self.kind == "floor" else (need - have) / need


CHECKS = (
    Check(
        "start",
        "Starts on the slope",
        "start_torque_worst",
        "breakaway_needed",
        "floor",
        "N*m",
        "{have} in the worst rotor position, field on and its sensors pulled {armature_shift} early by the current; "
        "{need} needed to break away, the machine's own sticking counted.",
        "Gear lower or take weight off; more field and less line current where the sensors are pulled far; "
        "latching sensors instead of unipolar ones.",
        tells=(("armature_shift", "deg"),),
    ),
    Check(
        "slope",
        "Climbs the slope",
        "climb_force",
        "climb_load",
        "floor",
        "N",
        "{have} at the wheel at climbing speed, {need} needed.",
        "Gear lower, take weight off, or accept a slower climb.",
        despite_sensors=True,
    ),
    Check(
        "grip",
        "Tyres hold on the slope",
        "grip_force",
        "standing_force",
        "floor",
        "N",
        "{have} before the driven wheels slip, {need} needed at a crawl uphill.",
        "More of the weight on the driven axle, both wheels driven, tyres of more grip, or another way up.",
    ),
    Check(
        "speed",
        "Reaches the speed",
        "top_speed",
        "road_speed",
        "floor",
        "km/h",
        "{have} on the level, {need} wanted.",
        "If it ends below: gear taller, or accept less speed. If it hardly moves on the level: gear lower, take weight "
        "off. Check brakes and rider before you ask for more.",
        despite_sensors=True,
        decided_by=("level_force", "level_load"),
    ),
    Check(
        "ride-rows",
        "Can drive every part of the ride",
        "least_reach",
        "whole",
        "floor",
        "percent",
        "Full throttle gives {have} of the torque that the hardest part needs at its speed.",
        "Ride that part slower. Uphill a lower gear helps; downhill it makes more voltage.",
        despite_sensors=True,
    ),
    Check(
        "run-time",
        "Runs long enough",
        "run_time",
        "ride_time",
        "floor",
        "minute",
        "{have} of riding, {need} wanted.",
        "A larger pack, a slower ride, or a better field supply.",
        despite_sensors=True,
    ),
    Check(
        "heat",
        "Winding stands the ride",
        "winding_rise",
        "rise_allowed",
        "ceiling",
        "K",
        "After the ride and one more start the hottest coil is {have} above the air, at {hottest_temperature}; its "
        "class allows {need}. The fan is counted at the ride's own speeds.",
        "Gear lower, rest between climbs, blow air through it, or measure its cooling by a heat run.",
        despite_sensors=True,
        tells=(("hottest_temperature", "degC"),),
    ),
    Check(
        "field-heat",
        "Field coil stands ride and standing",
        "field_rise",
        "rise_allowed",
        "ceiling",
        "K",
        "The field coil gets {have} above the air, at {hottest_field_temperature}, after the ride or standing still "
        "for good with {field_hold_current}; its class allows {need}.",
        "Let the supply fall back to a hold current while it stands, or switch the field off after a minute. Riding: "
        "less field current, or air blown through.",
        despite_sensors=True,
        tells=(("hottest_field_temperature", "degC"), ("field_hold_current", "A")),
    ),
    Check(
        "field-supply",
        "Field supply gives the current",
        "field_supply_share",
        "whole",
        "floor",
        "percent",
        "With the coil hot, at {hottest_field_temperature}, the supply gives {have} of the volts or amps that the "
        "field current asks: {field_voltage_hot}.",
        "A supply of more volts or amps. A field that fades under way pulls less, and an unloaded machine runs away.",
        despite_sensors=True,
        tells=(("hottest_field_temperature", "degC"), ("field_voltage_hot", "V")),
    ),
    Check(
        "pack-current",
        "Pack gives the current",
        "one_pack_current",
        "pack_current_limit",
        "ceiling",
        "A",
        "{have} asked of one pack at full throttle, its protection opens at {need}.",
        "Lower the controller's battery limit, or fit cells and protection for more current.",
    ),
    Check(
        "cell-current",
        "Cells stand the current",
        "cell_current",
        "cell_current_limit",
        "ceiling",
        "A",
        "{have} from each cell at full throttle; its sheet allows {need} for good.",
        "Fire risk: more cells side by side, a lower battery current limit, or cells for more current.",
        safety=True,
    ),
    Check(
        "pack-low",
        "Pack stays above the cut-out",
        "lowest_voltage",
        "least_voltage",
        "floor",
        "V",
        "{have} at the reserve under full throttle; under {need} the controller cuts out or the cells suffer.",
        "More cells in series, cells of lower resistance, or a lower battery current limit.",
    ),
    Check(
        "protection",
        "Protection stays closed under throttle",
        "lowest_voltage",
        "protection_voltage_min",
        "floor",
        "V",
        "{have} at the reserve under full throttle; the protection opens at {need}, all at once.",
        "A larger reserve, a lower battery current limit, cells of lower resistance.",
    ),
    Check(
        "pack-high",
        "Controller stands a full pack",
        "voltage_full",
        "controller_voltage_max",
        "ceiling",
        "V",
        "{have} when full, the controller stands {need}.",
        "Fewer cells in series, or a controller for a higher voltage.",
        safety=True,
    ),
    Check(
        "charger",
        "Charger fits the pack",
        "charger_voltage",
        "charge_voltage_limit",
        "ceiling",
        "V",
        "The charger gives {have}; the pack is full at {voltage_full}. Beyond {need} there is a risk of fire.",
        "Fire risk: don't charge with it. Get a charger made for this number of these cells.",
        safety=True,
        tells=(("voltage_full", "V"),),
    ),
    Check(
        "charge-current",
        "Pack stands the charger's current",
        "current_allowed",
        "charger_current",
        "floor",
        "A",
        "The charger gives {need}; at {temperature} the pack takes {have}, cells and protection counted. Below 15 °C "
        "it takes less, below 0 °C and above 45 °C nothing.",
        "Fire risk: a charger of less current, or cells at another temperature. Below 0 °C never charge.",
        safety=True,
        tells=(("temperature", "degC"),),
    ),
    Check(
        "conductor",
        "Cable carries the current",
        "greatest_pack_current",
        "cable_ampacity",
        "ceiling",
        "A",
        "{have} at full throttle; the cable from the pack carries {need} for good as it lies, up to {insulation_limit} "
        "of its insulation.",
        "Fire risk: a thicker cable, air round it, or a lower battery current limit.",
        safety=True,
        tells=(("insulation_limit", "degC"),),
    ),
    Check(
        "fuse-voltage",
        "Fuse can open the pack's voltage",
        "fuse_voltage",
        "voltage_full",
        "floor",
        "V",
        "The main fuse is for {have} of direct voltage; a full pack has {need}.",
        "Fire risk: a fuse and holder for the full voltage, direct current. An arc in a smaller one goes on burning.",
        safety=True,
    ),
    Check(
        "fuse-breaks",
        "Fuse can break a short",
        "fuse_breaking",
        "prospective_current",
        "floor",
        "A",
        "The main fuse breaks {have}; a short right behind it makes {need}.",
        "Fire risk: a fuse with more breaking capacity at direct current.",
        safety=True,
    ),
    Check(
        "fuse-guards",
        "Fuse guards the cable",
        "fuse_rating",
        "guarded_rating",
        "ceiling",
        "A",
        "The main fuse is rated {have}; for a cable that carries {cable_ampacity} it may be {need}.",
        "Fire risk: a thicker cable or a smaller fuse.",
        safety=True,
        tells=(("cable_ampacity", "A"),),
    ),
    Check(
        "fuse-short",
        "Fuse opens before the cable is hurt",
        "cable_stands",
        "opens_short",
        "floor",
        "s",
        "A short at the cable's far end makes {far_short}: the cable stands it for {have}, the fuse opens within "
        "{need}.",
        "Fire risk: a thicker or shorter cable or a faster fuse; enter the time from its data sheet (opens_short).",
        safety=True,
        tells=(("far_short", "A"),),
    ),
    Check(
        "precharge",
        "Bus is full before the main switch closes",
        "inrush_current",
        "pack_current_limit",
        "ceiling",
        "A",
        "After {precharge_time} through the resistor {precharge_left} of the volts is missing, and the main switch "
        "closes on {have}; the protection opens at {need}.",
        "Wait longer, a smaller resistor, or electronics that stay off until the main switch is closed. Without "
        "precharge the contacts weld.",
        tells=(("precharge_time", "s"), ("precharge_left", "percent")),
    ),
    Check(
        "sensors",
        "Sensors give six codes",
        "sensors_work",
        "",
        "flag",
        "",
        "",
        "Move the sensors to slots that the sensor page lists.",
    ),
    Check(
        "insulation",
        "Windings are clear of the case",
        "insulation_resistance",
        "insulation_needed",
        "floor",
        "kohm",
        "{insulation_resistance} to the case; a pack of {voltage_full} needs {need} or more (500 Ω for each volt, "
        "UN R100).",
        "Don't connect a pack. Find the grounded brush, rectifier or star point, or dry and clean the windings.",
        safety=True,
        tells=(("voltage_full", "V"), ("insulation_resistance", "Mohm")),
    ),
    Check(
        "overspeed",
        "Volts made downhill",
        "descent_peak",
        "controller_voltage_max",
        "ceiling",
        "V",
        "{have} between two leads at the {descent_speed} that the brakes hold it to downhill, field full, coil cold; "
        "the controller stands {need}, which {limit_speed} would make.",
        "Less field downhill, a lower speed there held by the brakes, or a controller for more volts. The emergency "
        "stop opens traction and field. Never switch the field on again above that speed.",
        safety=True,
        tells=(("descent_speed", "km/h"), ("limit_speed", "km/h")),
    ),
)
