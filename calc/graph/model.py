"""What a step of the graph is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple


class Step(NamedTuple):
    """One derivation: `function` called with the nodes in `arguments`, and with the constants in `fixed`.

    parameters: what the function calls them, in the same order.
    entered: arguments that somebody must have entered, because a usual value would tell nothing.
    spread: the node that says how far the result may be off, as a share of it: what a table of readings leaves open.
    stands_in: it stands for an entry that nobody made, and says no more of this build than a usual value.
    stated: too slow for thousands of draws: worked out at the stated values alone, single ones, and used for all.
    """

    function: Callable[..., Any]
    arguments: tuple[str, ...]
    parameters: tuple[str, ...]
    fixed: tuple[tuple[str, float], ...] = ()
    entered: tuple[str, ...] = ()
    spread: str = ""
    stated: bool = False
    stands_in: bool = False

    def __call__(self, values: Sequence[Any]) -> Any:
        """The result for the arguments' values, in order."""
        return self.function(**dict(zip(self.parameters, values, strict=True)), **dict(self.fixed))


def step(function: Callable[..., Any], **given: str | float) -> Step:
    """A step whose arguments are the function's parameters; `given` names another node or a constant for some."""
    fixed = tuple((name, value) for name, value in given.items() if not isinstance(value, str))
    code = getattr(function, "__wrapped__", function).__code__  # also of a cached one
    constant = {name for name, _ in fixed}
    names = tuple(name for name in code.co_varnames[: code.co_argcount] if name not in constant)
    return Step(function, tuple(str(given.get(name, name)) for name in names), names, fixed)


def alias(node: str) -> Step:
    """A step that passes another node on under its own name."""
    return step(lambda value: value, value=node)
