"""Does it start, climb, last and stay cool?"""

from __future__ import annotations

from calc.checks.model import Check, Short
from calc.told import LARGER_PACK, MORE_GRIP

RIDING = (
    Check(
        "start",
        "Starts on the slope",
        "start_torque_worst",
        "breakaway_needed",
        "floor",
        "N*m",
        "{have} in the worst rotor position at {start_current}, field on and its sensors pulled {start_shift} early by "
        "the current; {need} needed to break away, the machine's own sticking counted.",
        "Gear lower or take weight off; more field and less line current where the sensors are pulled far; "
        "latching sensors instead of unipolar ones.",
        tells=(("start_shift", "deg"), ("start_current", "A")),
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
        MORE_GRIP,
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
        below="At the speed of the hardest part full throttle gives no torque: the machine brakes there.",
    ),
    Check(
        "run-time",
        "Runs long enough",
        "run_time",
        "ride_time",
        "floor",
        "minute",
        "{have} of riding, {need} wanted.",
        LARGER_PACK,
        despite_sensors=True,
        short=(
            Short(
                "least_reach",
                "whole",
                "Counted as if every part of the ride could be driven.",
                "Mend that first, then read the minutes.",
            ),
        ),
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
)
