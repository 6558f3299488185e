"""The machine and the six-step drive against an independent library of electric machines.

gym_electric_motor.json beside this file says which version; scripts/make_drive_fixture.py wrote it. Torque, equations
of the machine and transformations are the library's. Its values are those of a phase of a star, peak; calc's are
between two leads, EMF and sine currents rms.
"""

from __future__ import annotations

import json
from math import atan2, hypot, pi, radians, sqrt
from pathlib import Path

import numpy as np
import pytest

from calc.drive import positions, standing
from calc.drive.inverter import steady_state
from calc.drive.sinusoidal import sinusoidal_state
from calc.machine import bench, emf, excitation
from calc.units import from_si

OUTSIDE = json.loads(Path(__file__).with_name("gym_electric_motor.json").read_text(encoding="utf-8"))
MAGNET, EXCITED = OUTSIDE["magnet"], OUTSIDE["excited"]
OWN = MAGNET["parameters"]
PAIRS, PAIR = OWN["p"], MAGNET["pair"]
R_LINE, L_LINE = 2 * OWN["r_s"], 2 * OWN["l_q"]
OPEN = MAGNET["steady"][0]
EMF = sqrt(1.5) * OPEN["voltages"][1] / OPEN["speed"]
"""Line-line rms EMF constant of the library's machine, from the voltages at which it carries nothing."""
NEVER = 1e9


def test_flux_linkage_of_an_emf_constant():
    assert OPEN["currents"] == [0, 0]
    assert emf.flux_linkage(EMF, PAIRS) == pytest.approx(OWN["psi_p"], rel=1e-9)


def test_sine_torque_per_ampere():
    """√3·Ke line-line rms for each A rms in a lead, whatever current stands along the field: nothing is salient."""
    for row in MAGNET["torques"]:
        _, across = row["currents"]
        assert row["torque"] == pytest.approx(sqrt(3) * EMF * across / sqrt(2), rel=1e-9)


def test_torque_constant_times_speed_constant():
    """Reference figures: 8.2699 for a sine (A peak, rpm per V peak line-line), 60/2π for a flat-top EMF.

    The first is the library's torque, the second calc's at the top of the sector; V/krpm by calc's units.
    """
    rpm_per_volt = 1000.0 / (sqrt(2) * from_si(EMF, "V/krpm"))
    along, across = MAGNET["torques"][0]["currents"]
    assert along == 0
    assert MAGNET["torques"][0]["torque"] / across * rpm_per_volt == pytest.approx(8.2699, rel=1e-5)
    top = standing.torque_constant(EMF) / standing.mean_factor(0.0)
    assert top * rpm_per_volt == pytest.approx(9.5493, rel=1e-5)


def pair_by_angle():
    """The library's torque of a current from the first lead to the second, by the angle of the first phase's EMF."""
    rows = {(row["angle"] + 90) % 360: row["torque"] for row in PAIR["rows"]}
    return rows, sqrt(2) * EMF * PAIR["current"]


def test_torque_by_rotor_position():
    """The pair belongs to the last sector, from 300° to 360° when sensors are right."""
    rows, top = pair_by_angle()
    for late in (-30, 0, 20):
        angles, torques = positions.along_turn(EMF, PAIR["current"], (radians(late),) * 6, points=13)
        for angle, torque in zip(np.degrees(angles[-13:]), torques[-13:], strict=True):
            assert torque == pytest.approx(rows[round(angle) % 360], abs=1e-8 * top)
        last = positions.sectors(EMF, PAIR["current"], (radians(late),) * 6)[-1]
        ends = (rows[(300 + late) % 360], rows[late % 360])
        assert (last.first, last.last) == pytest.approx(ends, abs=1e-8 * top)


@pytest.mark.parametrize("late", [-60, -30, -15, 0, 5, 30, 45, 60, 90, 120])
def test_standing_torque_of_a_sector(late):
    """Mean and least over the 60° for which the pair is driven, by Simpson's rule on the library's torques."""
    rows, _ = pair_by_angle()
    torques = np.array([rows[(300 + late + k) % 360] for k in range(0, 61, 5)])
    weights = np.array([1, 4, 2, 4, 2, 4, 2, 4, 2, 4, 2, 4, 1]) / 36
    mean = standing.standing_torque(EMF, PAIR["current"], radians(late))
    assert mean == pytest.approx(weights @ torques, abs=2e-4)
    least = standing.standing_torque_worst(EMF, PAIR["current"], radians(late))
    assert least == pytest.approx(torques.min(), abs=1e-7)


