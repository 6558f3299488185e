"""What holds the sprocket on the shaft and the machine on its bracket, against the most that the chain can pull."""

from __future__ import annotations

import numpy as np

from calc import standards
from calc.quantities import Metre, Newton, Nm, Number

KEY_SHEAR, KEY_PRESSURE = 60.0e6, 100.0e6
"""Shear in a steel key and pressure on its sides that shocks may bring, Pa (common practice, no source)."""
NUT_FACTOR = 0.2
"""Torque on a nut over its pull times the thread's diameter, dry steel (common practice, no source)."""
FRICTION = 0.15
"""Dry steel on steel (common practice, no source)."""
JOINT_SAFE = 2.0
"""How many times the machine's highest torque the joint holds: starts jerk (common practice, no source)."""
SHAFT_SHEAR = 40.0e6
"""Shear that a shaft with a keyway or a shoulder may carry, Pa. Source: [shaft-code] 55 MPa, a quarter less"""
SHOCK_BENDING = 1.5
"""How much more a steady bending counts in a turning shaft. Source: [shaft-code] Kb of a rotating shaft"""
BOLT_SAFE = 2.0
"""Of a bolt's proof load one part in so many counts (common practice, no source)."""
PRELOAD = 0.75
"""Share of its proof load to which a bolt is tightened that is taken out again (common practice, no source)."""


def key_torque(shaft_diameter: Metre, key_width: Metre, key_height: Metre, key_length: Metre) -> Nm:
    """Torque that a parallel key holds, N·m: the lesser of its shear and the pressure on half of its height.

    Source: [method-vehicle] #joint
    """
    shear = KEY_SHEAR * key_width * key_length
    pressure = KEY_PRESSURE * key_height / 2.0 * key_length
    return np.minimum(shear, pressure) * shaft_diameter / 2.0


def clamped_torque(nut_torque: Nm, nut_thread: Metre, shaft_diameter: Metre, shoulder_diameter: Metre) -> Nm:
    """Torque that a sprocket clamped by a nut against a shoulder holds by friction, N·m; one face counts.

    The nut pulls its torque over NUT_FACTOR times the thread; the face rubs at the mean of bore and shoulder.

    Source: [method-vehicle] #joint
    """
    pull = nut_torque / (NUT_FACTOR * nut_thread)
    return FRICTION * pull * (shaft_diameter + shoulder_diameter) / 4.0


def joint_needed(most_torque: Nm) -> Nm:
    """Torque that the sprocket's joint has to hold, N·m.

    Source: [method-vehicle] #joint
    """
    return JOINT_SAFE * most_torque


def shaft_torque_allowed(shaft_diameter: Metre) -> Nm:
    """Torque whose shear a shaft stands, N·m: π·d³/16 times the shear allowed.

    Source: [shaft-code] torsion
    """
    return SHAFT_SHEAR * np.pi * shaft_diameter**3 / 16.0


def shaft_torque_asked(most_torque: Nm, chain_pull: Newton, sprocket_overhang: Metre) -> Nm:
    """Torque that bends and twists as much as chain and machine do, N·m: √((1.5·F·l)² + T²).

    Source: [shaft-code] combined bending and torsion
    """
    return np.hypot(SHOCK_BENDING * chain_pull * sprocket_overhang, most_torque)


def _bolt(bolt_size: str, bolt_class: str) -> tuple[float, float]:
    """Proof load of one bolt, N, and its thread's diameter, m."""
    area = next(float(row["area_mm2"]) for row in standards.rows("bolts") if row["size"] == bolt_size)
    classes = standards.rows("bolt_classes")
    proof = next(float(row["proof_N_per_mm2"]) for row in classes if row["class"] == bolt_class)
    return area * proof, float(bolt_size[1:]) / 1000.0


def bolt_allowed(bolt_size: str, bolt_class: str) -> Newton:
    """Load that one bolt may carry, N: half of its proof load.

    Source: [bolts] stress area, proof stress
    """
    return _bolt(bolt_size, bolt_class)[0] / BOLT_SAFE


def tightening(bolt_size: str, bolt_class: str) -> Nm:
    """Torque for the wrench, N·m: pulls the bolt to PRELOAD of its proof load.

    Source: [method-vehicle] #mount
    """
    proof, size = _bolt(bolt_size, bolt_class)
    return NUT_FACTOR * PRELOAD * proof * size


def bolt_grip(bolt_size: str, bolt_class: str, bolt_pull: Newton) -> Newton:
    """Shear that friction holds at the bolt that has most, N: what its preload keeps against the pull.

    Source: [method-vehicle] #mount
    """
    return FRICTION * np.maximum(PRELOAD * _bolt(bolt_size, bolt_class)[0] - bolt_pull, 0.0)


def twist(most_torque: Nm, chain_pull: Newton, mount_offset: Metre) -> Nm:
    """Moment that turns the machine in the plane of its bolts, N·m: its own torque, and the pull past their middle.

    Source: [method-vehicle] #mount
    """
    return most_torque + chain_pull * mount_offset


def bolt_shear(chain_pull: Newton, mount_twist: Nm, mount_bolts: Number, bolt_spacing: Metre) -> Newton:
    """Shear in the bolt that has most, N: its part of the chain's pull, and of the moment that twists the machine.

    Validity: the plate doesn't slip onto the bolts' shanks one by one; friction under the heads left out.

    Source: [method-vehicle] #mount
    """
    return chain_pull / mount_bolts + mount_twist / (np.floor(mount_bolts / 2.0) * bolt_spacing)


def bolt_pull(chain_pull: Newton, mount_overhang: Metre, mount_bolts: Number, bolt_spacing: Metre) -> Newton:
    """Pull in the bolt that has most, N: the chain tilts the machine about one row of bolts, the other row holds. Of an
    odd number the row with fewer.

    Source: [method-vehicle] #mount
    """
    return chain_pull * mount_overhang / (bolt_spacing * np.floor(mount_bolts / 2.0))


def bolt_load(bolt_pull: Newton, bolt_shear: Newton) -> Newton:
    """Pull that strains a bolt as much as its pull and shear together, N: √(P² + 3·V²).

    Source: [method-vehicle] #mount
    """
    return np.sqrt(bolt_pull**2 + 3.0 * bolt_shear**2)


def bearing_load(chain_pull: Newton, sprocket_overhang: Metre, bearing_span: Metre) -> Newton:
    """Load on the bearing at the sprocket's end, N: F·(l + b)/b, by moments about the other one, b away.

    Source: [method-vehicle] #bearing
    """
    return chain_pull * (sprocket_overhang + bearing_span) / bearing_span
