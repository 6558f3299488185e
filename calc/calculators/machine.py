"""Where the sensors go, and what they show."""

from __future__ import annotations

import math
from typing import Any

from calc import figures
from calc.build import Values
from calc.graph import step
from calc.machine import alignment, armature, edges, sensors, winding
from calc.spec import Calculator, Column, Finding, Report, Result
from calc.units import plain, show


def _counts(v: Values) -> tuple[int, int]:
    return round(float(v["slots"])), round(float(v["pole_pairs"]))


def _sets(v: Values) -> list[dict[str, Any]]:
    return sensors.valid_sets(*_counts(v), v["sensor_spacing"])


def chosen_slots(v: Values) -> tuple[int, ...]:
    """The slots entered, else the most compact set that works, else none."""
    if "sensor_slots" in v.build.entered:
        return tuple(v["sensor_slots"])
    sets = _sets(v)
    return (sets[0]["slot_1"], sets[0]["slot_2"], sets[0]["slot_3"]) if sets else ()


def _pattern(v: Values) -> list[dict[str, Any]]:
    slots, pole_pairs = _counts(v)
    chosen = chosen_slots(v)
    return sensors.pattern(slots, pole_pairs, chosen) if len(chosen) == 3 and max(chosen) < slots else []


def _usable(v: Values) -> bool:
    return len(chosen_slots(v)) == 3 and not sensors.sensors_reason(
        *_counts(v), chosen_slots(v), v["sensor_spacing"]
    )


def _alignment(v: Values) -> float | None:
    """The error that the chosen slots bring, or None when they or the winding can't work."""
    slots, pole_pairs = _counts(v)
    if not _usable(v) or winding.fault(slots, pole_pairs, *_coils(v)):
        return None
    return float(alignment.alignment_error(slots, pole_pairs, *_coils(v), v["connection"], chosen_slots(v)))


def _coils(v: Values) -> tuple[int, int]:
    """Coil span and layers."""
    return round(float(v["coil_span"])), round(float(v["layers"]))


def _errors(v: Values) -> tuple[float, ...] | None:
    """How late each sensor switches: its slot, and its place in it where that was entered; None where none works."""
    if _alignment(v) is None:
        return None
    slots, pole_pairs = _counts(v)
    found = alignment.sensor_errors(slots, pole_pairs, *_coils(v), v["connection"], chosen_slots(v))
    if {"sensor_offsets", "bore_diameter"} <= v.build.entered.keys():
        found = edges.with_offsets(found, v["sensor_offsets"], v["bore_diameter"], pole_pairs)
    return found


def _edges(v: Values) -> list[dict[str, Any]] | None:
    """Each sensor with its error, and how far to move it where the bore is known."""
    errors = _errors(v)
    if errors is None:
        return None
    per_radian = None
    if "bore_diameter" in v.build.entered:
        per_radian = float(v["bore_diameter"]) / 2.0 / _counts(v)[1]
    return [
        {
            "sensor": number,
            "slot": slot,
            "error": error,
            "shaft": 0.0 - error / _counts(v)[1],
            "move": None if per_radian is None else 0.0 - error * per_radian,
        }
        for number, (slot, error) in enumerate(zip(chosen_slots(v), errors, strict=True), 1)
    ]


def _worst(v: Values) -> float | None:
    errors = _errors(v)
    return None if errors is None else float(edges.worst_share(errors))


PLACES = (0.0005, 0.001, 0.002, 0.003)


def _placing(v: Values) -> list[dict[str, Any]]:
    """What a distance along the bore costs, with all three sensors off alike."""
    rows = []
    for distance in sorted({*PLACES, float(v["placing_error"])}):
        angle = float(edges.bore_angle(distance, v["bore_diameter"], v["pole_pairs"]))
        rows.append(
            {
                "distance": distance,
                "angle": angle,
                "mean": float(edges.mean_share([angle])),
                "worst": max(float(edges.worst_share([angle])), 0.0),
            }
        )
    return rows


