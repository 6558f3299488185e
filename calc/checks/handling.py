"""Does it stop, stay, keep on its wheels, and go no faster than its riders may?"""

from __future__ import annotations

from calc.checks.model import Check

HANDLING = (
    Check(
        "chain",
        "Chain stands the pull",
        "chain_strength",
        "strength_needed",
        "floor",
        "kN",
        "{have} break it; {need} are wanted, nine times the {chain_pull} that the machine can pull at its limit.",
        "A larger chain, a larger sprocket on the motor, or a lower phase current limit.",
        safety=True,
        despite_sensors=True,
        tells=(("chain_pull", "N"),),
    ),
    Check(
        "brakes",
        "Stops within the free way",
        "descent_stop",
        "sight_distance",
        "ceiling",
        "m",
        "From {descent_speed} down the steepest slope {have} to standing, {net_deceleration} left after the "
        "slope; {need} of "
        "the way are surely free. The motor isn't counted.",
        "Hold a lower speed downhill, clear the way, or better brakes. Try at walking pace, helmet on, a helper by.",
        safety=True,
        tells=(("descent_speed", "km/h"), ("net_deceleration", "m/s**2")),
    ),
    Check(
        "second-brake",
        "Second brake stops it alone",
        "second_given",
        "second_wanted",
        "floor",
        "m/s**2",
        "{have} by the second brake alone; {need} wanted, the slope's pull and 1 m/s² more.",
        "Two brakes, each with lever, cable and shoes of its own. A stronger second one, or on the axle with "
        "more weight.",
        safety=True,
    ),
    Check(
        "parking",
        "Stays where it is parked",
        "parking_held",
        "parking_needed",
        "floor",
        "N",
        "The parking brake holds {have} on the steepest slope, nose up or down; the slope pulls with {need}.",
        "A stronger parking brake, on the axle with more weight. Chocks always.",
        safety=True,
    ),
    Check(
        "side-slope",
        "Stands on the side slope",
        "side_slope",
        "side_hold",
        "ceiling",
        "percent",
        "{have} of side slope; it tips or slides from {need} on.",
        "Lower load, wider track, or straight up and down there.",
        safety=True,
    ),
    Check(
        "bend",
        "Takes the bend at speed",
        "speed_cap",
        "road_speed",
        "floor",
        "km/h",
        "In the tightest bend it tips or slides at {have}, side slope counted; {need} wanted.",
        "Slower before the bend, a wider one, weight lower, track wider.",
        safety=True,
    ),
    Check(
        "rider",
        "No faster than its riders may",
        "rider_share",
        "whole",
        "floor",
        "percent",
        "What stopping, bend and supervision allow is {have} of what the machine reaches, for the rider with "
        "the least.",
        "Set the controller's speed limit for that rider. Never by less field: that makes it faster.",
        safety=True,
        despite_sensors=True,
    ),
)
