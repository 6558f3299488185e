"""From what was seen to how likely each cause is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from calc.power.cutout.model import BACK, DOING, Plant, Seen, Signs, acts, usual_signs, volts_during
from calc.quantities import Array

SURE = 0.5
"""Below this likelihood of the first nothing is named (common practice, no source)."""
STRANGE = -8.0
"""Below this logarithm for one row, against the best that a cause could show, nothing fits (about four spreads)."""


class Weighed(NamedTuple):
    """likelihood: of each cause. signs: for each row, by kind of sign, how well each cause explains it: the
    logarithm against the best that it could show. acts: chance by the build."""

    likelihood: Array
    signs: tuple[dict[str, Array], ...]
    acts: Array

    @property
    def fits(self) -> bool:
        """Whether some cause explains every row."""
        worst = np.min([sum(row.values(), np.zeros(len(self.acts))) for row in self.signs], axis=0)
        return bool(worst[int(np.argmax(self.likelihood))] > STRANGE)


def _row(plant: Plant, seen: Seen, signs: Signs) -> tuple[Array, dict[str, Array]]:
    """Logarithm of the density of what was seen for each cause, and each sign of it against its best."""
    told = {"doing": np.log(signs.doing[:, DOING.index(seen.doing)])}
    total = told["doing"].copy()
    best = {"doing": np.log(signs.doing.max(axis=1))}
    if seen.seconds is not None:
        far = np.log(seen.seconds / signs.median) / signs.spread
        told["time"], best["time"] = -0.5 * far**2, np.zeros(len(far))
        total += told["time"] - np.log(signs.spread)
    if seen.comes_back is not None:
        told["back"] = np.log(signs.back[:, BACK.index(seen.comes_back)])
        best["back"] = np.log(signs.back.max(axis=1))
        total += told["back"]
    if seen.during is not None:
        mean, spread = volts_during(plant, seen, signs)
        told["volts"], best["volts"] = -0.5 * ((seen.during - mean) / spread) ** 2, np.zeros(len(mean))
        total += told["volts"] - np.log(spread)
    if seen.after is not None:
        dead = seen.after < 0.5 * plant.rested_voltage
        told["after"] = np.log(signs.opens if dead else 1.0 - signs.opens)
        best["after"] = np.log(np.maximum(signs.opens, 1.0 - signs.opens))
        total += told["after"]
    return total, {kind: told[kind] - best[kind] for kind in told}


def weigh(plant: Plant, rows: Sequence[Seen], signs: Signs | None = None) -> Weighed:
    """How likely each cause is, one cause behind all rows, rows independent: Bayes.

    Source: [method-power] #cut-out
    """
    signs = signs or usual_signs()
    able = np.mean([acts(plant, seen) for seen in rows], axis=0)
    score = np.log(signs.prior * able)
    kinds = []
    for seen in rows:
        total, told = _row(plant, seen, signs)
        score = score + total
        kinds.append(told)
    weight = np.exp(score - score.max())
    return Weighed(weight / weight.sum(), tuple(kinds), able)
