"""Every calculator of the book, by id, in the order of the job."""

from __future__ import annotations

from calc.calculators import (
    bench,
    connection,
    excitation,
    forced,
    friction,
    heat,
    insulation,
    lamps,
    leads,
    machine,
    overspeed,
    power,
    speed,
    spin,
    stall,
    standing,
    trials,
    vehicle,
    winding,
)
from calc.errors import InputError, Problem
from calc.fields import near
from calc.spec import Calculator

CALCULATORS: dict[str, Calculator] = {
    c.id: c
    for c in (
        vehicle.GEARING,
        standing.STANDING_START,
        winding.WINDING,
        spin.EMF_TEST,
        bench.RESISTANCE_TEST,
        bench.SHORT_CIRCUIT_TEST,
        friction.FRICTION_TEST,
        insulation.INSULATION_TEST,
        stall.STALL_TEST,
        excitation.FIELD_SUPPLY,
        connection.STAR_DELTA,
        machine.SENSOR_SLOTS,
        lamps.LAMP_PATTERN,
        leads.LEAD_MATCH,
        trials.LEAD_TRIALS,
        speed.TORQUE_SPEED,
        forced.FORCED_START,
        overspeed.OVERSPEED,
        power.PACK,
        vehicle.RIDE,
        heat.WINDING_HEAT,
    )
}


def find(calculator_id: str) -> Calculator:
    """The calculator with that id. Raises InputError with near matches."""
    if calculator_id not in CALCULATORS:
        text = (
            f"there is no calculator “{calculator_id}”.{near(calculator_id, list(CALCULATORS))} There are: "
        )
        raise InputError([Problem("", "Calculator", text + ", ".join(CALCULATORS) + ".")])
    return CALCULATORS[calculator_id]
