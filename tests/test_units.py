"""Units: our table against pint, the authority, and how numbers are shown."""

from __future__ import annotations

from pathlib import Path

import pint
import pytest

from calc import units
from calc.calculators import CALCULATORS
from calc.fields import FIELDS
from scripts import make_units

ROOT = Path(__file__).resolve().parent.parent
REGISTRY: pint.UnitRegistry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def test_the_table_is_what_pint_says_today() -> None:
    assert make_units.table() == units.TABLE
    assert (ROOT / "calc" / "units_table.py").read_text("utf-8") == make_units.text()


@pytest.mark.parametrize("name", [name for name in units.TABLE if name])
def test_every_unit_agrees_with_a_stock_registry(name: str) -> None:
    assert units.to_si(12.5, name) == pytest.approx(
        REGISTRY.Quantity(12.5, name).to_base_units().magnitude, rel=1e-12
    )


def test_every_unit_of_a_field_or_result_is_in_the_table() -> None:
    used = {u for f in FIELDS.values() for u in f.units} | {
        u for f in FIELDS.values() for c in f.columns for u in c.units
    }
    used |= {r.unit for c in CALCULATORS.values() for r in c.gives}
    used |= {col.unit for c in CALCULATORS.values() for r in c.gives for col in r.columns}
    assert used <= set(units.TABLE)


def test_every_alias_leads_to_a_unit() -> None:
    assert set(units.ALIASES.values()) <= set(units.TABLE)


def test_units_of_one_field_measure_the_same_thing() -> None:
    for f in FIELDS.values():
        dimensions = {REGISTRY.Quantity(1.0, u).dimensionality for u in f.units if u}
        assert len(dimensions) <= 1, f.key


# NIST SP 811 (2008), appendix B.8: exact factors for these units.
@pytest.mark.parametrize(
    ("unit", "factor"),
    [("inch", 0.0254), ("lb", 0.45359237), ("mph", 0.44704), ("km/h", 1 / 3.6), ("W*hour", 3600.0)],
)
def test_published_factors(unit: str, factor: float) -> None:
    assert units.to_si(1.0, unit) == pytest.approx(factor, rel=1e-9)


def test_rotation_is_not_frequency() -> None:
    """60 rpm is one turn a second: 2π radians, and never 1 or 60 of anything."""
    assert units.to_si(60.0, "rpm") == pytest.approx(6.283185307, rel=1e-9)
    assert units.to_si(1.0, "V/krpm") == pytest.approx(60 / (2 * 3.141592653589793 * 1000), rel=1e-12)


def test_nm_is_newton_metres() -> None:
    """A stock library reads `Nm` as a textile unit; people mean torque."""
    assert units.canonical("Nm") == "N*m"
    assert units.canonical("N m") == "N*m"


def test_temperature_has_an_offset_and_its_difference_none() -> None:
    assert units.to_si(80.0, "degC") == pytest.approx(353.15)
    assert units.to_si(32.0, "degF") == pytest.approx(273.15)
    assert units.difference_to_si(9.0, "degF") == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("si", "unit", "text"),
    [
        (18.2468, "N*m", "18.2 N·m"),
        (0.08, "percent", "8 %"),
        (5120.4 * 3600, "W*hour", "5120 Wh"),
        (0.0, "A", "0 A"),
        (-0.2617993877991494, "deg", "−15°"),
        (9.999, "V", "10 V"),
        (0.0228, "mohm", "22.8 mΩ"),
    ],
)
def test_shown_as_people_read_it(si: float, unit: str, text: str) -> None:
    assert units.show(si, unit) == text
