"""Units at the edge: from a named unit to SI and back, and how a quantity is shown.

pint is the authority. `scripts/make_units.py` asks it for the factor and offset of every unit that the
registry accepts and writes `units_table.py`; a test compares the two. So neither the page nor the command
line pays for importing pint. Called from Python, `to_si` also takes a pint quantity.
"""

from __future__ import annotations

import math
import re
from functools import cache, lru_cache
from typing import Any

from calc.units_table import TABLE as TABLE

# What people type -> the ASCII name that a stock unit library reads.
ALIASES = {
    "Nm": "N*m",
    "m/s²": "m/s**2",
    "m/s^2": "m/s**2",
    "m/s2": "m/s**2",
    "ft/s²": "ft/s**2",
    "ft/s^2": "ft/s**2",
    "J/(kg·K)": "J/kg/K",
    "J/(kg*K)": "J/kg/K",
    "N·m": "N*m",
    "N m": "N*m",
    "%": "percent",
    "°": "deg",
    "degrees": "deg",
    "Ω": "ohm",
    "Ohm": "ohm",
    "ohms": "ohm",
    "mΩ": "mohm",
    "milliohm": "mohm",
    "kΩ": "kohm",
    "µH": "uH",
    "μH": "uH",
    "µF": "uF",
    "μF": "uF",
    "°C": "degC",
    "C": "degC",
    "°F": "degF",
    "F": "degF",
    "m²": "m**2",
    "m2": "m**2",
    "m^2": "m**2",
    "mm²": "mm**2",
    "mm2": "mm**2",
    "mm^2": "mm**2",
    "kph": "km/h",
    "kmh": "km/h",
    "min": "minute",
    "mins": "minute",
    "minutes": "minute",
    "hours": "hour",
    "h": "hour",
    "sec": "s",
    "Ah": "A*hour",
    "A·h": "A*hour",
    "mAh": "mA*hour",
    "Wh": "W*hour",
    "kWh": "kW*hour",
    "V/1000rpm": "V/krpm",
    "Vs/rad": "V*s/rad",
    "V·s/rad": "V*s/rad",
    "in": "inch",
    "inches": "inch",
    '"': "inch",
    "lbs": "lb",
    "kgs": "kg",
    "amps": "A",
    "amp": "A",
    "volts": "V",
    "volt": "V",
    "watts": "W",
    "1/min": "rpm",
    "r/min": "rpm",
    "mOhm": "mohm",
    "mΩ·Ah": "mohm*A*hour",
    "mΩAh": "mohm*A*hour",
    "MΩ": "Mohm",
    "Megohm": "Mohm",
    "kg·m²": "kg*m**2",
    "kgm²": "kg*m**2",
    "kg*m2": "kg*m**2",
    "kg*m^2": "kg*m**2",
    "kg·cm²": "kg*cm**2",
    ":1": "",
    "kgcm²": "kg*cm**2",
    "g·m²": "g*m**2",
    "N·m·s/rad": "N*m*s/rad",
    "Nms/rad": "N*m*s/rad",
}

# The ASCII name -> how it is printed beside a number. Names that read well as they stand are left out.
SYMBOLS = {
    "N*m": "N·m",
    "percent": "%",
    "deg": "°",
    "ohm": "Ω",
    "mohm": "mΩ",
    "kohm": "kΩ",
    "uH": "µH",
    "uF": "µF",
    "degC": "°C",
    "degF": "°F",
    "m**2": "m²",
    "kg/m**3": "kg/m³",
    "mm**2": "mm²",
    "minute": "min",
    "hour": "h",
    "A*hour": "Ah",
    "mA*hour": "mAh",
    "W*hour": "Wh",
    "kW*hour": "kWh",
    "V*s/rad": "V·s/rad",
    "N*m/A": "N·m/A",
    "W*hour/km": "Wh/km",
    "inch": "in",
    "m/s**2": "m/s²",
    "ft/s**2": "ft/s²",
    "J/kg/K": "J/(kg·K)",
    "mohm*A*hour": "mΩ·Ah",
    "Mohm": "MΩ",
    "kg*m**2": "kg·m²",
    "kg*cm**2": "kg·cm²",
    "g*m**2": "g·m²",
    "N*m/W": "N·m/W",
    "N*m*s/rad": "N·m·s/rad",
}

# What is read out for a printed unit that reads badly.
SPOKEN = {
    "N*m": "newton metres",
    "deg": "degrees",
    "ohm": "ohms",
    "mohm": "milliohms",
    "Mohm": "megohms",
    "uH": "microhenries",
    "uF": "microfarads",
    "m**2": "square metres",
    "mm**2": "square millimetres",
    "minute": "minutes",
    "A*hour": "ampere hours",
    "W*hour": "watt hours",
    "V/krpm": "volts per thousand turns a minute",
    "rpm": "turns a minute",
    "m/s**2": "metres per second squared",
    "K/W": "kelvin per watt",
    "J/kg/K": "joules per kilogram and kelvin",
    "kg*m**2": "kilogram square metres",
    "N*m*s/rad": "newton metre seconds per radian",
    "mohm*A*hour": "milliohm ampere hours",
    "mT": "millitesla",
    "Hz/s": "hertz per second",
    "L": "litres",
}


