"""Which field current is worth its watts: along the spin test's curve, for the torque of the build's start."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc import still
from calc.build import Values
from calc.drive.standing import IN_HAND, torque_constant
from calc.errors import NoSolution
from calc.findings import Finding
from calc.machine import copper, emf, excitation
from calc.machine.curve import Saturation
from calc.machine.inductance import inductance_at
from calc.quantities import Array
from calc.started import SENSING, late, start
from calc.units import show

_PARTS = (
    "field_resistance",
    "field_temperature",
    "brush_drop",
    "field_supply_efficiency",
    "hot_line_resistance",
)
_START = ("breakaway_needed", "phase_current_limit", "line_inductance", "leakage_share", *SENSING)
NOT_ENOUGH = ("emf_test", "torque_needed", *_PARTS, *_START)
"""What must be there before a field current can be called the best one."""
_AS_GOOD = 0.05
"""Losses that differ by less than this share are as good as equal (common practice, no source)."""


class Optimum(NamedTuple):
    """The field current with the least loss, A, the loss there and at the present current, W; None where there is none.

    curve: the saturation curve that it was found on, or None.
    """

    findings: tuple[Finding, ...]
    curve: Saturation | None = None
    current: float | None = None
    loss: float | None = None
    now: float | None = None


def losses(v: Values, field_current: Any, share: float = 1.0) -> Array:
    """Watts lost in field and stator at field currents, for a share of the start's torque."""
    parts = (v[part] for part in _PARTS)
    return np.asarray(
        excitation.total_loss(field_current, share * v["torque_needed"], v["saturation"], *parts)
    )


def start_torque(v: Values, curve: Saturation, field_current: Any) -> Array:
    """Torque in the worst rotor position at field currents of the spin test, N·m.

    With less field the machine is weaker, and its own current pulls the sensors further.
    The inductance belongs to the present field current, or to the tested one nearest to it.
    """
    here = float(np.clip(float(v["field_current"]), curve.low, curve.high))
    constant, now = emf.emf_at(curve, field_current), emf.emf_at(curve, here)
    inductance = inductance_at(
        v["line_inductance"], v["leakage_share"], now, here, constant, np.asarray(field_current)
    )
    whole = v["phase_current_limit" if v.build.missing("stall_current") else "stall_current"]
    found = start(v, constant, inductance, whole, late(v), constant / now)
    return np.asarray(found.torque)


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def optimum(v: Values) -> Optimum:
    """The best field current for this build's start, and how it is told; the reason where there is none."""
    if v.build.missing("emf_test"):
        return Optimum(
            (
                Finding(
                    "note",
                    "Which field current is worth its watts can't be told without a spin test.",
                    "Spin it at four field currents or more, up to the highest that you would use, and enter the rows.",
                ),
            )
        )
    if v.build.missing(*NOT_ENOUGH):
        return Optimum(
            (
                Finding(
                    "note",
                    "Which field current is worth its watts depends on the torque of the start.",
                    "Enter masses, slope and gearing in the build sheet.",
                ),
            )
        )
    try:
        curve = v["saturation"]
        if curve.knee == 0.0:
            return Optimum(
                (
                    Finding(
                        "note",
                        f"The spin test has one field current only, {show(curve.high, 'A')}: it can't tell what more "
                        "or less would give.",
                        "Add readings at a quarter, half and three quarters of it, and one above if the coil stands "
                        "it.",
                    ),
                )
            )
        enough = IN_HAND * float(v["breakaway_needed"])
        best = float(
            excitation.best_field(
                v["torque_needed"],
                curve,
                lambda current: start_torque(v, curve, current) >= enough,
                *(v[part] for part in _PARTS),
            )
        )
    except NoSolution as none:
        return Optimum((Finding("caution", none.text, none.do),))
    current = float(v["field_current"])
    now = float(losses(v, current)) if emf.covers(curve, current) else None
    least = float(losses(v, best))
    return Optimum((_told(v, curve, best, least, now),), curve, best, least, now)


def _told(v: Values, curve: Saturation, best: float, least: float, now: float | None) -> Finding:
    current, torque, stands = float(v["field_current"]), float(v["torque_needed"]), still.stands(v)
    weak = now is not None and float(start_torque(v, curve, current)) < IN_HAND * float(v["breakaway_needed"])
    text = (
        f"For the {show(torque, 'N*m')} of this build's start, {show(best, 'A')} of field loses least: "
        f"{show(least, 'W')} in field and stator together"
    )
    if now is None:
        text += f". Of your {show(current, 'A')} the spin test tells nothing"
    elif now > least * (1.0 + _AS_GOOD):
        text += f", against {show(now, 'W')} at your {show(current, 'A')}"
    elif weak:
        text += (
            f". Your {show(current, 'A')} loses {show(now, 'W')}, and its start has less than a fifth in hand"
        )
    else:
        text += f". Your {show(current, 'A')} is as good: {show(now, 'W')}"
    text += ". Torque for each field watt alone is best at the smallest current; but then the stator's heat grows."
    step = (curve.high - curve.low) / 400
    if best > curve.high - step:
        do = "More than you tested would still pay: measure higher, if the coil stands it."
    elif best < curve.low + step:
        do = "Less than you tested may pay more still: add a reading at a lower field current."
    elif now is None:
        do = f"Add a reading at {show(current, 'A')}."
    elif weak or now > least * (1.0 + _AS_GOOD):
        do = f"Turn the field {'down' if current > best else 'up'} to about {show(best, 'A')}."
    else:
        do = "Leave it."
    if curve.low + step < best and float(losses(v, best - step)) < least:
        do += " With less the start has less than a fifth in hand: it is weaker, and its own current pulls the sensors "
        do += "further."
    if best > stands:
        do += f" The still coil stands {show(stands, 'A')} for ever, no more."
    return Finding("note", text, do)


def worth(v: Values) -> list[dict[str, Any]] | None:
    """Field currents along the tested range: what each gives and costs. None where there is no curve to read."""
    best = optimum(v)
    if best.curve is None or best.current is None:
        return None
    curve, now = best.curve, float(v["field_current"])
    notes = {best.current: "least loss"}
    if emf.covers(curve, now):
        near = next((i for i in notes if abs(i - now) < 0.02 * curve.high), None)
        notes[now if near is None else near] = "now" if near is None else "least loss; about now"
    apart = 0.03 * (curve.high - curve.low)
    plain = [
        i for i in np.linspace(curve.low, curve.high, 9).tolist() if all(abs(i - k) > apart for k in notes)
    ]
    rows, asked = [], sorted([*plain, *notes])
    torques, lost = start_torque(v, curve, np.array(asked)), losses(v, np.array(asked))
    for current, start_torque_there, loss in zip(asked, torques.tolist(), lost.tolist(), strict=True):
        constant = float(emf.emf_at(curve, current))
        watts = float(
            copper.field_power(current, v["field_resistance"], v["field_temperature"], v["brush_drop"])
        )
        per_ampere = float(torque_constant(constant))
        rows.append(
            {
                "field_current": current,
                "emf_constant": constant,
                "torque_constant": per_ampere,
                "field_power": watts,
                "torque_per_watt": per_ampere * float(v["phase_current_limit"]) / watts,
                "line_current": float(v["torque_needed"]) / per_ampere,
                "start_torque": start_torque_there,
                "total_loss": loss,
                "note": notes.get(current, ""),
            }
        )
    return rows
