"""Counts of the entered cells that would do what is wanted."""

from __future__ import annotations

from typing import Any

from calc.build import Values
from calc.calculators.packs import box
from calc.power import packing

SHOWN = 8
ASKING = ("energy_wanted", "controller_voltage_max", "controller_voltage_cutoff")
"""Without any of these nothing asks for a number of cells: one alone would do."""


def search_rows(v: Values) -> list[dict[str, Any]] | None:
    """The fewest cells first that do all that was entered; then what comes near, with what is wrong. None where nothing
    asks for a number of cells."""
    if not set(ASKING) & v.build.entered.keys():
        return None

    def entered(key: str) -> float | None:
        return float(v[key]) if key in v.build.entered else None

    room, one = box.volumes(v)
    wish = packing.Wish(
        entered("energy_wanted"),
        float(v["greatest_pack_current"]),
        entered("controller_voltage_max"),
        entered("controller_voltage_cutoff"),
        entered("charger_voltage"),
        entered("pack_mass_limit"),
        room,
        box.holds(v),
    )
    cell = packing.Cell(
        v["chemistry"],
        float(v["cell_capacity"]),
        float(v["cell_resistance"]) * float(v["cold_factor"]),
        float(v["pack_lead_resistance"]),
        entered("cell_current_limit"),
        entered("cell_mass"),
        one,
        entered("cell_cost"),
    )
    return [
        {
            "series": found.series,
            "parallel": found.parallel,
            "cells": found.cells,
            "energy": found.energy,
            "full": found.full,
            "lowest": found.lowest,
            "each": found.each,
            "mass": found.mass,
            "cost": found.cost,
            "fault": found.fault,
        }
        for found in packing.options(wish, cell, float(v["reserve_charge"]), SHOWN)
    ]