def test_six_step_gives_less_than_a_sine_for_the_same_heat():
    """3/π (reference figures): the sine by the library, six-step held at the limit so slowly that it stands."""
    row = next(r for r in MAGNET["torques"] if r["currents"][0] == 0)
    sine = abs(row["torque"]) / sqrt(1.5 * OWN["r_s"] * row["currents"][1] ** 2)
    found = steady_state(1e-6, EMF, R_LINE, L_LINE, PAIRS, 48.0, 0.0, 150.0, NEVER, 0.0)
    assert found.torque / np.sqrt(found.copper_loss) / sine == pytest.approx(3 / pi, rel=2e-4)


@pytest.mark.parametrize("row", MAGNET["steps"], ids=lambda row: f"{row['speed']:g}")
def test_star_equivalent_in_time(row):
    """L·di/dt = u − R·i − jω(L·i + λ) of calc's line values, solved by hand: i = i∞·(1 − e^(−(R/L + jω)t))."""
    turning, flux = PAIRS * row["speed"], emf.flux_linkage(EMF, PAIRS)
    r, length = R_LINE / 2, L_LINE / 2
    given = complex(*row["voltages"]) - 1j * turning * flux
    rate = r / length + 1j * turning
    current = given / (length * rate) * -np.expm1(-rate * np.array(row["times"]))
    assert np.stack([current.real, current.imag], axis=1) == pytest.approx(
        np.array(row["currents"]), abs=1e-5
    )


def test_six_step_in_time():
    """Standstill's neighbourhood to far above no-load speed, early to late, by the library's differential equation
    behind switches and diodes followed by a general solver, twenty time constants long. Full duty.
    """
    rows = MAGNET["six_step"]["rows"]
    speed, late = (np.array([row[name] for row in rows]) for name in ("speed", "late"))
    found = steady_state(
        speed, EMF, R_LINE, L_LINE, PAIRS, MAGNET["six_step"]["supply"], 0.0, NEVER, NEVER, np.radians(late)
    )
    assert found.found.all()
    for name in ("torque", "line_current", "battery_current"):
        theirs = [row[name] for row in rows]
        assert getattr(found, name) == pytest.approx(theirs, rel=1e-7), name
    assert min(row["torque"] for row in rows) < 0.0 < max(row["torque"] for row in rows)


@pytest.mark.parametrize("row", MAGNET["six_step"]["limited"], ids=lambda row: f"{row['speed']:g}")
def test_current_limit_in_time(row):
    """The same machine, its upper switch opened and closed in a band of ± 0.1 A about the limit."""
    supply, late = MAGNET["six_step"]["supply"], np.radians(row["late"])
    found = steady_state(row["speed"], EMF, R_LINE, L_LINE, PAIRS, supply, 0.0, row["limit"], NEVER, late)
    for name in ("torque", "line_current", "battery_current"):
        assert getattr(found, name) == pytest.approx(row[name], rel=5e-4), name


def circle(along: float, across: float, volts: float) -> tuple[float, float]:
    """Bus whose limit circle a phase voltage just fills, and how late sensors are that make current stand so."""
    return sqrt(3) * volts, -atan2(-along, across)


@pytest.mark.parametrize("row", MAGNET["steady"][1:], ids=lambda row: f"{row['speed']:g}")
def test_sine_current_and_its_voltage(row):
    """The library's current given as the limit takes its volts, as a share of a circle 1.25 times as wide, and
    makes its torque. Where the EMF alone lies in the circle that the volts just fill, the circle is the limit.
    """
    along, across = row["currents"]
    amps, volts = hypot(along, across), hypot(*row["voltages"])
    bus, late = circle(along, across, volts)
    machine = (row["speed"], EMF, R_LINE, L_LINE, PAIRS)
    torque = MAGNET["torques"][0]["torque"] * across / 100.0
    power = 1.5 * sum(u * i for u, i in zip(row["voltages"], row["currents"], strict=True))
    held = sinusoidal_state(*machine, 1.25 * bus, 0.0, amps, NEVER, late)
    told = (held.torque, held.duty, held.battery_current * 1.25 * bus)
    assert told == pytest.approx((torque, 0.8, power), rel=1e-6)
    if sqrt(2 / 3) * EMF * row["speed"] < volts:
        found = sinusoidal_state(*machine, bus, 0.0, NEVER, NEVER, late)
        told = (found.peak_current, found.torque, found.battery_current * bus)
        assert told == pytest.approx((amps, torque, power), rel=1e-6)


