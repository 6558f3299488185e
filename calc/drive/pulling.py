"""Whether a turning field pulls a rotor along: both followed in time, many starts at once.

A lane is one place (stand or ground), one damping, one ramp and one start angle. The rotor and, behind the chain's
slack, the vehicle are two bodies; an impact leaves them at one speed; friction holds either way.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from calc.drive.forced import hump, swing_energy, swing_speed
from calc.quantities import Array, HertzPerSecond, Number, Second

TURN = 2.0 * np.pi
SECTOR = np.pi / 3.0
SWINGS = 5.0
"""Swings that are followed in time; what is left of a slow ramp is judged by the energy of the swing."""
STEPS = 400
"""Steps of time for them."""
SLOWEST, FASTEST = 0.1, 1000.0
"""Ramps that are tried, Hz/s. Slower ones are a jump to the start frequency."""
COARSE, FINE = 28, 18
WEIGHTLESS = 1e-9


class Place(NamedTuple):
    """What the field has to drag along, at the motor's shaft; each a number or an array of the lanes' shape.

    pull: greatest torque of the field, mean over its steps, N·m. load_inertia: behind the chain, kg·m². slack: free
    travel of the shaft, rad. Frictions and slope_torque in N·m. damping: N·m·s/rad, at the rotor.
    """

    pull: Any
    pole_pairs: Any
    rotor_inertia: Any
    load_inertia: Any
    slack: Any
    rotor_friction: Any
    load_friction: Any
    slope_torque: Any
    damping: Any

    @property
    def inertia(self) -> Any:
        return self.rotor_inertia + self.load_inertia

    @property
    def swing(self) -> Any:
        """Angular frequency of small swings, rad/s."""
        return swing_speed(self.pull, self.pole_pairs, self.inertia)

    @property
    def load_share(self) -> Any:
        """Slope and friction over the pull."""
        return (self.slope_torque + self.rotor_friction + self.load_friction) / self.pull

    @property
    def window(self) -> Any:
        """How long a start is followed, s."""
        return SWINGS * TURN / self.swing


class Ramp(NamedTuple):
    """How the field turns: Hz, Hz/s, Hz, all electrical. Numbers, or arrays of the lanes' shape."""

    start: Any
    rate: Any
    end: Any

    @property
    def time(self) -> Any:
        return np.maximum(self.end - self.start, 0.0) / self.rate

    def angle(self, time: Any) -> Any:
        """Electrical angle of the field, rad, after a time in s."""
        ramped = np.minimum(time, self.time)
        return TURN * (self.start * time + self.rate * ramped * (time - 0.5 * ramped))

    def speed(self, time: Any) -> Any:
        """Electrical speed of the field, rad/s."""
        return TURN * (self.start + self.rate * np.minimum(time, self.time))


class Motion(NamedTuple):
    """Where the lanes are at the end: electrical angles in rad, mean shaft speed in rad/s, and the rotor's way if kept.

    lag: of the rotor behind the field. lag_at_end: when the ramp ended. turned: of the rotor since the start.
    """

    lag: Any
    lag_at_end: Any
    speed: Any
    turned: Any
    rotor: list[Any]


def follow(
    place: Place,
    ramp: Ramp,
    lag: Any,
    duration: Second,
    steps: int = STEPS,
    stepped: Any = False,
    keep: bool = False,
) -> Motion:
    """Follow lanes from rest for `duration` (s, one for each lane): leapfrog, one torque for each step.

    lag: electrical angle by which the rotor is behind the field at first. stepped: the field jumps 60° at a time, as a
    six-step controller makes it, and its peak is π/3 of the mean pull; otherwise it turns smoothly. keep: remember the
    rotor's electrical angle after each step. The chain hangs loose at first, unless the slope pulls it tight.

    Source: [method-drive] #pulling-in
    """
    shape = np.broadcast_shapes(*(np.shape(x) for x in (*place, *ramp, lag, duration, stepped)))
    times = np.multiply.outer(np.arange(steps) + 0.5, np.asarray(duration) / steps)
    fields, ramping = ramp.angle(times), times < ramp.time
    ends = [*(ramping[:-1] & ~ramping[1:]).reshape(steps - 1, -1).any(axis=1).tolist(), False]
    place = Place(*(_lanes(x, shape) for x in place))  # one row of lanes: quicker than axes of a few
    p, j_rotor, j_load = place.pole_pairs, place.rotor_inertia, np.maximum(place.load_inertia, WEIGHTLESS)
    total, dt = j_rotor + j_load, _lanes(duration, shape) / steps
    half = 0.5 * dt
    first = -_lanes(lag, shape) / p
    rotor = first.copy()
    load = rotor - np.where(np.asarray(place.slope_torque) > place.load_friction, place.slack, 0.0)
    v_rotor, v_load, lag_at_end = np.zeros_like(dt), np.zeros_like(dt), np.zeros_like(dt)
    jumps = _lanes(stepped, shape)
    kick = place.pull * np.where(jumps, np.pi / 3.0, 1.0) * dt / j_rotor
    sink = place.slope_torque * dt / j_load
    of_rotor, of_load = j_rotor / total, j_load / total
    hold_both = (place.rotor_friction + place.load_friction) * dt / total
    hold_rotor, hold_load = place.rotor_friction * dt / j_rotor, place.load_friction * dt / j_load
    alone, both = place.damping * half / j_rotor, place.damping * half / total
    alone, both = (1.0 - alone) / (1.0 + alone), (1.0 - both) / (1.0 + both)
    kept = []
    for field, still, ending in zip(fields, ramping, ends, strict=True):
        rotor += half * v_rotor
        load += half * v_load
        turned = _lanes(field, shape)
        if np.any(stepped):
            turned = np.where(jumps, (np.floor(turned / SECTOR) + 0.5) * SECTOR, turned)
        behind = turned - p * rotor
        if ending:
            lag_at_end = np.where(_lanes(still, shape), behind, lag_at_end)
        v_rotor += kick * np.sin(behind)
        v_load -= sink
        travel = rotor - load + half * (v_rotor - v_load)
        joined = (travel >= place.slack) | (travel <= 0.0)
        common = of_rotor * v_rotor + of_load * v_load
        np.copyto(v_rotor, common, where=joined)
        np.copyto(v_load, common, where=joined)
        stops = np.where(joined, hold_both, hold_rotor)
        v_rotor -= np.minimum(np.maximum(v_rotor, -stops), stops)
        v_rotor *= np.where(joined, both, alone)
        stops = np.where(joined, hold_both, hold_load)
        v_load -= np.minimum(np.maximum(v_load, -stops), stops)
        v_load *= np.where(joined, both, 1.0)
        rotor += half * v_rotor
        load += half * v_load
        rotor = load + np.minimum(np.maximum(rotor - load, 0.0), place.slack)
        if keep:
            kept.append(p * rotor)
    last = _lanes(ramp.angle(np.asarray(duration)), shape) - p * rotor
    done = _lanes(np.asarray(duration) > ramp.time, shape)
    lost = np.where(done, lag_at_end, last)
    speed, turned = of_rotor * v_rotor + of_load * v_load, p * (rotor - first)
    last, lost, speed, turned = (x.reshape(shape) for x in (last, lost, speed, turned))
    return Motion(last, lost, speed, turned, [x.reshape(shape) for x in kept])


