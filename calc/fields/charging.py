"""The charger and charging. Usual ranges are common practice, no source."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

CHARGER = (
    Field(
        "charger_voltage",
        "charger",
        "Full voltage of the charger",
        "number",
        "A voltmeter on the charger's leads with nothing connected.",
        ("V",),
        3,
        500,
        spreads=Spreads(0.003, 0.01, 0.05),
        example="58.4 V",
    ),
)
