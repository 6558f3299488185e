"""How likely each cause acts in this build, and what would be seen of it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from calc.power.pack import cold_factor
from calc.quantities import Array
from calc.standards import column, rows

DOING = ("switching-on", "standing", "riding", "downhill")
BACK = ("at-once", "wait", "switching", "not", "itself")
LEAST = 0.03
"""Chance that a cause acts though the build's numbers say that it can't: they may be wrong (no source)."""


class Plant(NamedTuple):
    """What the causes are simulated with: SI. Spreads are relative, one standard deviation."""

    rested_voltage: float
    pack_resistance: float
    greatest_pack_current: float
    one_pack_current: float
    pack_current_limit: float
    controller_voltage_cutoff: float
    controller_voltage_max: float
    voltage_min: float
    inrush_current: float
    descent_peak: float
    current_spread: float = 0.15
    voltage_spread: float = 0.03


class Seen(NamedTuple):
    """One cut-out as it was seen: SI; None is not seen."""

    doing: str
    seconds: float | None = None
    comes_back: str | None = None
    throttle: float | None = None
    before: float | None = None
    during: float | None = None
    after: float | None = None
    cells: float | None = None


class Signs(NamedTuple):
    """What is seen of each cause: one entry, or one row, for each.

    prior: how often; median (s) and spread (natural logarithm) of the time; back, doing: chances; drop: volts lost in
    simulated sags; opens: chance that the pack's lead is dead after.
    """

    prior: Array
    median: Array
    spread: Array
    back: Array
    doing: Array
    drop: Array
    opens: Array


KEYS = tuple(row["key"] for row in rows("cut_outs"))


def _column(name: str) -> Array:
    return np.array(column("cut_outs", name))


def usual_signs() -> Signs:
    """The signs of the table: common practice, no source."""
    return Signs(
        _column("prior"),
        _column("median_s"),
        _column("spread_ln"),
        np.stack([_column(name) for name in BACK], axis=1),
        np.stack([_column(name) for name in DOING], axis=1),
        _column("drop"),
        _column("opens"),
    )


def _beyond(value: float, limit: float, spread: float) -> float:
    """Chance that a value of that relative spread is beyond a limit."""
    return 0.5 * math.erfc((limit - value) / (spread * max(limit, 1e-9) * math.sqrt(2.0)))


def sag(plant: Plant, seen: Seen) -> float:
    """Volts that pack and leads lose at that throttle (all of it unless told) with cells as cold as told, V.

    Source: [method-power] #cut-out
    """
    share = 1.0 if seen.throttle is None else max(seen.throttle, 0.05)
    cold = 1.0 if seen.cells is None else float(cold_factor(seen.cells))
    return plant.greatest_pack_current * share * plant.pack_resistance * cold


def acts(plant: Plant, seen: Seen) -> Array:
    """Chance that each cause acts in that situation, by its margin in this build; 1 where the build says nothing.

    Source: [method-power] #cut-out
    """
    share = 1.0 if seen.throttle is None else seen.throttle
    open_volts = plant.rested_voltage if seen.before is None else seen.before
    loaded = open_volts - sag(plant, seen)
    warm = open_volts - plant.greatest_pack_current * share * plant.pack_resistance
    volts = plant.voltage_spread
    chance = {
        "sag": 1.0 - _beyond(loaded, plant.controller_voltage_cutoff, volts),
        "over-current": _beyond(
            plant.one_pack_current * share, plant.pack_current_limit, plant.current_spread
        ),
        "inrush": _beyond(plant.inrush_current, 2.0 * plant.pack_current_limit, 0.5),
        "over-voltage": _beyond(plant.descent_peak, plant.controller_voltage_max, 2.0 * volts),
        # a weak group: as if the cells had half as much resistance again
        "cells": 1.0 - _beyond(1.5 * loaded - 0.5 * max(warm, loaded), plant.voltage_min, 2.0 * volts),
    }
    return np.array([LEAST + (1.0 - LEAST) * chance.get(key, 1.0) for key in KEYS])


def volts_during(plant: Plant, seen: Seen, signs: Signs) -> tuple[Array, Array]:
    """Mean and spread of the volts during the cut-out for each cause, V.

    Sag ends at the controller's cut-off and over-voltage at its ceiling; the others lose so many simulated sags.

    Source: [method-power] #cut-out
    """
    start = plant.rested_voltage if seen.before is None else seen.before
    lost = sag(plant, seen)
    mean = np.maximum(start - signs.drop * lost, 0.0)
    mean[KEYS.index("sag")] = plant.controller_voltage_cutoff
    mean[KEYS.index("over-voltage")] = plant.controller_voltage_max
    known = plant.voltage_spread if seen.before is not None else 2.0 * plant.voltage_spread
    return mean, np.hypot(0.3 * signs.drop * lost, known * np.maximum(mean, start))