def _lanes(value: Any, shape: tuple[int, ...]) -> Array:
    """A value for every lane, in one row."""
    return np.broadcast_to(value, shape).ravel()


def caught(place: Place, ramp: Ramp, motion: Motion, duration: Second) -> Any:
    """Whether each lane is in step and stays so to the end frequency, with less than a pole pair lost after the ramp.

    The energy of the swing, less what damping takes during the rest of the ramp, is held against the hump that is left
    at the ramp's end, where damping's drag is greatest.

    Source: [method-drive] #pulling-in
    """
    rest = np.maximum(ramp.time - duration, 0.0)
    drag = place.damping * TURN * ramp.end / place.pole_pairs
    gathering = np.where(rest > 0.0, place.inertia * TURN * ramp.rate / place.pole_pairs, 0.0)
    share = place.load_share + (drag + gathering) / place.pull
    slip = (ramp.speed(duration) - place.pole_pairs * motion.speed) / place.swing
    energy = swing_energy(motion.lag, slip, share) * np.exp(-place.damping / place.inertia * rest)
    lost = np.abs(motion.lag - motion.lag_at_end)
    return (share < 1.0) & (energy < hump(share)) & (lost < TURN)


def start_lags(place: Place, settled: Any, count: int) -> Array:
    """Electrical angles at which the rotor may rest behind the field when it sets off, on a new last axis.

    settled: held long enough, so that it rests within the band of its friction; otherwise anywhere in the turn.

    Source: [method-drive] #pulling-in
    """
    slope, friction = place.slope_torque, place.rotor_friction + place.load_friction
    low, high = (np.arcsin(np.clip((slope + s * friction) / place.pull, -1.0, 1.0)) for s in (-1.0, 1.0))
    part = np.linspace(0.0, 1.0, count)
    band = np.asarray(low)[..., None] + np.asarray(high - low)[..., None] * part
    return np.where(np.asarray(settled)[..., None], band, TURN * (np.arange(count) / count - 0.5))


def _spread(place: Place) -> Place:
    """The place with two more axes, for ramps and start angles."""
    return Place(*(np.asarray(x)[..., None, None] for x in place))


def _pull_in(place: Place, ramp: Ramp, lags: Array, swings: float, steps: int) -> Any:
    duration = swings / SWINGS * place.window
    return caught(place, ramp, follow(place, ramp, lags, duration, steps), duration).all(axis=-1)


def fastest_ramp(
    place: Place,
    start: Number,
    end: Number,
    lags: Array,
    steps: int = STEPS,
    swings: float = SWINGS,
) -> HertzPerSecond:
    """The fastest ramp (Hz/s) such that it and every slower one pull in from each of `lags`, for each place.

    start, end: electrical, Hz. 0: not even the slowest ramp does, which is a jump to the start frequency. FASTEST:
    every ramp that was tried does. Found on a grid, and once more on a finer one between the last that does and the
    first that doesn't.

    Source: [method-drive] #pulling-in
    """
    wide, lags = _spread(place), np.asarray(lags)[..., None, :]
    grid = np.geomspace(SLOWEST, FASTEST, COARSE)
    good = _pull_in(wide, Ramp(start, grid[:, None], end), lags, swings, steps)
    unbroken = np.logical_and.accumulate(good, axis=-1).sum(axis=-1)
    low, high = grid[np.maximum(unbroken - 1, 0)], grid[np.minimum(unbroken, COARSE - 1)]
    fine = low[..., None] * (high / low)[..., None] ** (np.arange(1, FINE + 1) / (FINE + 1))
    good = _pull_in(wide, Ramp(start, fine[..., None], end), lags, swings, steps)
    more = np.logical_and.accumulate(good, axis=-1).sum(axis=-1)
    found = np.where(
        more > 0, np.take_along_axis(fine, np.maximum(more - 1, 0)[..., None], axis=-1)[..., 0], low
    )
    found = np.where(unbroken == COARSE, FASTEST, found)
    return np.where(unbroken == 0, 0.0, found)
