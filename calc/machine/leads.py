"""The 36 ways to pair three machine leads and three sensors with a six-step controller, by exact integrals.

Angles are electrical, forward is rising. With sensors right the codes follow each other from angle 0 in steps of
60°, and each feeds the pair of leads whose EMF peaks in the middle of its step: 101 C+B−, 100 A+B−, 110 A+C−,
010 B+C−, 011 B+A−, 001 C+A−. Leads A B C and outputs U V W are numbered 0 1 2.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from itertools import permutations
from math import atan2, ceil, cos, pi, sin
from typing import Any, NamedTuple

SIXTH = pi / 3.0
TURN = 2.0 * pi
# Codes of forward rotation, the first from angle 0: sensors 120° apart, and 60° apart.
CODES = {
    "120": ("101", "100", "110", "010", "011", "001"),
    "60": ("100", "110", "111", "011", "001", "000"),
}
PAIRS = (
    (2, 1),
    (0, 1),
    (0, 2),
    (1, 2),
    (1, 0),
    (2, 0),
)  # (high, low) of each step; EMF peaks at 30° + 60°·step
BEST = 3.0 / pi
Order = tuple[int, int, int]
ORDERS: tuple[Order, ...] = tuple((a, b, c) for a, b, c in permutations(range(3)))
Table = dict[str, tuple[int, int]]  # a controller: code at its inputs to (high, low) output
# From this share of the best mean torque on an arrangement runs well; under DEAD it is no torque at all.
GOOD, DEAD = 0.75, 0.05
AIMED = pi / 12.0 + 1e-6  # beyond 15° a good arrangement is called early or late
HOLDS = 0.1  # a backward pull of this share of the peak stops a rotor that starts from rest


class Arrangement(NamedTuple):
    """One of the 36. Torques in units of √2·E_rms/ω·I; late (rad): the error for forward rotation, −π to π.

    leads: which machine lead is on output U V W; sensors: which sensor is on input 1 2 3 (numbers from 0).
    """

    leads: Order
    sensors: Order
    mean: float
    least: float
    most: float
    late: float
    behaviour: str

    @property
    def phase_order(self) -> str:
        return "".join("ABC"[lead] for lead in self.leads)

    @property
    def sensor_order(self) -> str:
        return "".join(str(sensor + 1) for sensor in self.sensors)


def reduced(angle: float) -> float:
    """An alignment error to (−30°, 30°], rad: the current changes leads every 60°, and matching takes up the rest.

    Source: [method-machine] #arrangements
    """
    return angle - SIXTH * ceil((angle - SIXTH / 2.0) / SIXTH - 1e-9)


def edges(errors: Sequence[float], spacing: str) -> tuple[float, ...]:
    """Angle at which each sensor switches on, rad; it stays on for half a turn. errors: how late each is.

    Source: [hall-block] commutation with sensors 120 electrical degrees apart
    """
    apart = 2 if spacing == "120" else 1
    first = (0.0, 2.0, -2.0) if apart == 2 else (0.0, 1.0, 2.0)
    return tuple(place * SIXTH + error for place, error in zip(first, errors, strict=True))


def table_of(spacing: str) -> Table:
    """The controller for which leads ABC with sensors 123 are right.

    Source: [hall-block] the same cycle of codes in the six-step teaching page
    """
    return dict(zip(CODES[spacing], PAIRS, strict=True))


@cache
def steps(places: tuple[float, ...]) -> tuple[tuple[float, float, str], ...]:
    """(from, to, lamps 1 2 3) over one forward turn for sensors that switch on at `places`, rad.

    Source: [hall-block] truth table of three sensors
    """
    cuts = sorted({round((place + half) % TURN, 12) for place in places for half in (0.0, pi)})
    found = []
    for start, end in zip(cuts, [*cuts[1:], cuts[0] + TURN], strict=True):
        if end - start > 1e-9:
            middle = (start + end) / 2.0
            lamps = "".join("1" if (middle - place) % TURN < pi else "0" for place in places)
            found.append((start, end, lamps))
    return tuple(found)


@lru_cache(maxsize=256)  # the 36 arrangements meet the same steps and pairs again and again
def _pull(axis: float, start: float, end: float) -> tuple[float, float, float, float]:
    """Of cos(angle − axis) from start to end: its integral, that of sin(angle − axis), its least and most."""
    ends = (cos(start - axis), cos(end - axis))
    top = (axis - start) % TURN <= end - start
    bottom = (axis + pi - start) % TURN <= end - start
    along, across = sin(end - axis) - sin(start - axis), ends[0] - ends[1]
    return along, across, (-1.0 if bottom else min(ends)), (1.0 if top else max(ends))


def torque_of(places: tuple[float, ...], table: Table, leads: Order, sensors: Order) -> Arrangement:
    """One arrangement of a motor whose sensors switch on at `places` with a controller's `table`.

    In each step one pair of leads carries the flat-top current, and torque follows the cosine about that pair's
    axis, integrated exactly; a code that the controller doesn't know drives nothing. Validity: sinusoidal EMF; no
    shift of the edges by the current.

    Source: [method-machine] #arrangements
    """
    along = across = 0.0
    least, most = 2.0, -2.0
    for start, end, lamps in steps(places):
        pair = table.get("".join(lamps[sensor] for sensor in sensors))
        if pair is None:
            least, most = min(least, 0.0), max(most, 0.0)
            continue
        axis = SIXTH / 2.0 + SIXTH * PAIRS.index((leads[pair[0]], leads[pair[1]]))
        part_along, part_across, low, high = _pull(axis, start, end)
        along += part_along
        across += part_across
        least, most = min(least, low), max(most, high)
    mean = along / TURN
    size = (along * along + across * across) ** 0.5 / TURN
    late = atan2(across, along) if size > DEAD * BEST else 0.0
    return Arrangement(leads, sensors, mean, least, most, late, _behaviour(mean, late))


def error_in_its_way(found: Arrangement) -> float:
    """How late an arrangement's sensors switch for the way in which it pulls, rad: reversing flips the sign.

    Source: [method-machine] #arrangements
    """
    late = found.late if found.mean >= 0.0 else pi - found.late
    return (late + pi) % TURN - pi


def _behaviour(mean: float, late: float) -> str:
    back = mean < 0.0
    if abs(mean) < DEAD * BEST:
        return "dead"
    if abs(mean) < GOOD * BEST:
        return "weak in reverse" if back else "weak forward"
    error = ((pi - late if back else late) + pi) % TURN - pi
    word = "right" if abs(error) <= AIMED else "late" if error > 0.0 else "early"
    return f"{word} in reverse" if back else word


def starts(found: Arrangement) -> str:
    """What one sees with no load: 'smooth' (runs), 'rough' (weak, but pulls one way), 'locks' (pulls back too).

    Source: [method-machine] #arrangements
    """
    sense = -1.0 if found.mean < 0.0 else 1.0
    worst = min(sense * found.least, sense * found.most)
    if abs(found.mean) >= GOOD * BEST and worst > -HOLDS:
        return "smooth"
    return "rough" if abs(found.mean) >= DEAD * BEST and worst > -HOLDS else "locks"


def over_turn(
    places: tuple[float, ...], table: Table, one: Arrangement, points: int
) -> list[tuple[float, float]]:
    """(angle in rad, torque in units of √2·E_rms/ω·I) of one arrangement, `points` in each step, by rising angle.

    Source: [method-machine] #arrangements
    """
    found = []
    for start, end, lamps in steps(places):
        pair = table.get("".join(lamps[sensor] for sensor in one.sensors))
        axis = SIXTH * (0.5 + PAIRS.index((one.leads[pair[0]], one.leads[pair[1]]))) if pair else 0.0
        for k in range(points):
            # Short of both ends: there the torque leaps.
            angle = start + (end - start) * (1e-6 + (1.0 - 2e-6) * k / (points - 1))
            found.append((angle % TURN, cos(angle - axis) if pair else 0.0))
    return sorted(found)


@cache
def arrangements(
    places: tuple[float, ...], table: tuple[tuple[str, tuple[int, int]], ...]
) -> Sequence[Arrangement]:
    """All 36, best first, forward before reverse, dead ones last. `table` as items, to be remembered.

    Of two as good the early one goes first: it is far better at speed.

    Source: [method-machine] #arrangements
    """
    known = dict(table)
    found = [torque_of(places, known, leads, sensors) for leads in ORDERS for sensors in ORDERS]
    return tuple(sorted(found, key=_rank))


def _rank(found: Arrangement) -> tuple[Any, ...]:
    strength = 0.0 if found.behaviour == "dead" else round(abs(found.mean), 6)
    return -strength, found.mean < 0.0, error_in_its_way(found) > 0.0, found.sensors, found.leads


def best(found: Sequence[Arrangement], reverse: bool = False) -> tuple[Arrangement, ...]:
    """The arrangements to use for one way, as good as each other; early ones where early and late tie at stall.

    Source: [method-machine] #arrangements
    """
    sense = -1.0 if reverse else 1.0
    most = max(sense * a.mean for a in found)
    if most < GOOD * BEST:
        return ()
    ties = [a for a in found if sense * a.mean > most - 1e-3]
    least = min(round(error_in_its_way(a), 3) for a in ties)
    return tuple(
        sorted(
            (a for a in ties if round(error_in_its_way(a), 3) == least), key=lambda a: (a.sensors, a.leads)
        )
    )
