"""Where the sensors go, and what they show."""

from __future__ import annotations

import math
from typing import Any

from calc import figures
from calc.build import Values
from calc.graph import step
from calc.machine import alignment, sensors, winding
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
    return len(chosen_slots(v)) == 3 and not sensors.sensors_reason(*_counts(v), chosen_slots(v), v["sensor_spacing"])


def _alignment(v: Values) -> float | None:
    """The error that the chosen slots bring, or None when they or the winding can't work."""
    slots, pole_pairs = _counts(v)
    if not _usable(v) or winding.fault(slots, pole_pairs, _span(v), 2):
        return None
    return float(alignment.alignment_error(slots, pole_pairs, _span(v), 2, v["connection"], chosen_slots(v)))


def _span(v: Values) -> int:
    return round(float(v["coil_span"]))


def _share(v: Values) -> float | None:
    error = _alignment(v)
    return (
        None
        if error is None
        else float(alignment.torque_share(*_counts(v), chosen_slots(v), v["sensor_spacing"], error))
    )


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
    wound = winding.fault(slots, pole_pairs, _span(v), 2)
    if wound:
        found.append(Finding("stop", wound, "Count with a chalk mark, all the way round, twice."))
    error = _alignment(v)
    if error is not None and abs(error) > 0.02:
        others = alignment.places(slots, pole_pairs, _span(v), 2, v["connection"])
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
                "Shift the sensors between slots, use the other connection, or choose early rather than late.",
            )
        )
    per_pair = slots / pole_pairs
    if per_pair not in (6, 12):
        found.append(
            Finding(
                "caution",
                f"{slots} slots on {pole_pairs} pole pairs are {per_pair:.3g} to a pair; "
                "vehicle generators have 6 or 12.",
                "Count the claws of one rotor half and the slots once more.",
            )
        )
    places = alignment.places(slots, pole_pairs, _span(v), 2, v["connection"]) if not wound else ()
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
    if "coil_span" not in v.build.entered:
        found.append(
            Finding(
                "ok",
                f"Coils taken as full pitch, {_span(v)} slots from side to side, as is usual.",
                "Follow one coil; if its span differs, enter it: the timing depends on it.",
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
    rules={"sensor_pitch": step(sensors.sensor_pitch), "slot_angle": step(winding.slot_angle)},
    reads=("slots", "pole_pairs", "sensor_spacing", "connection", "coil_span"),
    optional=("sensor_slots", "coil_span"),
)
