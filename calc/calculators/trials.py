"""The pairing of leads and sensors by few trials, for a controller that can't be measured."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from calc.build import Values
from calc.fields.sensed import WAYS
from calc.figures.leads import lead_torque
from calc.findings import Finding
from calc.machine import leads, trials
from calc.machine.leads import Order
from calc.machine.trials import Plan
from calc.spec import Calculator, Column, Report, Result
from calc.units import plain, show

_WAYS = dict(WAYS)
_SURE = math.radians(5.0)
_OPEN = 0.1  # from this probability on it is said that the sensors may sit 30° out
_NEAR_OUT = math.radians(25.0)
SAFE = Finding(
    "caution",
    "A wrong arrangement heats winding and controller within seconds, and the right one may run off either way.",
    "Wheels up, chain off, hands clear. Lowest current limit, field on first, a touch of throttle, a second each; let "
    "it cool. Before leads are moved: power off, field off through its diode, then its supply off and the brush leads "
    "bolted together.",
)


def _given(v: Values) -> tuple[trials.Trial, ...]:
    rows = v["trials"] if "trials" in v.build.entered else ()
    return tuple(
        (
            ("ABC".index(a[0]), "ABC".index(a[1]), "ABC".index(a[2])),
            (int(s[0]) - 1, int(s[1]) - 1, int(s[2]) - 1),
            seen,
            way,
        )
        for a, s, seen, way in rows
    )


def _errors(v: Values) -> tuple[float, ...]:
    """The alignment errors that the sensors may have, rad: the one known, else aligned or 30° out."""
    entered = v.build.entered
    if not {"alignment_error", "sensor_slots"} & entered.keys():
        return (0.0, trials.OUT)
    error = round(leads.reduced(float(v["alignment_error"])), 9)
    if abs(error) >= _NEAR_OUT:
        return (trials.OUT,)  # late and early are the same twelve
    if "alignment_error" not in entered and abs(error) > _SURE:
        return (error, -error)  # which slot the first sensor took decides
    return (error,)


def _plan(v: Values) -> Plan:
    return trials.plan(_given(v), _errors(v), str(v["sensor_spacing"]))


def _words(pair: tuple[Order, Order]) -> tuple[str, str]:
    return "".join("ABC"[lead] for lead in pair[0]), "".join(str(sensor + 1) for sensor in pair[1])


def _remaining(v: Values) -> list[dict[str, Any]]:
    """What is still possible, likeliest first: the arrangements for both ways and how the sensors are aligned."""
    rows = []
    for h in _plan(v).hypotheses:
        if h["probability"] < 5e-4 or h["forward"] is None:
            continue
        forward, reverse = _words(h["forward"]), _words(h["reverse"])
        rows.append(
            {
                "probability": h["probability"],
                "phase_order": forward[0],
                "sensor_order": forward[1],
                "reverse_phase_order": reverse[0],
                "reverse_sensor_order": reverse[1],
                "sensors": "30° out"
                if abs(h["error"]) > _NEAR_OUT
                else "as your sheet says"
                if h["error"]
                else "aligned",
            }
        )
    return rows


def _next_trial(v: Values) -> str:
    return ", ".join(_words(_plan(v).next))


def _expected(v: Values) -> float:
    return round(_plan(v).expected, 6)


def _out(plan: Plan) -> float:
    """Probability that the sensors sit 30° out."""
    return float(sum(h["probability"] for h in plan.hypotheses if abs(h["error"]) > _NEAR_OUT))


def _running(plan: Plan, given: tuple[trials.Trial, ...]) -> tuple[tuple[Order, Order], str] | None:
    """The last trial that turned smoothly and fits the others, and its way; None for none."""
    ran = [
        ((order, sensors), way)
        for number, (order, sensors, seen, way) in enumerate(given, 1)
        if seen == "smooth" and way in ("forward", "backward") and number not in plan.astray
    ]
    return ran[-1] if ran else None


def _spaced(pair: tuple[Order, Order]) -> str:
    return "leads {}, sensors {}".format(*(" ".join(word) for word in _words(pair)))


def _kept(plan: Plan, ran: tuple[tuple[Order, Order], str]) -> tuple[str, str, str]:
    """Headline, aside and why while one arrangement runs already: it may stay, whatever else is tried to be sure."""
    pair, way = ran
    aside = f"runs smoothly {way}: it may stay"
    if pair == plan.next:
        return _spaced(pair), f"{aside}; start it once more, to be sure", "One look may be wrong."
    tells = "whether the sensors sit 30° out" if _out(plan) > _OPEN else "whether a look was wrong"
    return (
        _spaced(pair),
        aside,
        f"One more trial tells {tells}: {_spaced(plan.next)}. Enter what it does. Then go back to this one, or take "
        "the one that is faster with wheels up where the answer names two.",
    )


def _findings(v: Values) -> Iterator[Finding]:
    plan, given = _plan(v), _given(v)
    yield SAFE
    if plan.hopeless:
        yield Finding(
            "stop",
            f"After {len(given)} trials the reports don't tell: the likeliest arrangement runs with a "
            f"probability of {show(plan.found, 'percent')}.",
            "Stop trying. Measure: the static lock test and the controller's own table, both on the lead matching "
            "page. Check that the sensors give six codes and that the field stays on.",
        )
    for number in plan.astray:
        order, sensors, seen, way = given[number - 1]
        phase_order, sensor_order = _words((order, sensors))
        report = seen + (f", {_WAYS[way]}" if way and way != "neither" else "")
        yield Finding(
            "caution",
            f"Trial {number} ({phase_order}, {sensor_order}: {report}) doesn't fit what the others say. It stays "
            "in, counted as one that may be wrong.",
            "Do that one again, from another rotor position.",
        )
    if given and all(seen == "nothing" for *_, seen, _ in given):
        yield Finding(
            "caution",
            "Nothing happened in any trial: that isn't the arrangement.",
            "Field on? 5 V at the sensors? Throttle and enable? A controller for 60° sensors stands still in two "
            "of six codes of a 120° set.",
        )
    odd = [
        n for n, (*_, seen, way) in enumerate(given, 1) if seen in ("smooth", "rough") and way == "neither"
    ]
    if odd:
        yield Finding(
            "caution",
            f"Trial {odd[0]} turned, and no way is given: it is counted without one.",
            "Write down forward or in reverse, or call it locks.",
        )
    for number, (*_, seen, way) in enumerate(given, 1):
        if seen == "nothing" and way in ("forward", "backward"):
            yield Finding(
                "caution",
                f"Trial {number} says nothing happened, and {_WAYS[way]} too. Both can't be: it isn't counted.",
                "It moved: write smooth, rough or locks. It didn't: leave the way out.",
            )
    out, best = _out(plan), plan.hypotheses[0]
    if plan.settled and out > _OPEN and best["late_forward"] is not None:
        early, late = " ".join(_words(best["forward"])), " ".join(_words(best["late_forward"]))
        yield Finding(
            "caution",
            f"The sensors sit 30° out with a probability of {show(out, 'percent')}. Then two arrangements start "
            f"alike in each way. Forward: {early} and {late}.",
            "Try both with wheels up. Keep the one that runs faster by itself: it is early, and stronger at speed.",
        )
    if {"lock_test", "controller_table"} <= v.build.entered.keys():
        yield Finding(
            "note",
            "Your sheet has a lock test and the controller's table: lead matching gives the wiring without trials.",
            "Use trials to confirm it.",
        )


def _drawing(v: Values) -> tuple[Any, ...]:
    """Torque over a turn of what trials show: one that runs, a weak one, a dead one, whichever leads they are."""
    spacing, error = str(v["sensor_spacing"]), _errors(v)[0]
    places, table = leads.edges((error,) * 3, spacing), leads.table_of(spacing)
    every = leads.arrangements(places, tuple(table.items()))
    shown = []
    for name, seen in (("smooth", "smooth"), ("rough", "rough"), ("locks", "locks")):
        one = next((a for a in every if leads.starts(a) == seen), None)
        if one:
            shown.append((name, one))
    return (lambda uid: lead_torque(uid, places, table, shown, wired=False),)


def _lead_trials(v: Values) -> Report:
    plan, given = _plan(v), _given(v)
    headline = _spaced(plan.next)
    tried = (*plan.next,) in {(order, sensors) for order, sensors, *_ in given}
    if plan.settled:
        aside = f"is it, with a probability of {show(plan.found, 'percent')}"
        why = "It runs, in one way or the other: " + (
            "the first row of the table has the arrangement for each way."
            if tried
            else "connect it to confirm. The first row of the table has the arrangement for each way."
        )
    elif plan.hopeless:
        headline, aside = "No trial will tell", "measure instead"
        why = (
            f"The likeliest arrangement stands at {show(plan.found, 'percent')}, and more trials add little."
        )
    elif ran := _running(plan, given):
        headline, aside, why = _kept(plan, ran)
    else:
        aside = "once more, to be sure" if tried else "next"
        why = (
            f"On the outputs U V W and the inputs 1 2 3. It splits best what remains. About {plain(plan.expected, 2)} "
            f"trials more, this one counted, until one stands at {show(trials.ENOUGH, 'percent')}."
        )
    why += f" One report in {round(1 / trials.WRONG)} is counted as wrong. Blind, it may take 31 of the 36."
    return Report(headline, aside, why, tuple(_findings(v)), _drawing(v))


LEAD_TRIALS = Calculator(
    id="lead-trials",
    title="Lead trials",
    chapter="sense",
    question="Which arrangement of leads and sensors to try next?",
    asks=("trials", "alignment_error", "sensor_spacing"),
    gives=(
        Result("next_trial", "Next trial: leads on U V W, sensors on 1 2 3", made=_next_trial),
        Result("trials_expected", "Further trials to expect", made=_expected),
        Result(
            "remaining",
            "What is still possible",
            columns=(
                Column("probability", "Probability", "percent"),
                Column("phase_order", "Forward: leads on U V W"),
                Column("sensor_order", "Forward: sensors on 1 2 3"),
                Column("reverse_phase_order", "Reverse: leads on U V W"),
                Column("reverse_sensor_order", "Reverse: sensors on 1 2 3"),
                Column("sensors", "Sensors"),
            ),
            made=_remaining,
        ),
    ),
    report=_lead_trials,
    reads=("alignment_error", "sensor_spacing"),
    optional=("trials", "lock_test", "controller_table"),
    despite_sensors=True,
)
