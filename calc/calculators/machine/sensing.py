"""What sensors in slots do: timing, places, and what current, threshold and a loaded slot do to their edges."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from calc.build import Values
from calc.findings import Finding
from calc.machine import alignment, armature, edges, sensors, winding
from calc.units import show

PLACES = (0.0005, 0.001, 0.002, 0.003)
NOTABLE = math.radians(5.0)


def counts(v: Values) -> tuple[int, int]:
    """Slots and pole pairs."""
    return round(float(v["slots"])), round(float(v["pole_pairs"]))


def coils(v: Values) -> tuple[int, int]:
    """Coil span and layers."""
    return round(float(v["coil_span"])), round(float(v["layers"]))


def sets_that_work(v: Values) -> list[dict[str, Any]]:
    """Rows of `valid_sets`."""
    return list(sensors.valid_sets(*counts(v), v["sensor_spacing"]))


def chosen_slots(v: Values) -> tuple[int, ...]:
    """The slots entered, else the most compact set that works, else none."""
    if "sensor_slots" in v.build.entered:
        return tuple(v["sensor_slots"])
    sets = sets_that_work(v)
    return (sets[0]["slot_1"], sets[0]["slot_2"], sets[0]["slot_3"]) if sets else ()


def lamp_rows(v: Values) -> list[dict[str, Any]]:
    slots, pole_pairs = counts(v)
    chosen = chosen_slots(v)
    if len(chosen) != 3 or max(chosen) >= slots or v["sensor_threshold"] >= v["sensor_field"]:
        return []
    on, off = delays(v)
    return sensors.pattern(slots, pole_pairs, chosen, on - off)


def usable(v: Values) -> bool:
    return len(chosen_slots(v)) == 3 and not sensors.sensors_reason(
        *counts(v), chosen_slots(v), v["sensor_spacing"]
    )


def slots_error(v: Values) -> float | None:
    """The error that the chosen slots bring, or None when they or the winding can't work."""
    slots, pole_pairs = counts(v)
    if not usable(v) or winding.fault(slots, pole_pairs, *coils(v)):
        return None
    return float(alignment.alignment_error(slots, pole_pairs, *coils(v), v["connection"], chosen_slots(v)))


def own_places(v: Values) -> tuple[float, ...]:
    """How far each sensor sits beyond the middle of its slot, rad electrical: 0 where nobody measured it."""
    if not {"sensor_offsets", "bore_diameter"} <= v.build.entered.keys():
        return (0.0, 0.0, 0.0)
    pole_pairs = counts(v)[1]
    more = [float(edges.bore_angle(row[0], v["bore_diameter"], pole_pairs)) for row in v["sensor_offsets"]]
    return tuple([*more, 0.0, 0.0, 0.0][:3])


def sensor_errors(v: Values) -> tuple[float, ...] | None:
    """How late each sensor switches: its slot, and its place in it where that was entered; None where none works."""
    if slots_error(v) is None:
        return None
    found = alignment.sensor_errors(*counts(v), *coils(v), v["connection"], chosen_slots(v))
    return tuple(error + own for error, own in zip(found, own_places(v), strict=True))


def switching_fault(v: Values) -> str:
    """Why such sensors make no six codes in any slot; '' when they do."""
    keys = ("sensor_threshold", "sensor_field", "edge_on_delay", "edge_off_delay")
    return armature.switching_fault(*(v[key] for key in keys))


def delays(v: Values) -> tuple[float, float]:
    """How late a lamp goes on and off by its threshold, rad electrical."""
    return float(v["edge_on_delay"]), float(v["edge_off_delay"])


def all_edges(v: Values) -> tuple[float, ...] | None:
    """How late each of the six edges comes without current: place and threshold; None where none works."""
    errors = sensor_errors(v)
    if errors is None or switching_fault(v):
        return None
    return tuple(float(error) for error in edges.both_edges(errors, *delays(v)))


def edge_rows(v: Values) -> list[dict[str, Any]] | None:
    """Each sensor with its error, and how far to move it where the bore is known."""
    errors = sensor_errors(v)
    if errors is None:
        return None
    pole_pairs = counts(v)[1]
    radius = float(v["bore_diameter"]) / 2.0 if "bore_diameter" in v.build.entered else None
    return [
        {
            "sensor": number,
            "slot": slot,
            "error": error,
            "shaft": 0.0 - error / pole_pairs,
            "move": None if radius is None else 0.0 - error / pole_pairs * radius,
        }
        for number, (slot, error) in enumerate(zip(chosen_slots(v), errors, strict=True), 1)
    ]


def steps(v: Values) -> tuple[float, ...] | None:
    """The six steps of a turn with each sensor where it sits, rad."""
    if all_edges(v) is None:
        return None
    places = sensors.positions(*counts(v), chosen_slots(v))
    at = [place + own for place, own in zip(places, own_places(v), strict=True)]
    return edges.step_widths(at, *delays(v))


def step_rows(v: Values) -> list[dict[str, Any]] | None:
    found = steps(v)
    return None if found is None else [{"step": k, "width": width} for k, width in enumerate(found, 1)]


def mean_left(v: Values) -> float | None:
    errors = all_edges(v)
    return None if errors is None else float(edges.mean_share(errors))


def worst_left(v: Values) -> float | None:
    errors = all_edges(v)
    return None if errors is None else float(edges.worst_share(errors))


def placing_rows(v: Values) -> list[dict[str, Any]]:
    """What a distance along the bore costs an aligned set, all three sensors off alike, and one of them."""
    rows = []
    for distance in sorted({*PLACES, float(v["placing_error"])}):
        angle = float(edges.bore_angle(distance, v["bore_diameter"], v["pole_pairs"]))
        rows.append(
            {
                "distance": distance,
                "angle": angle,
                "mean": float(edges.mean_share([angle])),
                "one": float(edges.mean_share([angle, 0.0, 0.0])),
                "worst": float(edges.worst_share([angle])),
            }
        )
    return rows


