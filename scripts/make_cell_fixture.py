"""Asks an independent library of battery models for rested cells and for cells under load.

Writes calc/standards/ocv_pybamm_26_10_1_1.csv and tests/power/cells_pybamm.json. The library is no part of the
project's environment. In a throw-away one:

    python -m venv build/pybamm && build/pybamm/bin/pip install pybamm==26.10.1.1
    build/pybamm/bin/python scripts/make_cell_fixture.py

Rested: the electrode potentials of each parameter set at the set's reference temperature, stoichiometries in straight
lines between the set's empty and full. Under load: single particle model with electrolyte (SPMe), isothermal at 25 °C,
Chen2020 discharged from full to its lower limit, and the volts that it has lost ten seconds after a load of 1C is
switched on. Nothing of calc is in it. Takes a minute.
"""

from __future__ import annotations

import json
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
import pybamm

ROOT = Path(__file__).resolve().parent.parent
CURVES = ROOT / "calc" / "standards" / "ocv_pybamm_26_10_1_1.csv"
LOADED = ROOT / "tests" / "power" / "cells_pybamm.json"
SETS = {"lfp": "Prada2013", "nmc": "Chen2020", "nca": "NCA_Kim2011", "lco": "Ai2020"}
HEAD = """\
# Open-circuit voltage by state of charge, PyBaMM 26.10.1.1, scripts/make_cell_fixture.py: electrode potentials at \
stoichiometries in straight lines between the 0 % and 100 % limits of each set, reference temperature of the set
# Prada2013: 2.3 Ah LFP/graphite (LFP of Afshar 2017, graphite of Chen 2020, as coded). Chen2020: 5 Ah \
NMC 811/graphite-SiOx. NCA_Kim2011: 0.43 Ah NCA/graphite. Ai2020: 2.28 Ah LCO/graphite pouch, curves by interpolation
"""
RATES = (0.2, 0.5, 1.0, 2.0)
CHARGES = tuple(round(0.05 * n, 2) for n in range(20, -1, -1))


def rested(name: str) -> list[float]:
    """Volts at 0, 5, ... 100 % of charge."""
    values, sides = pybamm.ParameterValues(name), pybamm.LithiumIonParameters()
    empty, full = (
        np.array(pybamm.lithium_ion.get_initial_stoichiometries(charge, values)[:2]) for charge in (0.0, 1.0)
    )
    kelvin = values["Reference temperature [K]"]
    volts = []
    for charge in reversed(CHARGES):
        negative, positive = (pybamm.Scalar(float(x)) for x in empty + charge * (full - empty))
        told = [
            values.evaluate(side.prim.U(x, kelvin)) for side, x in ((sides.p, positive), (sides.n, negative))
        ]
        volts.append(float(np.ravel(told[0])[0] - np.ravel(told[1])[0]))
    return volts


def capacity(values: Any) -> float:
    """Charge between the set's empty and full, Ah."""
    empty, full = (pybamm.lithium_ion.get_initial_stoichiometries(c, values)[0] for c in (0.0, 1.0))
    return float((full - empty) * values.evaluate(pybamm.LithiumIonParameters().n.Q_init))


def solved(values: Any, steps: list[str], start: float, period: str) -> Any:
    simulation = pybamm.Simulation(
        pybamm.lithium_ion.SPMe(),
        parameter_values=values,
        experiment=pybamm.Experiment([tuple(steps)], period=period),
    )
    return simulation.solve(initial_soc=start).cycles[0].steps


def under_load(values: Any, nominal: float, least: float, rate: float) -> dict[str, Any]:
    """A discharge from full: charge and energy given, volts where 95, 90, ... % of the set's charge is left."""
    amps = rate * nominal
    step = solved(values, [f"Discharge at {amps:.6g} A until {least} V"], 1.0, f"{36 / rate:g} seconds")[0]
    time, volts = (np.asarray(step[key].entries) for key in ("Time [s]", "Terminal voltage [V]"))
    time = time - time[0]
    given = amps * time / 3600.0
    left = 1.0 - given / capacity(values)
    shown = [charge for charge in CHARGES if charge < 1.0 and charge > left[-1]]
    return {
        "rate": rate,
        "amps": amps,
        "given_Ah": float(given[-1]),
        "given_Wh": float(np.trapezoid(volts, given)),
        "left": shown,
        "volts": [float(np.interp(-charge, -left, volts)) for charge in shown],
    }


def resistance(values: Any, nominal: float, start: float) -> float:
    """Volts lost ten seconds after 1C is switched on, per ampere."""
    steps = solved(
        values, ["Rest for 1 second", f"Discharge at {nominal:.6g} A for 10 seconds"], start, "1 second"
    )
    before, after = (np.asarray(step["Terminal voltage [V]"].entries)[-1] for step in steps)
    return float((before - after) / nominal)


def main() -> None:
    pybamm.set_logging_level("ERROR")
    columns = {f"{kind}_{name.lower().replace('nca_', '')}_V": rested(name) for kind, name in SETS.items()}
    lines = [f"soc,{','.join(columns)}"]
    for number, charge in enumerate(reversed(CHARGES)):
        cells = (f"{round(volts[number], 4):g}" for volts in columns.values())
        lines.append(f"{charge},{','.join(cells)}")
    CURVES.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")

    values = pybamm.ParameterValues("Chen2020")
    nominal, least = (
        float(values[key]) for key in ("Nominal cell capacity [A.h]", "Lower voltage cut-off [V]")
    )
    found = {
        "pybamm": version("pybamm"),
        "script": "scripts/make_cell_fixture.py",
        "model": "SPMe, isothermal, 25 °C, Chen2020",
        "capacity_Ah": capacity(values),
        "limits": {
            kind: [
                float(pybamm.ParameterValues(name)[f"{end} voltage cut-off [V]"])
                for end in ("Lower", "Upper")
            ]
            for kind, name in SETS.items()
        },
        "resistance": [
            {"left": start, "ohm": resistance(values, nominal, start)} for start in (0.2, 0.5, 0.8)
        ],
        "discharges": [under_load(values, nominal, least, rate) for rate in RATES],
    }
    LOADED.write_text(json.dumps(rounded(found), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def rounded(value: Any) -> Any:
    """Numbers to seven digits."""
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return float(f"{value:.7g}") if isinstance(value, float) else value


if __name__ == "__main__":
    main()
