"""What a check of the whole build is, and its judgement."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np

from calc.build import Values
from calc.findings import Severity

OK_FROM, STOP_UNDER = 0.95, 0.5
"""The chance from which a check is ok, and under which it is a stop (a choice)."""


class Short(NamedTuple):
    """What is no stop and yet not good: a node that is less than another, what that means, and what to do."""

    node: str
    other: str
    text: str
    do: str


class Check(NamedTuple):
    """One check: `have` and `need` are nodes of the graph.

    kind: floor (have at least need), ceiling (have at most need) or flag (have must be true). safety: a shortfall
    can hurt somebody, so anything but near certainty is a stop, and a check that rests on usual values is never ok.
    say: what have and need are, with {have}, {need} and the nodes of `tells`, each with its unit (none: it is text).
    do: what to do when it isn't ok. despite_sensors: where the sensors give no usable pattern, judge as if they were
    mended; the checks of start and sensors stop for them. decided_by: two other nodes that have the same order as have
    and need and cost less to draw. below: said instead of `say` where have is less than nothing. short: where it is
    short of good by one of these it is no more than a caution. seen: fields that somebody must have measured or read;
    one that counts as a guess leaves no more than a caution. bound: have is the worst that can be, so that over the
    limit it proves nothing: a caution, never a stop.
    """

    id: str
    title: str
    have: str
    need: str
    kind: Literal["floor", "ceiling", "flag"]
    unit: str
    say: str
    do: str
    safety: bool = False
    despite_sensors: bool = False
    tells: tuple[tuple[str, str], ...] = ()
    decided_by: tuple[str, str] | None = None
    below: str = ""
    short: tuple[Short, ...] = ()
    seen: tuple[str, ...] = ()
    bound: bool = False

    @property
    def nodes(self) -> tuple[str, ...]:
        return (self.have, self.need) if self.need else (self.have,)

    def margin(self, values: Values) -> Any:
        """(have − need)/need for a floor, (limit − value)/limit for a ceiling, ±1 for a flag."""
        if self.kind == "flag":
            return np.where(np.asarray(values[self.have], dtype=float) > 0, 1.0, -1.0)
        return self._margin(values[self.have], values[self.need])

    def drawn_margin(self, values: Values) -> Any:
        """The margin over the draws, or one of the same sign where `decided_by` says how."""
        return (
            self._margin(*(values[node] for node in self.decided_by))
            if self.decided_by
            else self.margin(values)
        )

    def _margin(self, have: Any, need: Any) -> Any:
        return (have - need) / need if self.kind == "floor" else (need - have) / need


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
