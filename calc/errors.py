"""The two ways in which an answer can fail without a fault of ours."""

from __future__ import annotations

from typing import NamedTuple


class Problem(NamedTuple):
    """One thing wrong with what was entered.

    `field` is the registry key (or '' when no field is at fault), `label` what the reader knows it by,
    `text` one or two sentences: what was given, what is allowed, what to do.
    """

    field: str
    label: str
    text: str

    def sentence(self) -> str:
        return f"{self.label}: {self.text}" if self.label else self.text


class InputError(ValueError):
    """Input that can't be used. Carries every problem at once, so that nobody mends them one by one."""

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(p.sentence() for p in self.problems))


class NoSolution(Exception):
    """The physics has no answer for this input. The message says why, in the reader's words.

    `do` says what to change.
    """

    def __init__(self, text: str, do: str = "") -> None:
        self.text, self.do = text, do
        super().__init__(text)


class NoSensors(NoSolution):
    """The sensors give no usable pattern: what depends on them can still be told as if they were mended."""
