"""What the reader should know about an answer: how bad, what was found, what to do."""

from __future__ import annotations

from typing import Literal, NamedTuple

Severity = Literal["ok", "note", "caution", "stop"]
"""note: what is told and judges nothing, such as what an answer leaves out; a check of the verdict is never one."""
WORST = {"ok": 0, "note": 0, "caution": 1, "stop": 2}


class Finding(NamedTuple):
    """Something the reader should know about the answer: how bad, what was found, what to do.

    clears: entries of which one group is too many, for the page to offer to clear.
    """

    severity: Severity
    text: str
    do: str = ""
    clears: tuple[tuple[str, ...], ...] = ()
