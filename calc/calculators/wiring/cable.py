"""Is the copper thick enough?"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from calc.build import Values
from calc.fields import FIELDS
from calc.figures.wiring import cable_sizes
from calc.findings import Finding
from calc.graph import step
from calc.power import conductor
from calc.spec import Calculator, Column, Report, Result
from calc.units import show

NAMES = {
    "pack": "from pack to controller",
    "phase": "to the machine, each lead",
    "field": "to the brushes",
}


@lru_cache(maxsize=1)  # results, findings and figure of one answer ask for the same
def _rows(v: Values) -> list[dict[str, Any]]:
    """The metric sizes round the one that is wanted: what each loses and how warm it gets."""
    sizes, amps = conductor.sizes(), float(v["current"])
    ohms = conductor.cable_resistance(sizes, v["loop_length"], v["conductor_temperature"])
    drops = np.asarray(conductor.voltage_drop(amps, ohms))
    rises = np.asarray(conductor.cable_rise(amps, sizes, v["cable_lies"], v["ambient_temperature"]))
    carries = np.asarray(
        conductor.ampacity(sizes, v["cable_lies"], v["ambient_temperature"], v["insulation_limit"])
    )
    allowed = conductor.DROP_ALLOWED * float(v["voltage_nominal"])
    rows = [
        {
            "section": float(size),
            "drop": float(drop),
            "loss": float(drop * amps),
            "rise": float(rise) if rise < conductor.MOST_RISE else None,
            "carries": float(most),
            "fits": _fits(drop <= allowed, most >= amps),
        }
        for size, drop, rise, most in zip(sizes, drops, rises, carries, strict=True)
    ]
    good = next((k for k, row in enumerate(rows) if row["fits"] == "both"), len(rows) - 1)
    return rows[max(good - 4, 0) : good + 4]


def _fits(drop: bool, heat: bool) -> str:
    return "both" if drop and heat else "heat only" if heat else "drop only" if drop else "neither"


def _smallest(v: Values) -> float | None:
    """The smallest size that does for drop and for heat, m²."""
    return next((row["section"] for row in _rows(v) if row["fits"] == "both"), None)


def _better(v: Values) -> str:
    smallest = None if v.build.missing("voltage_nominal") else _smallest(v)
    return f"{show(smallest, 'mm**2')} or more" if smallest else "a thicker cable, or two side by side"


def _heat(v: Values) -> list[Finding]:
    """What the current does to the cable, whatever the pack's voltage."""
    amps, most, better, found = float(v["current"]), float(v["ampacity"]), _better(v), []
    if amps > most:
        found.append(
            Finding(
                "stop",
                f"Fire risk: this cable carries {show(most, 'A')} for good before its insulation, or a lug, passes "
                f"{show(v['cable_limit'], 'degC')}; {show(amps, 'A')} are asked of "
                "it.",
                f"Use {better}, or let it lie by itself in air.",
            )
        )
    elif amps > 0.8 * most:
        found.append(
            Finding(
                "caution",
                f"{show(amps, 'A')} of the {show(most, 'A')} that it carries for good: little in hand for a warm day, "
                "a hot place or a bundle.",
                f"{better[0].upper()}{better[1:]}, or air round it.",
            )
        )
    if float(v["ambient_temperature"]) + float(v["rise"]) > conductor.TERMINAL_LIMIT:
        found.append(
            Finding(
                "caution",
                f"The copper gets to {show(v['ambient_temperature'] + v['rise'], 'degC')}. Lugs, switches, holders "
                "and the cables beside it don't stand that (common practice, no source).",
                f"Use {better}.",
            )
        )
    return found


