"""What bars a printed sheet: the checks of the verdict that have to hold before somebody signs it."""

from __future__ import annotations

from typing import NamedTuple

from calc.checks import CHECKS, Judged
from calc.verdict import Verdict

# Groups of checks; each holds what can be told before that step: no sheet waits for what only a later one gives.
_PACK = ("guarded", "overcharge", "run-flat", "fuse-voltage", "fuse-breaks")
_CHARGE = ("charger", "charger-kind", "charge-lead", "charge-port", "charge-current")
_POWER = (
    *("pack-high", "cell-current", "conductor", "fuse-guards", "fuse-short", "insulation", "sensors"),
    *("precharge", "precharge-power", "precharge-pulse", "switch-make", "switch-break", "bus-rise"),
    *("field-supply", "field-heat"),
)
_ROLL = (
    *("brakes", "second-brake", "brake-heat", "parking", "stoppable", "guard", "electric-brake"),
    *("chain", "joint", "shaft", "mount", "backwards", "side-slope", "bend", "overspeed", "descent-charge"),
    *("start", "slope", "grip", "pack-current", "pack-low", "protection", "rolling-back", "steering"),
)


class Bar(NamedTuple):
    """What bars a sheet. word: what is not to be done before; checks: a stop of one of them bars it, and a check of
    safety among them that waits for entries; ok: those that bar it until they are ok, a caution isn't enough."""

    word: str
    checks: tuple[str, ...]
    ok: tuple[str, ...] = ()

    def stopped(self, j: Judged) -> bool:
        """Whether there is something to mend first."""
        if j.check.id not in self.checks or j.missing:
            return False
        return j.severity == "stop" or (j.check.id in self.ok and j.severity != "ok")

    def waits(self, j: Judged) -> bool:
        """Whether something that guards isn't judged yet."""
        return j.check.id in self.checks and j.check.safety and bool(j.missing)


BARS = {
    # A charger a little over full is a caution; it isn't joined all the same until it is turned down.
    "charging": Bar("charged", (*_PACK, *_CHARGE), ok=("charger",)),
    # Under 1 MΩ, or one winding read only: no pack before it is measured again.
    "first-power": Bar("powered", (*_PACK, *_POWER), ok=("insulation",)),
    "first-roll": Bar("ridden", (*_PACK, *_POWER, *_ROLL)),
    "hand-over": Bar("handed over", tuple(check.id for check in CHECKS)),
    "monthly-check": Bar("ridden", (*_PACK, *_POWER, *_ROLL)),
}
"""By the sheet's name; nothing bars the other sheets. A stop that is told beside the checks bars all of these."""


def _of(name: str) -> list[Bar]:
    """What bars that sheet, or every bar for one that nothing bars."""
    return [BARS[name]] if name in BARS else list(BARS.values())


def stops(v: Verdict, name: str = "") -> list[str]:
    """The name of each thing to mend before that sheet, those of safety first; without a sheet's name before any."""
    stopped = sorted(
        (j for j in v.checks if any(bar.stopped(j) for bar in _of(name))), key=lambda j: not j.check.safety
    )
    return [j.check.title for j in stopped] + [f.text.rstrip(".") for f in v.findings if f.severity == "stop"]


def unjudged(v: Verdict, name: str = "") -> list[str]:
    """The name of each check of safety that has to be judged before that sheet; without a name before any."""
    return [j.check.title for j in v.checks if any(bar.waits(j) for bar in _of(name))]


def words(v: Verdict, name: str = "") -> list[str]:
    """What is not to be done before it is mended: by that sheet, or by every sheet that a stop bars."""
    if name in BARS:
        return [BARS[name].word]
    return list(dict.fromkeys(bar.word for one, bar in BARS.items() if stops(v, one)))