def _current_shift(v: Values) -> list[dict[str, Any]]:
    """What the machine's own current does to the edges, up to the current of a standing start."""
    rows, late = [], _alignment(v) or 0.0
    for part in (0.25, 0.5, 0.75, 1.0):
        shift = float(armature.armature_shift(part * v["armature_share"]))
        error = late + float(v["hysteresis_delay"]) - shift
        rows.append(
            {
                "current": part * float(v["stall_current"]),
                "shift": shift,
                "error": error,
                "mean": float(edges.mean_share([error])),
                "worst": float(edges.worst_share([error])),
            }
        )
    return rows


def _share(v: Values) -> float | None:
    errors = _errors(v)
    return None if errors is None else float(edges.mean_share(errors))


def _findings(v: Values) -> list[Finding]:
    slots, pole_pairs = _counts(v)
    chosen, sets = chosen_slots(v), _sets(v)
    found = []
    why = sensors.sensors_reason(slots, pole_pairs, chosen, v["sensor_spacing"]) if chosen else ""
    if why:
        found.append(Finding("stop", why, _instead(sets)))
    if not sets:
        found.append(
            Finding(
                "stop",
                f"No three slots of {slots} sit {v['sensor_spacing']}° apart with {pole_pairs} pole pairs.",
                "Count both again; else carry the sensors on a plate of their own, "
                f"{show(v['sensor_pitch'], 'deg')} of shaft apart.",
            )
        )
    wound = winding.fault(slots, pole_pairs, *_coils(v))
    if wound:
        found.append(Finding("stop", wound, "Count with a chalk mark, all the way round, twice."))
    error = _alignment(v)
    if error is not None and abs(error) > 0.02:
        others = alignment.places(slots, pole_pairs, *_coils(v), v["connection"])
        either = any(abs(other + error) < 1e-6 for other in others)
        way = "late" if error > 0 else "early"
        if either:
            way = "early or late, as the first slot is chosen"
        if abs(abs(error) - math.pi / 6) < 1e-6:
            way = "early or late, as the leads are matched"
        found.append(
            Finding(
                "caution",
                f"Even in the best slot the sensors switch {show(abs(error), 'deg')} electrical {way}. "
                f"{show(_share(v) or 0.0, 'percent')} of the mean torque is left, "
                "and less in the worst rotor position.",
                f"Shift them {show(abs(error) / pole_pairs, 'deg', 2)} of shaft off their slots, against the "
                "rotation if they "
                "are late; the paper template shows where. Or use the other connection. To tell early from "
                "late: with no "
                "load at the same volts and field the early way turns faster.",
            )
        )
    per_pair = slots / pole_pairs
    if per_pair not in (6, 12):
        found.insert(
            0,
            Finding(
                "caution",
                f"{slots} slots on {pole_pairs} pole pairs are {per_pair:.3g} to a pair; "
                "vehicle generators have 6 or 12.",
                "Are these the poles rather than the pole pairs? Count the claws of one rotor half, and the "
                "slots once more."
                if per_pair < 6
                else "Count the claws of one rotor half and the slots once more.",
            ),
        )
    places = alignment.places(slots, pole_pairs, *_coils(v), v["connection"]) if not wound else ()
    if len(places) > 1:
        listed = ", ".join(show(place, "deg") for place in places)
        found.append(
            Finding(
                "caution",
                f"Which slot is taken for the first sensor decides: over the slots the error is {listed}. "
                f"{show(error or 0.0, 'deg')} is counted, that of the best.",
                "Try neighbouring slots with the sensors taped in; the least current at the same speed shows the best.",
            )
        )
    if _coils(v)[0] > slots / (2 * pole_pairs) + 1:
        found.append(
            Finding(
                "caution",
                f"A coil span of {_coils(v)[0]} is longer than a pole, which has "
                f"{plain(slots / (2 * pole_pairs))} slots.",
                "Follow one coil again, from where it goes in to where the same wire comes out.",
            )
        )
    found += _in_the_field(v)
    if "coil_span" not in v.build.entered:
        found.append(
            Finding(
                "ok",
                f"Coils taken as full pitch, {_coils(v)[0]} slots from side to side, as is usual.",
                "Follow one coil; if its span differs, enter it: the timing depends on it.",
            )
        )
    return found


