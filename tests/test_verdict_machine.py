"""What the machine chapter brings into the verdict: readings with their spread, sensors, field, armature."""

from __future__ import annotations

import numpy as np
import pytest

from calc.build import Build
from calc.checks import Judged
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.sheet import Sheet
from calc.verdict import judge


def changed(s: Sheet, **texts: str) -> Sheet:
    return Sheet({**s.entries, **parse_all(texts, FIELDS)}, s.document)


def without(s: Sheet, *keys: str) -> Sheet:
    return Sheet({k: e for k, e in s.entries.items() if k not in keys}, s.document)


def check(s: Sheet, check_id: str) -> Judged:
    return next(j for j in judge(s).checks if j.check.id == check_id)


def test_spread_of_readings_reaches_the_chances(cart: Sheet) -> None:
    """A spin test that scatters leaves the start less certain than one that doesn't, at about the same curve."""
    rows = "1500 rpm, 1 A, {}; 1500 rpm, 2 A, {}; 1500 rpm, 3 A, {}; 1500 rpm, 4 A, {}; 1500 rpm, 5 A, {}"
    neat = changed(
        cart, emf_test=rows.format(6.9, 11.9, 15.0, 16.6, 17.3), phase_current_limit="62 A, measured"
    )
    rough = changed(
        cart, emf_test=rows.format(6.4, 12.6, 14.2, 17.2, 17.3), phase_current_limit="62 A, measured"
    )
    doubt = [float(np.std(Build.of([("sheet", s.entries)]).drawn()["emf_constant"])) for s in (neat, rough)]
    assert 0 < doubt[0] < doubt[1]
    assert check(rough, "start").doubt > check(neat, "start").doubt


def test_a_field_that_never_passes_the_sensors_threshold_stops_the_build(cart: Sheet) -> None:
    judged = check(changed(cart, sensor_field="4 mT, measured", sensor_threshold="6 mT, rated"), "sensors")
    assert judged.severity == "stop" and "never passes" in judged.text


def test_armature_shift_enters_the_start(cart: Sheet) -> None:
    """Torque in the worst position is √2·(E/ω)·I·cos(30° + |ε|), ε = hysteresis − shift: by hand from the nodes."""
    v = Build.of([("sheet", cart.entries)]).nominal()
    late = np.arcsin(5 / 150) - np.arcsin(v["sensed_share"] * v["armature_ratio"])
    by_hand = np.sqrt(2) * v["emf_constant"] * v["stall_current"] * np.cos(np.pi / 6 + abs(late))
    assert v["start_torque_worst"] == pytest.approx(by_hand, rel=1e-9)
    assert check(cart, "start").have == pytest.approx(by_hand, rel=1e-9)


def test_a_field_current_that_was_never_tested_is_no_start(cart: Sheet) -> None:
    """No silent extrapolation: beyond the spin test the start stops, and says which reading is missing."""
    judged = check(changed(cart, field_current="8 A, measured"), "start")
    assert judged.severity == "stop" and "5 A" in judged.text and "8 A" in judged.text


def test_volts_on_the_brushes_stand_for_the_field_current(cart: Sheet) -> None:
    own = changed(without(cart, "field_current"), field_voltage="13.5 V, measured")
    v = Build.of([("sheet", own.entries)]).nominal()
    assert v["field_current"] == pytest.approx((13.5 - 0.6) / (2.6 * (1 + 0.00393 * 60)), rel=1e-6)


def test_a_grounded_winding_is_told_before_any_pack_is_entered(cart: Sheet) -> None:
    """12 V of supply and 12 V on the meter: a winding on the case, whatever pack comes later."""
    bare = without(cart, "chemistry", "series", "insulation_test")
    grounded = changed(bare, insulation_test="12 V, 12 V, 12 V")
    assert any(f.severity == "stop" and "to the case" in f.text for f in judge(grounded).findings)
    assert not any("to the case" in f.text for f in judge(bare).findings)
    unproved = changed(bare, insulation_test="12 V, 0 V, 0 V")
    assert any(f.severity == "stop" and "isn't proved" in f.text for f in judge(unproved).findings)