def test_no_sine_current_that_the_volts_do_not_reach():
    """The library's 100 A at 150 rad/s bring its EMF of 24 V back to 21.4 V: with no more at hand a lower limit drives
    nothing, for less current needs more volts there.
    """
    row = next(row for row in MAGNET["steady"] if row["speed"] == 150.0)
    bus, late = circle(*row["currents"], hypot(*row["voltages"]))
    limits = np.array([20.0, 99.0, 101.0, 120.0])
    found = sinusoidal_state(row["speed"], EMF, R_LINE, L_LINE, PAIRS, bus, 0.0, limits, NEVER, late)
    assert found.peak_current == pytest.approx([0.0, 0.0, 101.0, 120.0], abs=1e-6)


def test_sine_current_in_the_wound_field_machine():
    """Current square to the field meets the inductance across it alone, however salient: the reference voltages."""
    own, row = EXCITED["parameters"], EXCITED["steady"][0]
    assert row["currents"] == [0, 100, 100]
    bus, late = circle(0.0, 100.0, hypot(-10.5, 49.225))
    emf_constant = excited_emf(100)
    found = sinusoidal_state(
        row["speed"], emf_constant, 2 * own["r_s"], 2 * own["l_q"], own["p"], bus, 0.0, NEVER, NEVER, late
    )
    assert (found.peak_current, found.torque) == pytest.approx((100.0, 71.505), rel=1e-5)


@pytest.mark.parametrize(("lag", "field"), [(0.8, 10.0), (1.0, 14.430)], ids=["lag", "unity"])
def test_textbook_motor(lag, field):
    """500 kW, 3.3 kV star, 50 Hz, 4 poles, 15 Ω, no loss (Dubey, chapter 7, example 7.1, by its companion): 109.35 A at
    power factor 0.8 lagging with 1603.2 V a phase and 10 A of field; 14.430 A of field for unity, 87.48 A then.
    """
    speed, phase, emf_phase = 50.0 * pi, 3300 / sqrt(3), 1603.2 * field / 10.0
    amps = {0.8: 109.35, 1.0: 87.48}[lag]
    current = amps * complex(lag, -sqrt(1 - lag**2))
    lead = np.angle(current) - np.angle(phase - 15j * current)
    constant, henry, bus = sqrt(3) * emf_phase / speed, 2 * 15 / (100 * pi), 1.1 * sqrt(6) * phase
    found = sinusoidal_state(speed, constant, 0.0, henry, 2, bus, 0.0, sqrt(2) * amps, NEVER, -lead)
    assert found.line_current == pytest.approx(amps, rel=1e-9)
    assert found.duty == pytest.approx(1 / 1.1, rel=1e-4)
    assert found.torque * speed == pytest.approx(500e3, rel=3e-4)


def test_published_sine_torque():
    """Rivas, Perreault and Keim 2004, at second hand: star, 37 mΩ, 120 µH, 6 pole pairs, 0.13925 V·s/rad peak between
    leads, so 0.17055 N·m per A rms. At 180 Hz the reactance is 0.1357 Ω: 40 A rms need the volts of the sum by hand.
    """
    speed, amps = 60.0 * pi, 40.0
    volts = abs(10.716 + (0.037 + 0.1357j) * amps)
    found = sinusoidal_state(
        speed, 0.13925 / sqrt(2), 0.074, 240e-6, 6, sqrt(6) * volts, 0.0, NEVER, NEVER, 0.0
    )
    assert found.line_current == pytest.approx(amps, rel=1e-3)
    assert found.torque == pytest.approx(0.17055 * amps, rel=1e-3)


