"""The curve of this build, and beside it other connections, field currents and advances: one solution for all."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc.build import Values
from calc.drive import curve
from calc.drive.curve import Machine, Supply
from calc.drive.inverter import Steady
from calc.drive.overspeed import speed_at_peak
from calc.drive.torque import no_load_speed
from calc.machine import connection, emf
from calc.machine.inductance import inductance_at
from calc.machine.losses import drag_torque
from calc.quantities import Array, Real

POINTS, FEW = 60, 12
ADVANCES = (0.0, 10.0, 20.0, 30.0)
"""Degrees tried beyond the present switching."""
_FIELDS = 6
MAP_SHARES = np.array([0.1, 0.25, 0.4, 0.55, 0.7, 0.85])
_FOLLOWS = 0.95
"""Share of the armature's field at the limit from which the sensors follow the current: no such field is tried."""


class Line(NamedTuple):
    """One curve: its name, its speeds and what is there, where it ends, and the field current it belongs to.

    drag: what the machine holds back by itself at those speeds. closed: its torque falls to that there; otherwise it
    still pulls at the last speed worked out. stands: the speed from which its open volts are more than the controller
    stands, beyond every speed where that isn't known.
    """

    name: str
    speed: Array
    found: Steady
    drag: Array
    ends: float
    closed: bool
    stands: float
    field_current: float | None = None


class Sweeps(NamedTuple):
    """All curves of an answer; `parts` is the machine at part throttle, a row for each throttle of each map speed."""

    supply: Supply
    main: Line
    connections: tuple[Line, ...]
    fields: tuple[Line, ...]
    advances: tuple[Line, ...]
    parts: Steady


def feed(v: Values) -> Supply:
    """A given supply is the bus itself, stiff; a pack sags by its resistance from its reserve, and the controller takes
    its share."""
    limits = float(v["phase_current_limit"]), float(v["battery_current_limit"])
    if v.build.is_leaf("supply_voltage"):
        return Supply(float(v["supply_voltage"]), 0.0, 0.0, *limits, 1.0)
    volts, source = float(v["reserve_voltage"]), float(v["pack_resistance"])
    extra = (float(v["field_drain"]) + float(v["idle_power"])) / volts
    return Supply(volts, source, extra, *limits, float(v["controller_efficiency"]))


def present(v: Values) -> Machine:
    """The machine as it is entered."""
    per_ampere = 0.0
    if not v.build.missing("armature_per_ampere"):
        per_ampere = float(v["armature_per_ampere"])
    return Machine(
        emf_constant=float(v["emf_constant"]),
        line_resistance=float(v["hot_line_resistance"]),
        line_inductance=float(v["line_inductance"]),
        switching_error=float(v["switching_error"]),
        armature_per_ampere=per_ampere,
    )


def _other_connection(v: Values, now: Machine) -> tuple[str, Machine]:
    wanted = next(c for c in connection.CONNECTIONS if c != v["connection"])

    def there(value: Any, ratio: float) -> float:
        return float(connection.in_connection(value, ratio, v["connection"], wanted))

    other = now._replace(
        emf_constant=there(now.emf_constant, connection.VOLTAGE_RATIO),
        line_resistance=there(now.line_resistance, connection.IMPEDANCE_RATIO),
        line_inductance=there(now.line_inductance, connection.IMPEDANCE_RATIO),
    )
    # Share of the working field for each ampere: L/λ, which falls by √3 with the volts' rise.
    scale = (other.line_inductance / other.emf_constant) / (now.line_inductance / now.emf_constant)
    return wanted, other._replace(armature_per_ampere=now.armature_per_ampere * scale)


