"""How the sprocket sits on the shaft, and the machine on its bracket."""

from __future__ import annotations

from calc.fields.model import Field, Spreads
from calc.standards import rows

_MM = ("mm", "cm", "inch")


def _length(key: str, label: str, how: str, low: float, high: float, example: str) -> Field:
    return Field(
        key,
        "gearing",
        label,
        "number",
        how,
        _MM,
        low,
        high,
        spreads=Spreads(0.01, 0.02, 0.1),
        example=example,
    )


MOUNT = (
    _length("shaft_diameter", "Diameter of the shaft under the sprocket", "Callipers.", 5, 100, "17 mm"),
    _length(
        "sprocket_overhang",
        "Sprocket's overhang",
        "From the middle of the chain to the middle of the machine's drive-end bearing, along the shaft.",
        1,
        300,
        "20 mm",
    ),
    _length(
        "key_width", "Width of the key", "Callipers; only where a key holds the sprocket.", 1, 30, "5 mm"
    ),
    _length("key_height", "Height of the key", "Callipers, the key taken out.", 1, 30, "5 mm"),
    _length("key_length", "Length of the key", "Only what lies in both shaft and sprocket.", 3, 200, "20 mm"),
    Field(
        "nut_torque",
        "gearing",
        "Torque on the shaft's nut",
        "number",
        "Only where a nut clamps the sprocket against a shoulder: what the torque wrench was set to.",
        ("N*m",),
        5,
        500,
        spreads=Spreads(0.1, 0.1, 0.3),
        example="75 N·m",
    ),
    _length("nut_thread", "Thread of the shaft's nut", "Callipers over the thread.", 5, 60, "16 mm"),
    _length(
        "shoulder_diameter",
        "Diameter of the shoulder that the sprocket is clamped to",
        "Callipers: the outer edge of the face that it rests on.",
        8,
        200,
        "27 mm",
    ),
    Field(
        "joint_torque",
        "gearing",
        "Torque that the sprocket's joint holds",
        "number",
        "Only where you know it otherwise: a spline or a weld by somebody who calculates them. A grub screw alone "
        "holds next to nothing.",
        ("N*m",),
        0.1,
        5000,
        example="40 N·m",
    ),
    Field(
        "mount_bolts",
        "gearing",
        "Bolts that hold the machine",
        "count",
        "Count those between machine and bracket. Two rows are taken, half of them in each.",
        low=2,
        high=12,
        example="4",
    ),
    Field(
        "bolt_size",
        "gearing",
        "Size of those bolts",
        "choice",
        "Callipers over the thread.",
        choices=tuple((row["size"], row["size"]) for row in rows("bolts")),
    ),
    Field(
        "bolt_class",
        "gearing",
        "Class of those bolts",
        "choice",
        "Stamped on the head. No stamp: 4.8.",
        choices=tuple((row["class"], row["class"]) for row in rows("bolt_classes")),
    ),
    _length(
        "bolt_spacing",
        "Spacing of the mount's bolts",
        "From one row of bolts to the other; of two different ways the smaller.",
        10,
        1000,
        "90 mm",
    ),
    _length(
        "mount_overhang",
        "Chain's distance from the mount",
        "From the middle of the chain to the face where machine and bracket meet, along the shaft.",
        0,
        1000,
        "60 mm",
    ),
    _length(
        "mount_offset",
        "From the shaft to the middle of the mount's bolts",
        "Looking along the shaft. 0 where they lie evenly round it; ears at one side make it large.",
        0,
        500,
        "40 mm",
    ),
    _length(
        "bearing_span",
        "From bearing to bearing of the machine",
        "Along the shaft, middle to middle. Only the bearing's load asks for it.",
        10,
        1000,
        "95 mm",
    ),
    Field(
        "bearing_limit",
        "gearing",
        "Load that the drive-end bearing may carry",
        "number",
        "The static load rating of the number stamped on it, from a bearing table.",
        ("N", "kN", "kgf", "lbf"),
        10,
        500000,
        example="6000 N",
    ),
)
