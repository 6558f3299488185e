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

from calc import draws, units
from calc.build import Build, Values, enter
from calc.calculators.charging import balance
from calc.checks import CHECKS, Check
from calc.entries import Entry
from calc.errors import NoSensors, NoSolution
from calc.fields import FIELDS
from calc.findings import WORST, Finding, Severity
from calc.machine.bench import LEAST_PER_VOLT
from calc.power.limits import SHOCK_VOLTAGE
from calc.sheet import Sheet
from calc.told import both_ways, fast, unsaid
from calc.told.machine import one_field, too_much_current
from calc.told.power import fuse_reading, hot_day, over_full, touch

OK_FROM, STOP_UNDER = 0.95, 0.5


class Judged(NamedTuple):
    """A check with its judgement. margin and chance are None where something is missing, or for a yes or no.

    doubt: how far the margin may fall short of its stated value, in 19 of 20 draws.
    """

    check: Check
    severity: Severity
    text: str
    do: str
    margin: float | None = None
    chance: float | None = None
    have: float | None = None
    need: float | None = None
    missing: tuple[str, ...] = ()
    lever: Lever | None = None
    doubt: float = 0.0


class Lever(NamedTuple):
    """The smallest single change that makes a check ok and leaves no other worse."""

    field: str
    value: float
    text: str


class Verdict(NamedTuple):
    """The judgement of a whole build. measure_next: (field, share or None), the best to add or measure first."""

    name: str
    build: Build
    checks: tuple[Judged, ...]
    measure_next: tuple[tuple[str, float | None], ...]
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
    findings = [Finding("caution", note) for note in sheet.notes]
    findings += [both_ways(clash) for clash in build.clashes] + _beside(build, stated)
    findings += [
        Finding("caution", note) for _, entries in layers for e in entries.values() for note in e.notes
    ]
    checks = tuple(judged for judged, _ in both)
    return Verdict(sheet.name, build, checks, _measure_next(build, drawn, both), tuple(findings))


def _beside(build: Build, stated: Values) -> list[Finding]:
    """What no check judges and the reader must know all the same."""
    found = []
    found += _grounded(build, stated) + fuse_reading(stated)
    found += touch(stated)
    if "charger_voltage" in build.entered and not build.missing("voltage_full"):
        limit = float(stated["charge_voltage_limit"])
        found += over_full(build.input("charger_voltage"), float(stated["voltage_full"]), limit)
        found += hot_day(stated)
    if not build.missing("top_speed"):
        wanted = float(stated["road_speed"]) if "road_speed" in build.entered else None
        found += fast(_top_speed(build, stated), wanted)
    if not build.missing("series"):
        found += [f for f in balance.findings(stated) if f.severity == "stop"]
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
    if check.bound and severity == "stop":
        severity = "caution"
    if check.safety:
        severity, text, do = _guarding(check, build, severity, float(margin), text, do)
    if check.given and _less(build, stated, *check.given[:2]):
        text += f" {check.given[2]}"
        severity = "caution" if severity == "ok" else severity
    ordered = np.sort(sample)  # numpy's median and quantile would load masked arrays for it
    doubt = float(ordered[sample.size // 2] - ordered[round(sample.size * (1 - OK_FROM))])
    return Judged(check, severity, text, do, float(margin), chance, have, need, doubt=doubt), sample


def _guarding(
    check: Check, build: Build, severity: Severity, margin: float, text: str, do: str
) -> tuple[Severity, str, str]:
    """Severity, text and what to do of a check that guards somebody: no caution, and no ok on what is usual."""
    rests = ", ".join(FIELDS[key].name for key in build.unsaid(*check.nodes))
    if severity == "ok":
        if not rests:
            return severity, text, do
        return "caution", text, f"Enter {rests}: a safety check can't rest on what is usual."
    guesses = [key for key in build.leaves(*check.nodes) if unsaid(build.input(key))]
    if margin >= 0.0 and rests:  # it fits with what is usual: what stops it is that nobody entered more
        text += " It fits so, and can't be called safe yet."
        do = f"Enter {rests}. Still in doubt? {do}"
    elif rests:
        do = f"{do} First enter {rests}."
    elif margin >= 0.0 and guesses:  # it fits as entered: what stops it is that nobody measured
        text += "".join(unsaid(build.input(key)) for key in guesses)
        f = FIELDS[guesses[0]]
        do = f"Measure before the pack is connected: {f.name}. {f.how_to_measure} Still in doubt? {do}"
    return "stop", text, do


def _less(build: Build, stated: Values, node: str, other: str) -> bool:
    """Whether a node is less than another, where both can be told."""
    if build.missing(node, other):
        return False
    try:
        return float(stated[node]) < float(stated[other])
    except NoSolution:  # the check that rests on it says why
        return False


def _matters(check: Check, build: Build, key: str) -> bool:
    """Whether another choice, or the other end of a count's usual range, moves the check's margin."""
    f, now = FIELDS[key], build.input(key).value
    others: list[Any] = [value for value, _ in f.choices]
    others += [f.si(end) for end in f.usual] if isinstance(f.usual, tuple) else []
    try:
        margins = {round(float(check.margin(build.nominal(**{key: other}))), 9) for other in [now, *others]}
    except NoSolution:
        return True
    return len(margins) > 1


def _measurable(build: Build, key: str) -> bool:
    """Whether what a field is measured on is there yet: no sensor can be tried before it is chosen and placed."""
    return not FIELDS[key].after or FIELDS[key].after in build.entered


def _measure_next(
    build: Build, drawn: Values, checks: list[tuple[Judged, Any]]
) -> tuple[tuple[str, float | None], ...]:
    """What to measure or add first: guessed choices and counts, then numbers by their share, then what is missing.

    A number's share is how much of the doubt in the checks it explains: r² between its draws and each margin,
    weighted by p(1 − p), which is largest where the check could go either way.
    """
    first: list[str] = []
    shares: dict[str, float] = {}
    for judged, margin in checks:
        if margin is None:
            continue
        chance = 1.0 if judged.chance is None else judged.chance
        weight, spread = chance * (1 - chance), float(np.std(margin))
        for key in build.leaves(*judged.check.nodes):
            item = build.input(key)
            if not item.guessed or not _measurable(build, key):
                continue
            if FIELDS[key].kind != "number":
                if judged.severity != "ok" and _matters(judged.check, build, key):
                    first.append(key)
                continue
            sample = np.broadcast_to(np.asarray(drawn[key], dtype=float), margin.shape)
            if weight > 0 and spread > 0 and float(np.std(sample)) > 0:
                shares[key] = shares.get(key, 0.0) + weight * float(np.corrcoef(sample, margin)[0, 1]) ** 2
    total = sum(shares.values())
    ranked = sorted(shares, key=lambda key: -shares[key])
    # What a check of safety waits for comes first.
    last = [
        key for judged, _ in sorted(checks, key=lambda one: not one[0].check.safety) for key in judged.missing
    ]
    named: dict[str, float | None] = dict.fromkeys(first)
    named |= {key: shares[key] / total for key in ranked if shares[key] / total >= 0.01}
    return tuple((named | {key: None for key in last if key not in named}).items())