@pytest.mark.parametrize("row", MAGNET["shorted"], ids=lambda row: f"{row['speed']:g}")
def test_short_circuit_spin_reads_the_inductance(row):
    volts, amps = EMF * row["speed"], hypot(*row["currents"]) / sqrt(2)
    found = bench.spun_inductance(((row["speed"], volts, amps, None),), PAIRS, R_LINE)
    assert found == pytest.approx(L_LINE, rel=1e-7)


def excited_emf(field: float) -> float:
    """Line-line rms EMF constant of the wound-field machine; its EMF is linear in the field current."""
    row = next(r for r in EXCITED["steady"] if r["currents"] == [0, 0, field])
    return sqrt(1.5) * row["voltages"][1] / row["speed"]


def test_published_values_of_the_wound_field_machine():
    """Reference figures after Nguyen and Hofmann's machine: torque, and the voltages of (0, 100, 100) A at 300 rad/s
    electrical. What calc's constants leave out is the salient rotor's share, of the opposite sign to a magnet's.
    """
    published = {
        (0, 100, 100): 71.505,
        (-50, 100, 100): 42.030,
        (50, 100, 100): 100.980,
        (0, 100, 50): 35.7525,
    }
    told = {tuple(row["currents"]): row["torque"] for row in EXCITED["torques"]}
    assert {key: told[key] for key in published} == pytest.approx(published, rel=1e-5)
    held = next(row for row in EXCITED["steady"] if row["currents"] == [0, 100, 100])
    assert held["voltages"] == pytest.approx([-10.5, 49.225, 0.72], rel=1e-5)
    own = EXCITED["parameters"]
    for (along, across, field), torque in told.items():
        plain = sqrt(1.5) * excited_emf(100) * field / 100 * across
        salient = 1.5 * own["p"] * (own["l_d"] - own["l_q"]) * along * across
        assert torque == pytest.approx(plain + salient, rel=1e-9)


@pytest.mark.parametrize("field", [50, 100])
def test_flux_and_torque_of_a_field_current(field):
    own, constant = EXCITED["parameters"], excited_emf(field)
    assert emf.flux_linkage(constant, own["p"]) == pytest.approx(own["l_m"] * field, rel=1e-9)
    torque = next(r["torque"] for r in EXCITED["torques"] if r["currents"] == [0, 100, field])
    assert torque == pytest.approx(sqrt(3) * constant * 100 / sqrt(2), rel=1e-9)


def test_spin_test_of_the_wound_field_machine():
    """Two readings of its EMF, as on the bench: between them the curve is the straight line that it has, within the ±
    that calc gives it and 1 %.
    """
    rows = tuple((100.0, field, excited_emf(field) * 100.0) for field in (50, 100))
    curve = emf.saturation(rows)
    for field in (50, 75, 100):
        within = min(0.01, emf.emf_spread(curve, field))
        assert emf.emf_at(curve, field) == pytest.approx(excited_emf(100) * field / 100, rel=within)


def test_field_current_rises_with_its_own_time_constant():
    """Leads open: field current and EMF follow the coil's L/R; the time to each share of the end is calc's."""
    own, alone = EXCITED["parameters"], EXCITED["field_alone"]
    constant = excitation.time_constant(own["l_e"], own["r_e"], 293.15)
    end = excitation.field_current(alone["voltage"], 0.0, own["r_e"], 293.15)
    for time, amps, volts in zip(alone["times"], alone["field_current"], alone["emf_peak"], strict=True):
        assert excitation.rise_time(constant, 0.0, end, amps / end) == pytest.approx(time, abs=1e-6)
        assert volts == pytest.approx(own["p"] * alone["speed"] * own["l_m"] * amps, rel=1e-8)


def test_short_circuit_spin_of_a_salient_rotor_reads_along_the_field():
    """Fast enough, the joined leads' current stands along the rotor: the reading is the inductance there."""
    own = EXCITED["parameters"]
    row = EXCITED["shorted"][-1]
    amps = hypot(*row["currents"][:2]) / sqrt(2)
    volts = excited_emf(row["currents"][2]) * row["speed"]
    found = bench.spun_inductance(((row["speed"], volts, amps, None),), own["p"], 2 * own["r_s"])
    assert found == pytest.approx(2 * own["l_d"], rel=2e-3)