def test_a_verdict_with_a_finding_that_stops_is_never_better_than_stop(cart: Sheet) -> None:
    grounded = changed(
        without(cart, "chemistry", "series", "insulation_test"), insulation_test="12 V, 12 V, 12 V"
    )
    assert judge(grounded).severity == "stop"


def test_a_limit_that_pulls_the_sensors_too_far_is_told_with_the_current_that_starts(cart: Sheet) -> None:
    """More current than starts most is a setting to change, not a machine that can't start."""
    weak = changed(
        cart, field_current="1.5 A, measured", phase_current_limit="220 A, rated", slope="2 %, measured"
    )
    weak = without(weak, "stall_test")
    v = Build.of([("sheet", weak.entries)]).nominal()
    assert v["start_current"] < 0.8 * v["stall_current"]
    assert v["start_torque_worst"] > 1.2 * v["full_torque_worst"]
    assert check(weak, "start").have == pytest.approx(float(v["start_torque_worst"]))
    told = [f for f in judge(weak).findings if "starts best with" in f.text]
    assert told and told[0].severity == "caution" and "phase current limit" in told[0].do
    assert not [f for f in judge(cart).findings if "starts best with" in f.text]


BOTH_WAYS = {
    "field beyond the spin": {
        "emf_constant": "9 V/krpm",
        "emf_test": "1000 rpm, 1 A, 4 V; 1000 rpm, 2 A, 8 V",
    },
    "a short circuit that tells nothing": {
        "line_inductance": "100 µH",
        "short_circuit_test": "60 rpm, 0.5 V, 80 A",
    },
    "slots that give no codes": {
        "alignment_error": "0°",
        "sensor_slots": "0, 3, 6",
        "slots": "48",
        "pole_pairs": "8",
    },
}


@pytest.mark.parametrize("case", BOTH_WAYS)
def test_parts_that_tell_nothing_beside_a_direct_value_are_said(cart: Sheet, case: str) -> None:
    """The direct value counts; why the parts give none is told, and no page fails."""
    texts = BOTH_WAYS[case]
    direct = next(iter(texts))
    verdict = judge(changed(cart, **texts))
    assert any(
        f.text.startswith(FIELDS[direct].label) and "tells nothing of it" in f.text for f in verdict.findings
    )


def test_nobody_is_sent_to_measure_sensors_that_arent_chosen_yet(cart: Sheet) -> None:
    """Kind of sensor and share of the inductance wait for sensors in slots; with these they are named."""
    guessed = without(cart, "stall_test", "sensor_kind")
    names = {n.field for n in judge(without(guessed, "sensor_slots")).measure_next}
    assert not names & {"sensed_share", "sensor_kind"}
    weak = changed(guessed, emf_constant="7 V/krpm, guess")
    assert "sensed_share" in {n.field for n in judge(weak).measure_next}


def test_spin_rows_without_a_field_current_wait_for_it_and_stop_nothing(cart: Sheet) -> None:
    """Rows at 1 and 2 A say nothing of a usual 3 A: the question is asked; 2 A entered, it is answered."""
    rows = changed(
        without(cart, "field_current", "field_voltage"), emf_test="1000 rpm, 1 A, 4 V; 1000 rpm, 2 A, 7 V"
    )
    waits = check(rows, "start")
    assert waits.missing == ("field_current",) and waits.severity == "caution"
    assert judge(rows).measure_next and not any("spin test" in j.text for j in judge(rows).checks)
    assert not check(changed(rows, field_current="2 A, measured"), "start").missing


def test_a_spin_test_without_its_field_current_says_that_it_is_what_all_waits_for(cart: Sheet) -> None:
    spun = without(cart, "field_current", "field_voltage")
    told = judge(spun)
    assert any("spin rows wait for one number" in f.text for f in told.findings)
    assert told.measure_next[0].field == "field_current"
    assert not any("spin rows" in f.text for f in judge(cart).findings)
