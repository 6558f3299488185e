"""The machine, its field coil, its sensors and its controller.

Usual ranges without a note are common practice, no source. Those of the EMF constant, the resistance and the
inductance span the two measured claw-pole machines named in docs/method.md.
"""

from __future__ import annotations

from calc.fields.model import Field, Spreads

EXACT_ANGLE = Spreads(2.0, 5.0, 10.0, relative=False)

MACHINE = (
    Field("pole_pairs", "machine", "Pole pairs on the rotor", "count",
          "Count the claws on one half of the rotor.", low=1, high=40, usual=(6, 8), example="8"),
    Field("slots", "machine", "Slots in the stator", "count",
          "Count the gaps between the teeth, all the way round.", low=3, high=360, example="48"),
    Field("coil_span", "machine", "Coil span", "count",
          "Follow one coil: count slots from its first side to its second.", ("",), 1, 180, example="3"),
    Field("connection", "machine", "Connection of the winding", "choice",
          "Three lead ends joined in one bare point is a star; three pairs of ends at three leads is a delta.",
          usual="star", choices=(("star", "star (one common point)"), ("delta", "delta (a closed ring)"))),
    Field("emf_constant", "machine", "EMF constant", "number",
          "Spin the machine at a known speed with its working field current and the rectifier off. "
          "Read volts rms between two leads; divide by thousands of turns a minute.",
          ("V/krpm", "V*s/rad"), 0.5, 60, usual=(6, 12), lever=(4, 14),
          lever_note="with more field current, or another machine", example="10.4 V/krpm"),
    Field("line_resistance", "machine", "Resistance between two leads", "number",
          "Send 5 to 10 A through two leads; divide the volts on the leads by the amps. A cold machine.",
          ("mohm", "ohm"), 1, 5000, usual=(20, 75), example="36 mΩ"),
    Field("line_inductance", "machine", "Inductance between two leads", "number",
          "An inductance meter at 1 kHz between two leads, averaged over one slow turn of the rotor.",
          ("uH", "mH"), 5, 20000, usual=(110, 300), example="180 µH"),
    Field("friction_torque", "machine", "Friction torque of the machine", "number",
          "Wind string round the pulley, pull with a luggage scale: newtons times radius in metres.",
          ("N*m",), 0.01, 5, usual=(0.15, 0.6), example="0.3 N·m"),
)  # fmt: skip

EXCITATION = (
    Field("field_current", "excitation", "Field current", "number",
          "A clamp meter on one brush lead, the coil warm.", ("A", "mA"), 0.1, 15, usual=(2, 4),
          example="3.5 A"),
    Field("field_resistance", "excitation", "Resistance of the field coil at 20 °C", "number",
          "An ohmmeter on the two slip rings, a cold rotor.", ("ohm", "mohm"), 0.2, 100, usual=(1.8, 4),
          example="2.6 Ω"),
    Field("field_temperature", "excitation", "Temperature of the field coil at work", "number",
          "From its resistance: each 10 °C adds about 4 %.", ("degC", "degF"), -20, 200, usual=(60, 110),
          spreads=Spreads(5, 10, 25, relative=False), example="80 °C"),
)  # fmt: skip

SENSORS = (
    Field("sensor_spacing", "sensors", "Spacing of the sensors, electrical", "choice",
          "What the controller expects: most take 120.", usual="120",
          choices=(("120", "120° (usual)"), ("60", "60°"))),
    Field("sensor_slots", "sensors", "Slots that hold the sensors", "list",
          "Number the slots from the first sensor: it is slot 0. List all three.", low=0, high=359,
          example="0, 2, 4"),
    Field("alignment_error", "sensors", "Alignment error of the sensors", "number",
          "Electrical degrees by which the sensors switch late; early is negative.", ("deg", "rad"), -180, 180,
          usual=(-15, 15), spreads=EXACT_ANGLE, example="0°"),
)  # fmt: skip

CONTROLLER = (
    Field("phase_current_limit", "controller", "Phase current limit", "number",
          "The controller's label or setting: amps in the motor leads, not from the battery.",
          ("A",), 1, 2000, usual=(60, 180), lever=(20, 400), lever_note="if controller and winding stand it", example="150 A"),
    Field("battery_current_limit", "controller", "Battery current limit", "number",
          "The controller's label or setting: amps from the pack.", ("A",), 1, 1000, usual=(30, 80),
          lever=(10, 200), example="60 A"),
    Field("controller_voltage_max", "controller", "Highest voltage the controller stands", "number",
          "From its label, or the rating of its largest capacitor less a tenth.", ("V",), 6, 500,
          spreads=Spreads(0.005, 0.0, 0.1), example="63 V"),
    Field("controller_voltage_cutoff", "controller", "Voltage at which the controller cuts out", "number",
          "From its label, or lower a bench supply until it stops.", ("V",), 3, 500,
          spreads=Spreads(0.01, 0.01, 0.1), example="42 V"),
    Field("controller_efficiency", "controller", "Efficiency of the controller", "number",
          "From its data, else leave it.", ("percent",), 50, 99.9, usual=(93, 97), example="95 %"),
    Field("idle_power", "controller", "Power of everything else on the pack", "number",
          "Volts times amps from the pack with the motor still and the field off.", ("W",), 0, 1000,
          usual=(3, 15), spreads=Spreads(0.1, 0.2, 0.5), example="8 W"),
)  # fmt: skip