ARMATURE_COUNTS = 0.3  # from this share on the edges move enough to matter (common practice, no source)


def _in_the_field(v: Values) -> list[Finding]:
    """What the fields at a sensor do to its edges: threshold, polarity, the slot's own current."""
    found = []
    delay = float(v["hysteresis_delay"])
    if v["sensor_threshold"] >= v["sensor_field"]:
        found.append(
            Finding(
                "stop",
                f"The field at the sensors, {show(v['sensor_field'], 'mT')}, never passes their threshold of "
                f"{show(v['sensor_threshold'], 'mT')}: no code will change.",
                "More field, sensors nearer the bore, or sensors of a lower threshold.",
            )
        )
    elif v["sensor_kind"] == "unipolar":
        found.append(
            Finding(
                "caution",
                f"Unipolar sensors are on for {show(edges.unipolar_duty(delay), 'percent')} of the turn, on "
                "late and off "
                f"early by {show(delay, 'deg')}: the six steps come out wide and narrow in turn, and they "
                "answer to one pole "
                "only.",
                "Latching sensors. Else the marked face to the rotor, tried with a magnet before the glue.",
            )
        )
    elif delay > 0.087:
        found.append(
            Finding(
                "caution",
                f"Their threshold makes every edge {show(delay, 'deg')} late.",
                "More field at the sensor, or a lower threshold.",
            )
        )
    if not v.build.missing("armature_share", "stall_current") and v["armature_share"] > ARMATURE_COUNTS:
        found.append(
            Finding(
                "caution",
                f"At the {show(v['stall_current'], 'A')} of a standing start the machine's own field pulls the "
                "edges about "
                f"{show(v['armature_shift'], 'deg')} early.",
                "More field, less current; sensors a little late then start better. Stall torque at two "
                "currents tells how "
                "much it is.",
            )
        )
    if not v.build.missing("leakage_field") and v["leakage_field"] > 0.3 * v["sensor_field"]:
        found.append(
            Finding(
                "caution",
                f"Across a loaded slot the current alone makes about {show(v['leakage_field'], 'mT')}, against "
                f"{show(v['sensor_field'], 'mT')} of the rotor's: the edges of a sensor in a slot move with the "
                "current.",
                "Sit the sensor at the slot's very mouth or on a tooth's edge, and try the pattern with current on.",
            )
        )
    errors = _errors(v)
    if errors is not None and "sensor_offsets" in v.build.entered:
        widths = edges.step_widths(errors)
        mean = sum(errors) / len(errors)
        found.append(
            Finding(
                "caution" if max(abs(e) for e in errors) > 0.087 else "ok",
                "With each sensor where it sits, the six steps are "
                + ", ".join(show(w, "deg") for w in widths)
                + f", and all three are {show(mean, 'deg')} late on average.",
                f"Enter {show(mean, 'deg')} as the alignment error to carry it into start and verdict.",
            )
        )
    return found


def _instead(sets: list[dict[str, Any]]) -> str:
    if not sets:
        return "See what to do without a set below."
    best = sets[0]
    return f"Put them in slots {best['slot_1']}, {best['slot_2']} and {best['slot_3']}, counted from the first sensor."


def _sensor_slots(v: Values) -> Report:
    slots, pole_pairs = _counts(v)
    chosen, usable, rows = chosen_slots(v), _usable(v), _pattern(v)
    headline = f"slots {', '.join(str(s) for s in chosen)}" if chosen else "no set of slots"
    verdict = "give six even codes" if usable else "do not work" if chosen else "of this stator works"
    drawings = []
    if chosen:
        drawings.append(lambda uid: figures.slot_map(uid, slots, chosen, pole_pairs))
    if rows:
        drawings.append(lambda uid: figures.lamps(uid, rows))
    return Report(
        headline,
        verdict,
        f"The rotor has {pole_pairs} pole pairs, so {v['sensor_spacing']}° electrical is "
        f"{show(v['sensor_pitch'], 'deg')} of shaft. "
        f"The stator has a slot every {plain(360 / slots)}° of shaft, {show(v['slot_angle'], 'deg')} electrical. "
        f"Slots whole electrical turns apart count as the same place.",
        tuple(_findings(v)),
        tuple(drawings),
    )


