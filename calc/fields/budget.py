"""What a build costs, part by part, and what else one thinks of buying."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calc.fields.model import Field


def _parting(rows: Sequence[Sequence[Any]]) -> list[tuple[int, str, str]]:
    """Texts that hold what parts cells and rows, and changes where nothing is left to change."""
    found = []
    for number, (item, _, state, _, changes) in enumerate(rows, 1):
        for column, text in (("part", item), ("what it changes", changes or "")):
            if any(sign in text for sign in ",;\n"):
                found.append((number, column, "holds a comma or a semicolon, which part cells and rows"))
        if changes and state != "idea":
            found.append(
                (number, "what it changes", "is only for an idea; what is bought stands in the sheet")
            )
    return found


COST = (
    Field(
        "cost",
        "cost",
        "What it costs",
        "table",
        "One line for each part: its price in your money, whether it is bought, needed or an idea, its mass if that "
        "counts, and for an idea what it would change in the sheet, as field=value, two of them joined by “and”.",
        columns=(
            Field("item", "", "Part", "text", "", high=60, example="Sprocket 90 teeth"),
            Field("price", "", "Price", "number", "", ("",), 0, 1_000_000, example="35"),
            Field(
                "state",
                "",
                "State",
                "choice",
                "",
                choices=(("bought", "bought"), ("needed", "needed"), ("idea", "an idea")),
            ),
            Field(
                "mass", "", "Mass", "number", "", ("kg", "g", "lb"), 0, 500, example="1.2 kg", optional=True
            ),
            Field(
                "changes",
                "",
                "What it changes",
                "text",
                "",
                high=300,
                example="driven_teeth=90",
                optional=True,
            ),
        ),
        high=100,
        example="Controller, 120, bought; Chain guard, 25, needed, 0.8 kg; Bigger sprocket, 40, idea, 0.5 kg, "
        "driven_teeth=90",
        faults=_parting,
    ),
)
