"""Where the sensors go, and what they show."""

from __future__ import annotations

import math
from typing import Any

from calc.build import Values
from calc.calculators.machine import sensing
from calc.calculators.machine.sensing import (
    chosen_slots,
    coils,
    counts,
    in_the_field,
    lamp_rows,
    sets_that_work,
    slots_error,
    usable,
)
from calc.figures.drawings import lamps, slot_map
from calc.figures.sensing import edge_shift
from calc.findings import Finding
from calc.graph import step
from calc.machine import alignment, armature, edges, sensors, winding
from calc.spec import Calculator, Column, Report, Result
from calc.told.machine import longer_than_a_pole, odd_slots, unnamed_connection
from calc.units import plain, show


def _findings(v: Values) -> list[Finding]:
    slots, pole_pairs = counts(v)
    chosen, sets = chosen_slots(v), sets_that_work(v)
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
    wound = winding.fault(slots, pole_pairs, *coils(v))
    if wound:
        found.append(Finding("stop", wound, "Count with a chalk mark, all the way round, twice."))
    error = slots_error(v)
    if error is not None and abs(error) > 0.02:
        others = alignment.places(slots, pole_pairs, *coils(v), v["connection"])
        left = show(float(edges.mean_share(sensing.sensor_errors(v) or (error,))), "percent")
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
                f"{left} of the mean torque is left, and less in the worst rotor position.",
                f"Shift them {show(abs(error) / pole_pairs, 'deg')} of shaft off their slots, against the "
                "rotation if they "
                "are late; the paper template shows where. Or use the other connection. To tell early from "
                "late: with no "
                "load at the same volts and field the early way turns faster.",
            )
        )
    if slots / pole_pairs not in (6, 12):
        found.insert(0, odd_slots(slots, pole_pairs))
    if slots == 12 * pole_pairs:
        found.append(_two_sets(v))
    places = alignment.places(slots, pole_pairs, *coils(v), v["connection"]) if not wound else ()
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
    found += [*longer_than_a_pole(coils(v)[0], slots, pole_pairs), *in_the_field(v)]
    if "coil_span" not in v.build.entered:
        found.append(
            Finding(
                "note",
                f"Coils taken as full pitch, {coils(v)[0]} slots from side to side, as is usual.",
                "Follow one coil; if its span differs, enter it: the timing depends on it.",
            )
        )
    return found


def _two_sets(v: Values) -> Finding:
    """12 slots to a pole pair: one set alone has its axes in slots, its own or the other set's."""
    whose = (
        "the driven set's own slots"
        if v["connection"] == "delta"
        else "the other set's slots, which lie 30° on"
    )
    wrong = "the other set's" if v["connection"] == "delta" else "its own"
    return Finding(
        "caution",
        "12 slots to a pole pair may be two three-phase sets, 30° apart. The error told here is for one winding. One "
        f"set at full pitch, joined in {v['connection']}, is right with sensors in {whose}; in {wrong} it is 30° out.",
        "Try with an ohmmeter whether the two groups of three leads are apart. If they are, take the same spacing, "
        f"start in one of {whose}, shift nothing, and enter 0° as the alignment error.",
    )


def _instead(sets: list[dict[str, Any]]) -> str:
    if not sets:
        return "The page tells what to do without a set."
    best = sets[0]
    return f"Put them in slots {best['slot_1']}, {best['slot_2']} and {best['slot_3']}, counted from the first sensor."


def _sensor_slots(v: Values) -> Report:
    slots, pole_pairs = counts(v)
    chosen, works, rows = chosen_slots(v), usable(v), lamp_rows(v)
    headline = f"slots {', '.join(str(s) for s in chosen)}" if chosen else "no set of slots"
    aside = "do not work" if chosen else "of this stator works"
    if works:
        even = "six even codes" if v["sensor_kind"] == "latching" else "six codes, wide and narrow"
        aside = "would do, with other sensors" if sensing.switching_fault(v) else f"give {even}"
    drawings = []
    if chosen:
        drawings.append(lambda uid: slot_map(uid, slots, chosen, pole_pairs))
    if rows:
        drawings.append(lambda uid: lamps(uid, rows))
    if not v.build.missing("armature_share", "stall_current"):
        drawings.append(lambda uid: edge_shift(uid, *sensing.shift_line(v)))
    return Report(
        headline,
        aside,
        f"The rotor has {pole_pairs} pole pairs, so {v['sensor_spacing']}° electrical is "
        f"{show(v['sensor_pitch'], 'deg')} of shaft. "
        f"The stator has a slot every {plain(360 / slots)}° of shaft, {show(v['slot_angle'], 'deg')} electrical. "
        f"Slots whole electrical turns apart count as the same place.",
        (*unnamed_connection(v), *_findings(v)),
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
        Result("usable", "The slots can be used", made=sensing.usable),
        Result("alignment_error", "Alignment error, late is positive", "deg", made=sensing.slots_error),
        Result("torque_share", "Share of the mean torque that is left", "percent", made=sensing.mean_left),
        Result("worst_share", "Left in the worst rotor position", "percent", made=sensing.worst_left),
        Result("edge_on_delay", "How late their threshold makes the on edges", "deg"),
        Result("edge_off_delay", "How late it makes the off edges, early is negative", "deg"),
        Result("lamp_duty", "Share of a turn for which a lamp is on", "percent"),
        Result("armature_shift", "How early the current of a start makes the edges", "deg", optional=True),
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
            made=sensing.edge_rows,
        ),
        Result(
            "steps",
            "The six steps of a turn",
            columns=(Column("step", "Step"), Column("width", "Width", "deg")),
            made=sensing.step_rows,
        ),
        Result(
            "placing",
            "What a distance along the bore costs",
            columns=(
                Column("distance", "Off by", "mm"),
                Column("angle", "Electrical", "deg"),
                Column("mean", "Mean torque left", "percent"),
                Column("one", "With one sensor off", "percent"),
                Column("worst", "Worst position", "percent"),
            ),
            optional=True,
            made=sensing.placing_rows,
            needs=("bore_diameter", "placing_error"),
        ),
        Result(
            "current_shift",
            "What the machine's own current does",
            columns=(
                Column("current", "Line current", "A"),
                Column("shift", "Edges early by", "deg"),
                Column("on", "On edges late in all", "deg"),
                Column("off", "Off edges late in all", "deg"),
                Column("mean", "Mean torque left", "percent"),
                Column("worst", "Worst position", "percent"),
            ),
            optional=True,
            made=sensing.current_rows,
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
            made=sensing.sets_that_work,
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
            made=sensing.lamp_rows,
        ),
    ),
    report=_sensor_slots,
    rules={
        "sensor_pitch": step(sensors.sensor_pitch),
        "slot_angle": step(winding.slot_angle),
        "coil_current": step(edges.coil_current, current="stall_current"),
        "leakage_field": step(edges.slot_leakage),
        "placing_error": step(edges.usual_placing),
        "lamp_duty": step(armature.lamp_duty),
        # Another machine's values would tell nothing of this one's.
        "armature_share": step(armature.armature_share)._replace(entered=("emf_constant", "line_inductance")),
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
    optional=(
        "sensor_slots",
        "coil_span",
        "layers",
        "sensor_offsets",
        "bore_diameter",
        "coil_turns",
        "slot_width",
        "emf_constant",
        "emf_test",
        "line_inductance",
        "short_circuit_test",
    ),
)
