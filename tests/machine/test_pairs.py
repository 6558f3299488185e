"""Three unequal resistances between leads: which fault of a star or a delta makes them, against its network."""

from __future__ import annotations

import numpy as np
import pytest

from tests.machine.test_bench import answer

LEADS = ((0, 1), (1, 2), (2, 0))


def between_leads(branches: dict[tuple[int, int], float]) -> list[float]:
    """A to B, B to C, C to A by Kirchhoff's current law: node 3 is a star's middle, node 4 stands behind a bad joint in
    lead A; a branch is a resistance between two nodes."""
    nodes = sorted({n for pair in branches for n in pair})
    g = np.zeros((len(nodes), len(nodes)))
    for (one, other), ohms in branches.items():
        i, j = nodes.index(one), nodes.index(other)
        g[[i, j], [i, j]] += 1 / ohms
        g[[i, j], [j, i]] -= 1 / ohms
    found = []
    for plus, minus in LEADS:
        kept = [n for n in range(len(nodes)) if nodes[n] != minus]
        feed = np.array([1.0 if nodes[n] == plus else 0.0 for n in kept])
        volts = np.linalg.solve(g[np.ix_(kept, kept)], feed)
        found.append(float(volts[[nodes[n] for n in kept].index(plus)]))
    return found


R = 0.018
FAULTS = {
    "star, shorted turns in A": ("star", {(0, 3): 0.7 * R, (1, 3): R, (2, 3): R}),
    "star, joint in A": ("star", {(0, 3): 1.4 * R, (1, 3): R, (2, 3): R}),
    "delta, shorted turns in A-B": ("delta", {(0, 1): 0.7 * R, (1, 2): R, (0, 2): R}),
    "delta, joint in the phase A-B": ("delta", {(0, 1): 1.4 * R, (1, 2): R, (0, 2): R}),
    "delta, joint in lead A": ("delta", {(0, 4): 0.4 * R, (4, 1): R, (1, 2): R, (4, 2): R}),
    "delta, phase A-B open": ("delta", {(0, 1): 1e6 * R, (1, 2): R, (0, 2): R}),
}


@pytest.mark.parametrize(
    ("fault", "said", "unsaid"),
    [
        ("star, shorted turns in A", ("shorted turns", "that rows 1 and 3 share"), ("joint",)),
        ("star, joint in A", ("bad joint", "that rows 1 and 3 share"), ("shorted",)),
        ("delta, shorted turns in A-B", ("shorted turns", "the leads of row 1"), ()),
        ("delta, joint in the phase A-B", ("bad joint", "the leads of row 1"), ("shorted",)),
        ("delta, joint in lead A", ("bad joint", "that rows 1 and 3 share"), ()),
        ("delta, phase A-B open", ("is open", "the leads of row 1"), ("shorted",)),
    ],
)
def test_what_is_wrong_follows_from_the_network(
    fault: str, said: tuple[str, ...], unsaid: tuple[str, ...]
) -> None:
    """Rows worked out from the faulty network by Kirchhoff's law; what is told must be its fault, whatever it hides."""
    connection, branches = FAULTS[fault]
    test = "; ".join(f"{5000 * ohms:.5f} mV, 5 A" for ohms in between_leads(branches))
    cause = answer("resistance-test", resistance_test=test, connection=connection).findings[0]
    found = cause.do.split("If it stays so: ")[1]
    assert cause.severity == "caution" and all(word in found for word in said), found
    assert not any(word in found for word in unsaid), found
    both = answer("resistance-test", resistance_test=test).findings[0].do
    assert "in a star, " in both and "in a delta, " in both and all(word in both for word in said)


def test_two_high_pairs_are_compared_with_the_lowest() -> None:
    """177, 250, 250 mV is a bad joint in a star: 250/177 is 41 % above, and no pair is below anything."""
    odd = answer(
        "resistance-test", resistance_test="177 mV, 5 A; 250 mV, 5 A; 250 mV, 5 A", connection="star"
    ).findings[0]
    assert "row 2 is 41 % above" in odd.text and "row 3 is 41 % above" in odd.text
    assert "below" not in odd.text and "shorted" not in odd.do
    mixed = "177 mV, 5 A; 200 mV, 5 A; 250 mV, 5 A"
    assert "two faults" in answer("resistance-test", resistance_test=mixed).findings[0].do
