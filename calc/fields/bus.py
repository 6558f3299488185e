"""The controller's capacitors, how they are filled and emptied, and packs that are to be joined.

Usual ranges are common practice, no source.
"""

from __future__ import annotations

from calc.fields.model import Field, Spreads

BUS = (
    Field(
        "bus_capacitance",
        "controller",
        "Capacitance across the controller's supply",
        "number",
        "Printed on its capacitors, all added up; or a meter across its unplugged, discharged leads.",
        ("uF", "mF"),
        1,
        1000000,
        usual=(500, 5000),
        spreads=Spreads(0.1, 0.2, 0.5),
        example="2000 µF",
    ),
    Field(
        "precharge_resistor",
        "wiring",
        "Precharge resistor",
        "number",
        "Its print, or an ohmmeter, unplugged.",
        ("ohm", "kohm"),
        0.1,
        100000,
        spreads=Spreads(0.01, 0.05, 0.2),
        example="100 Ω",
    ),
    Field(
        "precharge_time",
        "wiring",
        "Time from precharge to the main switch",
        "number",
        "What the circuit waits, or what you count before you close the main switch.",
        ("s",),
        0.01,
        120,
        usual=(1, 3),
        spreads=Spreads(0.1, 0.2, 0.5),
        example="2 s",
    ),
    Field(
        "precharge_electronics",
        "wiring",
        "Controller's electronics while the bus fills",
        "choice",
        "Watch its lamp, or measure its current, with the precharge on and the main switch open.",
        usual="on",
        choices=(("off", "off until the main switch is closed"), ("on", "on, fed from the bus")),
    ),
    Field(
        "precharge_rating",
        "wiring",
        "Power that the precharge resistor stands for good",
        "number",
        "Printed on it, or its size in a catalogue.",
        ("W",),
        0.05,
        1000,
        spreads=Spreads(0.0, 0.0, 0.2),
        example="50 W",
    ),
    Field(
        "bleed_resistor",
        "wiring",
        "Resistor that empties the bus",
        "number",
        "Its print, or an ohmmeter, unplugged.",
        ("ohm", "kohm"),
        1,
        1000000,
        spreads=Spreads(0.01, 0.05, 0.2),
        example="1 kΩ",
    ),
    Field(
        "state_of_charge",
        "pack",
        "Charge in the two packs",
        "table",
        "Amp-hours counted since each was full. Of LFP the voltage tells little between 20 and 95 %.",
        columns=(
            Field("first", "", "One pack", "number", "", ("percent",), 0, 100, example="80 %"),
            Field("second", "", "The other", "number", "", ("percent",), 0, 100, example="30 %"),
        ),
        high=1,
        example="80 %, 30 %",
    ),
)

JOINED = (
    Field(
        "loop_resistance",
        "",
        "Resistance all round the two packs",
        "number",
        "Both packs and the leads between them. Left out: twice this pack's.",
        ("mohm", "ohm"),
        0.1,
        100000,
        spreads=Spreads(0.1, 0.3, 0.5),
        example="74 mΩ",
    ),
    Field(
        "joining_current",
        "",
        "Current that may flow between the packs",
        "number",
        "The least of: what the cells may be charged with, both protections, the fuse between them. Left out: what the "
        "sheet has of these, and a fifth of the capacity each hour.",
        ("A",),
        0.1,
        1000,
        spreads=Spreads(0.0, 0.05, 0.2),
        example="20 A",
    ),
)
