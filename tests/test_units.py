"""Units: our table against pint, the authority, and how numbers are shown."""

from __future__ import annotations

import re
from pathlib import Path

import pint
import pytest

from calc import units
from calc.calculators import CALCULATORS
from calc.entries import parse
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
        (1500.0, "N", "1500 N"),
        (10614.0, "N", "10.6 kN"),
        (20000.0, "A", "20 kA"),
        (4700.0, "ohm", "4700 Ω"),
        (-12000.0, "N", "−12 kN"),
        (30000.0, "m", "30000 m"),
        (0.0000123, "kg*m**2", "0.0000123 kg·m²"),
        (1e6, "", "1000000"),
    ],
)
def test_shown_as_people_read_it(si: float, unit: str, text: str) -> None:
    assert units.show(si, unit) == text


def test_what_a_form_allows_is_written_as_it_may_be_typed() -> None:
    """Both ends of every field's limits go through the grammar; no exponent, no hyphen for a minus."""
    for f in [*FIELDS.values(), *(column for known in FIELDS.values() for column in known.columns)]:
        if f.kind not in ("number", "count"):
            continue
        told = f.allowed()
        assert "e" not in told.removesuffix(", or degrees").replace("whole number", "").replace("from", ""), (
            told
        )
        low, high = told.removeprefix("a whole number from ").removesuffix(", or degrees").split(" to ")
        if f.kind == "number":
            parse(f, high)
            parse(f, units.beside(low, f.unit))
        assert "-" not in told
    assert FIELDS["ambient_temperature"].allowed().startswith("−")


@pytest.mark.parametrize("page", sorted((ROOT / "docs").rglob("*.md")), ids=lambda page: page.stem)
def test_no_page_prints_a_number_that_is_refused_when_typed(page: Path) -> None:
    """A comma in thousands is ambiguous to the grammar: pages write 1500."""
    assert not re.findall(r"\d,\d{3}\b", page.read_text(encoding="utf-8"))


def test_no_label_prints_one_either() -> None:
    labels = [word for f in FIELDS.values() for word in (f.label, f.how_to_measure)]
    labels += [r.label for c in CALCULATORS.values() for r in c.gives]
    assert not [word for word in labels if re.search(r"\d,\d{3}\b", word)]


NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("18.2 N·m, 8 % and 60 V.", f"18.2{NBSP}N·m, 8{NBSP}% and 60{NBSP}V."),
        ("36 mΩ ± 0.6 mΩ", f"36{NBSP}mΩ ±{NBSP}0.6{NBSP}mΩ"),
        ("at 60\nV or more", f"at 60{NBSP}V or more"),
        ("5 in the pack, 3 Ahead, 2 metres, 7 : 1", "5 in the pack, 3 Ahead, 2 metres, 7 : 1"),
        ("<code>series=16 V</code> 4 V", f"<code>series=16 V</code> 4{NBSP}V"),
        ('<text x="5" y="4">9 A</text>', f'<text x="5" y="4">9{NBSP}A</text>'),
    ],
)
def test_a_number_and_its_unit_stay_on_one_line(written: str, shown: str) -> None:
    """But in what is there to be copied."""
    assert units.unparted(written) == shown
    assert units.unparted(shown) == shown


def test_what_is_copied_from_a_page_can_be_entered() -> None:
    f = FIELDS["total_mass"]
    assert parse(f, f"95{NBSP}kg ±{NBSP}5{NBSP}kg, measured") == parse(f, "95 kg ± 5 kg, measured")
    rows = f"2000{NBSP}rpm, 1.5{NBSP}A, 9.7{NBSP}V"
    assert parse(FIELDS["emf_test"], rows).as_typed == "2000 rpm, 1.5 A, 9.7 V"


def test_long_times_are_told_in_hours_and_minutes() -> None:
    shown = [units.show(60.0 * minutes, "minute") for minutes in (45, 119, 119.7, 125.4, 743, 3000)]
    assert shown == ["45 min", "119 min", "2 h", "2 h 5 min", "12 h 23 min", "50 h"]
