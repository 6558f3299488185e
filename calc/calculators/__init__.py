"""Every calculator of the book, by id, in the order of the job.

Each is loaded when it is asked for: a page shows one or two, and the others would hold up its start.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module

from calc.errors import InputError, Problem
from calc.fields import near
from calc.spec import Calculator

# Where each is declared: module and name.
_PLACES = {
    "gearing": ("gearing", "GEARING"),
    "budget": ("budget", "BUDGET"),
    "coast-down": ("coasting", "COAST_DOWN"),
    "standing-start": ("standing", "STANDING_START"),
    "winding": ("winding", "WINDING"),
    "emf-test": ("spin", "EMF_TEST"),
    "resistance-test": ("bench", "RESISTANCE_TEST"),
    "short-circuit-test": ("bench", "SHORT_CIRCUIT_TEST"),
    "friction-test": ("friction", "FRICTION_TEST"),
    "insulation-test": ("insulation", "INSULATION_TEST"),
    "stall-test": ("stall", "STALL_TEST"),
    "field-supply": ("excitation", "FIELD_SUPPLY"),
    "star-delta": ("connection", "STAR_DELTA"),
    "sensor-slots": ("machine", "SENSOR_SLOTS"),
    "lamp-pattern": ("lamps", "LAMP_PATTERN"),
    "lead-match": ("leads", "LEAD_MATCH"),
    "lead-trials": ("trials", "LEAD_TRIALS"),
    "torque-speed": ("speed", "TORQUE_SPEED"),
    "forced-start": ("forced", "FORCED_START"),
    "overspeed": ("overspeed", "OVERSPEED"),
    "pack": ("packs", "PACK"),
    "charging": ("charging", "CHARGING"),
    "ride": ("ride", "RIDE"),
    "winding-heat": ("heat", "WINDING_HEAT"),
    "conductor": ("wiring", "CONDUCTOR"),
    "fuse": ("wiring", "FUSE"),
    "precharge": ("precharge", "PRECHARGE"),
    "join-packs": ("joining", "JOIN_PACKS"),
    "cut-out": ("cutout", "CUT_OUT"),
    "chain": ("chain", "CHAIN"),
    "mount": ("mount", "MOUNT"),
    "brakes": ("brakes", "BRAKES"),
    "stability": ("stability", "STABILITY"),
    "cog-weighing": ("weighing", "COG_WEIGHING"),
    "rider-cap": ("rider", "RIDER_CAP"),
    "guard-opening": ("guards", "GUARD_OPENING"),
}


class _Calculators(Mapping[str, Calculator]):
    def __getitem__(self, calculator_id: str) -> Calculator:
        module, name = _PLACES[calculator_id]
        calculator: Calculator = getattr(import_module(f"{__name__}.{module}"), name)
        return calculator

    def __iter__(self) -> Iterator[str]:
        return iter(_PLACES)

    def __len__(self) -> int:
        return len(_PLACES)


CALCULATORS = _Calculators()


def find(calculator_id: str) -> Calculator:
    """The calculator with that id. Raises InputError with near matches."""
    if calculator_id not in CALCULATORS:
        text = (
            f"there is no calculator “{calculator_id}”.{near(calculator_id, list(CALCULATORS))} There are: "
        )
        raise InputError([Problem("", "Calculator", text + ", ".join(CALCULATORS) + ".")])
    return CALCULATORS[calculator_id]
