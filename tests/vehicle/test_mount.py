"""Joint, shaft and bolts by hand, by balance of moments, and at the command line."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.build import Build
from calc.sheet import Sheet
from calc.vehicle import mount
from tests.test_cli import run
from tests.test_verdict import changed, check, without


def test_a_key_by_hand():
    """5 by 5 by 20 mm on 17 mm: shear 6,000 N, pressure 100·2.5·20 = 5,000 N, at 8.5 mm: 42.5 N·m."""
    assert mount.key_torque(0.017, 0.005, 0.005, 0.020) == pytest.approx(42.5)
    assert mount.key_torque(0.017, 0.003, 0.008, 0.020) == pytest.approx(60e6 * 0.003 * 0.020 * 0.0085)


def test_a_clamped_pulley_by_hand():
    """75 N·m on M16: 23.4 kN; friction 0.15 at (17 + 27)/4 = 11 mm: 38.7 N·m. Twice the torque holds twice."""
    assert mount.clamped_torque(75.0, 0.016, 0.017, 0.027) == pytest.approx(38.67, rel=1e-3)
    assert mount.clamped_torque(150.0, 0.016, 0.017, 0.027) == pytest.approx(2 * 38.67, rel=1e-3)


def test_a_shaft_in_torsion_alone():
    """τ = 16·T/(π·d³): at what is allowed it is 40 N/mm²; without overhang nothing bends."""
    allowed = mount.shaft_torque_allowed(0.017)
    assert 16 * allowed / (math.pi * 0.017**3) == pytest.approx(40e6)
    assert mount.shaft_torque_asked(15.0, 880.0, 0.0) == 15.0
    bent = mount.shaft_torque_asked(15.0, 880.0, 0.020)
    assert bent == pytest.approx(math.hypot(1.5 * 880 * 0.020, 15.0))


def test_bolts_balance_pull_and_torque():
    """Moments about one row: two bolts of the other hold F·e at s; in shear four hold F, and as a couple T at s/2."""
    pull = mount.bolt_pull(880.0, 0.060, 4, 0.090)
    assert 2 * pull * 0.090 == pytest.approx(880 * 0.060)
    shear = mount.bolt_shear(0.0, 15.0, 4, 0.090)
    assert 4 * shear * 0.045 == pytest.approx(15.0)
    assert mount.bolt_shear(880.0, 0.0, 4, 0.090) == pytest.approx(220.0)
    both = mount.bolt_load(pull, 220 + shear)
    assert both == pytest.approx(math.sqrt(pull**2 + 3 * (220 + shear) ** 2))


def test_proof_load_of_m8():
    """ISO 898-1, from memory: 36.6 mm² at 580 N/mm² is 21.2 kN; half counts."""
    assert mount.bolt_allowed("M8", "8.8") == pytest.approx(21228 / 2, rel=1e-3)
    assert (
        mount.bolt_allowed("M8", "10.9") > mount.bolt_allowed("M8", "8.8") > mount.bolt_allowed("M8", "4.8")
    )


def test_checks_turn(cart: Sheet):
    assert check(changed(cart, nut_torque="40 N·m, measured"), "joint").severity == "stop"
    keyed = without(cart, "nut_torque", "nut_thread", "shoulder_diameter")
    assert check(keyed, "joint").missing
    keyed = changed(keyed, key_width="5 mm", key_height="5 mm", key_length="20 mm, measured")
    assert check(keyed, "joint").have == pytest.approx(42.5)
    assert check(changed(cart, sprocket_overhang="60 mm, measured"), "shaft").severity == "stop"
    assert (
        check(changed(cart, bolt_class="4.8", bolt_size="M6", bolt_spacing="10 mm"), "mount").severity
        == "stop"
    )


def test_parts_meet_the_coldest_morning_and_a_full_pack(cart: Sheet):
    """Where the battery limit holds the stalled current, I²·R = U·I_bus: R at 6 °C, not at 70 °C, and U of 16 cells at
    3.65 V, not at the reserve. By hand from the sheet's 35.97 mΩ at 20 °C: 36.0·0.945 = 34.0 mΩ, 57.0 V · 57 A."""
    weak = changed(cart, phase_current_limit="500 A, rated")
    v = Build.of([("sheet", weak.entries)]).nominal()
    ohms = float(v["line_resistance"]) * (1 - 0.00393 * 14)
    amps = math.sqrt((16 * 3.65 - 60 * 0.0228) * 57 / ohms)
    assert 250 < v["stall_current"] < 256 < 300 < amps
    torque = math.sqrt(2) * float(v["emf_constant"] * v["cold_rise"]) * amps
    assert check(weak, "joint").need == pytest.approx(2 * torque, rel=1e-6)
    assert v["hardest_torque"] == pytest.approx(3 / math.pi * torque, rel=1e-6)
    held = changed(weak, field_supply_holds="current")
    assert check(held, "joint").need == pytest.approx(2 * torque / float(v["cold_rise"]), rel=1e-6)
    warm = changed(held, coldest_day="20 °C, measured")
    assert check(warm, "joint").need == pytest.approx(
        2 * torque / float(v["cold_rise"]) * math.sqrt(1 - 0.00393 * 14), rel=1e-6
    )
    stiff = Build.of([("sheet", changed(held, supply_voltage="48 V, rated").entries)]).nominal()
    assert stiff["strongest_current"] == pytest.approx(math.sqrt(48 * 60 / ohms), rel=1e-6)


