"""Asks an independent library of battery models and writes tests/power/charge_pybamm.json.

The library is no part of the project's environment. In a throw-away one:

    python -m venv build/pybamm && build/pybamm/bin/pip install pybamm==26.10.1.1
    build/pybamm/bin/python scripts/make_charge_fixture.py

Single particle model with electrolyte (SPMe), isothermal at 25 °C, parameter sets as they come. Charged at a constant
current to the upper limit of the set, then held there until the current has fallen to a twentieth of the capacity; and
the resistance that a step of current shows after seconds and minutes. Nothing of calc is in it. Takes a minute.
"""

from __future__ import annotations

import json
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
import pybamm

TARGET = Path(__file__).resolve().parent.parent / "tests" / "power" / "charge_pybamm.json"
SETS = {"lfp": "Prada2013", "nmc": "Chen2020"}
CASES = ((0.1, 0.0), (0.2, 0.0), (0.3, 0.0), (0.5, 0.0), (0.5, 0.3), (0.7, 0.0), (1.0, 0.0))
"""Rate in capacities an hour, and state of charge at the start."""
AFTER = (10.0, 60.0, 600.0)
TAIL = 0.05
Row = dict[str, Any]


def solved(name: str, steps: list[str], start: float, period: str) -> list[Any]:
    """Time (s), voltage and charging current of each step."""
    simulation = pybamm.Simulation(
        pybamm.lithium_ion.SPMe(),
        parameter_values=pybamm.ParameterValues(name),
        experiment=pybamm.Experiment([tuple(steps)], period=period),
    )
    solution = simulation.solve(initial_soc=start)
    return [
        [
            np.asarray(step[key].entries) * sign
            for key, sign in (("Time [s]", 1), ("Terminal voltage [V]", 1), ("Current [A]", -1))
        ]
        for step in solution.cycles[0].steps
    ]


def part(step: Any) -> Row:
    time, _, current = step
    charge = float(np.sum(np.diff(time) * (current[1:] + current[:-1]) / 2.0))
    return {"s": float(time[-1] - time[0]), "Ah": charge / 3600.0}


def charged(name: str, nominal: float, full: float, rate: float, start: float) -> Row:
    steps = [
        f"Charge at {rate * nominal:.6g} A until {full} V",
        f"Hold at {full} V until {TAIL * nominal:.6g} A",
    ]
    constant, held = solved(name, steps, start, "20 seconds")
    return {"rate": rate, "start": start, "constant": part(constant), "held": part(held)}


def resistances(name: str, nominal: float) -> list[Row]:
    """Volts that a charging current of half the capacity has added after some time, by its own rested curve, per
    ampere: the curve's rise under the charge that went in meanwhile is taken off."""
    rows = []
    for start in (0.3, 0.5, 0.8):
        for seconds in AFTER:
            amps = 0.5 * nominal
            rest, step = solved(
                name,
                ["Rest for 1 second", f"Charge at {amps:.6g} A for {seconds:g} seconds"],
                start,
                "1 second",
            )
            later = solved(
                name, ["Rest for 1 second"], start + amps * seconds / 3600.0 / capacity(name), "1 second"
            )[0]
            del rest
            rows.append(
                {"start": start, "after_s": seconds, "ohm": float((step[1][-1] - later[1][-1]) / amps)}
            )
    return rows


def capacity(name: str) -> float:
    """Charge between the set's empty and full, Ah."""
    values = pybamm.ParameterValues(name)
    empty, full = (pybamm.lithium_ion.get_initial_stoichiometries(soc, values)[0] for soc in (0.0, 1.0))
    negative = values.evaluate(pybamm.LithiumIonParameters().n.Q_init)
    return float((full - empty) * negative)


def asked(name: str) -> Row:
    values = pybamm.ParameterValues(name)
    nominal = float(values["Nominal cell capacity [A.h]"])
    full = float(values["Upper voltage cut-off [V]"])
    return {
        "set": name,
        "nominal_Ah": nominal,
        "capacity_Ah": capacity(name),
        "full_V": full,
        "tail": TAIL,
        "resistance": resistances(name, nominal),
        "charges": [charged(name, nominal, full, *case) for case in CASES],
    }


def rounded(value: Any) -> Any:
    """Numbers to seven digits."""
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return float(f"{value:.7g}") if isinstance(value, float) else value


def main() -> None:
    pybamm.set_logging_level("ERROR")
    found: Row = {"pybamm": version("pybamm"), "model": "SPMe, isothermal, 25 °C"}
    found |= {chemistry: asked(name) for chemistry, name in SETS.items()}
    TARGET.write_text(json.dumps(rounded(found), indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
