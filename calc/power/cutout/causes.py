"""The causes of a cut-out, all simulated in one situation."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from calc.power.cutout import contacts, electric
from calc.power.cutout.course import Plant, Seen, course, heat
from calc.power.cutout.outcome import Outcome, Scene
from calc.power.cutout.ranges import Hidden
from calc.standards import rows

KEYS = tuple(row["key"] for row in rows("cut_outs"))
CAUSES: dict[str, Callable[[Scene], Outcome]] = {
    "sag": electric.sag,
    "over-current": electric.over_current,
    "inrush": electric.inrush,
    "over-voltage": electric.over_voltage,
    "field": contacts.field,
    "sensor": contacts.sensor,
    "throttle": contacts.throttle,
    "stall": contacts.stall,
    "heat": electric.too_hot,
    "cells": electric.cells,
    "joint": contacts.joint,
}


def simulate(plant: Plant, hidden: Hidden, seen: Seen) -> list[Outcome]:
    """What each cause does in that situation, in the order of KEYS.

    Source: [method-power] #cut-out
    """
    run = course(plant, hidden, seen)
    held = np.maximum.accumulate(run.amps, axis=0), np.minimum.accumulate(run.volts, axis=0)
    scene = Scene(plant, hidden, seen, run, heat(plant, hidden, run), *held)
    return [CAUSES[key](scene) for key in KEYS]
