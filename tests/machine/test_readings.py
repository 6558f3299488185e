"""Readings in a build: they stand for the value, bring its spread, and stop what rests on them when they can't be."""

from __future__ import annotations

import numpy as np
import pytest

from calc import calculators, sheet
from calc.answer import evaluate
from calc.build import Build
from calc.entries import Entry, parse
from calc.fields import FIELDS
from calc.levers import mend
from calc.sheet import Sheet
from calc.verdict import judge


def test_the_build_uses_the_curve_and_its_spread() -> None:
    build = Build.of([("sheet", sheet.demo().entries)])
    assert "emf_constant" not in build.entered
    drawn = np.asarray(build.drawn()["emf_constant"])
    middle, spread = float(build.nominal()["emf_constant"]), build.nominal().spread("emf_constant")
    assert drawn.mean() == pytest.approx(middle, rel=0.005)
    amps = build.input("field_current")
    ends = [float(build.nominal(field_current=amps.value + k * amps.spread)["emf_constant"]) for k in (-1, 1)]
    by_field, by_readings = (ends[1] - ends[0]) / 2.0 / middle, float(build.nominal()["emf_spread"])
    assert spread / middle == pytest.approx(np.hypot(by_readings, by_field), rel=0.02)
    assert 0.3 * spread < drawn.std() < spread


def test_the_spread_of_an_inductance_has_that_of_its_leakage_in_it(cart: Sheet) -> None:
    """The readings' ±, and the leakage's by its slope: 35 % ± 10 % of leakage on the demo."""
    build = Build.of([("sheet", cart.entries)])
    sure = build.with_entry("leakage_share", float(build.input("leakage_share").value))
    sure = Build({**sure.entered, "leakage_share": sure.entered["leakage_share"]._replace(spread=0.0)})
    share, off = build.input("leakage_share").value, build.input("leakage_share").spread
    ends = [float(build.nominal(leakage_share=share + k * off)["line_inductance"]) for k in (-1, 1)]
    told = build.nominal().spread("line_inductance")
    without = sure.nominal().spread("line_inductance")
    assert (
        told == pytest.approx(np.hypot(without, (ends[1] - ends[0]) / 2.0), rel=0.02) and told > 1.3 * without
    )


WAYS = ("line_inductance", "line_resistance", "friction_torque", "insulation_resistance")


@pytest.mark.parametrize("node", WAYS)
def test_the_build_draws_what_readings_leave_open(node: str) -> None:
    build = Build.of([("sheet", dict(sheet.demo().entries))])
    assert node not in build.entered
    drawn, middle = np.asarray(build.drawn()[node]), float(build.nominal()[node])
    assert drawn.mean() == pytest.approx(middle, rel=0.02)
    assert drawn.std() > 0.004 * middle


def test_a_stated_value_beside_readings_counts_and_both_are_said() -> None:
    entries = dict(sheet.demo().entries) | {
        "line_resistance": parse(FIELDS["line_resistance"], "40 mΩ, measured")
    }
    told = evaluate(calculators.find("ride"), [("sheet", entries)])
    clash = next(f for f in told.findings if f.text.startswith("Resistance between two leads"))
    assert "40 mΩ" in clash.text and "36 mΩ" in clash.text and clash.severity == "caution"


# Readings that can't be, in the cart's build: what the first words of the stop are
WRONG = {
    "rows mixed up": ({"emf_test": "1500 rpm, 1 A, 6.9 V; 1500 rpm, 4 A, 4 V"}, "Spin test, rows 1 and 2"),
    "field beyond the test": ({"field_current": "6 A"}, "The spin test was made from 1 A to 5 A"),
    "short circuit at a crawl": (
        {"short_circuit_test": "60 rpm, 0.5 V, 80 A"},
        "Row 1 of the short-circuit spin",
    ),
    "coasts faster": ({"coast_down_test": "500 rpm, 1000 rpm, 1 s"}, "Row 1 of the run-down"),
}


def with_entries(**texts: str) -> Sheet:
    cart = sheet.demo()
    changed: dict[str, Entry] = {key: parse(FIELDS[key], text) for key, text in texts.items()}
    return cart._replace(entries={**cart.entries, **changed})


@pytest.mark.parametrize("case", WRONG)
def test_readings_that_cannot_be_stop_what_rests_on_them(case: str) -> None:
    texts, said = WRONG[case]
    verdict = mend(judge(with_entries(**texts)))
    stopped = [j for j in verdict.checks if j.severity == "stop"]
    assert stopped and all(j.text.startswith(said) and j.do for j in stopped)
    assert {"pack-high", "charger", "sensors"} <= {j.check.id for j in verdict.checks if j.severity == "ok"}


@pytest.mark.parametrize("case", WRONG)
@pytest.mark.parametrize("calculator", list(calculators.CALCULATORS))
def test_every_calculator_stands_such_readings(case: str, calculator: str) -> None:
    texts, said = WRONG[case]
    told = evaluate(calculators.find(calculator), [("sheet", with_entries(**texts).entries)])
    assert told.report.headline
    if told.report.headline == "No answer":
        assert told.findings[0].severity == "stop" and told.findings[0].text.startswith(said)
