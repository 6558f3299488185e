"""Cables: published resistances and gauges, heat balance, what they carry; and the answer as a user gets it."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stderr, redirect_stdout

import numpy as np
import pytest

from calc import forms
from calc.calculators import find
from calc.cli import main
from calc.power import conductor

CELSIUS = 273.15


def command(*words):
    """The command line's JSON, or its exit code and what it says."""
    out, said = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(said):
        code = main(["run", *words, "--json"])
    return json.loads(out.getvalue()) if code == 0 else (code, said.getvalue())


@pytest.mark.parametrize(
    ("size", "area", "ohms"), [("10", 5.2612, 3.2770), ("4/0", 107.2193, 0.1608), ("2/0", 67.4309, 0.2557)]
)
def test_the_american_gauge(size, area, ohms):
    """ASTM B258 by its definition, and round copper of 1/58 Ω·mm²/m (reference values, section 4)."""
    section = conductor.area_of_gauge(size)
    assert section * 1e6 == pytest.approx(area, rel=1e-4)
    assert float(conductor.metre_resistance(section)) * 1e3 == pytest.approx(ohms, rel=3e-4)


@pytest.mark.parametrize(("area", "ohms"), [(1.5, 13.3), (6, 3.30), (16, 1.21), (35, 0.554), (70, 0.272)])
def test_metric_sizes_have_what_the_standard_allows(area, ohms):
    """IEC 60228, class 5, at second hand."""
    assert float(conductor.metre_resistance(area * 1e-6)) * 1e3 == pytest.approx(ohms, rel=1e-9)


def test_a_published_loop():
    """Reference values, section 4: 4 m of 16 mm² at 70 °C and 150 A take 0.869 V and 130 W in 5.791 mΩ."""
    told = command(
        "conductor", "loop_length=4 m", "cross_section=16 mm2", "conductor_temperature=70 C", "current=150 A"
    )["results"]
    assert told["resistance"]["value"] == pytest.approx(5.791, rel=1e-3)
    assert told["drop"]["value"] == pytest.approx(0.869, rel=1e-3)
    assert told["loss"]["value"] == pytest.approx(130.0, rel=3e-3)


def test_what_trailing_cables_may_carry():
    """30 CFR 75.601-3, single conductors for direct current: within 6 %, taken as bundled, 40 °C air, 90 °C rubber.

    The regulation doesn't say the air and the rubber: both are usual for such cables, from memory. So this is a check
    of size, not of the last per cent.
    """
    allowed = {"8": 60, "6": 85, "4": 110, "3": 130, "2": 150, "1": 170, "1/0": 200, "2/0": 235, "4/0": 315}
    for size, amps in allowed.items():
        section = conductor.area_of_gauge(size)
        carries = conductor.ampacity(section, "bundled", 40 + CELSIUS, 90 + CELSIUS)
        assert float(carries) == pytest.approx(amps, rel=0.06), size


def test_what_single_conductors_carry_in_free_air():
    """A wiring code's table for single copper conductors in free air, 90 °C, 30 °C air (from memory): within 4 %."""
    for size, amps in {"8": 80, "4": 140, "1/0": 260, "4/0": 405}.items():
        carries = conductor.ampacity(conductor.area_of_gauge(size), "free", 30 + CELSIUS, 90 + CELSIUS)
        assert float(carries) == pytest.approx(amps, rel=0.04), size


def test_at_what_it_carries_it_is_as_warm_as_it_may_be():
    sizes = conductor.sizes()
    for lies in conductor.SHED:
        carries = conductor.ampacity(sizes, lies, 303.15, 343.15)
        assert conductor.cable_rise(carries, sizes, lies, 303.15) == pytest.approx(
            np.full(sizes.shape, 40.0), abs=1e-6
        )


def test_a_short_warms_copper_as_a_wiring_standard_has_it():
    """k = 115 A·√s/mm² from 70 to 160 °C (IEC 60364-5-54, from memory), and Onderdonk's melting of 2,581 circular mils
    in 5 s at 168.9 A (reference values, section 4; another mean heat capacity, so 2 %)."""
    assert np.sqrt(conductor.withstood(1e-6, 343.15, 433.15)) == pytest.approx(115.0, rel=0.01)
    circular = 2581 * np.pi / 4 * (0.001 * 25.4e-3) ** 2
    melting = np.sqrt(conductor.withstood(circular, 298.15, 1083 + CELSIUS) / 5.0)
    assert melting == pytest.approx(168.9, rel=0.02)


def test_a_gauge_stands_for_a_section_and_both_are_named():
    told = command("conductor", "awg=4", "current=60 A")
    assert told["results"]["cross_section"]["value"] == pytest.approx(21.15, rel=1e-3)
    both = command("conductor", "awg=4", "cross_section=10 mm2")
    assert any("was entered as 10 mm²" in f["text"] for f in both["findings"])
    code, said = command("conductor", "awg=55")
    assert code == 2 and "wire gauge" in said and "4/0" in said


def test_too_thin_a_cable_stops_with_the_reason_first():
    told = command("conductor", "cross_section=1.5 mm2", "current=80 A")
    stop = next(f for f in told["findings"] if f["severity"] == "stop")
    assert stop["text"].startswith("Fire risk") and "mm²" in stop["do"]
    smallest = told["results"]["smallest_section"]["value"]
    rows = {row["section"]: row["fits"] for row in told["results"]["sections"]["value"]}
    assert rows[smallest] == "both" and all(rows[s] != "both" for s in rows if s < smallest)


def test_each_cable_has_its_own_current():
    pack, phase, field = (
        command("conductor", f"cable={name}")["inputs"]["current"]["value"]
        for name in ("pack", "phase", "field")
    )
    assert (
        phase == pytest.approx(100.0 * np.sqrt(2 / 3)) and field == pytest.approx(4.0) and 60.0 < pack < 63.0
    )


def test_the_fuse_asks_for_what_flows_through_it_and_never_for_the_motors_leads() -> None:
    """One field, three meanings: heat asks for the motor's lead, the fuse for what the pack gives."""
    asked = {c: forms.form(find(c), "f", "a") for c in ("fuse", "conductor", "winding-heat")}
    assert "Most current through this fuse" in asked["fuse"] and "one motor lead" not in asked["fuse"]
    assert "Current in this cable" in asked["conductor"] and "one motor lead" not in asked["conductor"]
    assert "one motor lead" in asked["winding-heat"]
    out = io.StringIO()
    with redirect_stdout(out):
        main(["run", "fuse", "current=60 A"])
    assert "Most current through this fuse: 60 A" in out.getvalue()


def test_insulation_that_stands_more_than_lugs_do_carries_no_more() -> None:
    """180 °C of silicone counts as 90 °C: its lugs and the fuse holder stand no more (common practice, no source)."""
    lugs, silicone, pvc = (conductor.ampacity(10e-6, "free", 303.15, 273.15 + c) for c in (90, 180, 70))
    assert silicone == lugs > pvc


def test_another_cable_than_the_packs_is_not_counted_with_its_section_in_silence() -> None:
    out = io.StringIO()
    with redirect_stdout(out):
        for words in (
            ("cable=phase",),
            ("cable=phase", "cross_section=25 mm²", "loop_length=1 m"),
            ("cable=pack",),
        ):
            main(["run", "conductor", *words])
            out.write("=====")
    silent, typed, pack, _ = out.getvalue().split("=====")
    assert "pack's cable only: copper section" in silent
    assert "pack's cable only" not in typed and "pack's cable only" not in pack
