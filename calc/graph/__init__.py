"""What is derived from what. Each step is a formula; its arguments are fields or other steps, by name.

A formula's own parameter names are its arguments unless the step renames them. A quantity of the registry that
stands here too (total mass, gear ratio) is derived when it isn't entered. A test sorts the graph and finds no
cycle but the one between the two ways to give a pack's capacity, of which only one is ever taken.
"""

from __future__ import annotations

from calc.graph import drive, machine, power, ride, vehicle
from calc.graph.model import Step, alias, step

__all__ = ["GRAPH", "WHEN_ENTERED", "Step", "alias", "step"]

_CHAPTERS = (vehicle, power, machine, drive, ride)

GRAPH: dict[str, Step] = {node: made for chapter in _CHAPTERS for node, made in chapter.STEPS.items()}

# Steps that take the place of others once a field is entered: a route is walked, and its classes are the ride's rows.
WHEN_ENTERED: dict[str, dict[str, Step]] = {
    key: steps for chapter in _CHAPTERS for key, steps in chapter.WHEN_ENTERED.items()
}