def _findings(v: Values) -> list[Finding]:
    drop, nominal, found = float(v["drop"]), float(v["voltage_nominal"]), _heat(v) + _of_the_pack(v)
    if drop > conductor.DROP_ALLOWED * nominal:
        found.append(
            Finding(
                "caution",
                f"It takes {show(drop, 'V')}, {show(drop / nominal, 'percent')} of the pack: more than the "
                f"{show(conductor.DROP_ALLOWED, 'percent')} that are usual.",
                f"Shorter, or {_better(v)}.",
            )
        )
    found.append(
        Finding(
            "caution",
            "A crimp or a screw that isn't tight gets hotter than any cable: most cable fires start there.",
            "Pull each crimp by hand before use. After the first ride, pack switched off, feel each joint with the "
            "back of the hand, slowly: warmer than the cable means bad. Fuse at the pack's plus, before the cable.",
        )
    )
    return found


def _of_the_pack(v: Values) -> list[Finding]:
    """That another cable than the pack's was counted with what the sheet says of the pack's."""
    taken = [
        FIELDS[key].name
        for key in ("cross_section", "awg", "loop_length")
        if key in v.build.entered and v.build.input(key).source != "given"
    ]
    if v["cable"] == "pack" or not taken:
        return []
    return [
        Finding(
            "caution",
            f"The build sheet has the pack's cable only: {' and '.join(taken)} of it count here too.",
            "Type this cable's own section and length. No check of the verdict judges it.",
        )
    ]


def _conductor(v: Values) -> Report:
    smallest = _smallest(v)
    return Report(
        show(v["drop"], "V"),
        f"lost in {show(v['cross_section'], 'mm**2')}, and {show(v['rise'], 'K')} warmer than the air",
        f"{show(v['current'], 'A')} {NAMES[v['cable']]}, {show(v['loop_length'], 'm')} there and back, "
        f"{show(v['resistance'], 'mohm')}, {show(v['loss'], 'W')} of heat. It carries {show(v['ampacity'], 'A')} for "
        f"good as it lies. Smallest for drop and heat: {show(smallest, 'mm**2') if smallest else 'none in the table'}.",
        tuple(_findings(v)),
        (lambda uid: cable_sizes(uid, _rows(v), float(v["current"])),),
    )


CONDUCTOR = Calculator(
    id="conductor",
    title="Cable",
    chapter="power",
    question="Is the copper thick enough for the current?",
    asks=("cable", "current", "loop_length", "cross_section", "awg", "insulation_limit", "cable_lies"),
    gives=(
        Result("cross_section", "Copper section", "mm**2"),
        Result("resistance", "Resistance of the loop", "mohm"),
        Result("drop", "Voltage lost", "V"),
        Result("loss", "Heat made", "W"),
        Result("temperature_rise", "Warmer than the air", "K", "rise"),
        Result("ampacity", "Carries for good", "A"),
        Result(
            "smallest_section",
            "Smallest size for drop and heat",
            "mm**2",
            made=_smallest,
            nothing="none in the table",
        ),
        Result(
            "sections",
            "Sizes",
            columns=(
                Column("section", "Section", "mm**2"),
                Column("drop", "Voltage lost", "V"),
                Column("loss", "Heat", "W"),
                Column("rise", "Warmer than the air", "K"),
                Column("carries", "Carries", "A"),
                Column("fits", "Does for"),
            ),
            made=_rows,
        ),
    ),
    report=_conductor,
    early=dict.fromkeys(("drop", "resistance", "loss", "temperature_rise", "ampacity"), ()),
    early_findings=_heat,
    called={
        "current": (
            "Current in this cable",
            "Left out: worked out for the run chosen above. Measured: a clamp meter round this cable, at full "
            "throttle; for pack and field one that reads direct current.",
        )
    },
    rules={
        "cable": step(lambda: "pack"),
        "current": step(conductor.cable_current),
        "resistance": step(conductor.cable_resistance),
        "drop": step(conductor.voltage_drop, cable_resistance="resistance"),
        "loss": step(conductor.cable_loss, cable_resistance="resistance"),
        "rise": step(conductor.cable_rise),
        "ampacity": step(conductor.ampacity),
    },
    reads=("cable", "voltage_nominal", "ambient_temperature", "insulation_limit", "loop_length"),
)
