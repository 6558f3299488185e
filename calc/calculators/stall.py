"""Stall torque by lever and scale: what the current does to torque and sensors."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.build import Values
from calc.drive import launch, standing
from calc.fields import FIELDS
from calc.figures import stall as drawn
from calc.findings import Finding
from calc.graph import step
from calc.machine import armature, stall, stall_tape
from calc.machine.copper import REFERENCE_TEMPERATURE
from calc.machine.scatter import ROWS_APART
from calc.spec import Calculator, Column, Report, Result
from calc.units import show, show_spread

AGREE = 0.07  # lever and spin test agree within this share (common practice, no source)
WARMING = 20.0  # K that the hottest coil may gain in one reading (common practice, no source)
OFF_PLACE = np.radians(5.0)  # electrical; a sensor half a millimetre off its place is some degrees
FAR_OUT = np.radians(8.0)  # from here on one common shift of both edges is too coarse (docs/method-drive.md)
WILD = 2.0  # times what is usual, or what the spin test gives: a unit is wrong, not a reading
NOT_TOLD = 0.5  # from this ± on, as a share, the usual range says as much


def seconds(v: Values, current: float) -> float:
    """How long a reading may last at `current`, from a winding at 20 °C."""
    return float(
        launch.stall_time(
            current,
            float(v["line_resistance"]),
            float(v["winding_mass"]),
            v["connection"],
            REFERENCE_TEMPERATURE,
            REFERENCE_TEMPERATURE + WARMING,
        )
    )


def _rows(v: Values) -> list[dict[str, Any]]:
    return [
        {
            "current": current,
            "begin": stall_tape.pull_torque(begin, lever),
            "end": stall_tape.pull_torque(end, lever),
            "early": early,
            "seconds": seconds(v, current),
        }
        for (current, begin, end, lever, *_), early in zip(v["stall_test"], _shifts(v), strict=True)
    ]


def _shifts(v: Values) -> tuple[float, ...]:
    return stall_tape.shifts(v["stall_test"], float(v["pole_pairs"]))


def _fit(v: Values) -> tuple[float, float]:
    return stall_tape.fit(v["stall_test"], float(v["pole_pairs"]))


def _own(v: Values, node: str) -> float:
    """How far a value of the build may be off, as a share of it."""
    return v.spread(node) / float(v[node])


def _sensed_spread(v: Values) -> float:
    """The readings' ±, and what EMF constant and inductance leave open."""
    whole = np.hypot(_own(v, "emf_constant"), _own(v, "line_inductance"))
    return float(min(np.hypot(float(v["sensed_spread"]), whole), 0.95))


def _cross(v: Values) -> tuple[float, float]:
    """Inductance across the poles as a share of that along them, and its ±: the readings' and the inductance's own."""
    share, off = (float(value) for value in v["tested_cross"])
    return share, float(np.hypot(off, abs(1.0 - share) * _own(v, "line_inductance")))


def _emf(v: Values) -> float:
    """EMF constant that goes with the lever's torque constant."""
    return float(v["tested_torque"]) / float(standing.torque_constant(1.0))


def _compared(v: Values) -> Finding:
    """Torque constant of the lever beside that of the spin test."""
    lever, spun, off = float(v["tested_torque"]), float(v["torque_constant"]), float(v["stall_spread"])
    if v.build.is_leaf("emf_constant") and v.build.input("emf_constant").source == "usual":
        least, most = _believable()
        if not least <= _emf(v) <= most:
            return _unbelievable(v, _emf(v) < least)
        return Finding(
            "caution",
            f"The lever gives {show(lever, 'N*m/A')}; no EMF constant was entered to compare with.",
            f"A spin test is surer. Until then enter {show(_emf(v), 'V/krpm')} ± {show(off, 'percent', 2)}, "
            "measured, as the EMF constant: at low current the two are one.",
        )
    allowed = max(AGREE, float(np.hypot(off, _own(v, "emf_constant"))))
    agree = abs(lever / spun - 1.0) <= allowed
    text = (
        f"The lever gives {show(lever, 'N*m/A')}, the EMF constant {show(spun, 'N*m/A')}: "
        f"{show(abs(lever / spun - 1.0), 'percent', 2)} {'more' if lever > spun else 'less'}. The two "
        f"{'agree' if agree else 'differ'}."
    )
    do = (
        "Same field current for both, coil warm? Less by the lever: kilograms entered as newtons (a tenth), saturation "
        "by the current, or the scale not square to the lever. More: the current is more than was read, or newtons "
        "entered as kilograms."
    )
    wild = not 1.0 / WILD <= lever / spun <= WILD
    return Finding("ok" if agree else "stop" if wild else "caution", text, "" if agree else do)


