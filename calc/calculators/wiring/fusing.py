"""Does the main fuse hold the ride, and open when it must?"""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.figures.wiring import fuse_gates
from calc.findings import Finding
from calc.graph import step
from calc.power import conductor, fuse
from calc.spec import Calculator, Column, Report, Result
from calc.told.power import FUSE_CURVE, fuse_reading, unguarded
from calc.units import show

TRIED = (1.1, 1.35, 1.6, 2.0, 3.5, 6.0, 10.0)


def _recommended(v: Values) -> float | None:
    """A standard rating that holds the ride and guards the cable, A."""
    return fuse.recommended(v["fuse_kind"], float(v["lasting"]), float(v["guarded"]))


def _holds(v: Values) -> bool:
    return float(v["fuse_rating"]) >= float(v["lasting"])


def _rows(v: Values) -> list[dict[str, Any]]:
    """How long this kind takes at multiples of its rating, at least and at most; none where nothing is said.

    Below the first gate, which it carries for good, stand the hours that the gate says.
    """
    kind, rating = v["fuse_kind"], float(v["fuse_rating"])
    rows, hours = [], float(fuse.gate(kind, rating).least.max())
    for multiple in TRIED:
        least, most = (float(time(kind, multiple, rating)) for time in (fuse.stands_for, fuse.opens_by))
        rows.append(
            {
                "multiple": multiple,
                "current": multiple * rating,
                "least": min(least, hours) or None,
                "most": most if most < fuse.NEVER else None,
            }
        )
    return rows


def _voltage(v: Values) -> list[Finding]:
    if "fuse_voltage" not in v.build.entered:
        return [
            Finding(
                "caution",
                "The fuse's direct voltage isn't entered. A fuse for less than the pack has goes on burning as an arc.",
                f"Read it: it must say {show(v['voltage_full'], 'V')} DC or more.",
            )
        ]
    if v["fuse_voltage"] >= v["voltage_full"]:
        return []
    return [
        Finding(
            "stop",
            f"Fire risk: a fuse for {show(v['fuse_voltage'], 'V')} can't open {show(v['voltage_full'], 'V')}. It draws "
            "an arc that goes on burning in its holder.",
            f"A fuse and a holder for {show(v['voltage_full'], 'V')} DC or more. Blade fuses are made for 32 V.",
        )
    ]


def _breaking(v: Values) -> list[Finding]:
    needed = float(v["breaking"])
    if "fuse_breaking" not in v.build.entered:
        text = f"A short right behind the fuse makes up to {show(needed, 'A')}. What the fuse can break isn't entered."
        return [Finding("caution", text, "Look it up in the fuse's data sheet, at direct current.")]
    if v["fuse_breaking"] >= needed:
        return []
    return [
        Finding(
            "stop",
            f"Fire risk: a short right behind the fuse makes up to {show(needed, 'A')}; this fuse can break "
            f"{show(v['fuse_breaking'], 'A')}. Above that it bursts or arcs.",
            "A fuse with more breaking capacity: cartridges filled with sand break tens of thousands of amperes.",
        )
    ]


def _too_large(v: Values) -> list[Finding]:
    """The stop where the fuse that is fitted lets more through for good than the cable stands."""
    if "fuse_rating" not in v.build.entered or v["fuse_rating"] <= v["guarded"]:
        return []
    return [
        Finding(
            "stop",
            f"Fire risk: the cable carries {show(v['cable_ampacity'], 'A')} for good. A {v['fuse_kind']} fuse that "
            f"guards it is rated {show(v['guarded'], 'A')} or less; this one has {show(v['fuse_rating'], 'A')}.",
            "A thicker cable, or a smaller fuse. The fuse guards the cable, not the controller.",
        )
    ]


def _guards(v: Values) -> list[Finding]:
    found = _too_large(v)
    opens, stands = float(v["fuse_opens"]), float(v["stands"])
    if opens > stands:
        late = "isn't sure to open" if opens >= fuse.NEVER else f"may take {show(opens, 's')}"
        found.append(
            Finding(
                "stop",
                f"Fire risk: a short at the far end makes {show(v['far_short'], 'A')} when the pack is low. The fuse "
                f"{late}; the cable stands it for {show(stands, 's')}.",
                f"Look up that current in the curve of its data sheet, and enter {FUSE_CURVE}. Still too long: a "
                "thicker or shorter cable, or a smaller fuse.",
            )
        )
    return found


