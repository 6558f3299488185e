"""Invented cut-outs whose cause is hidden: a simulator of its own that steps each case through time.

It shares with the package the stated ranges of what nobody knows (the table is read here as text) and nothing else: own
draws, own equations, small steps in time. `Change` makes a world that isn't the one the package believes in.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

STANDARDS = Path(__file__).parents[2] / "calc" / "standards"
BACK = ("at-once", "wait", "switching", "not", "itself")
CAUSES = "sag over-current inrush over-voltage field sensor throttle stall heat cells joint".split()
STEP_TIME = 60.0  # s, from which the speed no longer changes


def table(name: str) -> list[dict[str, str]]:
    text = (STANDARDS / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#")))


RANGES = {row["key"]: row for row in table("cut_out_ranges")}
PRIOR = {row["key"]: float(row["prior"]) for row in table("cut_outs")}
OCV = {
    name: [float(row[name]) for row in table("ocv_pybamm_26_10_1_1")] for name in ("soc", "lfp_prada2013_V")
}


@dataclass(frozen=True)
class Change:
    """How the world differs from the one the package believes in."""

    times: float = 1.0
    ohms: float = 1.0
    thresholds: float = 1.0
    wrong: float | None = None  # ways of coming back told wrongly
    prior: dict[str, float] = field(default_factory=dict)  # times as often


def ocv(charge: Any) -> Any:
    return np.interp(charge, OCV["soc"], OCV["lfp_prada2013_V"])


class World:
    """Draws of the hidden things."""

    def __init__(self, rng: np.random.Generator, count: int, change: Change) -> None:
        self.rng, self.count, self.change = rng, count, change
        self.drawn: dict[str, Any] = {}

    def __getitem__(self, key: str) -> Any:
        if key not in self.drawn:
            row = RANGES[key]
            low, high = float(row["low"]), float(row["high"])
            if row["scale"] == "log":
                value = np.exp(self.rng.uniform(np.log(low), np.log(high), self.count))
            elif row["scale"] == "lin":
                value = self.rng.uniform(low, high, self.count)
            else:
                value = np.full(self.count, low)
            if row["unit"] == "s" and not key.startswith("watched"):
                value = value * self.change.times
            elif row["unit"] == "1/s":
                value = value / self.change.times
            self.drawn[key] = value
        return self.drawn[key]

    def pick(self, name: str, *shares: float) -> Any:
        """A kind for each: 0, 1, … with these chances, the last one the rest; the same each time."""
        if name not in self.drawn:
            self.drawn[name] = np.searchsorted(np.cumsum(shares), self.rng.random(self.count), side="right")
        return self.drawn[name]

    def has(self, key: str) -> Any:
        """Which ones have what so large a share has; the same each time."""
        return self.pick(f"has {key}", self.number(key)) == 0

    def another_time(self) -> None:
        """Forget what is another one each time."""
        for key in [k for k in self.drawn if k in RANGES and "(this time)" in RANGES[k]["what"]]:
            del self.drawn[key]

    def number(self, key: str) -> float:
        return float(RANGES[key]["low"])


def simulate(plant: Any, seen: dict[str, Any], cause: str, w: World) -> dict[str, Any]:
    """All cases of one cause in a situation: whether it cuts out, when, volts, lead dead, way back."""
    rng, count, change = w.rng, w.count, w.change
    doing = seen["doing"]
    watched, bumps = w.number(f"watched_{doing}"), w.number(f"bumps_{doing}")
    even = lambda half: half * np.sqrt(3.0) * rng.uniform(-1.0, 1.0, count)  # noqa: E731
    throttle = np.clip(seen["throttle"] + even(0.1), 0.02, 1.0) if "throttle" in seen else w["throttle"]
    slope = (
        seen["slope"] + 0.02 * rng.uniform(-1, 1, count) if "slope" in seen else plant["slope"] * w["slope"]
    )
    rested = seen["before"] + even(np.hypot(0.015 * seen["before"], 0.4))
    grid = np.linspace(0.0, 1.0, 401)
    charge = np.interp(rested / plant["series"], ocv(grid), grid)
    charge0, rested0 = charge.copy(), rested
    ratio = plant["gear_ratio"] * 2.0 / plant["wheel_diameter"]
    newton = plant["torque_constant"] * ratio * plant["drive_efficiency"]
    passed = w["machine_efficiency"] * plant["controller_efficiency"] * plant["drive_efficiency"]
    aside = (plant["field_drain"] + plant["idle_power"]) / plant["voltage_nominal"]
    ampere_limit = throttle * plant["battery_current_limit"]
    phase_limit = throttle * plant["phase_current_limit"]
    aim = throttle * plant["road_speed"] * w["top_factor"]
    speed = w["rolling_start"] * aim
    if doing == "downhill":
        aim = plant["descent_speed"] * w["run_away"]
        speed = w["rolling_start"] * np.minimum(plant["road_speed"], aim)
        slope = -np.maximum(np.abs(slope), 0.01)
    if doing in ("standing", "switching-on"):
        speed = np.zeros(count)
    tilt = np.sqrt(1.0 + slope**2)
    weight = plant["total_mass"] * 9.80665 * (plant["rolling_coefficient"] + slope) / tilt
    cold = 2.0 ** (max(0.0, 25.0 - seen["celsius"]) / 25.0)
    cells0 = change.ohms * plant["series"] * plant["cell_resistance"] / plant["parallel"] * w["ageing"] * cold
    leads = change.ohms * plant["pack_lead_resistance"] * w["lead_ageing"]
    cutoff = change.thresholds * plant["controller_voltage_cutoff"] * w["cutoff_factor"]
    trip = change.thresholds * plant["pack_current_limit"] * w["trip_factor"]
    ceiling = change.thresholds * plant["controller_voltage_max"] * w["ceiling_factor"]
    air = plant["ambient_temperature"] - 273.15
    winding_slow = plant["winding_thermal_resistance"] * plant["winding_mass"] * 385.0
    warm = w["heat_warm"] * (w["heat_limit"] - air)
    switches, inner, outer = warm.copy(), np.zeros(count), warm.copy()
    fan = 1.0 + plant["fan_gain"] * (aim * ratio / (1000.0 * np.pi / 30.0)) ** 0.8 * (doing == "riding")
    body = plant["body_thermal_resistance"] / fan
    drops = w.has("joint_drop_share")
    stops = w.has("field_dropout_share")
    senses = w.has("heat_sensor")
    rate = {k: w[f"{k}_rate"] * bumps for k in ("field", "sensor", "throttle", "joint") if k == cause}.get(
        cause
    )
    event = rng.exponential(1.0, count) / rate if rate is not None else None
    own_time = {"stall": w["stall_time"]}.get(cause)
    done, at, volts_then = np.zeros(count, bool), np.full(count, np.inf), np.zeros(count)
    under, passed_heat, joint_hot = np.zeros(count), np.zeros(count), np.zeros(count)
    opened, by_winding, hot_rise = np.zeros(count, bool), np.zeros(count, bool), np.ones(count)
    short = w.has("short_share")
    t = 0.0
    while t < watched:
        dt = min(max(0.01, 0.03 * t), 0.6 if t < STEP_TIME else 40.0)
        grown = 1.0 + (w["resistance_grows"] - 1.0) * (1.0 - np.exp(-t / w["resistance_time"]))
        cells = cells0 * grown
        rested = rested0 - plant["series"] * (ocv(charge0) - ocv(charge))
        phase, amps = np.zeros(count), np.full(count, aside)
        if doing in ("riding", "standing"):
            load = weight + 0.5 * 1.225 * plant["drag_area"] * speed**2
            pull = np.minimum(
                phase_limit * newton,
                ampere_limit * plant["voltage_nominal"] * passed / np.maximum(speed, 1e-3),
            )
            holds = (speed >= aim) if doing == "riding" else np.zeros(count, bool)
            force = np.where(holds, np.minimum(np.maximum(load, 0.0), pull), pull)
            phase = force / newton
            loss = phase**2 * plant["hot_line_resistance"] / plant["controller_efficiency"]
            slow = np.clip(
                1.0 - speed * phase_limit * newton / (ampere_limit * plant["voltage_nominal"] * passed),
                0.0,
                1.0,
            )
            asked = (force * speed / passed + loss * slow) / plant["voltage_nominal"]
            amps = np.minimum(asked, ampere_limit) + aside
            if doing == "riding" and t < STEP_TIME:
                speed = np.clip(speed + dt * (force - load) / (1.1 * plant["total_mass"]), 0.05 * aim, aim)
        if doing == "downhill":
            gain = 9.80665 * (-slope - plant["rolling_coefficient"])
            speed = np.minimum(speed + dt * np.maximum(gain, 0.02), aim)
        volts = np.maximum(rested - amps * (cells + leads), rested / 2.0)
        charge = np.maximum(charge - amps * dt / plant["pack_capacity"], 0.0)
        t += dt
        happens = np.zeros(count, bool)
        then = volts
        if cause == "sag":
            under = np.where(volts < cutoff, under + dt, 0.0)
            happens = (under > w["cutoff_filter"]) & (rested0 > cutoff)
        elif cause == "over-current":
            passed_heat += np.maximum((amps / trip) ** 2 - 1.0, 0.0) * dt
            happens = passed_heat > w["trip_heat"]
        elif cause == "inrush":
            ohms, limit = cells + leads, trip / w["trip_factor"] * w["short_trip"]
            peak = plant["precharge_left"] * rested / ohms
            lasts = ohms * plant["bus_capacitance"] * np.log(np.maximum(peak / limit, 1.0))
            happens = np.where(short, rested / (ohms + w["short_ohms"]) > limit, lasts > w["short_delay"])
            happens &= doing == "switching-on"
            then = np.where(short, rested * w["short_ohms"] / (ohms + w["short_ohms"]), 0.0)
        elif cause == "over-voltage" and doing == "downhill":
            peak = plant["descent_peak"] * speed / plant["descent_speed"]
            turning = plant["pole_pairs"] * speed * ratio * plant["line_inductance"] / 2.0
            inside = np.maximum(peak**2 / 3.0 - 4.0 * rested**2 / np.pi**2, 0.0)
            back = 3.0 * np.sqrt(inside) / (np.pi * np.maximum(turning, 1e-9))
            bus = rested + back * (cells0 + leads)
            full = plant["voltage_full"] + plant["series"] * w["full_over"]
            goes = (bus > full) | (back > w["charge_trip"] * trip / w["trip_factor"])
            happens = goes | (bus > ceiling)
            opened = np.where(done, opened, goes & ~(bus > ceiling))
            then = np.where(goes, np.maximum(peak, bus), np.maximum(bus, ceiling))
        elif cause == "heat":
            limit = change.thresholds * w["heat_limit"] - air
            top = w["heat_winding"] - air
            square = phase**2
            squash = 1.0 - np.exp(-dt / w["heat_time"])
            switches += (w["heat_rise"] * square / plant["phase_current_limit"] ** 2 - switches) * squash
            loss = square * plant["hot_line_resistance"]
            inner += (loss * plant["winding_thermal_resistance"] - inner) * (1.0 - np.exp(-dt / winding_slow))
            outer += (loss * body - outer) * (1.0 - np.exp(-dt / (body * plant["body_mass"] * 550.0)))
            wound = senses & (inner + outer > top)
            happens = (switches > limit) | wound
            by_winding = np.where(done, by_winding, wound)
            hot_rise = np.where(done, hot_rise, np.where(wound, inner + outer, switches))
        elif cause == "cells":
            lack = ocv(charge) - ocv(np.maximum(charge - w["lacking"], 0.0))
            lack0 = ocv(charge0) - ocv(np.maximum(charge0 - w["lacking"], 0.0))
            own = cells / plant["series"]
            group = rested / plant["series"] - lack - amps * own * w["weak"]
            least = change.thresholds * plant["voltage_min"] / plant["series"] * w["group_least"]
            under = np.where(group < least, under + dt, 0.0)
            happens = (under > w["group_delay"]) & (rested0 / plant["series"] - lack0 > least)
            then = np.maximum(volts - (lack + amps * own * (w["weak"] - 1.0)), 0.0)
        elif cause == "stall":
            held = weight / np.maximum(phase_limit * newton, 1e-6) * w["obstacle"] > 1.0
            happens = (
                (t > own_time)
                & held
                & w.has("stall_has")
                & (throttle > w["stall_throttle"])
                & (doing == "standing")
            )
        elif cause == "joint":
            joint_hot += (1.0 - joint_hot) * (1.0 - np.exp(-dt / w["joint_time"]))
            grow = 1.0 + w["joint_grows"] * joint_hot * (amps / plant["battery_current_limit"]) ** 2
            left = np.maximum(volts - amps * change.ohms * w["joint_ohms"] * grow, 0.3 * rested)
            happens = np.where(drops, left < cutoff, event < t)
            then = np.where(drops, left, w["between"] * rested)
        elif cause == "field":
            happens = np.where(stops, volts < w["field_dropout"] * plant["voltage_nominal"], event < t)
            then = np.where(stops, volts, volts + w["between"] * (rested - volts))
        elif cause in ("sensor", "throttle"):
            happens = event < t
            then = volts + w["between"] * (rested - volts)
        new = happens & ~done
        at = np.where(new, t - 0.5 * dt, at)
        volts_then = np.where(new, then, volts_then)
        done |= new
    if event is not None:  # the moment itself, not the step that it fell in
        chance = ~(drops if cause == "joint" else stops if cause == "field" else np.zeros(count, bool))
        at = np.where(chance & done, event, at)
    if cause == "inrush":
        at = np.where(done, w["short_delay"], at)
    kind, dead = ways_back(w, cause, short, opened, drops, hot_rise, by_winding, winding_slow)
    act = done & (at < watched)
    return {
        "act": act,
        "seconds": at,
        "volts": volts_then,
        "dead": np.broadcast_to(dead, count),
        "back": kind,
    }


def ways_back(
    w: World, cause: str, short: Any, opened: Any, drops: Any, rise: Any, wound: Any, slow: Any
) -> Any:
    """(way back, lead dead) for each case."""
    once, wait, switching, no, itself = range(5)
    fault = np.array([once, itself, wait, switching])[
        w.pick("fault", w.number("fault_once"), w.number("fault_itself"), w.number("fault_wait"))
    ]
    protection = w.pick("protection", w.number("protection_auto"), w.number("protection_reset"))
    delay = w["protection_delay"]
    guard = np.choose(protection, [np.where(delay < 1.5, once, wait), switching, no])
    guard_dead = (protection > 0) | (delay > 3.0)
    alive = np.zeros(w.count, bool)
    if cause in ("over-current", "cells"):
        return guard, guard_dead
    if cause == "inrush":
        return np.where(short, no, guard), guard_dead
    if cause == "over-voltage":
        return np.where(opened, guard, np.choose(protection, [once, once, switching])), guard_dead & opened
    if cause == "sensor":
        return np.where(w.has("sensor_short"), itself, fault), alive
    if cause == "throttle":
        return np.where(w.has("throttle_itself"), itself, once), alive
    if cause == "stall":
        return np.where(fault == switching, switching, once), alive
    if cause == "heat":
        slow = np.where(wound, slow, w["heat_time"])
        cool = -slow * np.log(1.0 - np.minimum(w["heat_back"] / np.maximum(rise, 1.0), 0.95))
        latch = w.has("heat_latch")
        return np.where(latch, switching, np.where(cool < 1.5, once, wait)), alive
    if cause == "joint":
        kind = w.pick("joint", w.number("joint_itself"), w.number("joint_once"), w.number("joint_switching"))
        opens = np.array([itself, once, switching, no])[kind]
        loses = np.array([once, once, switching, once])[kind]
        return np.where(drops, loses, opens), (kind == 3) & ~drops
    return fault, alive


@dataclass(frozen=True)
class Noted:
    """What somebody wrote down; None is not noted."""

    seconds: float | None
    back: int | None
    during: float | None
    dead: bool | None


def noted(case: dict[str, Any], k: int, wrong: float, rng: Any) -> Noted:
    """A watch that is pressed late, a cheap meter that may show the fallen volts, a way back told wrongly at times."""
    volts = float(rng.normal(case["volts"][k], np.hypot(0.015 * case["volts"][k], 0.4)))
    if case["dead"][k] and rng.random() < 0.5:
        volts = float(rng.uniform(0.0, max(case["volts"][k], 1.0)))
    seconds = float((case["seconds"][k] + rng.uniform(0.0, 0.4)) * np.exp(rng.normal(0.0, 0.2)))
    back = int(case["back"][k]) if rng.random() > wrong else int(rng.integers(5))
    kept = rng.random(4) > 0.15
    return Noted(
        max(seconds, 0.01) if kept[0] else None,
        back if kept[1] else None,
        max(volts, 0.0) if kept[2] else None,
        bool(case["dead"][k]) if kept[3] else None,
    )


def density(case: dict[str, Any], late: Any, wrong: float, what: Noted) -> Any:
    """Density of what was noted for each case of one cause, 0 where it doesn't cut out."""
    keep = np.flatnonzero(case["act"])
    seconds, volts, dead, back = (case[name][keep] for name in ("seconds", "volts", "dead", "back"))
    row = np.ones(len(seconds))
    if what.seconds is not None:
        far = np.log(what.seconds / (seconds + late[keep])) / 0.2
        row = row * np.exp(-0.5 * far**2) / 0.2 / what.seconds
    if what.back is not None:
        row = row * ((1.0 - wrong) * (back == what.back) + wrong / 5.0)
    if what.during is not None:
        wide = np.hypot(0.015 * volts, 0.4)
        loaded = np.exp(-0.5 * ((what.during - volts) / wide) ** 2) / wide / np.sqrt(2.0 * np.pi)
        top = np.maximum(volts, 1.0)
        row = row * np.where(dead, 0.5 * loaded + 0.5 * (what.during < top) / top, loaded)
    if what.dead is not None:
        row = row * (dead == what.dead)
    whole = np.zeros(len(case["act"]))
    whole[keep] = row
    return whole