def _believable() -> tuple[float, float]:
    """EMF constants that a lever may give: from half the least usual one to twice the most."""
    known = FIELDS["emf_constant"]
    low, high = known.usual if isinstance(known.usual, tuple) else (known.low, known.high)
    return known.si(low) / WILD, known.si(high) * WILD


def _unbelievable(v: Values, small: bool) -> Finding:
    """The stop where no such machine pulls so little, or so hard."""
    f = FIELDS["emf_constant"]
    text = (
        f"The lever gives {show(float(v['tested_torque']), 'N*m/A')}. {show(_emf(v), f.unit)} would go with it; such "
        f"machines have {f.usual_range()}."
    )
    mend = (
        "Did the scale show kilograms? Write kg behind each pull: without it they count as newtons, a tenth. Or is the "
        "lever in centimetres? Don't enter this as the EMF constant."
        if small
        else "Newtons entered as kilograms, or more current than was read? Don't enter this as the EMF constant."
    )
    return Finding("stop", text, mend)


def _findings(v: Values) -> list[Finding]:
    test = v["stall_test"]
    _, off = _fit(v)
    start = float(v["tested_lateness"])
    found = [_compared(v)]
    apart = float(stall.apart(test, v["pole_pairs"]))
    if apart > ROWS_APART:
        found.append(
            Finding(
                "caution",
                f"Torque for each ampere differs by {show(apart, 'percent', 2)} between the rows.",
                "If it is less at the higher current, the current itself saturates the iron: count on that. Else zero "
                "the scale with the current off, and take the mean of both turning senses.",
            )
        )
    if off > NOT_TOLD:
        found.append(
            Finding(
                "caution",
                f"The shift by the current is open by ± {show(off, 'percent', 2)}: the usual range says as much.",
                "A higher current, a longer lever, three sectors for each, the marks made where the lamps change.",
            )
        )
    share, open_ = _cross(v)
    if share + open_ < 1.0 or share - open_ > 1.0:
        found.append(
            Finding(
                "note",
                f"Across its poles the rotor leaves {show(share, 'percent', 2)} (± {show(open_, 'percent', 1)}) of the "
                "inductance along them, by what the pulls don't owe to the shift. The pages take one value for both.",
                "What that changes stands with the short-circuit spin, in the bench tests.",
            )
        )
    if abs(start) > FAR_OUT:
        found.append(
            Finding(
                "caution",
                f"The sensors sit {show(abs(start), 'deg')} out of place. Then their edges no longer shift alike, and "
                "the share may be a quarter off.",
                "Put the sensors right first, then measure again.",
            )
        )
    if not v.build.missing("alignment_error"):
        stated = float(v["alignment_error"])
        if abs(start - stated) > OFF_PLACE:
            found.append(
                Finding(
                    "caution",
                    f"Without current the sensors switch {show(abs(start), 'deg')} {'late' if start > 0 else 'early'} "
                    f"by the lever; the build says {show(stated, 'deg')} (late is positive).",
                    "Was it the sector with the strongest pull, forward the way the machine pulls? Then look where "
                    "the sensors sit.",
                )
            )
    found += _sector(v)
    amps = max(row[0] for row in test)
    found.append(
        Finding(
            "note",
            f"At {show(amps, 'A')} the hottest coil gains {WARMING:g} K in {show(seconds(v, amps), 's', 2)}, its heat "
            "all kept in the copper.",
            "One reading in that time, then minutes to cool.",
        )
    )
    return found


