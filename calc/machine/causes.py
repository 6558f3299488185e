"""From what three lamps do to what is likely wrong: how people go wrong, what tells each from the next, the mend."""

from __future__ import annotations

from functools import cache

from calc.machine.faults import FAULTS, TESTS, UNIPOLAR, Cause
from calc.machine.lamps import Slots, shows
from calc.machine.sensors import sensors_reason, turned_over, valid_sets

_TOGETHER = ("all-together", "two-together", "two-at-once")
_STEP_OFF = "one sensor a slot off, miscounted"


SOUND = FAULTS["six-codes"][0].cause.partition(":")[0]
"""How the one cause begins that is none."""


def right_set(slots: int, pole_pairs: int, sensor_spacing: str) -> Slots | None:
    """The most compact set that serves this controller, None when there is none.

    Source: [method] #sensor-slots
    """
    sets = valid_sets(slots, pole_pairs, sensor_spacing)
    return (0, sets[0]["slot_2"], sets[0]["slot_3"]) if sets else None


@cache
def mistakes(
    slots: int, pole_pairs: int, sensor_spacing: str
) -> tuple[tuple[Slots, tuple[str, ...], float], ...]:
    """Sets of slots that people take by mistake on this machine: (slots, how they come to it, how often, 0 to 1).

    Ways that lead to the same slots stand together; one that happens to be right is left out. How often is common
    practice, no source.

    Source: [method-machine] #lamps
    """
    turn = slots / pole_pairs  # slots of an electrical turn
    other = "60° in place of 120°, counted with poles in place of pole pairs"
    ways = [
        (turn / 6.0, other, 0.9) if sensor_spacing == "120" else (turn / 3.0, "120° in place of 60°", 0.9),
        (1.0, "neighbouring slots", 0.5),
        (turn / 2.0, "one pole pitch apart", 0.8),
        (slots / 3.0, "a third of the whole mechanical turn", 0.8),
        (turn, "one pole pair apart, a whole electrical turn", 0.7),
        (1.0 if sensor_spacing == "120" else 0.5, "a third of the stator's slots taken for pole pairs", 0.6),
        (3.0, "every third slot, one phase's to its next", 0.4),
    ]
    found: dict[Slots, tuple[tuple[str, ...], float]] = {}

    def add(three: Slots, how: str, often: float) -> None:
        before, most = found.get(three, ((), 0.0))
        found[three] = ((*before, how), max(most, often))

    for pitch, how, often in ways:
        add((0, round(pitch), round(2.0 * pitch)), how, often)
    good = right_set(slots, pole_pairs, sensor_spacing)
    if good:
        _, b, c = good
        for three in ((0, b, c - 1), (0, b, c + 1), (0, b - 1, c), (0, b + 1, c)):
            add(three, _STEP_OFF, 0.5)
    return tuple(
        (three, how, often)
        for three, (how, often) in found.items()
        if len(set(three)) == 3
        and max(three) < slots
        and sensors_reason(slots, pole_pairs, three, sensor_spacing)
    )


def _listed(three: Slots) -> str:
    return f"{three[0]}, {three[1]} and {three[2]}"


def alike(slots: int, one: Slots, other: Slots) -> bool:
    """Whether two sets are the same slots, but for which sensor is called the first.

    Source: [method] #sensor-slots
    """

    return _from_first(slots, one) == _from_first(slots, other)


@cache
def _from_first(slots: int, three: Slots) -> tuple[int, ...]:
    """The set counted from the sensor that gives the lowest list, whichever is called the first."""
    return min(tuple(sorted((slot - first) % slots for slot in three)) for first in three)


def _placed(
    slots: int, pole_pairs: int, entered: Slots | None, sensor_spacing: str, pattern: str
) -> list[Cause]:
    """Causes that lie in the slots: the ways to go wrong that show this pattern."""
    good = right_set(slots, pole_pairs, sensor_spacing)
    mend = (
        f"Take slots {_listed(good)}."
        if good
        else "No slots of this stator do: carry the sensors on a plate."
    )
    explained = entered is not None and pattern in shows(slots, pole_pairs, entered)
    found: list[Cause] = []
    stepped: list[Slots] = []
    for three, how, often in mistakes(slots, pole_pairs, sensor_spacing):
        if pattern not in shows(slots, pole_pairs, three):
            continue
        own = entered is not None and explained and alike(slots, three, entered)
        if how == (_STEP_OFF,) and not own:
            stepped.append(three)
            continue
        fits = "yes" if own else "" if entered is None else "no"
        weight = often + 2.0 if own else often if entered is None else 0.4 * often
        text = f"Sensors as in slots {_listed(three)}: {'; or '.join(how)}."
        sees = _sees(slots, pole_pairs, three, sensor_spacing, pattern)
        found.append(Cause(text, weight, sees, mend + _over(slots, pole_pairs, three), fits, three))
    named = any(cause.fits == "yes" for cause in found)
    if stepped:
        example = "; or ".join(_listed(three) for three in stepped[:2])
        weight = 0.5 if entered is None or not explained else 0.2
        sees = {"count": f"they are as far apart as slots {example}"}
        if pattern in _TOGETHER:
            sees["plug"] = "its lamp stops, the others go on"
        text = f"One sensor is a slot off, miscounted, as in {example}."
        found.append(Cause(text, weight, sees, mend, "no" if entered else "", stepped[0]))
    why = sensors_reason(slots, pole_pairs, entered, sensor_spacing) if entered else ""
    if entered and explained and why and not named:
        sees = {"count": f"the sensors do sit in slots {_listed(entered)}"}
        found.append(Cause(f"The slots entered do this. {why}", 3.0, sees, mend, "yes", entered))
    if entered and not explained:
        found += _miscounted(slots, pole_pairs, entered, pattern)
    return found


