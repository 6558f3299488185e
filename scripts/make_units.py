"""Asks pint for every unit that the registry accepts and writes calc/units_table.py.

Run it after a field or a result got a new unit: `python scripts/make_units.py`. A test fails when the table
and pint differ, or when a unit in use is missing.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pint

ROOT = Path(__file__).resolve().parent.parent
# One list of what may be typed or shown. Short on purpose: each is a unit that is met at the bench.
UNITS = """
 V mV A mA W kW ohm mohm kohm H mH uH ms F N kN kgf lbf N*m N*m/A J kJ rpm rad/s V/krpm V*s/rad deg rad percent
 m cm mm inch ft km m**2 cm**2 mm**2 kg g lb km/h m/s mph s minute hour A*hour mA*hour W*hour kW*hour
 W*hour/km degC degF K W*hour/kg mohm*A*hour Mohm T mT Wb mWb kg*m**2 kg*cm**2 g*m**2 N*m/W K/W Hz
 Hz/s N*m*s/rad uF mF L kA ohm/m mohm/m W/m A**2*s m/s**2 ft/s**2 J/kg/K kg/m**3
""".split()


def table() -> dict[str, tuple[float, float]]:
    """Unit -> (factor, offset) with SI = value * factor + offset, as pint has it."""
    registry: pint.UnitRegistry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    out = {"": (1.0, 0.0)}
    for name in UNITS:
        zero = float(registry.Quantity(0.0, name).to_base_units().magnitude)
        one = float(registry.Quantity(1.0, name).to_base_units().magnitude)
        out[name] = (one - zero if zero else one, zero)
    return out


def text() -> str:
    rows = "".join(f'    "{name}": {pair!r},\n' for name, pair in table().items())
    return (
        '"""Unit -> (factor, offset), SI = value * factor + offset. Written by scripts/make_units.py."""\n\n'
        f"TABLE: dict[str, tuple[float, float]] = {{\n{rows}}}\n"
    )


if __name__ == "__main__":
    target = ROOT / "calc" / "units_table.py"
    target.write_text(text(), encoding="utf-8", newline="\n")
    print(f"{target.relative_to(ROOT)}: {len(table())} units", file=sys.stderr)
