"""From what three lamps do to what explains it: where sensors sit by mistake, and which faults look alike.

A placing is told by the electrical place of each slot alone, so every triple of slots shows one of a few patterns.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np

from calc.machine.sensors import TOLERANCE, pattern, positions

_SIXTH = np.pi / 3.0
# What people do, most often first (common practice, no source), and how it is told from the next.
WAYS = (
    ("pair", "Each sensor one pole pair further on: the places count as the same."),
    ("pole", "Each sensor one pole further on, half an electrical turn."),
    (
        "turn",
        "A third of the whole turn between sensors, counted on the stator instead of in the rotor's pole pairs.",
    ),
    ("poles", "Counted with poles instead of pole pairs: half the right distance."),
    ("next", "Sensors in neighbouring slots."),
    ("off", "One sensor a slot off its place."),
    ("right", "The slots are right."),
)


def looks(slots: int, pole_pairs: int, sensor_slots: Sequence[int]) -> tuple[str, ...]:
    """All that the lamps of three good sensors in these slots may be reported as, the plainest first.

    Keys of the field lamp_pattern. six-codes stands for both kinds of even set.

    Source: [method-machine] #lamps
    """
    place = positions(slots, pole_pairs, sensor_slots)
    apart = [(place[a] - place[b]) % (2.0 * np.pi) for a, b in ((0, 1), (0, 2), (1, 2))]
    same = [min(angle, 2.0 * np.pi - angle) < 1e-9 for angle in apart]
    opposite = any(abs(angle - np.pi) < 1e-9 for angle in apart)
    if all(same):
        return ("all-together",)
    if any(same) or opposite:
        found = (("two-together",) if any(same) else ()) + (("opposite",) if opposite else ())
        return (*found, "two-at-once")
    widths = [row["width"] for row in pattern(slots, pole_pairs, sensor_slots)]
    even = max(abs(width - _SIXTH) for width in widths) <= TOLERANCE + 1e-9
    return ("six-codes",) if even else ("uneven",)


def expected(slots: int, pole_pairs: int, sensor_slots: Sequence[int]) -> str:
    """What the lamps of the slots on the sheet should do, where nobody reported anything.

    Source: [method-machine] #lamps
    """
    slots, pole_pairs = round(float(slots)), round(float(pole_pairs))
    if len(sensor_slots) != 3 or max(sensor_slots) >= slots:
        return "none"
    return looks(slots, pole_pairs, sensor_slots)[0]


def placings(slots: int, pole_pairs: int, right: Sequence[int]) -> list[tuple[str, tuple[int, ...]]]:
    """Slots that each way of going wrong leads to, as (way, slots from the first sensor).

    right: a set that works, or nothing when there is none.

    Source: [method-machine] #lamps
    """
    found = []
    for way, distance in (
        ("pair", slots / pole_pairs),
        ("pole", slots / (2.0 * pole_pairs)),
        ("turn", slots / 3.0),
        ("poles", slots / (6.0 * pole_pairs)),
        ("next", 1.0),
    ):
        step = round(distance)
        if step >= 1:
            found.append((way, (0, step % slots, 2 * step % slots)))
    if len(right) == 3:
        a, b, c = right
        found += [("off", (a, b + 1, c)), ("off", (a, b, c + 1)), ("right", (a, b, c))]
    return [(way, triple) for way, triple in found if len(set(triple)) == 3 and max(triple) < slots]


_FAULTS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "all-together": (
        (
            "The three outputs touch, or all lamps hang on one wire.",
            "Pull two sensors' plugs: the third lamp alone must follow its sensor.",
            "Part the wires.",
        ),
    ),
    "two-together": (
        (
            "Two outputs touch.",
            "Pull one of the two plugs: does the other lamp go on as before?",
            "Part the wires.",
        ),
    ),
    "one-fixed": (
        (
            "No supply, a broken lead, or no pull-up at that sensor.",
            "Volts at the sensor: 5 V between its supply leads; its output, with a magnet at hand, must change.",
            "Mend the lead; 4.7 kΩ from output to supply.",
        ),
        (
            "A latching sensor that never sees the other pole: too far from the bore, or at a claw's root.",
            "Bring a magnet's one pole near, then the other: the lamp must go on and off.",
            "Closer to the bore, at the middle of the stack.",
        ),
        (
            "A unipolar sensor the wrong way round: its back faces the rotor.",
            "The same magnet: it answers to one pole only.",
            "Turn it over, or take latching sensors.",
        ),
        (
            "The sensor is dead.",
            "Swap its plug with a neighbour's: does the fault move with it?",
            "A new one.",
        ),
    ),
    "none": (
        (
            "No field: without field current the rotor has no poles.",
            "Amps in a brush lead.",
            "Field on first, always.",
        ),
        ("No supply at the sensors.", "Volts at one sensor.", "Mend the supply lead or its fuse."),
        (
            "The field is too weak for the sensors' threshold.",
            "A magnet near each sensor: do the lamps answer?",
            "More field, or sensors closer to the bore.",
        ),
    ),
    "two-at-once": (
        (
            "Read too fast: two edges that are close look like one.",
            "Turn by hand, a degree at a time, and watch again.",
            "",
        ),
    ),
    "uneven": (
        (
            "Claws wider on one side than the other: lamps are not on for half of the time.",
            "Is each lamp on for half a turn? A third lamp moved along the stack tells.",
            "Sensors to the middle of the stack's length.",
        ),
        (
            "Unipolar sensors: on for less than half of the time.",
            "Is each lamp off for longer than on?",
            "Latching sensors, or less threshold.",
        ),
    ),
    "six-codes": (
        (
            "One sensor turned over makes a 60° set of a 120° set, and the other way round.",
            "Do all three lamps light together at some place? Then it is a 60° set.",
            "Turn the middle sensor over, or choose the other spacing in the controller.",
        ),
    ),
    "opposite": (
        (
            "A sensor turned over that shares another one's place.",
            "Turn one of the two over: do both go together now?",
            "Take a set from the sensor page.",
        ),
    ),
}


@cache
def causes(
    slots: int,
    pole_pairs: int,
    right: tuple[int, ...],
    entered: tuple[int, ...],
    lamp_pattern: str,
) -> tuple[dict[str, Any], ...]:
    """What explains a reported pattern, most likely first: rows of cause, slots, test and mend.

    right: a set that works; entered: the slots that the sheet names, or nothing. Placings are looked at before faults,
    since they are counted on paper; the sheet's own slots first of all.

    Source: [method-machine] #lamps
    """
    rows: list[dict[str, Any]] = []
    move = f"Move them to slots {', '.join(map(str, right))}." if right else "Find places by the template."

    def add(cause: str, places: Sequence[int], test: str, mend: str) -> None:
        rows.append({"cause": cause, "slots": ", ".join(map(str, places)), "test": test, "mend": mend})

    def fits(triple: Sequence[int]) -> bool:
        return lamp_pattern in looks(slots, pole_pairs, triple)

    usable = len(entered) == 3 and max(entered) < slots
    if usable and fits(entered):
        good = lamp_pattern == "six-codes"
        add(
            "The slots on your sheet do this." + (" That is as it should be." if good else ""),
            entered,
            "Count them once more from the first sensor.",
            "" if good else move,
        )
    said = dict(WAYS)
    for way, triple in placings(slots, pole_pairs, right):
        if fits(triple) and not (usable and tuple(triple) == entered):
            test = "Count the slots between the sensors, and the claws of one rotor half."
            add(said[way], triple, test, "" if way == "right" else move)
    for cause, test, mend in _FAULTS.get(lamp_pattern, ()):
        add(cause, (), test, mend)
    return tuple(rows)
