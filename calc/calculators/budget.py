"""What the build costs."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.figures.budget import shares
from calc.findings import Finding
from calc.spec import Calculator, Column, Report, Result
from calc.units import plain, show

_OF = {"bought": "bought", "needed": "still needed", "idea": "an idea"}


def _sum(v: Values, *states: str) -> float:
    return float(sum(price for _, price, state, *_ in v["cost"] if state in states))


def _mass(v: Values) -> float:
    return float(sum(mass or 0.0 for _, _, state, mass, _ in v["cost"] if state == "needed"))


def _parts(v: Values) -> list[dict[str, Any]]:
    """What is bought and needed, dearest first, then the ideas."""
    whole = _sum(v, "bought", "needed")
    rows = sorted(v["cost"], key=lambda row: (row[2] == "idea", -row[1]))
    return [
        {
            "item": item,
            "price": price,
            "share": None if state == "idea" or not whole else price / whole,
            "state": _OF[state],
        }
        for item, price, state, *_ in rows
    ]


def _budget(v: Values) -> Report:
    bought, needed, ideas = (_sum(v, state) for state in ("bought", "needed", "idea"))
    parts = _parts(v)
    found = []
    if v["cost"] and bought + needed > 0.0 and parts[0]["share"] > 0.5:
        found.append(
            Finding(
                "note",
                f"{parts[0]['item']} alone is {show(parts[0]['share'], 'percent', 2)} of it.",
                "Ask twice whether it fits before you pay: the verdict on the build sheet says so on paper.",
            )
        )
    untold = [item for item, _, state, _, changes in v["cost"] if state == "idea" and not changes]
    if untold:
        found.append(
            Finding(
                "caution",
                f"Nothing says what it would change: {', '.join(untold)}.",
                "Write it as field=value in the last column; then what it buys is told where builds are compared.",
            )
        )
    if not any("brake" in item.lower() for item, *_ in v["cost"]):
        found.append(
            Finding(
                "caution",
                "No brake is on the list.",
                "Two independent brakes, guards, fuse and emergency stop come before anything faster or stronger.",
            )
        )
    return Report(
        plain(bought + needed, 6),
        f"in all, {plain(needed, 6)} of it still to be paid"
        + (f"; ideas for {plain(ideas, 6)} more" if ideas else ""),
        "What is bought and what is needed, added up; ideas are not. Prices are in your own money.",
        tuple(found),
        (lambda uid: shares(uid, parts),) if bought + needed > 0.0 else (),
    )


BUDGET = Calculator(
    id="budget",
    title="What it costs",
    chapter="decide",
    question="What does it cost, and what is still to be paid?",
    asks=("cost",),
    gives=(
        Result("total", "Bought and needed", made=lambda v: _sum(v, "bought", "needed")),
        Result("needed", "Still to be paid", made=lambda v: _sum(v, "needed")),
        Result("ideas", "Ideas", made=lambda v: _sum(v, "idea")),
        Result("mass", "Mass still to come", "kg", made=_mass),
        Result(
            "parts",
            "Dearest first",
            columns=(
                Column("item", "Part"),
                Column("price", "Price"),
                Column("share", "Of the whole", "percent"),
                Column("state", "State"),
            ),
            made=_parts,
        ),
    ),
    report=_budget,
    reads=("cost",),
)
