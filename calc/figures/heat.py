"""Figure of the machine's heat: how its three parts warm on the ride."""

from __future__ import annotations

import numpy as np

from calc.build import Values
from calc.figures.svg import Curve, plot
from calc.machine import heat
from calc.machine.thermal_class import allowed_temperature
from calc.quantities import Real
from calc.units import from_si, show

POINTS = 61


def warming(uid: str, v: Values) -> str:
    """Winding, body and rotor over the time of the ride, by its mean losses, against what the class allows."""
    air, time = float(v["ambient_temperature"]), float(v["ride_time"])
    limit = float(allowed_temperature(v["insulation_class"]))
    times = np.linspace(0.0, time, POINTS)
    cold = heat.Temperatures(air, air, air)
    along = heat.after(v["ride_network"], v["ride_losses"], cold, times, air)
    most = 2.0 * limit - air  # a curve that runs away is cut where the picture ends

    def drawn(kelvin: Real) -> list[tuple[float, float]]:
        shown = np.minimum(np.broadcast_to(kelvin, times.shape), most)
        pairs = zip(from_si(times, "minute"), from_si(shown, "degC"), strict=True)
        return [(float(x), float(y)) for x, y in pairs]

    ends = ", ".join(
        f"{name} {show(float(np.asarray(kelvin)[-1]), 'degC')}"
        for name, kelvin in zip(("winding", "body", "rotor"), along, strict=True)
    )
    hot = float(v["hottest_temperature"])
    return plot(
        uid,
        "Temperatures over the ride",
        f"From {show(air, 'degC')} at the start, after {show(time, 'minute')}: {ends}. The hottest coil at the end of "
        f"the heaviest part and one more start: {show(hot, 'degC')}. Allowed: {show(limit, 'degC')}.",
        "time, minutes",
        "°C",
        [
            Curve(drawn(along.winding), "winding"),
            Curve(drawn(along.body), "body", 1),
            Curve(drawn(along.rotor), "rotor", 2),
            Curve(drawn(np.full(POINTS, limit)), "allowed", 3),
        ],
        [(float(from_si(time, "minute")), float(from_si(min(hot, most), "degC")), "hottest")],
    )