def test_no_draw_pulls_harder_than_what_the_parts_are_asked_for(cart: Sheet):
    """Warm and at the reserve it makes no more than cold and full, whichever limit holds it."""
    for limit in ("100 A ± 5 A, rated", "500 A ± 20 A, rated"):
        drawn = Build.of([("sheet", changed(cart, phase_current_limit=limit).entries)]).drawn()
        assert (drawn["strongest_current"] >= drawn["stall_current"]).all()
        assert (drawn["hardest_torque"] >= drawn["full_torque"]).all()
        assert (drawn["hardest_torque"] >= drawn["start_torque"]).all()


def test_the_motors_shaft_carries_the_first_chain_alone(cart: Sheet):
    two = changed(cart, jackshaft_driven_teeth="36", jackshaft_driver_teeth="12", driven_teeth="30")
    assert check(two, "shaft").have == pytest.approx(check(cart, "shaft").have)


def test_without_a_joint_it_is_asked_for():
    words = ("shaft_diameter=17 mm", "sprocket_overhang=20 mm", "chain_size=06B", "driver_teeth=11")
    code, out, _ = run("run", "mount", *words, "mount_bolts=4", "bolt_size=M8", "bolt_class=8.8", "--json")
    told = json.loads(out)
    assert code == 0 and told["results"]["joint"]["value"] is None
    assert any("isn't entered" in f["text"] and "grub" in f["do"].lower() for f in told["findings"])


@pytest.mark.parametrize("bad", ["bolt_size=M9", "bolt_class=9.9", "shaft_diameter=0 mm", "mount_bolts=1"])
def test_what_there_is_not_is_refused_by_name(bad):
    code, out, err = run("run", "mount", bad)
    assert code == 2 and out == "" and "Allowed" in err and "Traceback" not in err


def test_of_three_bolts_one_may_stand_alone():
    """One bolt in its row holds the whole tilt: F·e/s. Of four two hold it; five are no better than four."""
    assert mount.bolt_pull(900.0, 0.060, 3, 0.090) == pytest.approx(600.0)
    assert mount.bolt_pull(900.0, 0.060, 4, 0.090) == pytest.approx(300.0)
    assert mount.bolt_pull(900.0, 0.060, 5, 0.090) == mount.bolt_pull(900.0, 0.060, 4, 0.090)


@given(st.integers(2, 12), st.floats(10, 5000), st.floats(0, 300), st.floats(0.02, 0.5))
def test_no_bolt_has_more_shear_than_is_told(number, pull, turn, spacing):
    """Vectors: bolts in two rows at ± s/2, the pull shared evenly, the twist as a couple of the rows."""
    rows = [1.0] * (number // 2) + [-1.0] * (number // 2)
    couple = turn / (number // 2 * spacing)
    assert sum(couple * row * row * spacing / 2 for row in rows) == pytest.approx(turn)
    worst = max(abs(pull / number + couple * row) for row in rows)
    assert mount.bolt_shear(pull, turn, number, spacing) == pytest.approx(worst)


def test_the_bearings_carry_the_pull_between_them():
    """1 kN at 25 mm before bearings 100 mm apart: 1,250 N here and 250 N back there; forces and moments balance."""
    near = mount.bearing_load(1000.0, 0.025, 0.100)
    far = near - 1000.0
    assert near == pytest.approx(1250.0) and far * 0.100 == pytest.approx(1000.0 * 0.025)


def test_wrench_and_friction_of_m8():
    """0.2 · 0.75 · 21.2 kN · 8 mm is 25.5 N·m; 0.15 · (15.9 kN − 1 kN) is 2.24 kN; pulled off, nothing is left."""
    assert mount.tightening("M8", "8.8") == pytest.approx(25.5, rel=2e-3)
    assert mount.bolt_grip("M8", "8.8", 1000.0) == pytest.approx(2238, rel=2e-3)
    assert mount.bolt_grip("M8", "8.8", 20000.0) == 0.0


def told(*words: str) -> dict:
    return json.loads(run("run", "mount", *words, "--json")[1])


def test_a_mount_beside_the_shaft_twists_more(cart: Sheet):
    """By hand: the pull times its way past the bolts' middle comes on top."""
    far = changed(cart, mount_offset="150 mm, measured")
    near = changed(cart, mount_offset="0 mm, measured")
    assert check(far, "mount").have > 1.5 * check(near, "mount").have
    pull = json.loads(run("run", "chain", "--json")[1])["results"]["tension"]["value"]
    by_hand = pull / 4 + (pull * 0.150 + pull * 0.033806 / 2) / (2 * 0.090)
    assert told("mount_offset=150 mm")["results"]["bolt_shear"]["value"] == pytest.approx(by_hand, rel=1e-3)


def test_soft_thin_bolts_creep_before_they_break():
    soft = told("bolt_size=M6", "bolt_class=4.8", "mount_bolts=2", "mount_offset=60 mm")["findings"]
    assert any("creeps" in f["text"] for f in soft)
    assert not any("creeps" in f["text"] for f in told()["findings"])


def test_a_bearing_beyond_its_rating_is_a_stop():
    pull = told()["results"]["bearing_load"]["value"]

    def severity(*words: str) -> dict[str, str]:
        found = told(*words)["findings"]
        return {f["severity"]: f["text"] + f["do"] for f in found if "bearing" in f["text"][:30]}

    span = "bearing_span=95 mm"
    assert "seizes" in severity(span, f"bearing_limit={0.9 * pull:.0f} N")["stop"]
    assert "may carry" in severity(span, f"bearing_limit={1.1 * pull:.0f} N")["ok"]
    assert "“Load that the drive-end bearing may carry”" in severity(span)["caution"]
    assert "“From bearing to bearing of the machine”" in severity("bearing_limit=6 kN")["caution"]
