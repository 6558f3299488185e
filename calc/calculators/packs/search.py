"""Counts of the entered cells that would do what is wanted."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.power import packing

SHOWN = 8


def search_rows(v: Values) -> list[dict[str, Any]]:
    """The fewest cells first that do all that was entered; then what comes near, with what is wrong."""

    def entered(key: str) -> float | None:
        return float(v[key]) if key in v.build.entered else None

    wish = packing.Wish(
        entered("energy_wanted"),
        float(v["greatest_pack_current"]),
        entered("controller_voltage_max"),
        entered("controller_voltage_cutoff"),
        entered("charger_voltage"),
        entered("pack_mass_limit"),
        entered("box_volume"),
    )
    cell = packing.Cell(
        v["chemistry"],
        float(v["cell_capacity"]),
        float(v["cell_resistance"]) * float(v["cold_factor"]),
        float(v["pack_lead_resistance"]),
        entered("cell_current_limit"),
        entered("cell_mass"),
        entered("cell_volume"),
        entered("cell_cost"),
    )
    return [
        {
            "series": one.series,
            "parallel": one.parallel,
            "cells": one.cells,
            "energy": one.energy,
            "full": one.full,
            "lowest": one.lowest,
            "each": one.each,
            "mass": one.mass,
            "cost": one.cost,
            "fault": one.fault,
        }
        for one in packing.options(wish, cell, float(v["reserve_charge"]), SHOWN)
    ]
