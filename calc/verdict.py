"""The whole-build check: does it start, climb, reach its speed, last, and fit its limits?

Each check compares what the build has with what it needs, at the stated values (margin) and over the draws of all
that is only roughly known (chance). Then: which guess is worth measuring next, and the smallest change that mends
a check that fails.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from typing import Any, NamedTuple

import numpy as np

from calc import doubt, draws, units
from calc.build import Build, Values, enter
from calc.checks import CHECKS, Check, Judged
from calc.checks.model import OK_FROM, STOP_UNDER
from calc.doubt import Next
from calc.entries import Entry
from calc.errors import NoSensors, NoSolution
from calc.fields import FIELDS
from calc.findings import WORST, Finding, Severity
from calc.machine.insulation import LEAST_PER_VOLT
from calc.power.limits import SHOCK_VOLTAGE
from calc.sheet import Sheet
from calc.told import both_ways, fast, few, groups, unsaid
from calc.told.handling import light_rider, weighed_apart
from calc.told.machine import one_field, too_much_current
from calc.told.power import fuse_reading, hot_day, over_downhill, touch

FIRE = "Fire risk: "
SPUN = Finding(
    "caution",
    "The spin rows wait for one number: which field current you will ride with.",
    f"Enter {FIELDS['field_current'].quoted}, one that was tested: most checks wait for it.",
)


class Verdict(NamedTuple):
    """The judgement of a whole build. measure_next: the best to add or measure first."""

    name: str
    build: Build
    checks: tuple[Judged, ...]
    measure_next: tuple[Next, ...]
    findings: tuple[Finding, ...]

    @property
    def severity(self) -> Severity:
        """The worst of the checks; a finding beside them counts when it stops."""
        beside = (f.severity for f in self.findings if f.severity == "stop")
        return max((*(j.severity for j in self.checks), *beside), key=WORST.__getitem__)


def judge(sheet: Sheet, source: str = "sheet", given: Mapping[str, Entry] | None = None) -> Verdict:
    """The verdict on a sheet, with `given` entries over it. Levers come from `levers.mend`, which takes longer."""
    layers: list[tuple[str, Mapping[str, Entry]]] = [("given", given)] if given else []
    layers.append((source, sheet.entries))
    build = Build.of(layers)
    stated, drawn = build.nominal(), build.drawn()
    both = [judge_one(check, build, stated, drawn) for check in CHECKS]
    parts = [doubt.explained(one.check, one.chance, margin, build, drawn) for one, margin in both]
    checks = tuple(doubt.advised(judged, part) for (judged, _), part in zip(both, parts, strict=True))
    findings = [Finding("caution", note) for note in sheet.notes]
    findings += [both_ways(clash) for clash in build.clashes] + _beside(build, stated)
    findings += [
        Finding("caution", note) for _, entries in layers for e in entries.values() for note in e.notes
    ]
    return Verdict(sheet.name, build, checks, doubt.measure_next(build, checks, parts), tuple(findings))


def _beside(build: Build, stated: Values) -> list[Finding]:
    """What no check judges and the reader must know all the same."""
    found = []
    found += _grounded(build, stated) + fuse_reading(stated)
    found += touch(stated) + over_downhill(stated)
    if "charger_voltage" in build.entered and not build.missing("voltage_full"):
        found += hot_day(stated)
    if not build.missing("top_speed"):
        wanted = float(stated["road_speed"]) if "road_speed" in build.entered else None
        found += fast(_top_speed(build, stated), wanted)
    if not build.missing("series"):
        found += [f for f in groups.findings(stated) if f.severity != "ok"]
    found += light_rider(stated) + weighed_apart(stated)
    if "emf_test" in build.entered and "field_current" in build.missing("emf_constant"):
        found.append(SPUN)
    if not build.missing("start_torque_worst", "full_torque_worst"):
        with suppress(NoSolution):  # the checks say why
            found += too_much_current(stated) + one_field(stated)
    return found


def _grounded(build: Build, stated: Values) -> list[Finding]:
    """A winding that lies on the case, or a test of it that proves nothing, while no pack is entered to judge it by."""
    if not build.missing("insulation_needed") or build.missing("insulation_resistance"):
        return []
    try:
        value = float(stated["insulation_resistance"])
    except NoSolution as none:
        return [Finding("stop", none.text, none.do)]
    if value >= LEAST_PER_VOLT * SHOCK_VOLTAGE:
        return []
    text = (
        f"{units.show(value, 'Mohm')} from winding or field to the case: too little for {SHOCK_VOLTAGE:g} V."
    )
    return [
        Finding(
            "stop", text, "Don't connect a pack. Isolate the grounded brush and the rectifier; measure again."
        )
    ]


def _top_speed(build: Build, stated: Values) -> float:
    """Top speed on the level, m/s; with sensors that fail, once they are mended, for it is no less to be feared."""
    for values in (stated, build.mended().nominal()):
        try:
            return float(values["top_speed"])
        except NoSensors:
            continue
        except NoSolution:  # the checks say why
            break
    return 0.0


def judge_one(check: Check, build: Build, stated: Values, drawn: Values) -> tuple[Judged, Any]:
    """One check judged, with its margins over the draws (None where there are none).

    `stated` and `drawn` are the build's values, shared by all checks.
    """
    missing = build.missing(*check.nodes)
    if missing:
        names = ", ".join(FIELDS[key].name for key in missing)
        do = f"{FIELDS[missing[0]].label}: {enter(missing[0])}"
        return Judged(
            check, "caution", f"Can't be told yet: enter {names}.", do, missing=tuple(missing)
        ), None
    try:
        margin = check.margin(stated)
        sample = np.broadcast_to(np.asarray(check.drawn_margin(drawn), dtype=float), (draws.N,))
    except NoSolution as none:
        if not (check.despite_sensors and isinstance(none, NoSensors)):
            return Judged(check, "stop", none.text, none.do or check.do), None
        mended = build.mended()
        judged, sample = judge_one(check, mended, mended.nominal(), mended.drawn())
        if judged.margin is None:  # something else fails as well
            return judged, sample
        return judged._replace(text=f"{judged.text} Counted as if the sensors were mended."), sample
    chance = float(np.count_nonzero(sample >= 0)) / sample.size
    severity: Severity = "ok" if chance >= OK_FROM else "stop" if chance < STOP_UNDER else "caution"
    do = "" if severity == "ok" else check.do
    told = {
        node: units.show(float(stated[node]), unit) if unit else str(stated[node])
        for node, unit in check.tells
    }
    if check.kind == "flag":
        return Judged(check, severity, check.say.format(**told), do), sample
    have, need = float(stated[check.have]), float(stated[check.need])
    say = check.below if check.below and have < 0.0 else check.say
    text = say.format(have=units.show(have, check.unit), need=units.show(need, check.unit), **told)
    rests = [FIELDS[k].name for k in build.unsaid(*check.nodes)]
    if rests:
        text += f" Usual values stand in for {rests[0] if len(rests) == 1 else f'{len(rests)} entries'}."
    if check.bound and severity != "ok":
        text += " That is the most it can be: over the limit proves nothing yet, and asks to be looked at."
        severity = "caution"
    if check.safety:
        part = doubt.explained(check, chance, sample, build, drawn)
        severity, text, do = _guarding(check, build, severity, float(margin), chance, part, text, do)
    for short in check.short:
        if severity != "stop" and _less(build, stated, short.node, short.other):
            text += f" {short.text}"
            severity, do = ("caution", short.do) if severity == "ok" else (severity, do)
    ordered = np.sort(sample)  # numpy's median and quantile would load masked arrays for it
    unsure = float(ordered[sample.size // 2] - ordered[round(sample.size * (1 - OK_FROM))])
    return Judged(check, severity, text, do, float(margin), chance, have, need, doubt=unsure), sample


def _guarding(
    check: Check,
    build: Build,
    severity: Severity,
    margin: float,
    chance: float,
    part: doubt.Explained | None,
    text: str,
    do: str,
) -> tuple[Severity, str, str]:
    """Severity, text and what to do of a check that guards somebody: no caution, and no ok on what is usual, or on a
    guess at what can be seen."""
    asked = doubt.asked(check, build, margin, chance, part)
    named = few([FIELDS[key].quoted for key in asked])
    rests = bool(build.unsaid(*check.nodes))
    if severity == "ok":
        if rests:
            return "caution", text, f"Enter {named}: a safety check can't rest on what is usual."
        guessed = [key for key in check.seen if key in build.entered and build.input(key).basis == "guess"]
        if not guessed:
            return severity, text, do
        text += f" {few([FIELDS[key].quoted for key in guessed])}: a guess."
        return (
            "caution",
            text,
            f"Measure or read it before you rely on it. {FIELDS[guessed[0]].how_to_measure}",
        )
    if margin < 0.0:
        do += f" First enter {named}." if asked else ""
    elif rests:  # it fits with what is usual: what stops it is that nobody entered more
        text += " It fits so, and can't be called safe yet."
        do = _first(f"Enter {named}.", do)
    elif asked:  # it fits as entered: what stops it is that nobody measured
        text += "".join(unsaid(build.input(key)) for key in asked)
        f = FIELDS[asked[0]]
        do = _first(f"Measure before the pack is connected: {f.name}. {f.how_to_measure}", do)
    return "stop", text, do


def _first(what: str, do: str) -> str:
    """What to do first, and what to do if that doesn't settle it; a risk of fire is said before either."""
    risk, mend = ("Fire risk. ", do.removeprefix(FIRE)) if do.startswith(FIRE) else ("", do)
    return f"{risk}{what} Still in doubt? {mend[0].upper()}{mend[1:]}"


def _less(build: Build, stated: Values, node: str, other: str) -> bool:
    """Whether a node is less than another, where both can be told."""
    if build.missing(node, other):
        return False
    try:
        return float(stated[node]) < float(stated[other])
    except NoSolution:  # the check that rests on it says why
        return False