def _fields(v: Values, now: Machine) -> list[tuple[float, Machine]]:
    """The machine at field currents of the spin test's range, none where it wasn't spun at several."""
    if v.build.missing("saturation", "field_current", "leakage_share"):
        return []
    saturation = v["saturation"]
    if saturation.high - saturation.low < 0.05 * saturation.high:
        return []
    here, limit = float(v["field_current"]), float(v["phase_current_limit"])

    def fed(current: float) -> Machine:
        constant = float(emf.emf_at(saturation, current))
        inductance = float(
            inductance_at(now.line_inductance, v["leakage_share"], now.emf_constant, here, constant, current)
        )
        scale = (inductance / constant) / (now.line_inductance / now.emf_constant)
        return now._replace(
            emf_constant=constant,
            line_inductance=inductance,
            armature_per_ampere=now.armature_per_ampere * scale,
        )

    tried = np.linspace(max(saturation.low, 0.2 * saturation.high), saturation.high, 25)
    ruled = [float(i) for i in tried if fed(float(i)).armature_per_ampere * limit < _FOLLOWS]
    if len(ruled) < 2:
        return []
    return [(float(i), fed(float(i))) for i in np.linspace(ruled[0], ruled[-1], _FIELDS)]


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def sweeps(v: Values) -> Sweeps:
    """Every curve, worked out together."""
    now, supply = present(v), feed(v)
    wanted, other = _other_connection(v, now)
    fields = _fields(v, now)
    advances = [now._replace(switching_error=now.switching_error - np.radians(a)) for a in ADVANCES[1:]]
    machines = [now, other, *(m for _, m in fields), *advances]
    counts = [POINTS] + [FEW] * (len(machines) - 1)
    speeds = [curve.speeds_for(m, supply.open_voltage, n) for m, n in zip(machines, counts, strict=True)]
    part_speed, part_throttle = curve.part_throttles(map_speeds(v), now, v["pole_pairs"], supply)
    throttles = [*(np.ones(n) for n in counts), part_throttle]
    names = [
        str(v["connection"]),
        wanted,
        *("" for _ in fields),
        *(f"{a:.0f}° earlier" for a in ADVANCES[1:]),
    ]
    currents = [None, None, *(current for current, _ in fields), *(None for _ in advances)]
    *found, parts = curve.sweep(
        [*speeds, part_speed], [*machines, now], supply, v["pole_pairs"], v["drive_kind"], throttles
    )
    volts = np.inf if v.build.missing("controller_voltage_max") else float(v["controller_voltage_max"])
    # another field is another flux; star and delta, and advances, are not
    fluxes = [
        float(m.emf_constant / now.emf_constant) if i is not None else 1.0
        for m, i in zip(machines, currents, strict=True)
    ]
    drags = [drag(v, speed, flux) for speed, flux in zip(speeds, fluxes, strict=True)]
    lines = [
        Line(
            name,
            speed,
            one,
            held,
            curve.ends_at(speed, one.torque, held),
            curve.comes_to_an_end(one.torque, held),
            float(speed_at_peak(volts, machine.emf_constant)),
            current,
        )
        for name, machine, speed, one, held, current in zip(
            names, machines, speeds, found, drags, currents, strict=True
        )
    ]
    main, after = lines[0], 2 + len(fields)
    as_it_is = main._replace(name="as it is")
    return Sweeps(supply, main, (main, lines[1]), tuple(lines[2:after]), (as_it_is, *lines[after:]), parts)


def drag(v: Values, speed: Real, flux_share: float = 1.0) -> Array:
    """What the machine holds back by itself at a speed, N·m."""
    return np.asarray(drag_torque(float(v["friction_torque"]), float(v["iron_share"]), speed, flux_share))


def map_speeds(v: Values) -> Array:
    """Speeds of the efficiency map, rad/s: shares of the no-load speed that right sensors give."""
    return MAP_SHARES * float(no_load_speed(float(v["emf_constant"]), feed(v).open_voltage))


def torque_at(line: Line, speed: float, drag: Array | None = None) -> float | None:
    """Torque at a speed, by straight lines, less `drag` where that is given at each of the line's speeds.

    None beyond the curve's end or next to where no state was found.

    Below the first speed worked out its torque counts. A curve that doesn't start itself has no end to count with.
    """
    if 0.0 < line.ends < speed or speed > line.speed[-1]:
        return None
    after = int(np.searchsorted(line.speed, speed))
    near = slice(max(after - 1, 0), after + 1)
    told = line.found.torque[near] - (0.0 if drag is None else drag[near])
    return float(np.interp(speed, line.speed[near], told)) if np.isfinite(told).all() else None


def at_shaft(line: Line, speed: float) -> float:
    """Torque at the shaft at a speed, N·m, the machine's drag with that line's field taken off; nothing beyond."""
    return torque_at(line, speed, line.drag) or 0.0


def no_load(v: Values) -> float | None:
    """No-load speed, rad/s; None where the machine still pulls at the last speed worked out."""
    main = sweeps(v).main
    return main.ends if main.closed else None


def peak_power(v: Values) -> float:
    """Most power at the shaft, W."""
    main = sweeps(v).main
    return float(np.nanmax((main.found.torque - main.drag) * main.speed))
