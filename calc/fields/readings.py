"""Readings from the bench, row by row: what a machine's values are worked out from.

Each table is the other way to give a quantity of the machine (`ALTERNATIVES`); the value is worked out anew
whenever it is needed and never stored.
"""

from __future__ import annotations

from calc.fields.model import Field

_SPEED = Field("speed", "", "Speed", "number", "", ("rpm", "rad/s"), 10, 30000, example="2000 rpm")

MACHINE_READINGS = (
    Field(
        "emf_test",
        "machine",
        "Spin test: volts with open leads",
        "table",
        "Rectifier off, clamped, guarded; the leads are live. Spin at a known speed, set the field current, read "
        "volts rms between two leads. Four field currents or more, up to the one you will use.",
        columns=(
            _SPEED,
            Field("field_current", "", "Field current", "number", "", ("A", "mA"), 0, 30, example="2 A"),
            Field(
                "voltage", "", "Volts between two leads", "number", "", ("V", "mV"), 0, 500, example="16.7 V"
            ),
        ),
        high=200,
        example="2000 rpm, 1 A, 9.7 V; 2000 rpm, 2 A, 16.7 V; 2000 rpm, 3 A, 20.4 V; 2000 rpm, 4 A, 21.7 V",
    ),
    Field(
        "short_circuit_test",
        "machine",
        "Short-circuit spin",
        "table",
        "At one speed and one low field current: first volts between two open leads; stop, join all three, then amps "
        "in one of them. Note the field current. Seconds only.",
        columns=(
            _SPEED,
            Field(
                "voltage", "", "Volts with open leads", "number", "", ("V", "mV"), 0.01, 500, example="20 V"
            ),
            Field("current", "", "Amps with joined leads", "number", "", ("A",), 0.01, 2000, example="110 A"),
            Field(
                "field_current",
                "",
                "Field current",
                "number",
                "",
                ("A", "mA"),
                0.02,
                30,
                example="1 A",
                optional=True,
            ),
        ),
        high=50,
        example="1500 rpm, 12 V, 60 A, 1 A; 1500 rpm, 16 V, 82 A, 1.5 A",
    ),
    Field(
        "resistance_test",
        "machine",
        "Four-wire resistance, pair by pair",
        "table",
        "Send a steady current through two leads; read volts on the leads themselves, inside the clips. All three "
        "pairs, one row each. Field not fed, its brush leads bolted together. The winding's temperature, if it isn't "
        "20 °C.",
        columns=(
            Field(
                "voltage", "", "Volts on the leads", "number", "", ("mV", "V"), 0.01, 60000, example="180 mV"
            ),
            Field("current", "", "Current", "number", "", ("A",), 0.01, 500, example="5 A"),
            Field(
                "temperature",
                "",
                "Temperature of the winding",
                "number",
                "",
                ("degC", "degF"),
                -30,
                200,
                example="20 °C",
                optional=True,
            ),
        ),
        high=30,
        example="180 mV, 5 A; 181 mV, 5 A; 179 mV, 5 A",
    ),
    Field(
        "coast_down_test",
        "machine",
        "Run-down of the machine by itself",
        "table",
        "Field on, leads open and insulated: they are live while it turns. Clamped, guarded, sleeves and hair away. "
        "Drive it through a freewheel that overruns; never throw a belt off. Stop the drive; time it from one speed to "
        "another.",
        columns=(
            Field("from_speed", "", "From", "number", "", ("rpm", "rad/s"), 10, 30000, example="1000 rpm"),
            Field("to_speed", "", "To", "number", "", ("rpm", "rad/s"), 0, 30000, example="500 rpm"),
            Field("time", "", "Time", "number", "", ("s", "minute"), 0.05, 3600, example="0.7 s"),
        ),
        high=50,
        example="1000 rpm, 500 rpm, 0.62 s; 1000 rpm, 500 rpm, 0.60 s",
    ),
    Field(
        "stall_test",
        "machine",
        "Stall torque by lever and scale",
        "table",
        "Clamped, field on, two leads fed. For each current the pull on the lever's end at the two lamp changes that "
        "bound its sector, the lever's length, how far short of the mark made without current each change came, and "
        "how far apart those two marks are (left out: a sixth of an electrical turn). Each the mean of letting it go "
        "forward and drawing it back. Two currents or more, seconds only.",
        columns=(
            Field("current", "", "Current in the leads", "number", "", ("A",), 0.5, 2000, example="50 A"),
            Field(
                "begin",
                "",
                "Pull where the sector begins",
                "number",
                "",
                ("N", "kgf", "lbf"),
                0,
                5000,
                example="10 N",
            ),
            Field(
                "end",
                "",
                "Pull where the sector ends",
                "number",
                "",
                ("N", "kgf", "lbf"),
                0,
                5000,
                example="14 N",
            ),
            Field(
                "lever",
                "",
                "Length of the lever",
                "number",
                "",
                ("mm", "m", "cm", "inch"),
                50,
                3000,
                example="500 mm",
            ),
            Field(
                "begin_early",
                "",
                "How far short of its mark the beginning came",
                "number",
                "",
                ("mm", "m", "cm", "inch"),
                -500,
                500,
                example="7 mm",
            ),
            Field(
                "end_early",
                "",
                "How far short of its mark the end came",
                "number",
                "",
                ("mm", "m", "cm", "inch"),
                -500,
                500,
                example="7 mm",
            ),
            Field(
                "between",
                "",
                "Between the two marks made without current",
                "number",
                "",
                ("mm", "m", "cm", "inch"),
                1,
                1500,
                example="65 mm",
                optional=True,
            ),
        ),
        high=60,
        example="30 A, 7.2 N, 8.3 N, 500 mm, 7 mm, 7 mm; 100 A, 19.5 N, 30.2 N, 500 mm, 24 mm, 25 mm",
    ),
    Field(
        "no_load_test",
        "machine",
        "Running free as a motor",
        "table",
        "Chain off, guarded, steady speed: speed, volts and amps into the controller, less its amps with the throttle "
        "shut; the field's amps not counted.",
        columns=(
            _SPEED,
            Field("voltage", "", "Volts at the controller", "number", "", ("V",), 1, 500, example="50 V"),
            Field(
                "current", "", "Amps into the controller", "number", "", ("A",), 0.01, 500, example="0.9 A"
            ),
        ),
        high=50,
        example="1000 rpm, 50 V, 0.8 A",
    ),
    Field(
        "corner_test",
        "machine",
        "Delta opened at one corner",
        "table",
        "One corner of the ring unsoldered, the two ends apart and insulated. Little field, slow spin, guarded: speed, "
        "volts rms across the gap, and in the same spin across one coil, from one end of the gap to the next lead.",
        columns=(
            _SPEED,
            Field("voltage", "", "Volts across the gap", "number", "", ("V", "mV"), 0, 500, example="0.2 V"),
            Field(
                "coil_voltage",
                "",
                "Volts across one coil",
                "number",
                "",
                ("V", "mV"),
                0.02,
                500,
                example="2.8 V",
            ),
        ),
        high=20,
        example="600 rpm, 0.2 V, 2.8 V",
    ),
    Field(
        "insulation_test",
        "machine",
        "Insulation to the case, by two readings",
        "table",
        "A battery or bench supply from winding to case with the voltmeter in series: volts of the supply, volts that "
        "the meter shows, and, as proof that it would show, volts with winding and case joined by a wire. One row for "
        "the stator, one for the field.",
        columns=(
            Field("supply", "", "Volts of the supply", "number", "", ("V",), 5, 1000, example="48 V"),
            Field(
                "reading",
                "",
                "Volts that the meter shows",
                "number",
                "",
                ("V", "mV"),
                0,
                1000,
                example="0.5 V",
            ),
            Field(
                "joined",
                "",
                "With winding and case joined",
                "number",
                "",
                ("V", "mV"),
                0,
                1000,
                example="48 V",
            ),
        ),
        high=20,
        example="48 V, 0.4 V, 48 V; 48 V, 0.2 V, 48 V",
    ),
    Field(
        "meter_resistance",
        "machine",
        "Input resistance of the voltmeter",
        "number",
        "From its leaflet: most digital meters have 10 MΩ.",
        ("Mohm", "kohm"),
        0.01,
        10000,
        usual=(9, 11),
        example="10 MΩ",
    ),
)