class Asked(NamedTuple):
    """What was noted in each row, the hidden cause, what the best rule would name and how sure it would be."""

    rows: list[Noted]
    cause: int
    named: int
    sure: float


def cases(
    plant: Any, rows: list[dict[str, Any]], change: Change, many: int, count: int, seed: int
) -> list[Asked]:
    """`many` cases of one or more rows, one cause and one build behind all of them.

    The best rule is Bayes' in this very world, perturbed as it is: likelihoods are means over `count` simulated cases
    of each cause with the true kernels of watch and meter; other cases than those that it is asked about.
    """
    rng = np.random.default_rng(seed)
    wrong = 0.1 if change.wrong is None else change.wrong
    prior = np.array([PRIOR[c] * change.prior.get(c, 1.0) for c in CAUSES])
    known: list[list[dict[str, Any]]] = []
    asked: list[list[dict[str, Any]]] = []
    for cause in CAUSES:
        world = World(rng, count + count // 3, change)
        whole = []
        for seen in rows:
            whole.append(simulate(plant, seen, cause, world))
            world.another_time()
        known.append([{name: values[:count] for name, values in case.items()} for case in whole])
        asked.append([{name: values[count:] for name, values in case.items()} for case in whole])
    late = rng.uniform(0.0, 0.4, count)
    able = [np.logical_and.reduce([case["act"] for case in each]) for each in asked]
    weight = prior * [a.mean() for a in able]
    out = []
    for k in rng.choice(len(CAUSES), size=many, p=weight / weight.sum()):
        which = int(rng.choice(np.flatnonzero(able[k])))
        told = [noted(case, which, wrong, rng) for case in asked[k]]
        score = np.array(
            [
                prior[c]
                * np.mean(np.prod([density(known[c][n], late, wrong, t) for n, t in enumerate(told)], axis=0))
                for c in range(len(CAUSES))
            ]
        )
        best = int(np.argmax(score))
        out.append(Asked(told, int(k), best, float(score[best] / max(score.sum(), 1e-300))))
    return out