# From so many of a unit on, a quantity is shown in the next: 10.6 kN, not 10614 N.
MANY = 1e4
NEXT = {"A": "kA", "N": "kN", "ohm": "kohm"}

HOURS_FROM = 120  # minutes: from here on hours and minutes are read more easily

# What a scale calls the force that it shows.
FORCES = {"kg": "kgf", "lb": "lbf"}


def canonical(text: str) -> str:
    """The ASCII name of a unit as typed ('Nm' -> 'N*m'); the text itself when no alias fits."""
    text = " ".join(text.split())
    return ALIASES.get(text, ALIASES.get(text.replace(" ", ""), text.replace(" ", "")))


def symbol(unit: str) -> str:
    """How the unit is printed: 'N*m' -> 'N·m'."""
    return SYMBOLS.get(unit, unit)


def beside(number: str, unit: str) -> str:
    """A number that is written already, with its unit printed beside it: '18.2 N·m', '15°', '0.5'."""
    sign = symbol(unit)
    return number + ("" if sign in ("", "°") else " ") + sign


@cache
def _parted() -> re.Pattern[str]:
    """The space or line end between a number and its unit, or behind ±. 'in' is a word too, so inches are left out."""
    signs = sorted({symbol(u) for u in TABLE} - {"", "°", "in"}, key=len, reverse=True)
    return re.compile(
        rf"[ \n](?:(?<=\d[ \n])(?=(?:{'|'.join(map(re.escape, signs))})(?![\w·/²³°]))|(?<=±[ \n])(?=\d))"
    )


_AS_IT_IS = re.compile(
    r"(<(?:pre|code|script|style|textarea)\b.*?</(?:pre|code|script|style|textarea)>)", re.DOTALL
)


def unparted(html: str) -> str:
    """HTML or text whose numbers and units stay on one line; what is there to be copied keeps its spaces.

    >>> unparted("60 V and <code>60 V</code>") == "60\N{NO-BREAK SPACE}V and <code>60 V</code>"
    True
    """
    parts = _AS_IT_IS.split(html)
    parts[::2] = [_parted().sub("\N{NO-BREAK SPACE}", part) for part in parts[::2]]
    return "".join(parts)


def to_si(value: Any, unit: str = "") -> Any:
    """`value` in `unit` as SI (float or array). A pint quantity is taken with its own unit."""
    if hasattr(value, "to_base_units"):
        return value.to_base_units().magnitude
    factor, offset = TABLE[unit]
    return value * factor + offset


def from_si(value: Any, unit: str) -> Any:
    """An SI value (float or array) in `unit`."""
    factor, offset = TABLE[unit]
    return (value - offset) / factor


def difference_to_si(value: float, unit: str) -> float:
    """A difference or spread in `unit` as SI: a temperature's offset doesn't count."""
    return value * TABLE[unit][0]


def plain(value: float, digits: int = 3) -> str:
    """A number for reading: `digits` significant ones before its point stand whatever their count, no separator in
    thousands (what is read may be typed), no exponent between a millionth and ten million.

    >>> plain(18.2468), plain(5120.4), plain(0.0), plain(0.00001)
    ('18.2', '5120', '0', '0.00001')
    """
    return _plain(float(value), digits)


@lru_cache(maxsize=4096)  # with every key one number changes, and all are shown again
def _plain(value: float, digits: int) -> str:
    if value == 0 or abs(value) < 1e-12:
        return "0"
    if not 1e-6 <= abs(value) < 1e7:
        return f"{value:.{digits}g}".replace("-", "−", 1)
    whole = (
        math.floor(math.log10(abs(value))) + 1
    )  # figures before the point; below one, less the noughts after it
    text = f"{value:.{max(0, digits - whole)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−")


def show(si: float, unit: str, digits: int = 3) -> str:
    """An SI value in `unit`, as people read it: '18.2 N·m', '8 %', '15°'."""
    if (
        unit == "Mohm" and abs(si) < 1e5
    ):  # from a short to the case to clean insulation is eight powers of ten
        unit = "kohm" if abs(si) >= 100 else "ohm"
    if unit == "minute" and si >= HOURS_FROM * 60.0 - 30.0:
        hours, minutes = divmod(round(si / 60.0), 60)
        return beside(str(hours), "hour") + (f" {beside(str(minutes), unit)}" if minutes else "")
    if unit in NEXT and abs(from_si(si, unit)) >= MANY:
        unit = NEXT[unit]
    return beside(plain(float(from_si(si, unit)), digits), unit)


def show_spread(si: float, share: float, unit: str, digits: int = 3) -> str:
    """An SI value with how far it may be off, `share` of it: '36 mΩ ± 0.61 mΩ'."""
    return f"{show(si, unit, digits)} ± {show(si * share, unit, 2)}"