def _fuse_findings(v: Values) -> list[Finding]:
    found = _voltage(v) + _breaking(v) + _guards(v)
    most = max(fuse.RATINGS[v["fuse_kind"]])
    if v["fuse_rating"] > most:
        found.append(
            Finding(
                "stop",
                f"{show(v['fuse_rating'], 'A')} is no rating of that kind: they are sold up to {most} A (common "
                "practice, no source), and the gates are those of their kind.",
                "Read the fuse again: another kind, or another rating.",
            )
        )
    found += fuse_reading(v)
    if not _holds(v):
        found.append(
            Finding(
                "caution",
                f"{show(v['current'], 'A')} at full throttle is more than the "
                f"{show(v['lasting_share'], 'percent')} of {show(v['fuse_rating'], 'A')} that it carries for good "
                f"at {show(v['ambient_temperature'], 'degC')}. It will open on a long climb, or age "
                "and open one day for nothing.",
                f"{show(v['lasting'], 'A')} or more, where the cable allows it.",
            )
        )
    if _recommended(v) is None:
        found.append(
            Finding(
                "caution",
                f"No {v['fuse_kind']} rating holds {show(v['current'], 'A')} and guards this cable.",
                "A thicker cable first; then another kind of fuse.",
            )
        )
    found.append(
        Finding(
            "caution",
            "The fuse sits at the pack's plus, a hand's breadth from the cells: nothing guards what lies before it. "
            "Each pack that joins another has one of its own.",
            "Cover both its ends. Change it with the pack switched off and unplugged; its holder is live all the same: "
            "insulated tools, no rings, eyes covered, one hand. Never bridge one. Local codes and a licensed person "
            "come first.",
        )
    )
    return found


def _fuse(v: Values) -> Report:
    fits = _recommended(v)
    kind, held = v["fuse_kind"], f"{show(v['current'], 'A')} and this cable"
    opens = float(v["fuse_opens"])
    by = "isn't sure to open" if opens >= fuse.NEVER else f"opens within {show(opens, 's')}"
    return Report(
        show(fits, "A") if fits else "No rating fits",
        f"is the {kind} rating for {held}" if fits else f"{held}, among {kind} fuses",
        f"The one that is fitted, {show(v['fuse_rating'], 'A')}, {'holds' if _holds(v) else 'does not hold'} the ride "
        f"and {by} on a short at the cable's far end ({show(v['far_short'], 'A')}). A short right behind it makes up "
        f"to {show(v['breaking'], 'A')}. Times are the published gates of its kind, read at second hand.",
        tuple(unguarded(v, "main_fuse") + _fuse_findings(v)),
        (
            lambda uid: fuse_gates(
                uid,
                v["fuse_kind"],
                float(v["fuse_rating"]),
                [
                    ("ride", float(v["current"]), None),
                    ("far short", float(v["far_short"]), min(opens, 3600.0)),
                    ("cable", float(v["far_short"]), float(v["stands"])),
                ],
            ),
        ),
    )


FUSE = Calculator(
    id="fuse",
    title="Fuse",
    chapter="power",
    question="Does the main fuse hold the ride and open on a short?",
    asks=(
        "fuse_kind",
        "fuse_rating",
        "fuse_voltage",
        "fuse_breaking",
        "current",
        "cross_section",
        "awg",
        "loop_length",
        "insulation_limit",
        "cable_lies",
    ),
    gives=(
        Result("rating", "Standard rating that fits", "A", made=_recommended, nothing="none fits"),
        Result("holds", "The one fitted holds the ride", made=_holds),
        Result("opens_by", "Opens a short at the far end within", "s", "fuse_opens"),
        Result("breaking_needed", "Breaking capacity needed", "A", "breaking"),
        Result("guarded", "Highest rating that guards the cable", "A"),
        Result("cable_stands", "Cable stands that short for", "s", "stands"),
        Result(
            "gate",
            "How long this kind takes",
            columns=(
                Column("multiple", "Times its rating"),
                Column("current", "Current", "A"),
                Column("least", "At least", "s"),
                Column("most", "At most", "s"),
            ),
            made=_rows,
        ),
    ),
    report=_fuse,
    early={"rating": ("fuse_kind", "lasting", "guarded", "cable_ampacity"), "guarded": ()},
    early_findings=_too_large,
    called={
        "current": (
            "Most current through this fuse",
            "What the pack gives, not what the motor's leads carry. Left out: battery limit, field supply and the "
            "rest. Measured: a clamp meter for direct current round the cable at the fuse, at full throttle.",
        )
    },
    rules={
        "cable": step(lambda: "pack"),
        "current": step(conductor.cable_current, cable="cable"),
        "lasting_share": step(fuse.lasting_share),
        "lasting": step(fuse.lasting_rating),
        "guarded": step(fuse.guarded_rating, ampacity="cable_ampacity"),
        "stands": step(fuse.cable_stands, current="far_short"),
        "breaking": step(fuse.prospective_current),
    },
    reads=(
        "current",
        "lasting",
        "lasting_share",
        "ambient_temperature",
        "fuse_kind",
        "fuse_rating",
        "far_short",
        "cable_ampacity",
        "voltage_full",
    ),
    optional=(
        "main_fuse",
        "fuse_voltage",
        "fuse_breaking",
        "opens_short",
        "opens_short_rating",
        "opens_short_current",
    ),
)
