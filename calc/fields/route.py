"""A ride as a route: one row for each stretch, or one for each point of a track with heights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calc.fields.model import Field

LONGEST = 2000
"""Rows that a route may have."""

SURFACES = (
    ("measured", "where my rolling coefficient was measured"),
    ("road", "hard road"),
    ("gravel", "rolled or packed gravel"),
    ("field", "a field"),
    ("loose", "loose wet gravel"),
    ("sand", "sand"),
)


def faults(rows: Sequence[Sequence[Any]]) -> list[tuple[int, str, str]]:
    """What is wrong between the cells of a route's rows: (number of the row, column, what and what to do)."""
    found: list[tuple[int, str, str]] = []
    if all(row[4] is None for row in rows):
        for number, (distance, slope, *_) in enumerate(rows, 1):
            if distance <= 0.0:
                found.append((number, "distance", "is nothing. Enter the length of the stretch."))
            if slope is None:
                found.append(
                    (number, "slope", "is empty. Enter 0 % for level, or heights for the whole route.")
                )
        return found
    if len(rows) < 2:
        found.append((1, "height", "stands alone. A track needs two points or more."))
    before = 0.0
    for number, (distance, slope, _, _, height) in enumerate(rows, 1):
        if height is None:
            found.append((number, "height", "is empty. Where one row has a height, all need one."))
        if slope is not None:
            found.append(
                (number, "slope", "stands beside a height. Give one of the two; heights make the slopes.")
            )
        if distance < before:
            text = f"falls back from {before:g} m to {distance:g} m. With heights it counts from the start."
            found.append((number, "distance", text))
        before = distance
    if not found and before <= rows[0][0]:
        found.append((len(rows), "distance", "never grows. With heights it counts from the start."))
    return found


ROUTE = (
    Field(
        "route",
        "ride",
        "The route, stretch by stretch",
        "table",
        "One row for each stretch: its length, slope, surface, the speed you want there. Or paste a track with its "
        "columns named on top: distance from the start and height. It counts instead of the rows by share of the time.",
        columns=(
            Field(
                "distance",
                "",
                "Distance",
                "number",
                "",
                ("m", "km"),
                0,
                300_000,
                example="400 m",
                words=("length", "dist"),
            ),
            Field(
                "slope",
                "",
                "Slope",
                "number",
                "",
                ("percent", "deg"),
                -40,
                40,
                example="0 %",
                optional=True,
                words=("gradient", "grade", "incline"),
            ),
            Field("surface", "", "Surface", "choice", "", choices=SURFACES, optional=True, words=("ground",)),
            Field(
                "speed",
                "",
                "Speed",
                "number",
                "",
                ("km/h", "m/s", "mph"),
                0.5,
                200,
                example="10 km/h",
                optional=True,
            ),
            Field(
                "height",
                "",
                "Height",
                "number",
                "",
                ("m",),
                -500,
                9000,
                example="210 m",
                optional=True,
                words=("elevation", "altitude", "ele", "alt"),
            ),
        ),
        high=LONGEST,
        example="400 m, 0 %, gravel, 10 km/h; 150 m, 6 %, measured, 6 km/h",
        faults=faults,
    ),
)
