"""What several answers say of winding, field and start."""

from __future__ import annotations

from calc import units
from calc.build import Values
from calc.fields import FIELDS
from calc.findings import Finding
from calc.machine import armature, winding

ONE_WINDING = "One row. Stator and field are two windings, and a grounded brush is the usual fault."
BOTH_WINDINGS = "Add a row for the other winding; don't connect a pack before."

NEARLY_ALL = 0.95
"""A start's best current from this share of all of it on counts as all of it."""


def longer_than_a_pole(span: int, slots: int, pole_pairs: int) -> list[Finding]:
    """The caution where a coil spans over a slot more than a pole has."""
    pole = slots / (2 * pole_pairs)
    if span <= pole + 1:
        return []
    return [
        Finding(
            "caution",
            f"A coil span of {span} is longer than a pole, which has {winding.counted(pole, 'slot')}.",
            "Follow one coil again, from where it goes in to where the same wire comes out.",
        )
    ]


def odd_slots(slots: int, pole_pairs: int) -> Finding:
    """The caution where slots to a pair of poles are what no vehicle generator has; poles may stand for pole pairs."""
    return Finding(
        "caution",
        f"{slots} slots on {winding.counted(pole_pairs, 'pole pair')} are {units.plain(slots / pole_pairs)} to a pair; "
        "vehicle generators have 6 or 12.",
        "Are these the poles rather than the pole pairs? Count the claws of one half of the rotor, and the slots once "
        "more."
        if slots < 4 * pole_pairs
        else "Count the claws of one half of the rotor and the slots once more, with chalk.",
    )


def unnamed_connection(v: Values) -> list[Finding]:
    """The caution where nobody said which connection the machine has: every number is taken for the usual one's."""
    if "connection" in v.build.entered:
        return []
    return [
        Finding(
            "caution",
            f"Which connection the machine has isn't entered: a {v['connection']} is taken, and all that was read "
            f"between two leads for a {v['connection']}'s.",
            f"Find it first. {FIELDS['connection'].how_to_measure}",
        )
    ]


def too_much_current(v: Values) -> list[Finding]:
    """Where less line current starts more: all of it pulls the sensors too far from their place."""
    best, full = float(v["start_current"]), float(v["stall_current"])
    if best >= NEARLY_ALL * full:
        return []
    left = float(v["full_torque_worst"])
    return [
        Finding(
            "caution",
            f"It starts best with {units.show(best, 'A', 2)}: {units.show(v['start_torque_worst'], 'N*m')} in the "
            f"worst position. At the full {units.show(full, 'A')} the current pulls the sensors "
            f"{units.show(v['armature_shift'], 'deg')} early, and "
            f"{units.show(left, 'N*m') if left > 0.0 else 'nothing'} is left.",
            f"Set the controller's phase current limit to {units.show(best, 'A', 2)}, or open the throttle slowly. "
            "More field lets more current help.",
        )
    ]


def one_field(v: Values) -> list[Finding]:
    """Where more field is the cure, and the EMF constant that counts is one number: it knows no other field current."""
    if not v.build.is_leaf("emf_constant") or v["start_share"] <= armature.ARMATURE_COUNTS:
        return []
    entered = v.build.entered
    usual = "emf_constant" not in entered
    which = (
        "The usual EMF constant"
        if usual
        else f"The EMF constant of {units.show(v['emf_constant'], 'V/krpm')}"
    )
    told = f"{which} stands for one field current"
    if "field_current" in entered:
        told += f": the {units.show(v['field_current'], 'A')} that are entered change nothing in it"
    return [
        Finding(
            "caution" if usual and "field_current" in entered else "ok",
            f"{told}.",
            f"Clear {FIELDS['emf_constant'].name}: the spin test tells it for each field current that was tested."
            if "emf_test" in entered
            else f"Before you count on more field, enter {FIELDS['emf_test'].quoted} at that field current too.",
        )
    ]
