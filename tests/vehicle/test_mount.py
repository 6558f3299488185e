"""Joint, shaft and bolts by hand, by balance of moments, and at the command line."""

from __future__ import annotations

import json
import math

import pytest

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
    both = mount.bolt_load(880.0, 15.0, 0.060, 4, 0.090)
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