def _sees(slots: int, pole_pairs: int, three: Slots, sensor_spacing: str, pattern: str) -> dict[str, str]:
    """What a set of slots shows in the tests."""
    sees = {"count": f"they are as far apart as slots {_listed(three)}"}
    if pattern in _TOGETHER:
        sees["plug"] = "its lamp stops, the others go on"
    if "six-codes" in shows(slots, pole_pairs, three):
        sees["codes"] = _strange(sensor_spacing)
    return sees


def _strange(sensor_spacing: str) -> str:
    """The codes that a set of the other kind brings."""
    return ("all on and all off" if sensor_spacing == "120" else "010 and 101") + " are among them"


def _over(slots: int, pole_pairs: int, three: Slots) -> str:
    """' Or turn sensor 2 over.' where that mends an even set of the other kind."""
    if "six-codes" not in shows(slots, pole_pairs, three):
        return ""
    over = turned_over(slots, pole_pairs, three)
    return f" Or turn sensor {over[0] + 1} over, so that its lamp is reversed." if over else ""


def _miscounted(slots: int, pole_pairs: int, entered: Slots, pattern: str) -> list[Cause]:
    """Other counts of pole pairs with which the slots entered would show this."""
    other = (2 * pole_pairs, pole_pairs // 2, *(pole_pairs + d for d in (-1, 1, -2, 2)))
    fit = [
        str(p)
        for p in dict.fromkeys(other)
        if p > 0 and p != pole_pairs and pattern in shows(slots, p, entered)
    ]
    if not fit:
        return []
    count = " or ".join(fit[:2])
    return [
        Cause(
            f"The rotor has {count} pole pairs and not {pole_pairs}: with that the slots entered do this.",
            0.45,
            {"claws": f"{count} claws on one half"},
            "Enter that count and take a set from the table.",
            "yes",
        )
    ]


def _turned(slots: int, pole_pairs: int, base: Slots, sensor_spacing: str, pattern: str) -> list[Cause]:
    """One sensor of these slots turned over, where that would show the pattern and the slots alone don't."""
    plain = shows(slots, pole_pairs, base)
    which = [
        k
        for k in range(3)
        if pattern in shows(slots, pole_pairs, base, k) and (pattern not in plain or pattern == "six-codes")
    ]
    if not which:
        return []
    name = f"Sensor {which[0] + 1}" if len(which) == 1 else "One sensor"
    sees = {"magnet": "the same pole that lights two lamps doesn't light its own"}
    if pattern == "six-codes":
        sees["codes"] = _strange(sensor_spacing)
    text = f"{name} is turned over, its lamp reversed."
    return [Cause(text, 0.6, sees, "Turn it over, its marked face as the others' is.")]


def diagnose(
    slots: int,
    pole_pairs: int,
    sensor_slots: Slots | None,
    sensor_spacing: str,
    sensor_kind: str,
    pattern: str,
) -> list[dict[str, str]]:
    """Likely causes of what the lamps do, the likeliest first: rows of `cause`, `slots`, `fits`, `test` and `mend`.

    sensor_slots: where they are meant to sit, None when nobody entered them. fits: whether the cause agrees with the
    slots entered ("yes", "no", "" for one that says nothing of slots). test: the cheapest whose outcome differs
    between this cause and the next one.

    Source: [method-machine] #lamps
    """
    found = _placed(slots, pole_pairs, sensor_slots, sensor_spacing, pattern) + list(FAULTS.get(pattern, ()))
    base = sensor_slots or right_set(slots, pole_pairs, sensor_spacing)
    if base:
        found += _turned(slots, pole_pairs, base, sensor_spacing, pattern)
    if pattern == "uneven" and sensor_kind == "unipolar":
        found.append(UNIPOLAR)
    if pattern == "six-codes" and sensor_slots:
        sound = not sensors_reason(slots, pole_pairs, sensor_slots, sensor_spacing)
        nothing = FAULTS["six-codes"][0]
        found.remove(nothing)
        if sound:
            found.append(nothing._replace(often=2.0, fits="yes"))
    found.sort(key=lambda cause: -cause.often)
    return [
        {
            "cause": one.cause,
            "slots": ", ".join(map(str, one.slots)),
            "fits": one.fits or "not told",
            "test": _tell(one, after),
            "mend": one.mend,
        }
        for one, after in zip(found, [*found[1:], None], strict=False)
    ]


def _tell(one: Cause, after: Cause | None) -> str:
    """The cheapest test whose outcome differs between two causes, and what it shows for the first."""
    for test, words in TESTS.items():
        mine, its = one.sees.get(test), after.sees.get(test) if after else None
        if mine and mine != its:
            return f"{words}: if it is this, {mine}."
    return ""