def current_rows(v: Values) -> list[dict[str, Any]] | None:
    """What the machine's own current does to the edges, up to half more than that of a standing start."""
    still = all_edges(v)
    if still is None:
        return None
    rows = []
    for part in (0.25, 0.5, 0.75, 1.0, 1.25, 1.5):
        shift = float(armature.armature_shift(part * v["armature_share"]))
        late = [error - shift for error in still]
        rows.append(
            {
                "current": part * float(v["stall_current"]),
                "shift": shift,
                "on": sum(late[0::2]) / 3.0,
                "off": sum(late[1::2]) / 3.0,
                "mean": float(edges.mean_share(late)),
                "worst": float(edges.worst_share(late)),
            }
        )
    return rows


def shift_line(v: Values) -> tuple[list[tuple[float, float]], float, float, tuple[float, float]]:
    """For the figure: (current in A, early in rad) up to half more than a start's, that current, its shift, and how
    late on and off edges are by the threshold."""
    current, share = float(v["stall_current"]), float(v["armature_share"])
    parts = np.linspace(0.0, 1.5, 61)
    shifts = np.asarray(armature.armature_shift(parts * share))
    points = list(zip((parts * current).tolist(), shifts.tolist(), strict=True))
    return points, current, float(v["armature_shift"]), delays(v)


def in_the_field(v: Values) -> list[Finding]:
    """What the fields at a sensor do to its edges: threshold, polarity, the slot's own current, its own place."""
    found = [_threshold(v)]
    if not v.build.missing("armature_share", "stall_current"):
        share = float(v["armature_share"])
        if share >= 1.0:
            found.append(
                Finding(
                    "stop",
                    f"At {show(v['stall_current'], 'A')} the machine's own field reaches the rotor's: the "
                    "sensors follow the current, not the rotor.",
                    "Less phase current or more field; measure EMF constant, inductance and stall torque.",
                )
            )
        elif share > armature.ARMATURE_COUNTS:
            found.append(
                Finding(
                    "caution",
                    f"At the {show(v['stall_current'], 'A')} of a standing start the machine's own field pulls the "
                    f"edges about {show(v['armature_shift'], 'deg')} early.",
                    "More field, less current; sensors a little late then start better. Stall torque at two currents "
                    "tells how much it is.",
                )
            )
    else:
        found.append(
            Finding(
                "note",
                "What the machine's own current does to the edges isn't told: its EMF constant and inductance aren't "
                "entered.",
                "Enter both, or their readings.",
            )
        )
    if not v.build.missing("leakage_field") and v["leakage_field"] > 0.3 * v["sensor_field"]:
        found.append(
            Finding(
                "caution",
                f"Across a loaded slot the current alone makes about {show(v['leakage_field'], 'mT')}, against "
                f"{show(v['sensor_field'], 'mT')} of the rotor's. It lies along the bore: a sensor square to "
                "the bore sees none of it, one that is 10° askew a sixth.",
                "Sit each sensor square, at the slot's very mouth, and try the pattern with current on.",
            )
        )
    widths, errors = steps(v), sensor_errors(v)
    if widths is not None and errors is not None and "sensor_offsets" in v.build.entered:
        found.append(_uneven(v, widths, errors))
    return found


def _threshold(v: Values) -> Finding:
    on, off = delays(v)
    why = switching_fault(v)
    if why:
        return Finding(
            "stop", why, "More field, sensors nearer the bore, or latching sensors of a lower threshold."
        )
    if v["sensor_kind"] == "unipolar":
        uneven = on - off
        cost = ""
        mean, worst = mean_left(v), worst_left(v)
        if mean is not None and worst is not None:
            cost = f" {show(mean, 'percent')} of the mean torque is left, {show(worst, 'percent')} at worst."
        return Finding(
            "caution",
            f"Unipolar sensors are on for {show(v['lamp_duty'], 'percent')} of the turn: on {show(on, 'deg')} late, "
            f"off {show(-off, 'deg')} early. The narrowest step is {show(uneven, 'deg')} short of 60°, the widest "
            f"as much over, and they answer to one pole only.{cost}",
            "Latching sensors. Else the marked faces all the same way, tried with a magnet before the glue.",
        )
    return Finding(
        "caution" if on > NOTABLE else "ok",
        f"Their threshold makes every edge {show(on, 'deg')} late, whichever way it turns.",
        "More field at the sensor, or a lower threshold." if on > NOTABLE else "",
    )


def _uneven(v: Values, widths: tuple[float, ...], errors: tuple[float, ...]) -> Finding:
    if "bore_diameter" not in v.build.entered:
        return Finding(
            "caution",
            "Places within the slots were entered, and the bore was not: they aren't counted.",
            "Enter the bore's diameter.",
        )
    mean = sum(errors) / len(errors)
    furthest = max(abs(error) for error in errors)
    listed = ", ".join(show(width, "deg") for width in widths)
    given = len(v["sensor_offsets"])
    rest = (
        "" if given == 3 else f" Only {given} of three places were entered; the others count as the middle."
    )
    way = "early" if mean < 0.0 else "late"
    return Finding(
        "caution" if furthest > NOTABLE else "ok",
        f"With each sensor where it sits, the six steps are {listed}; all three together are "
        f"{show(abs(mean), 'deg')} {way}.{rest}",
        f"Move them as the table says, or enter {show(mean, 'deg')} as the alignment error: then start and "
        "verdict count it.",
    )
