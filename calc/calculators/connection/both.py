"""Star or delta: the same coils both ways, and which way suits this build."""

from __future__ import annotations

from functools import lru_cache
from math import pi
from typing import Any

import numpy as np

from calc.build import Values
from calc.calculators.connection import ring
from calc.calculators.connection.suiting import LEVEL, Fit, choice, fit
from calc.drive.standing import torque_constant
from calc.drive.torque import no_load_speed
from calc.figures.excitation import star_delta
from calc.findings import Finding, Severity
from calc.graph import step
from calc.machine import alignment, connection
from calc.spec import Calculator, Column, Report, Result
from calc.started import SENSING
from calc.told.machine import unnamed_connection
from calc.units import show

REFERENCE_TORQUE = 10.0
"""Torque for which the two connections are compared, N·m."""


def _as(v: Values, node: str, ratio: float, wanted: str) -> float:
    return float(connection.in_connection(v[node], ratio, v["connection"], wanted))


@lru_cache(maxsize=1)  # results and report of one answer ask for the same
def _both(v: Values) -> list[dict[str, Any]]:
    """One row for each connection of the same coils."""
    rows = []
    supply = None if v.build.missing("supply_voltage") else v["supply_voltage"]
    for wanted in connection.CONNECTIONS:
        constant = _as(v, "emf_constant", connection.VOLTAGE_RATIO, wanted)
        hot = _as(v, "hot_line_resistance", connection.IMPEDANCE_RATIO, wanted)
        per_ampere = float(torque_constant(constant))
        current = REFERENCE_TORQUE / per_ampere
        rows.append(
            {
                "connection": wanted,
                "emf_constant": constant,
                "torque_constant": per_ampere,
                "line_resistance": _as(v, "line_resistance", connection.IMPEDANCE_RATIO, wanted),
                "line_inductance": _as(v, "line_inductance", connection.IMPEDANCE_RATIO, wanted),
                "no_load_speed": None if supply is None else float(no_load_speed(constant, supply)),
                "current": current,
                "copper_loss": current**2 * hot,
                "hottest_coil": current**2 * hot * connection.HOTTEST_COIL[wanted],
                "circulating_current": ring.current(v) if wanted == "delta" else 0.0,
                "alignment_error": _timing(v, wanted),
            }
        )
    return rows


def _timing(v: Values, wanted: str) -> float | None:
    """Alignment error in a connection: of sensors left where they are, else of the winding's best slot."""
    if "alignment_error" in v.build.entered:
        here = float(v["alignment_error"])
        # The axes of star and delta lie 30° apart; current changes leads every 60°.
        moved = here if wanted == v["connection"] else here - np.pi / 6.0
        return float(moved - np.pi / 3.0 * np.ceil(moved / (np.pi / 3.0) - 0.5 - 1e-9))
    counted = ring.counted(v)
    return None if counted is None else float(alignment.alignment_error(*counted, wanted, (0,)))


@lru_cache(maxsize=1)
def _fits(v: Values) -> list[Fit]:
    return [
        fit(v, row, _as(v, "hot_line_resistance", connection.IMPEDANCE_RATIO, row["connection"]))
        for row in _both(v)
    ]


def _suits(v: Values) -> list[dict[str, Any]] | None:
    """None where the opened corner says that the ring must not be closed."""
    if ring.unproven(v):
        return None
    return [
        {"connection": f.name, "start_torque": f.torque, "speed_share": f.reach, "suits": f.verdict}
        for f in _fits(v)
    ]


def _sensors(v: Values, rows: list[dict[str, Any]]) -> list[Finding]:
    star, delta = (row["alignment_error"] for row in rows)
    if star is None or delta is None:
        return []

    def said(angle: float) -> str:
        if abs(angle) < 1e-6:
            return "right"
        half = abs(abs(angle) - pi / 6) < 1e-6  # as far from the place before as from the one after
        side = "early or late (as the leads are matched)" if half else "late" if angle > 0 else "early"
        return f"{show(abs(angle), 'deg')} {side}"

    which = (
        "Sensors left where they are" if "alignment_error" in v.build.entered else "In the best slot, sensors"
    )
    right = max(abs(star), abs(delta)) < 0.02
    here = star if v["connection"] == "star" else delta
    return [
        Finding(
            "ok" if abs(here) < 0.02 else "caution",
            f"{which} are {said(star)} in star and {said(delta)} in delta.",
            "After a change of connection match the leads anew."
            if right
            else "After a change of connection place the sensors anew, where no slot is right on teeth or a ring, "
            "and match the leads again.",
        )
    ]


