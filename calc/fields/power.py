"""The pack and its charger. Usual ranges are common practice, no source."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

PACK = (
    Field("chemistry", "pack", "Cell chemistry", "choice",
          "On the cell's label: 3.2 V nominal is LFP, 3.6 or 3.7 V is NMC.", usual="lfp",
          choices=(("lfp", "LFP (3.2 V a cell)"), ("nmc", "NMC (3.6 V a cell)"))),
    Field("series", "pack", "Cells in series", "count",
          "Count the groups from minus to plus, or divide the full voltage by a full cell's.", low=1, high=60,
          lever=(4, 24), example="16"),
    Field("parallel", "pack", "Cells in parallel", "count",
          "Count the cells in one group.", low=1, high=200, usual=(1, 1), lever=(1, 40), example="1"),
    Field("cell_capacity", "pack", "Capacity of one cell", "number",
          "A full discharge through a meter that counts amp-hours; a label promises more than an old cell has.",
          ("A*hour", "mA*hour"), 0.1, 2000, spreads=Spreads(0.03, 0.1, 0.3), example="100 Ah"),
    Field("pack_capacity", "pack", "Capacity of the pack", "number",
          "The label's amp-hours, or those counted in a full discharge.", ("A*hour", "mA*hour"), 0.5, 5000,
          spreads=Spreads(0.03, 0.1, 0.3), lever=(2, 400), example="100 Ah"),
    Field("cell_resistance", "pack", "Resistance of one cell", "number",
          "Volts lost when a known load is switched on, divided by its amps.", ("mohm", "ohm"), 0.05, 500,
          spreads=Spreads(0.1, 0.3, 0.5), example="0.8 mΩ"),
    Field("resistance_capacity", "pack", "Resistance times capacity of a cell", "number",
          "Stands in when the resistance of a cell isn't known: big cells have little of it.",
          ("mohm*A*hour",), 5, 1000, usual=(50, 150), spreads=Spreads(0.1, 0.3, 0.5), example="90 mΩ·Ah"),
    Field("pack_lead_resistance", "pack", "Resistance of leads, fuse and protection", "number",
          "Volts lost between the cells and the controller, divided by the amps.", ("mohm", "ohm"), 0.1, 500,
          usual=(4, 25), spreads=Spreads(0.1, 0.3, 0.5), example="10 mΩ"),
    Field("pack_current_limit", "pack", "Current at which the pack's protection opens", "number",
          "The label of the protection board: its lasting current, not its peak.", ("A",), 1, 2000,
          spreads=Spreads(0.03, 0.1, 0.3), example="100 A"),
    Field("cell_mass", "pack", "Mass of one cell", "number",
          "Kitchen scales.", ("kg", "g"), 0.005, 50, example="2 kg"),
    Field("reserve_charge", "pack", "Charge left unused at the end of a ride", "number",
          "A choice: an emptier pack ages sooner and sags more.", ("percent",), 0, 60, usual=(10, 20),
          spreads=Spreads(0.0, 0.0, 5.0, relative=False), example="15 %"),
    Field("supply_voltage", "pack", "Supply voltage under load", "number",
          "At the controller's terminals while it draws its full current.", ("V",), 3, 500,
          spreads=Spreads(0.01, 0.05, 0.1), example="50 V"),
)  # fmt: skip

CHARGER = (
    Field("charger_voltage", "charger", "Full voltage of the charger", "number",
          "A voltmeter on the charger's leads with nothing connected.", ("V",), 3, 500,
          spreads=Spreads(0.003, 0.01, 0.05), example="58.4 V"),
)  # fmt: skip
