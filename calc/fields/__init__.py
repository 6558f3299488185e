"""The registry of quantities of a build. Form, command line, file, printed sheet and glossary derive from it."""

from __future__ import annotations

from typing import Literal, NamedTuple

from calc.fields.brakes import BRAKES
from calc.fields.budget import COST
from calc.fields.bus import BUS, JOINED
from calc.fields.chain import CHAIN
from calc.fields.charging import CHARGED, CHARGER, CHARGING
from calc.fields.chassis import CHASSIS
from calc.fields.coasting import COASTING
from calc.fields.control import CONTROLLER, SENSORS
from calc.fields.cutout import CUT_OUTS
from calc.fields.excitation import EXCITATION
from calc.fields.gearing import JACKSHAFT, STOCK
from calc.fields.heat import CURRENT, HEAT
from calc.fields.machine import MACHINE
from calc.fields.model import BASES, Field
from calc.fields.mount import MOUNT
from calc.fields.packing import PACKING
from calc.fields.power import PACK
from calc.fields.readings import MACHINE_READINGS
from calc.fields.route import ROUTE
from calc.fields.sensed import SENSOR_READINGS, SENSOR_REPORT
from calc.fields.stance import GROUND, RIDERS, STANCE
from calc.fields.starting import STARTING
from calc.fields.vehicle import GEARING, GENERIC, RIDE, RIDER, VEHICLE
from calc.fields.wiring import CABLE, WIRING

BUILD = (
    Field("name", "build", "Name of the build", "text", "What you call it.", high=60, example="our cart"),
    Field(
        "notes",
        "build",
        "Notes",
        "text",
        "Anything to remember.",
        high=2000,
        example="Which parts came from where.",
    ),
)

# The sheet's tables in the order of the job, with the words that head them.
TABLES: dict[str, str] = {
    "build": "The build",
    "ride": "The ride",
    "vehicle": "The vehicle",
    "rider": "The rider",
    "brakes": "The brakes",
    "gearing": "Gearing and wheel",
    "machine": "The machine",
    "excitation": "The field coil",
    "sensors": "The sensors",
    "controller": "The controller",
    "pack": "The pack",
    "charger": "The charger",
    "wiring": "The wiring",
    "cost": "The money",
}

FIELDS: dict[str, Field] = {
    f.key: f
    for group in (
        BUILD,
        RIDE,
        ROUTE,
        GROUND,
        VEHICLE,
        CHASSIS,
        COASTING,
        STANCE,
        RIDER,
        RIDERS,
        BRAKES,
        GEARING,
        JACKSHAFT,
        STOCK,
        MACHINE,
        MACHINE_READINGS,
        HEAT,
        EXCITATION,
        SENSORS,
        SENSOR_READINGS,
        CONTROLLER,
        STARTING,
        CUT_OUTS,
        PACK,
        PACKING,
        CHARGED,
        CHARGER,
        WIRING,
        BUS,
        GENERIC,
        CURRENT,
        CHARGING,
        CABLE,
        JOINED,
        CHAIN,
        MOUNT,
        COST,
        SENSOR_REPORT,
    )
    for f in group
}

PACK_ASKED = ("chemistry", "series", "pack_capacity")
QUESTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("What does it all weigh?", ("total_mass",)),
    ("How steep is the worst slope?", ("slope",)),
    ("How fast should it go?", ("road_speed",)),
    ("How long should a ride last?", ("ride_time",)),
    ("Which pack?", PACK_ASKED),
    ("Which gearing and wheel?", ("gear_ratio", "wheel_diameter")),
)
"""The six questions of the home page, each with the fields that answer it: what a first verdict rests on."""


class Alternative(NamedTuple):
    """A quantity that may be entered in either of two ways: as `direct`, or as its `parts`.

    The nearest layer that names any member wins and hides the others below it; within one layer the direct value
    wins, and both are shown. With nothing named, its usual range stands in if it has one; else `ask` says which
    way is asked for. `hides`: the way that isn't taken is left out altogether; without it the parts stay, because
    other quantities need them too.
    """

    direct: str
    parts: tuple[str, ...]
    ask: Literal["direct", "parts"]
    hides: bool = True


ALTERNATIVES = (
    Alternative("emf_constant", ("emf_test",), "direct", hides=False),
    Alternative("line_inductance", ("short_circuit_test",), "direct"),
    Alternative("line_resistance", ("resistance_test",), "direct"),
    Alternative("sensed_share", ("stall_test",), "direct"),
    Alternative("friction_torque", ("coast_down_test",), "direct"),
    Alternative("insulation_resistance", ("insulation_test",), "direct"),
    Alternative("winding_thermal_resistance", ("heat_run",), "direct", hides=False),
    Alternative("body_thermal_resistance", ("heat_run",), "direct", hides=False),
    Alternative("iron_share", ("unexcited_torque",), "direct"),
    Alternative("field_current", ("field_voltage",), "direct"),
    Alternative("field_temperature", ("field_hot_resistance",), "direct"),
    Alternative("total_mass", ("vehicle_mass", "rider_mass", "load_mass"), "direct"),
    Alternative("cog_from_axle", ("cog_weighing",), "direct", hides=False),
    Alternative("cog_height", ("cog_weighing",), "direct", hides=False),
    Alternative("rolling_coefficient", ("coast_runs",), "direct", hides=False),
    Alternative("drag_area", ("coast_runs",), "direct", hides=False),
    Alternative("duty", ("route",), "parts"),
    Alternative("gear_ratio", ("driver_teeth", "driven_teeth"), "direct"),
    Alternative("pack_capacity", ("cell_capacity",), "direct"),
    Alternative("cell_resistance", ("resistance_capacity",), "parts"),
    Alternative("cell_charge_limit", ("charge_share",), "parts"),
    Alternative("cross_section", ("awg",), "direct"),
    Alternative("alignment_error", ("sensor_slots",), "direct", hides=False),
    Alternative(
        "supply_voltage",
        ("chemistry", "series", "cell_resistance", "pack_lead_resistance"),
        "parts",
        hides=False,
    ),
)

__all__ = [
    "ALTERNATIVES",
    "BASES",
    "FIELDS",
    "PACK_ASKED",
    "QUESTIONS",
    "SLIP",
    "TABLES",
    "Field",
    "alike",
    "meant",
    "near",
]


SLIP = 0.8
"""How alike two words are where one is the other, mistyped: “uphill” isn't “downhill”, which are alike by 0.57."""


def alike(word: str, among: list[str], least: float = 0.5) -> list[str]:
    """The names most like `word`, best first, at most three; `least`: how alike they must be, 1 for the same."""
    from difflib import get_close_matches  # only a mistake needs it

    return get_close_matches(word, among, n=3, cutoff=least)


_PACK_VOLTS = (
    " A pack is entered by its cells in series (series): the label's volts divided by 3.2 for LFP, by 3.6 or 3.7"
    " for the others."
)


def meant(table: str, key: str) -> str:
    """What a key that the sheet hasn't may stand for: the volts of a pack by their word, others by likeness."""
    return _PACK_VOLTS if (table, key) in (("pack", "voltage"), ("pack", "volts")) else near(key)


def near(key: str, among: list[str] | None = None) -> str:
    """' Did you mean a, b?' for a name that isn't in the registry; '' when nothing is like it."""
    close = alike(key, among or list(FIELDS))
    return f" Did you mean {' or '.join(close)}?" if close else ""
