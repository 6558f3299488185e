"""How it stands and with whom it goes: wheels, side slope, bends, scales, riders, guards. Usual ranges are common
practice, no source."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calc.fields.model import Field, Spreads
from calc.vehicle.weighing import LEVEL, SAME_WEIGHT


def weighing_faults(rows: Sequence[Sequence[Any]]) -> list[tuple[int, str, str]]:
    """What is wrong between the cells of a weighing: (number of the row, column, what and what to do)."""
    found: list[tuple[int, str, str]] = []
    for number, (_, front, rear) in enumerate(rows, 1):
        if front + rear <= 0.0:
            return [(number, "front", "and rear are both nothing. Read the scales again.")]
    level = [row for row in rows if row[0] < LEVEL]
    raised = [row for row in rows if row[0] >= LEVEL]
    if not level:
        found.append((1, "block", "is in every row. Weigh it level too: a row with a block of 0 mm."))
    if not raised:
        text = "is nothing in every row. Weigh it again with the front wheels on a block of 150 mm or more."
        found.append((1, "block", text))
    if found:
        return found
    first = level[0][1] + level[0][2]
    share = sum(front / (front + rear) for _, front, rear in level) / len(level)
    for number, (block, front, rear) in enumerate(rows, 1):
        if abs(front + rear - first) > SAME_WEIGHT * first:
            text = (
                f"and rear make {front + rear:.4g} kg, level they made {first:.4g} kg. The block takes no "
                "weight away: the "
                "same rider and load on, still, scales side by side."
            )
            found.append((number, "front", text))
        elif block >= LEVEL and front / (front + rear) >= share:
            text = (
                "doesn't fall with the front on the block. Then the weight would lie below the axles: is the "
                "block under "
                "the front wheels, are the brakes off, did the rider lean forward?"
            )
            found.append((number, "front", text))
    return found


STANCE = (
    Field(
        "wheels",
        "vehicle",
        "Wheels on the ground",
        "choice",
        "Count them. A front axle that swings on a pin counts as one wheel: three.",
        choices=(("4", "four, two on each axle"), ("3", "three")),
    ),
    Field(
        "single_wheel",
        "vehicle",
        "Of three wheels, the single one",
        "choice",
        "At the front or at the rear. Not said: the worse of the two counts. On four wheels it counts for nothing.",
        choices=(("front", "in front"), ("rear", "at the rear")),
    ),
    Field(
        "track",
        "vehicle",
        "Track",
        "number",
        "From the middle of the left tyre to the middle of the right one; of two axles the narrower.",
        ("mm", "m", "cm", "inch"),
        100,
        3000,
        spreads=Spreads(0.01, 0.02, 0.1),
        example="800 mm",
    ),
    Field(
        "corner_radius",
        "vehicle",
        "Radius of the tightest bend taken at speed",
        "number",
        "Walk it with a string from the bend's middle to the middle of the vehicle.",
        ("m", "ft"),
        0.5,
        200,
        spreads=Spreads(0.05, 0.1, 0.3),
        example="5 m",
    ),
    Field(
        "cog_weighing",
        "vehicle",
        "Weighing level and with the front raised",
        "table",
        "Bathroom scales under every wheel, rider and load on, brakes off, wheels free. First level, a block "
        "of 0 mm; then "
        "the front wheels on a block, scales on it. Readings of one axle added up.",
        columns=(
            Field(
                "block",
                "",
                "Block under the front",
                "number",
                "",
                ("mm", "cm", "m", "inch"),
                0,
                600,
                example="200 mm",
            ),
            Field("front", "", "Under the front", "number", "", ("kg", "lb"), 0, 1500, example="95 kg"),
            Field("rear", "", "Under the rear", "number", "", ("kg", "lb"), 0, 1500, example="140 kg"),
        ),
        high=20,
        example="0 mm, 100 kg, 140 kg; 200 mm, 85 kg, 155 kg",
        faults=weighing_faults,
    ),
    Field(
        "scale_error",
        "vehicle",
        "How far a reading of the scales may be off",
        "number",
        "Put the same thing on every scale: half of what they differ by. One digit at least.",
        ("kg", "lb"),
        0.01,
        20,
        usual=(0.5, 1.5),
        example="0.5 kg",
    ),
)

GROUND = (
    Field(
        "side_slope",
        "ride",
        "Steepest side slope",
        "number",
        "A phone's level on a plank laid across the way, where it leans most.",
        ("percent", "deg"),
        0,
        60,
        spreads=Spreads(0.5, 1, 3, relative=False),
        example="5 %",
    ),
    Field(
        "sight_distance",
        "ride",
        "Free way ahead",
        "number",
        "Where you see least ahead, at a bend or a gate: the way that is surely free. Pace it.",
        ("m", "ft"),
        1,
        300,
        spreads=Spreads(0.05, 0.1, 0.2),
        example="15 m",
    ),
)

_RIDER = (
    ("grown", "grown and practised"),
    ("learner", "16 and over, first hours"),
    ("child", "under 16"),
)
_WATCHED = (
    ("alone", "nobody watches"),
    ("sight", "somebody watches who can stop it"),
    ("beside", "somebody walks beside, hand at the emergency stop"),
)

RIDERS = (
    Field(
        "riders",
        "rider",
        "Who rides it, and how watched",
        "table",
        "One row for each kind of rider: who, how watched, and the speed that the controller is limited to for "
        "them, if it "
        "is.",
        columns=(
            Field("rider", "", "Rider", "choice", "", choices=_RIDER),
            Field("watched", "", "Watched", "choice", "", choices=_WATCHED),
            Field(
                "limit",
                "",
                "Speed limit set",
                "number",
                "",
                ("km/h", "m/s", "mph"),
                0.5,
                100,
                example="5 km/h",
                optional=True,
            ),
        ),
        high=12,
        example="grown, alone; child, beside, 5 km/h",
    ),
    Field(
        "throttle_returns",
        "rider",
        "Throttle shuts by itself when let go",
        "choice",
        "Pack off. Let go of it ten times, wet and with gloves too.",
        choices=(("yes", "every time"), ("no", "not every time")),
    ),
    Field(
        "stop_reach",
        "rider",
        "Who reaches the emergency stop",
        "choice",
        "Sit on it, then walk beside it. Reach it without looking, either hand off the bars.",
        choices=(
            ("both", "rider and whoever walks beside"),
            ("rider", "the rider alone"),
            ("none", "neither, or there is none"),
        ),
    ),
    Field(
        "dead_man",
        "rider",
        "Drive stops when the rider falls off",
        "choice",
        "A cord from wrist to stop, or a seat switch. Pack off, pull it: does the ohmmeter show it open?",
        choices=(("yes", "yes, tried"), ("no", "no")),
    ),
    Field(
        "guard_opening",
        "rider",
        "Widest opening of the guards",
        "number",
        "The smaller side of the largest hole or gap in front of chain, sprockets, wheels' spokes. Solid all round: 0.",
        ("mm", "inch"),
        0,
        120,
        example="10 mm",
    ),
    Field(
        "guard_shape",
        "rider",
        "Shape of that opening",
        "choice",
        "A gap longer than wide is a slot.",
        usual="slot",
        choices=(("slot", "slot"), ("square", "square"), ("round", "round")),
    ),
    Field(
        "slot_length",
        "rider",
        "Length of the slot",
        "number",
        "Its longer side. It counts up to 65 mm, where the thumb stops a hand.",
        ("mm", "inch"),
        1,
        3000,
        usual=(66, 1000),
        example="300 mm",
    ),
    Field(
        "guard_distance",
        "rider",
        "From that opening to what moves",
        "number",
        "A stick through the opening, pack off: how far in it touches chain, sprocket or spoke. Solid: 0.",
        ("mm", "inch"),
        0,
        3000,
        example="130 mm",
    ),
)
