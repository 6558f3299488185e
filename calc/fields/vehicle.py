"""Gearing, vehicle, rider and ride. Usual ranges are common practice, no source, unless noted."""

from __future__ import annotations

from calc.fields.model import Field, Spreads

GEARING = (
    Field("driver_teeth", "gearing", "Teeth on the motor's sprocket", "count",
          "Count them.", low=5, high=200, lever=(8, 24), example="11"),
    Field("driven_teeth", "gearing", "Teeth on the axle's sprocket", "count",
          "Count them.", low=5, high=400, lever=(20, 90), example="66"),
    Field("gear_ratio", "gearing", "Gear ratio", "number",
          "Turns of the motor for one turn of the wheel.", ("",), 0.2, 100,
          spreads=Spreads(0.0, 0.0, 0.1), lever=(1, 30), example="6"),
    Field("wheel_diameter", "gearing", "Wheel diameter, loaded", "number",
          "Roll it one turn with the rider on; divide the distance by 3.14.", ("mm", "m", "cm", "inch"),
          50, 1500, usual=(350, 550), spreads=Spreads(0.01, 0.04, 0.1), example="510 mm"),
    Field("drive_efficiency", "gearing", "Efficiency of the gearing", "number",
          "0.95 for each stage of chain unless known.", ("percent",), 30, 100, usual=(92, 97),
          spreads=Spreads(1, 2, 5, relative=False), example="95 %"),
)  # fmt: skip

VEHICLE = (
    Field("total_mass", "vehicle", "Total mass: vehicle, rider and load", "number",
          "Add bathroom-scale readings under each wheel, rider and load on board.", ("kg", "lb"), 10, 3000,
          lever=(40, 600), example="250 kg"),
    Field("vehicle_mass", "vehicle", "Mass of the vehicle", "number",
          "Bathroom scales under each wheel, added up, pack fitted.", ("kg", "lb"), 5, 2000, example="110 kg"),
    Field("load_mass", "vehicle", "Mass of the load", "number",
          "The heaviest load you would carry. 0 kg is a fair entry.", ("kg", "lb"), 0, 1000, example="80 kg"),
    # Rolling: hard road .008 to loose gravel .06, two tables quoted in docs/method.md.
    Field("rolling_coefficient", "vehicle", "Rolling coefficient of the surface", "number",
          "Pull the loaded vehicle at walking pace on the level with a luggage scale: "
          "newtons divided by its weight in newtons.", ("",), 0.001, 0.5, usual=(0.01, 0.04), example="0.025"),
    Field("drag_area", "vehicle", "Drag area", "number",
          "0.4 to 0.7 m² for a rider sitting up; it counts for little under 20 km/h.", ("m**2",), 0.05, 5,
          usual=(0.4, 0.9), example="0.7 m²"),
)  # fmt: skip

RIDER = (
    Field("rider_mass", "rider", "Mass of the rider", "number",
          "Bathroom scales, dressed to ride; the heaviest rider.", ("kg", "lb"), 5, 300, example="75 kg"),
)  # fmt: skip

DUTY = (
    Field("speed", "", "Speed", "number", "", ("km/h", "m/s", "mph"), 0.1, 200, example="10 km/h"),
    Field("slope", "", "Slope", "number", "", ("percent",), -40, 40, example="0 %"),
    Field("share", "", "Share of the time", "number", "", ("percent",), 0, 100, example="60 %"),
)  # fmt: skip

RIDE = (
    Field("slope", "ride", "Steepest slope to climb", "number",
          "A phone's level on a plank: 5° is 8.7 %. Rise divided by length along the level.", ("percent",),
          0, 40, spreads=Spreads(0.5, 1, 2, relative=False), example="8 %"),
    Field("road_speed", "ride", "Speed wanted on the level", "number",
          "A choice. Walking is 5 km/h, an easy run 10 km/h.", ("km/h", "m/s", "mph"), 0.5, 100,
          spreads=Spreads(0.0, 0.0, 0.05), example="12 km/h"),
    Field("climb_speed", "ride", "Slowest speed you accept on the steepest slope", "number",
          "A choice. Walking is 5 km/h.", ("km/h", "m/s", "mph"), 0.5, 60, usual=(3, 6),
          spreads=Spreads(0.0, 0.0, 0.1), example="5 km/h"),
    Field("ride_time", "ride", "Time of riding wanted from one charge", "number",
          "A choice: minutes in motion.", ("minute", "hour"), 1, 3000, spreads=Spreads(0.0, 0.0, 0.1),
          example="90 min"),
    Field("duty", "ride", "What a ride is made of", "table",
          "One row for each kind of going: speed, slope, share of the time. The shares add up to 100 %.",
          columns=DUTY, high=200, example="10 km/h, 0 %, 80 %; 5 km/h, 8 %, 20 %"),
)  # fmt: skip

# Inputs of one calculator, never stored: each calculator says how the build gives them.
GENERIC = (
    Field("motor_speed", "", "Shaft speed of the motor", "number",
          "A tachometer on the shaft.", ("rpm", "rad/s"), 0, 30000, example="800 rpm"),
    Field("torque", "", "Torque at the motor's sprocket", "number",
          "Pull on a lever with a scale: newtons times metres.", ("N*m",), 0, 1000, example="12 N·m"),
)  # fmt: skip
