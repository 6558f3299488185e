"""What one cell does: voltage window, open-circuit voltage, energy per charge."""

from __future__ import annotations

from functools import cache
from typing import Literal

import numpy as np

from calc import standards
from calc.quantities import Array, Fraction, Volt

_CURVES = {
    "lfp": "lfp_prada2013_V",
    "nmc": "nmc_chen2020_V",
    "nca": "nca_kim2011_V",
    "lco": "lco_ai2020_V",
}
CHEMISTRIES = tuple(_CURVES)


def window(chemistry: str) -> tuple[float, float, float]:
    """Least, nominal and full voltage of one cell, V; `chemistry` is one of CHEMISTRIES.

    Validity: the usual window of makers' sheets. The cell's own sheet goes before it.

    Source: [cell-sheets] LFP: 2.5 to 3.65 V, nominal 3.2; 18650 lithium-ion: cut-off 2.5, nominal 3.6, full 4.20.
    [pybamm] least of NCA and LCO: 2.7 and 3.0 V, limits of the sets
    """
    row = _limits(chemistry)
    return float(row["least_V"]), float(row["nominal_V"]), float(row["full_V"])


def temperatures(chemistry: str, work: Literal["charge", "discharge"]) -> tuple[float, float]:
    """Temperatures of the cell itself, K, from and to which it may be charged or discharged.

    Validity: the usual limits of makers' sheets; a cell of cold-proof make has its own. Charging below the first
    plates lithium, which can short the cell later.

    Source: [cell-sheets] charge at 0 to 45 °C, discharge at -20 to 60 °C
    """
    row = _limits(chemistry)
    return float(row[f"{work}_from_degC"]) + 273.15, float(row[f"{work}_to_degC"]) + 273.15


def _limits(chemistry: str) -> dict[str, str]:
    return next(row for row in standards.rows("cell_windows") if row["chemistry"] == chemistry)


@cache
def _curve(chemistry: str) -> tuple[Array, Array, Array]:
    """Knots of state of charge and voltage, and the area under the curve from each knot to full."""
    charge = np.array(standards.column("ocv_pybamm_26_10_1_1", "soc"))
    voltage = np.array(standards.column("ocv_pybamm_26_10_1_1", _CURVES[chemistry]))
    pieces = np.diff(charge) * (voltage[:-1] + voltage[1:]) / 2.0
    above = np.append(np.cumsum(pieces[::-1])[::-1], 0.0)
    return charge, voltage, above


def open_circuit_voltage(chemistry: str, state_of_charge: Fraction) -> Volt:
    """Rested voltage of one cell at a state of charge (0..1), V, about 25 °C; straight lines between knots.

    Validity: one parameter set per chemistry; cells of the same kind differ by some 20 mV on the flat part,
    more below 10 %. LFP is so flat between 40 % and 95 % that voltage is no fuel gauge.

    Source: [pybamm] Prada2013 (LFP), Chen2020 (NMC), NCA_Kim2011, Ai2020 (LCO), electrode potentials at 5 % steps
    """
    charge, voltage, _ = _curve(chemistry)
    return np.interp(state_of_charge, charge, voltage)


def voltage_above(chemistry: str, reserve_charge: Fraction) -> Volt:
    """Open-circuit voltage integrated over charge from `reserve_charge` to full, V (per unit of capacity).

    Times capacity it is the energy that the cell gives from full down to the reserve, before resistance.

    Source: [pybamm] the same sets, integrated exactly between the knots
    """
    charge, voltage, above = _curve(chemistry)
    start = np.clip(reserve_charge, 0.0, 1.0)
    piece = np.clip(np.searchsorted(charge, start, side="left"), 1, charge.size - 1)
    mean = (open_circuit_voltage(chemistry, start) + voltage[piece]) / 2.0
    return above[piece] + mean * (charge[piece] - start)