SENSOR_SLOTS = Calculator(
    id="sensor-slots",
    title="Sensor slots",
    chapter="sense",
    question="Which slots take the sensors, and what will three lamps show?",
    asks=("pole_pairs", "slots", "connection", "sensor_spacing", "sensor_slots", "coil_span"),
    gives=(
        Result("spacing", "Spacing of the sensors on the shaft", "deg", "sensor_pitch"),
        Result("slot_angle", "Electrical angle from slot to slot", "deg"),
        Result("usable", "The slots can be used", made=_usable),
        Result("alignment_error", "Alignment error, late is positive", "deg", made=_alignment),
        Result("torque_share", "Share of the mean torque that is left", "percent", made=_share),
        Result("worst_share", "Left in the worst rotor position", "percent", made=_worst),
        Result("hysteresis_delay", "How late their threshold makes the edges", "deg"),
        Result(
            "edges",
            "Each sensor, and how far to move it",
            columns=(
                Column("sensor", "Sensor"),
                Column("slot", "Slot"),
                Column("error", "Late by, electrical", "deg"),
                Column("shaft", "Move along the shaft's turn", "deg"),
                Column("move", "Move along the bore", "mm"),
            ),
            made=_edges,
        ),
        Result(
            "placing",
            "What a distance along the bore costs",
            columns=(
                Column("distance", "Off by", "mm"),
                Column("angle", "Electrical", "deg"),
                Column("mean", "Mean torque left", "percent"),
                Column("worst", "Worst position", "percent"),
            ),
            optional=True,
            made=_placing,
            needs=("bore_diameter", "placing_error"),
        ),
        Result(
            "current_shift",
            "What the machine's own current does",
            columns=(
                Column("current", "Line current", "A"),
                Column("shift", "Edges early by", "deg"),
                Column("error", "Late in all", "deg"),
                Column("mean", "Mean torque left", "percent"),
                Column("worst", "Worst position", "percent"),
            ),
            optional=True,
            made=_current_shift,
            needs=("stall_current", "armature_share"),
        ),
        Result("leakage_field", "Field of a loaded slot at its mouth", "mT", optional=True),
        Result(
            "valid_sets",
            "Sets that work",
            columns=(
                Column("slot_1", "Sensor 1"),
                Column("slot_2", "Sensor 2"),
                Column("slot_3", "Sensor 3"),
                Column("order", "Order they switch in"),
                Column("error", "Off by", "deg"),
            ),
            made=_sets,
        ),
        Result(
            "pattern",
            "What three lamps show over one electrical turn",
            columns=(
                Column("angle", "From", "deg"),
                Column("width", "For", "deg"),
                Column("sensor_1", "Lamp 1"),
                Column("sensor_2", "Lamp 2"),
                Column("sensor_3", "Lamp 3"),
            ),
            made=_pattern,
        ),
    ),
    report=_sensor_slots,
    rules={
        "sensor_pitch": step(sensors.sensor_pitch),
        "slot_angle": step(winding.slot_angle),
        "coil_current": step(edges.coil_current, current="stall_current"),
        "leakage_field": step(edges.slot_leakage),
        "placing_error": step(edges.usual_placing),
    },
    reads=(
        "slots",
        "pole_pairs",
        "sensor_spacing",
        "connection",
        "coil_span",
        "layers",
        "sensor_kind",
        "sensor_threshold",
        "sensor_field",
    ),
    optional=("sensor_slots", "coil_span", "layers", "sensor_offsets", "bore_diameter"),
)