def _sector(v: Values) -> list[Finding]:
    """How wide the sector is, or that nobody measured it where it matters."""
    kind = v["sensor_kind"] if "sensor_kind" in v.build.entered else None
    if kind == "unipolar" and any(row[6] is None for row in v["stall_test"]):
        return [
            Finding(
                "caution",
                "Unipolar sensors make wide and narrow sectors in turn; a row that doesn't say how far its two marks "
                "are apart counts as 60°. Torque constant up to a fifth off, share of the inductance a fifth, shape "
                "not to be trusted.",
                "Measure along the tape from mark to mark, both made without current, and enter it in each row.",
            )
        ]
    wide = stall_tape.widths(v["stall_test"], float(v["pole_pairs"]))
    furthest = max(wide, key=lambda one: abs(one - stall_tape.SIXTH))
    if kind == "unipolar" or abs(furthest - stall_tape.SIXTH) <= OFF_PLACE:
        return []
    return [
        Finding(
            "caution",
            f"A sector is {show(furthest, 'deg')} wide, not 60°; the answer counts it as it is.",
            f"The sensors answer to one pole only (enter {FIELDS['sensor_kind'].quoted}), or one of them sits off its "
            "slot: measure the next sector too.",
        )
    ]


def _stall(v: Values) -> Report:
    test = v["stall_test"]
    per_ampere, off = _fit(v)
    amps = max(row[0] for row in test)
    shift = float(armature.armature_shift(per_ampere * amps))
    sensed, open_ = float(v["tested_sensed"]), _sensed_spread(v)
    readings = list(zip(test, _shifts(v), strict=True))
    torque = show_spread(float(v["tested_torque"]), float(v["stall_spread"]), "N*m/A")
    return Report(
        show(float(v["tested_torque"]), "N*m/A"),
        f"with sensors right; at {show(amps, 'A')} they switch {show(shift, 'deg')} early",
        f"At {show(amps, 'A')} the machine's own field makes the sensors switch {show(shift, 'deg')} earlier than "
        f"without current (± {show(off, 'percent', 2)}). That is what {show_spread(sensed, open_, 'percent')} of the "
        f"inductance makes: the part whose field the sensors see. Torque: {torque} with sensors right.",
        tuple(_findings(v)),
        (lambda uid: drawn.earliness(uid, [(row[0], one) for row, one in readings], per_ampere, amps),),
    )


STALL_TEST = Calculator(
    id="stall-test",
    title="Stall torque",
    chapter="convert",
    question="How much torque for each ampere, and how far does the current pull the sensors?",
    asks=("stall_test", "emf_constant", "line_inductance", "pole_pairs", "connection"),
    gives=(
        Result("torque_constant", "Torque constant by the lever", "N*m/A", "tested_torque"),
        Result("torque_spread", "How far it may be off", "percent", "stall_spread"),
        Result("torque_by_emf", "Torque constant by the EMF constant", "N*m/A", "torque_constant"),
        Result("sensed_share", "Share of the inductance that moves the sensors", "percent", "tested_sensed"),
        Result(
            "spread",
            "How far readings, EMF constant and inductance leave it open, of itself",
            "percent",
            made=_sensed_spread,
        ),
        Result("emf_constant", "EMF constant that goes with the lever's torque", "V/krpm", made=_emf),
        Result("sensor_error", "How late the sensors sit without current", "deg", "tested_lateness"),
        Result(
            "cross_share",
            "Inductance across the poles, of that along them",
            "percent",
            made=lambda v: _cross(v)[0],
        ),
        Result("cross_spread", "How far that is open", "percent", made=lambda v: _cross(v)[1]),
        Result(
            "rows",
            "Row by row",
            columns=(
                Column("current", "Current", "A"),
                Column("begin", "Torque at the beginning", "N*m"),
                Column("end", "Torque at the end", "N*m"),
                Column("early", "Sensors early", "deg"),
                Column("seconds", "20 K in", "s"),
            ),
            made=_rows,
        ),
    ),
    report=_stall,
    rules={
        "tested_torque": step(stall.stall_torque_constant),
        "stall_spread": step(stall.stall_torque_spread),
        "tested_sensed": step(stall.sensed_share),
        "tested_cross": step(stall.cross_share),
        "tested_lateness": step(stall.stall_lateness),
    },
    reads=(
        "sensed_spread",
        "tested_cross",
        "pole_pairs",
        "line_inductance",
        "stall_test",
        "line_resistance",
        "winding_mass",
        "connection",
        "emf_constant",
    ),
    optional=("alignment_error", "sensor_kind"),
    despite_sensors=True,
)
