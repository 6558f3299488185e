"""What is derived from what. Each step is a formula; its arguments are fields or other steps, by name.

A formula's own parameter names are its arguments unless a step says otherwise. A quantity of the registry that
stands here too (total mass, gear ratio) is derived when it isn't entered. A test sorts the graph and finds no
cycle but the one between the two ways to give a pack's capacity, of which only one is ever taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Step:
    """One derivation: `function` called with the nodes named in `arguments`."""

    function: Callable[..., Any]
    arguments: tuple[str, ...]


def step(function: Callable[..., Any], **renamed: str) -> Step:
    """A step whose arguments are the function's parameters; `renamed` gives some from other nodes."""
    code = function.__code__
    names = code.co_varnames[: code.co_argcount]
    return Step(function, tuple(renamed.get(name, name) for name in names))
