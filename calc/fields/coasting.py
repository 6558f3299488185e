"""The coast-down of the whole vehicle. Usual ranges are common practice, no source."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

COASTING = (
    Field(
        "coast_runs",
        "vehicle",
        "Coast-down past marks",
        "table",
        "Marks on straight, level ground, read off a film. One row for each mark after the first: number of the run, "
        "way, metres from the first mark, seconds since passing it. Runs both ways.",
        columns=(
            Field("run", "", "Run", "count", "", low=1, high=100, example="1"),
            Field("way", "", "Way", "choice", "", choices=(("out", "out"), ("back", "back"))),
            Field(
                "distance",
                "",
                "Distance from the first mark",
                "number",
                "",
                ("m", "ft", "cm"),
                0.5,
                1000,
                example="10 m",
            ),
            Field(
                "time", "", "Time since the first mark", "number", "", ("s",), 0.05, 1000, example="2.44 s"
            ),
        ),
        high=200,
        example="1, out, 5 m, 1.69 s; 1, out, 10 m, 3.68 s; 1, out, 15 m, 6.24 s; "
        "2, back, 5 m, 1.65 s; 2, back, 10 m, 3.55 s; 2, back, 15 m, 5.91 s",
    ),
    Field(
        "coast_mass",
        "vehicle",
        "Total mass at the coast-down",
        "number",
        "Vehicle, rider and load as they rolled; the total mass is taken where nothing is entered.",
        ("kg", "lb"),
        10,
        3000,
        example="215 kg",
    ),
    Field(
        "altitude",
        "vehicle",
        "Height above the sea at the coast-down",
        "number",
        "A map.",
        ("m", "ft"),
        -400,
        5000,
        usual=(0, 500),
        spreads=Spreads(20, 50, 200, relative=False),
        example="200 m",
    ),
    Field(
        "coast_temperature",
        "vehicle",
        "Air at the coast-down",
        "number",
        "A thermometer in the shade.",
        ("degC", "degF"),
        -20,
        45,
        usual=(5, 25),
        spreads=Spreads(2, 3, 5, relative=False),
        example="15 °C",
    ),
    Field(
        "coast_chain",
        "vehicle",
        "Chain at the coast-down",
        "choice",
        "Off is better. On, field off: rotor and friction of the machine are taken off by their own numbers.",
        choices=(("off", "off"), ("on", "on, the machine dragged along")),
    ),
)