def _star_delta(v: Values) -> Report:
    rows = _both(v)
    volts = ", ".join(f"{show(row['emf_constant'], 'V/krpm')} in {row['connection']}" for row in rows)
    drawings = (lambda uid: star_delta(uid, v["connection"]),)
    unproven = ring.unproven(v)
    if unproven:
        return Report(
            "don't close the ring" if unproven.severity == "stop" else "don't close the ring yet",
            volts,
            "The same coils give a star or a delta. Which one suits isn't told before the opened corner shows that "
            "all three coils point the same way round.",
            (unproven, *_sensors(v, rows)),
            drawings,
        )
    fits, unnamed = _fits(v), unnamed_connection(v)
    star = v["connection"] == "star"
    now, other = fits if star else fits[::-1]
    headline, because, do = choice(now, other)
    if unnamed:
        headline = f"not entered which; if it is a {now.name}: {headline}"
    findings = [Finding("ok" if f.suits else "caution", f.words) for f in (now, other) if f.words]
    if do:
        severity: Severity = "ok" if now.suits else "caution" if other.suits else "stop"
        findings.insert(0, Finding(severity, f"{headline[0].upper()}{headline[1:]}: {because}.", do))
    else:
        findings.append(
            Finding(
                "note",
                "Which one suits depends on the start and the speed, and they aren't known yet.",
                "Enter masses, slope, gearing, speed and current limits in the build sheet.",
            )
        )
    told = " Told at the stated values alone; the verdict counts how far each may be off." if do else ""
    return Report(
        headline,
        f"{because}; {volts}" if because else volts,
        "The same coils: a star gives 1.73 times the volts and the torque of each ampere, has three times the "
        "resistance and inductance, and runs 1.73 times slower on the same supply. For the same torque both lose the "
        "same in copper. A delta asks more of the controller's current; a star more of its volts, downhill too."
        + told,
        (*unnamed, *findings, *_sensors(v, rows), *ring.findings(v)),
        drawings,
    )


STAR_DELTA = Calculator(
    id="star-delta",
    title="Star or delta",
    chapter="convert",
    question="Which connection suits this controller and pack?",
    asks=("connection", "emf_constant", "line_resistance", "line_inductance", "corner_test"),
    gives=(
        Result(
            "both",
            "The same coils in star and in delta",
            columns=(
                Column("connection", "Connection"),
                Column("emf_constant", "EMF constant", "V/krpm"),
                Column("torque_constant", "Torque constant", "N*m/A"),
                Column("line_resistance", "Resistance between leads", "mohm"),
                Column("line_inductance", "Inductance between leads", "uH"),
                Column("no_load_speed", "No-load speed", "rpm"),
                Column("current", "Line current for 10 N·m", "A"),
                Column("copper_loss", "Heat in all coils for it", "W"),
                Column("hottest_coil", "in the hottest coil, stalled", "W"),
                Column("circulating_current", "Third harmonic in the ring", "A"),
                Column("alignment_error", "Sensors in slots are late by", "deg"),
            ),
            made=_both,
        ),
        Result(
            "suits",
            "How each suits this build",
            columns=(
                Column("connection", "Connection"),
                Column("start_torque", "Torque in the worst rotor position, all counted", "N*m"),
                Column("speed_share", "Torque at the speed wanted over torque asked"),
                Column("suits", "Verdict"),
            ),
            optional=True,
            made=_suits,
            needs=(*SENSING, *LEVEL),
        ),
        Result(
            "circulating_current",
            "Third harmonic round the delta, at the speed wanted",
            "A",
            optional=True,
            made=ring.current,
            needs=("circulating_current",),
        ),
    ),
    report=_star_delta,
    rules={
        "corner_share": step(connection.corner_share),
        "corner_voltage": step(connection.corner_voltage, motor_speed="level_motor_speed"),
        "delta_resistance": step(connection.delta_resistance),
        "delta_inductance": step(connection.delta_inductance),
        "circulating_current": step(connection.circulating_current, motor_speed="level_motor_speed"),
    },
    reads=(
        "emf_constant",
        "hot_line_resistance",
        "line_resistance",
        "line_inductance",
        "phase_current_limit",
        "connection",
        "pole_pairs",
    ),
    optional=("corner_test", "alignment_error", "sensor_slots", *ring.WINDING, *LEVEL),
)
