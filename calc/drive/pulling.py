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
IN_BAND, ROUND = 9, 48
"""Start angles that are tried: in the band of friction after a hold that was long enough, and all round the turn."""
SEARCHED = 6
"""Start angles with which the fastest ramp is searched, where there are twice as many or more; all of them prove it."""
PROOF = np.array([0.02, 0.15, 0.4, 0.6, 0.73, 0.82, 0.89, 0.95, 1.0])
"""Ramps that are tried from every start angle, as shares of the one that was found."""
WEIGHTLESS = 1e-9


class Place(NamedTuple):
    """What the field has to drag along, at the motor's shaft; each a number or an array of the lanes' shape.

    pull: greatest torque of the field, mean over its steps, N·m. load_inertia: behind the chain, kg·m². slack: free
    travel of the shaft, rad. Frictions and slope_torque in N·m; rotor_friction holds the machine at rest, rotor_drag
    brakes it while it turns. damping: N·m·s/rad, at the rotor.
    """

    pull: Any
    pole_pairs: Any
    rotor_inertia: Any
    load_inertia: Any
    slack: Any
    rotor_friction: Any
    rotor_drag: Any
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
        """Slope and what brakes a turning rotor, over the pull."""
        return (self.slope_torque + self.rotor_drag + self.load_friction) / self.pull

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
    its_field = _lanes(np.arange(fields[0].size).reshape(fields[0].shape), shape)
    fields = fields.reshape(steps, -1)
    ends = [*(ramping[:-1] & ~ramping[1:]).reshape(steps - 1, -1).any(axis=1).tolist(), False]
    place = Place(*(_lanes(x, shape) for x in place))  # one row of lanes: quicker than axes of a few
    p, j_rotor, j_load = place.pole_pairs, place.rotor_inertia, np.maximum(place.load_inertia, WEIGHTLESS)
    total, dt = j_rotor + j_load, _lanes(duration, shape) / steps
    half = 0.5 * dt
    first = -_lanes(lag, shape) / p
    # Places in the middle of a step, where the torque counts: the load, and how far the rotor is ahead of it.
    gap = np.where(np.asarray(place.slope_torque) > place.load_friction, place.slack, 0.0)
    load, rotor = first - gap, first.copy()
    v_rotor, v_load, lag_at_end = np.zeros_like(dt), np.zeros_like(dt), np.zeros_like(dt)
    jumps, jumping = _lanes(stepped, shape), bool(np.any(stepped))
    kick = place.pull * np.where(jumps, np.pi / 3.0, 1.0) * dt / j_rotor
    sink = place.slope_torque * dt / j_load
    of_rotor, of_load = j_rotor / total, j_load / total
    hold_both = (place.rotor_friction + place.load_friction) * dt / total
    hold_rotor, hold_load = place.rotor_friction * dt / j_rotor, place.load_friction * dt / j_load
    drag_both = (place.rotor_drag + place.load_friction) * dt / total
    drag_rotor, back_load = place.rotor_drag * dt / j_rotor, -hold_load
    alone, both = place.damping * half / j_rotor, place.damping * half / total
    alone, both = (1.0 - alone) / (1.0 + alone), (1.0 - both) / (1.0 + both)
    kept = []
    a, b = np.empty_like(dt), np.empty_like(dt)  # written over in each step: quicker than new ones
    for field, still, ending in zip(fields, ramping, ends, strict=True):
        turned = field.take(its_field)
        if jumping:
            turned = np.where(jumps, (np.floor(turned / SECTOR) + 0.5) * SECTOR, turned)
        np.subtract(turned, np.multiply(p, rotor, out=a), out=a)
        if ending:
            lag_at_end = np.where(_lanes(still, shape), a, lag_at_end)
        before = v_rotor
        v_rotor = v_rotor + np.multiply(kick, np.sin(a, out=a), out=a)
        v_load -= sink
        np.multiply(half, np.subtract(v_rotor, v_load, out=a), out=a)
        a += gap
        joined = (a >= place.slack) | (a <= 0.0)
        common = np.add(np.multiply(of_rotor, v_rotor, out=a), np.multiply(of_load, v_load, out=b), out=a)
        np.copyto(v_rotor, common, where=joined)
        turns = (
            np.multiply(before, v_rotor, out=b) > 0.0
        )  # neither at rest nor turning back, where sticking holds
        stops = np.where(
            joined, np.where(turns, drag_both, hold_both), np.where(turns, drag_rotor, hold_rotor)
        )
        v_rotor -= np.minimum(np.maximum(v_rotor, np.negative(stops, out=a), out=a), stops, out=a)
        v_rotor *= np.where(joined, both, alone)
        v_load -= np.minimum(np.maximum(v_load, back_load, out=a), hold_load, out=a)
        np.copyto(v_load, v_rotor, where=joined)
        np.multiply(half, np.subtract(v_rotor, v_load, out=a), out=a)
        gap += a
        np.minimum(np.maximum(gap, 0.0, out=gap), place.slack, out=gap)
        if keep:
            kept.append(p * (load + half * v_load + gap))
        gap += a
        load += np.multiply(dt, v_load, out=b)
        np.add(load, gap, out=rotor)
    rotor = load - half * v_load + (gap - a)
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
    first that doesn't. With many start angles a few of them find it; then it and slower ones are tried from all, and
    the fastest of those counts that does with every slower one.

    Source: [method-drive] #pulling-in
    """
    wide, lags = _spread(place), np.asarray(lags)[..., None, :]
    few = lags[..., :: max(lags.shape[-1] // SEARCHED, 1)]

    def unbroken(ramps: Array, angles: Array) -> Any:
        """How many of the ramps, from the slowest on, pull in from all angles."""
        good = _pull_in(wide, Ramp(start, ramps[..., None], end), angles, swings, steps)
        return np.logical_and.accumulate(good, axis=-1).sum(axis=-1)

    grid = np.geomspace(SLOWEST, FASTEST, COARSE)
    held = unbroken(grid, few)
    low, high = grid[np.maximum(held - 1, 0)], grid[np.minimum(held, COARSE - 1)]
    fine = low[..., None] * (high / low)[..., None] ** (np.arange(FINE + 1) / (FINE + 1))
    more = 1 + unbroken(fine[..., 1:], few)
    found = np.where(held == COARSE, FASTEST, _picked(fine, more))
    found = np.where(held == 0, 0.0, found)
    if few.shape == lags.shape or not np.any(found):
        return found
    tried = np.maximum(found, SLOWEST)[..., None] * PROOF
    return np.where(found > 0.0, _picked(tried, unbroken(tried, lags)), 0.0)


def _picked(ramps: Array, count: Any) -> Any:
    """The fastest of so many ramps, the slowest first; 0 of none."""
    fastest = np.take_along_axis(ramps, np.maximum(count - 1, 0)[..., None], axis=-1)[..., 0]
    return np.where(count > 0, fastest, 0.0)
