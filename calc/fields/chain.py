"""The chain from motor to axle (or to the jackshaft)."""

from __future__ import annotations

from calc.fields.model import Field, Spreads
from calc.standards import rows

CHAIN = (
    Field(
        "chain_size",
        "gearing",
        "Size of the chain",
        "choice",
        "Stamped on the outer plates. Else callipers over ten pitches, divided by ten, and the width between inner "
        "plates.",
        choices=tuple((row["size"], row["label"]) for row in rows("chains")),
    ),
    Field(
        "center_distance",
        "gearing",
        "Centre distance of the sprockets",
        "number",
        "Tape from the middle of one shaft to the middle of the other, the adjuster in its middle.",
        ("mm", "m", "cm", "inch"),
        50,
        3000,
        spreads=Spreads(0.01, 0.02, 0.1),
        example="450 mm",
    ),
    Field(
        "chain_strength",
        "gearing",
        "Tensile strength of the chain",
        "number",
        "From its packet, where it is given; else the published least for its size counts.",
        ("kN", "N", "kgf", "lbf"),
        0.5,
        500,
        example="17.8 kN",
    ),
)
