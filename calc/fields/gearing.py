"""A second stage of chain, and the sprockets that one has or can buy. Usual ranges are common practice, no source."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

JACKSHAFT = (
    Field(
        "jackshaft_driven_teeth",
        "gearing",
        "Teeth on the jackshaft, on the motor's side",
        "count",
        "Only with two stages of chain: the sprocket that the motor's chain turns. Count them.",
        low=5,
        high=400,
        example="36",
    ),
    Field(
        "jackshaft_driver_teeth",
        "gearing",
        "Teeth on the jackshaft, on the axle's side",
        "count",
        "Only with two stages of chain: the sprocket that drives the axle's chain. Count them.",
        low=5,
        high=200,
        example="12",
    ),
    Field(
        "stage_efficiency",
        "gearing",
        "Efficiency of one stage of chain",
        "number",
        "Only with two stages: 95 % for a clean, aligned chain.",
        ("percent",),
        50,
        100,
        usual=(92, 97),
        spreads=Spreads(1, 2, 5, relative=False),
        example="95 %",
    ),
)

STOCK = (
    Field(
        "motor_sprockets",
        "gearing",
        "Sprockets to choose from for the motor",
        "list",
        "The teeth of those you have or can buy, for one chain and one bore.",
        low=5,
        high=200,
        example="10, 11, 12, 13",
    ),
    Field(
        "axle_sprockets",
        "gearing",
        "Sprockets to choose from for the axle",
        "list",
        "The teeth of those you have or can buy, for the same chain.",
        low=5,
        high=400,
        example="66, 72, 80, 90",
    ),
)
