"""Whether anything opens a short and stops an overcharge at all."""

from __future__ import annotations

from calc.quantities import Number

FAULTS = {
    ("main_fuse", "none"): "No main fuse: nothing opens a short, and cable and pack burn.",
    (
        "protection_kind",
        "pack",
    ): "The protection sees the whole pack only: one group can be overcharged or run flat unseen.",
    (
        "protection_kind",
        "none",
    ): "No protection: nothing stops an overcharge, or a group that runs flat.",
}
"""What is wrong with a choice of these fields."""


def guarded_told(main_fuse: str, protection_kind: str) -> str:
    """What is there, or what nothing guards, in plain words.

    Source: [method-power] #windows
    """
    chosen = (("main_fuse", main_fuse), ("protection_kind", protection_kind))
    faults = " ".join(FAULTS[one] for one in chosen if one in FAULTS)
    return faults or "A main fuse, and a protection that watches every group."


def guarded(main_fuse: str, protection_kind: str) -> Number:
    """1 where a main fuse opens a short and a protection watches every group, else 0.

    Source: [method-power] #windows
    """
    chosen = (("main_fuse", main_fuse), ("protection_kind", protection_kind))
    return float(not any(one in FAULTS for one in chosen))
