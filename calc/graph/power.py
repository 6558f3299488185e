"""Pack and protection, charging, the cable from the pack and its fuse, the bus."""

from __future__ import annotations

from calc.fields import FIELDS
from calc.graph.model import Step, alias, step
from calc.power import charging, conductor, fuse, guarded, limits, pack, precharge

_PRODUCT = FIELDS["resistance_capacity"]
_MOST_PRODUCT = max(_PRODUCT.si(float(end)) for end in _PRODUCT.usual or ())

STEPS: dict[str, Step] = {
    # The supply
    "pack_capacity": step(pack.pack_capacity),
    "cell_capacity": step(limits.cell_capacity),
    "cell_resistance": step(limits.cell_resistance),
    "usual_most_resistance": step(limits.cell_resistance, resistance_capacity=_MOST_PRODUCT),
    "pack_resistance": step(pack.pack_resistance),
    "voltage_min": step(pack.voltage_min),
    "voltage_nominal": step(pack.voltage_nominal),
    "voltage_full": step(pack.voltage_full),
    "group_full": step(pack.voltage_full, series=1.0),
    "group_least": step(pack.voltage_min, series=1.0),
    "charge_voltage_limit": step(limits.charge_voltage_limit),
    "rested_voltage": step(pack.open_circuit_voltage, state_of_charge=0.5),
    "reserve_voltage": step(pack.open_circuit_voltage, state_of_charge="reserve_charge"),
    "supply_voltage": step(
        limits.supply_voltage, open_circuit_voltage="reserve_voltage", battery_current="battery_current_limit"
    ),
    "full_supply": step(
        limits.supply_voltage, open_circuit_voltage="voltage_full", battery_current="battery_current_limit"
    ),
    "pack_energy": step(pack.pack_energy),
    "usable_energy": step(pack.usable_energy),
    "pack_mass": step(pack.pack_mass),
    "pack_cost": step(pack.pack_cost),
    "greatest_pack_current": step(limits.greatest_current, field_power="field_drain"),
    "pack_sag": step(limits.sag),
    "current_limit": step(limits.current_limit),
    "least_voltage": step(limits.least_voltage),
    "group_voltage_max": step(limits.group_share, pack_voltage="protection_voltage_max"),
    "group_most": step(limits.group_most),
    "group_lowest": step(limits.group_lowest),
    "protection_opens": alias("protection_voltage_min"),
    "charger_least": step(limits.charger_least),
    "protection_least": step(limits.protection_least),
    "guarded": step(guarded.guarded),
    "guarded_told": step(guarded.guarded_told),
    "cold_air": step(pack.cold_air),
    "cold_factor": step(pack.cold_factor),
    "cold_resistance": step(pack.cold_resistance),
    "lowest_voltage": step(
        pack.loaded_voltage,
        open_circuit_voltage="reserve_voltage",
        battery_current="greatest_pack_current",
        pack_resistance="cold_resistance",
    ),
    "cell_current": step(pack.cell_current),
    "pack_share": step(pack.pack_share),
    "one_pack_current": step(pack.one_pack_current),
    # What it may be charged with
    "coldest_charge": step(charging.coldest_charge, air="ambient_temperature"),
    "temperature": alias("coldest_charge"),
    "cell_charge_limit": step(charging.cell_charge_limit),
    "cells_current": step(charging.cells_current),
    "current_allowed": alias("cells_current"),
    "season_current": step(charging.season_current),
    "season_allowed": alias("season_current"),
    "charge_hottest": step(charging.hottest),
    "right_kind": step(charging.right_kind),
    "right_kind_told": step(charging.right_kind_told),
    "port_opens": step(charging.port_opens),
    "port_told": step(charging.port_told),
    "sends_nothing": step(charging.sends_nothing),
    "sends_told": step(charging.sends_told),
    "charge_lead_carries": step(charging.lead_carries),
    "charge_lead_asked": step(charging.lead_asked),
    # The cable from the pack, and its fuse
    "cross_section": step(conductor.area_of_gauge),
    "cable_resistance": step(conductor.cable_resistance),
    "cable_ampacity": step(conductor.ampacity),
    "cable_limit": step(conductor.cable_limit),
    "cells_resistance": step(fuse.cells_resistance),
    "prospective_current": step(fuse.prospective_current),
    "far_short": step(fuse.far_short),
    "guarded_rating": step(fuse.guarded_rating, ampacity="cable_ampacity"),
    "lasting_rating": step(fuse.lasting_rating, current="greatest_pack_current"),
    "fuse_opens": step(fuse.gate_time),
    "break_asked": alias("greatest_pack_current"),
    "cable_stands": step(fuse.cable_stands, current="far_short"),
    "first_power": step(precharge.first_power, supply_voltage="voltage_full"),
    "resistor_stands": step(precharge.resistor_stands),
    "filling_energy": step(precharge.pulse_energy, supply_voltage="voltage_full"),
    "precharge_left": step(precharge.left_over, supply_voltage="voltage_full"),
    "filling_time": step(precharge.filling_time),
    "precharge_told": step(precharge.told, time="filling_time"),
    "bus_filled": step(precharge.filled),
    "bus_wanted": step(precharge.wanted),
    "inrush_current": step(precharge.inrush, missing="precharge_left", supply_voltage="voltage_full"),
}

WHEN_ENTERED: dict[str, dict[str, Step]] = {
    "fuse_rating": {"break_asked": step(fuse.break_asked)},
    "charge_current_limit": {
        "current_allowed": step(charging.guarded_current),
        "season_allowed": step(charging.guarded_current, cells_current="season_current"),
        "downhill_current": step(charging.guarded_current, cells_current="downhill_cells"),
    },
    "group_voltage_min": {"protection_opens": step(limits.groups_open)},
    "opens_short_rating": {"fuse_opens": step(fuse.read_time)},
    "coldest_day": {"coldest_charge": step(charging.coldest_charge, air="cold_air")},
    "bleed_resistor": {"precharge_left": step(precharge.left_over_bled, supply_voltage="voltage_full")},
}
