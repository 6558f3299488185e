"""What the stator's winding is: which slot belongs to which phase, and how well it makes voltage."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from calc.build import Values
from calc.figures.winding import winding_strip
from calc.findings import Finding
from calc.graph import step
from calc.machine import winding
from calc.spec import Calculator, Column, Report, Result
from calc.told.machine import longer_than_a_pole, odd_slots
from calc.units import plain, show

HARMONICS = (1, 3, 5, 7, 9, 11)


def _counts(v: Values) -> tuple[int, int, int, int]:
    """Slots, pole pairs, coil span, layers."""
    slots, pole_pairs, span, layers = (
        round(float(v[key])) for key in ("slots", "pole_pairs", "coil_span", "layers")
    )
    return slots, pole_pairs, span, layers


def _fault(v: Values) -> str:
    return winding.fault(*_counts(v))


def _harmonics(v: Values) -> list[dict[str, Any]] | None:
    return None if _fault(v) else _factors(*_counts(v))


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def _factors(slots: int, pole_pairs: int, span: int, layers: int) -> list[dict[str, Any]]:
    return [
        {
            "order": order,
            "distribution": winding.distribution_factor(slots, pole_pairs, span, layers, order),
            "pitch": winding.pitch_factor(slots, pole_pairs, span, order),
            "winding": winding.winding_factor(slots, pole_pairs, span, layers, order),
        }
        for order in HARMONICS
    ]


def _fundamental(v: Values, kind: str) -> float | None:
    rows = _harmonics(v)
    return None if rows is None else float(rows[0][kind])


def _sides(v: Values) -> list[dict[str, Any]] | None:
    return None if _fault(v) else winding.coil_sides(*_counts(v))


def _axes(v: Values) -> list[dict[str, Any]] | None:
    """Where each phase's EMF peaks, and where the EMF between leads peaks, in both connections."""
    if _fault(v):
        return None
    rows = []
    for phase in range(3):
        axis = winding.phase_axis(*_counts(v), phase)
        rows.append(
            {
                "phase": "ABC"[phase],
                "leads": f"{'ABC'[phase]} to {'CAB'[phase]}",
                "axis": _turn(axis),
                "star": _turn(axis + np.pi / 6),
                "delta": _turn(axis),
            }
        )
    return rows


def _turn(angle: float) -> float:
    """An angle within one turn, a full one as none."""
    return round(angle % (2 * np.pi), 9) % round(2 * np.pi, 9)


def _findings(v: Values) -> list[Finding]:
    slots, pole_pairs, span, layers = _counts(v)
    found = []
    if slots < 6 * pole_pairs and span > 1:
        found.append(odd_slots(slots, pole_pairs))
    wrong = _fault(v)
    if wrong:
        return [
            Finding("stop", wrong, "Chalk the first slot or claw, count once round, and once back."),
            *found,
        ]
    found += longer_than_a_pole(span, slots, pole_pairs)
    if slots == 12 * pole_pairs:
        found.append(
            Finding(
                "caution",
                "12 slots to a pole pair may be two three-phase sets, 30° apart, rather than one winding with two "
                "slots for each pole and phase. What is told here is one winding.",
                "Six leads: an ohmmeter between the two groups before anything is joined. Nothing between them: "
                + (
                    f"enter one set by itself, {slots // 2} slots and a span of {plain(span / 2)}."
                    if span % 2 == 0
                    else "drive one set, or each by its own controller."
                ),
            )
        )
    third, pitch = winding.winding_factor(slots, pole_pairs, span, layers, 3), v["connection"]
    if pitch == "delta" and third > 0.3:
        found.append(
            Finding(
                "note",
                f"Its third harmonic keeps {show(third, 'percent')}: in a delta that drives a current round the ring.",
                "The page on star and delta says how to measure it.",
            )
        )
    if "coil_span" not in v.build.entered:
        found.append(
            Finding(
                "note",
                f"Coils taken as full pitch, {winding.counted(span, 'slot')} from side to side, as is usual.",
                "Follow one coil; if its span differs, enter it.",
            )
        )
    return found


def _winding(v: Values) -> Report:
    slots, pole_pairs, span, layers = _counts(v)
    factor = _fundamental(v, "winding")
    if factor is None:
        headline, aside = "no such winding", "with these counts"
    else:
        headline, aside = f"{factor:.4f}", "winding factor: this share of the coils' volts adds up"
    per = float(v["slots_per_pole_per_phase"])
    sides = "one coil side" if layers == 1 else "two coil sides"
    return Report(
        headline,
        aside,
        f"{slots} slots and {2 * pole_pairs} poles make {winding.counted(per, 'slot')} for each pole and phase; "
        f"a slot is {show(v['slot_angle'], 'deg')} electrical. Coils span {winding.counted(span, 'slot')}, {sides} in "
        "each slot. Slots are numbered from 0 in the direction of forward rotation.",
        tuple(_findings(v)),
        () if factor is None else (lambda uid: winding_strip(uid, winding.coil_sides(*_counts(v)), slots),),
    )


WINDING = Calculator(
    id="winding",
    title="Winding",
    chapter="convert",
    question="What winding is this, and where do its phases point?",
    asks=("slots", "pole_pairs", "coil_span", "layers", "connection"),
    gives=(
        Result("slots_per_pole_per_phase", "Slots for each pole and phase"),
        Result("slot_angle", "Electrical angle from slot to slot", "deg"),
        Result("balanced", "Three equal phases", made=lambda v: not _fault(v)),
        Result("winding_factor", "Winding factor", made=lambda v: _fundamental(v, "winding")),
        Result("distribution_factor", "Distribution factor", made=lambda v: _fundamental(v, "distribution")),
        Result("pitch_factor", "Pitch factor", made=lambda v: _fundamental(v, "pitch")),
        Result(
            "harmonics",
            "Factors of the fundamental and of harmonics",
            columns=(
                Column("order", "Order"),
                Column("distribution", "Distribution"),
                Column("pitch", "Pitch"),
                Column("winding", "Winding"),
            ),
            made=_harmonics,
        ),
        Result(
            "phase_axes",
            "Where the EMF peaks, from slot 0",
            columns=(
                Column("phase", "Phase"),
                Column("axis", "Of the phase", "deg"),
                Column("leads", "Leads of a star"),
                Column("star", "Between them, star", "deg"),
                Column("delta", "Over the same coil, delta", "deg"),
            ),
            made=_axes,
        ),
        Result(
            "coil_sides",
            "Coil sides",
            columns=(
                Column("slot", "Slot"),
                Column("layer", "Layer"),
                Column("phase", "Phase"),
                Column("sense", "Sense"),
            ),
            made=_sides,
        ),
    ),
    report=_winding,
    rules={
        "slots_per_pole_per_phase": step(winding.slots_per_pole_per_phase),
        "slot_angle": step(winding.slot_angle),
    },
    reads=("slots", "pole_pairs", "coil_span", "layers", "connection"),
    optional=("coil_span", "layers"),
)
