"""What the 36 arrangements show, in words and rows: what one sees, hears and measures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from calc.machine.leads import Arrangement, error_in_its_way

Row = dict[str, Any]
MANY = 3  # flickering lamps of one form are no chance (common practice, no source)
# What each behaviour looks like with no load: at stall, at speed, and on a meter.
SIGNS = {
    "right": (
        "starts from every position, smoothly",
        "runs up to its full speed, quietly",
        "little current once it runs, the same on every try",
    ),
    "early": (
        "starts from every position, a little unevenly",
        "the fastest of all with wheels up",
        "more current at a crawl than at speed; far stronger at speed than the late one",
    ),
    "late": (
        "starts as the early one does",
        "stays slow, warms, fades under throttle",
        "lower no-load speed than the early one",
    ),
    "weak": (
        "starts from some positions, hesitates or jerks in others; may lock",
        "runs rough and growls, slow",
        "several times the current of a right one, and it stalls under a light load",
    ),
    "dead": (
        "twitches once and locks, or rocks and hums",
        "doesn't keep turning",
        "current at the limit and no motion: off within a second, it only heats",
    ),
}
ORDER = (
    "right", "early", "late", "weak forward", "dead", "weak in reverse", "late in reverse", "early in reverse",
    "right in reverse",
)  # fmt: skip


def told(found: Sequence[Arrangement]) -> list[Row]:
    """Every arrangement as a row; torques in units of √2·E_rms/ω·I, forward positive.

    Source: [method-machine] #arrangements
    """
    return [
        {
            "phase_order": a.phase_order,
            "sensor_order": a.sensor_order,
            "torque_mean": _clean(a.mean),
            "torque_min": _clean(a.least),
            "torque_max": _clean(a.most),
            "behaviour": a.behaviour,
        }
        for a in found
    ]


def _clean(value: float) -> float:
    return round(value, 9) + 0.0


def counts(found: Sequence[Arrangement]) -> list[Row]:
    """How many of the arrangements behave alike, and how to know them at stall, at speed and on a meter.

    What is seen and measured is common practice, no source; that it follows the torque is derived.

    Source: [method-machine] #arrangements
    """
    counted = Counter(a.behaviour for a in found)
    rows = []
    for behaviour in (word for word in ORDER if counted[word]):
        stall, speed, measure = SIGNS[behaviour.split()[0]]
        told_ = {"stall": stall, "speed": speed, "measure": measure}
        rows.append({"behaviour": behaviour, "count": counted[behaviour], **told_})
    return rows


def wired(forward: Sequence[Arrangement], reverse: Sequence[Arrangement]) -> list[Row]:
    """The arrangements to use, as rows; torques and error (rad, late) are those of the way each runs.

    Source: [method-machine] #arrangements
    """
    return [
        {
            "way": way,
            "phase_order": a.phase_order,
            "sensor_order": a.sensor_order,
            "torque_mean": _clean(abs(a.mean)),
            "torque_worst": _clean(min(sense * a.least, sense * a.most)),
            "error": _clean(error_in_its_way(a)),
        }
        for way, sense, found in (("forward", 1.0, forward), ("reverse", -1.0, reverse))
        for a in found
    ]


def unread_form(rows: Sequence[tuple[str, str, str | None]]) -> tuple[str, str] | None:
    """Where three readings of one form or more flicker and the other was never read without: what to feed instead, and
    where the sensors sit then; None otherwise.

    Each flickering lamp stands at its edge, so what the lamps say there is chance.

    Source: [method-machine] #lock-test
    """
    told = [(len(feed), steady) for feed, _, steady in rows]
    for length, other, instead, means in (
        (4, 3, "two leads alone (A-B, A-C, B-C, B-A, C-A, C-B)", "about 30° out, early or late"),
        (3, 4, "one lead against the other two (A-BC, AB-C, B-AC, BC-A, C-AB, AC-B)", "about aligned"),
    ):
        if told.count((length, "no")) >= MANY and not any(
            form == other and steady != "no" for form, steady in told
        ):
            return instead, means
    return None


def steady_form(rows: Sequence[tuple[str, str, str | None]]) -> str:
    """Which form of the lock test reads steadily and what that tells, as a sentence; '' when neither stands out.

    rows: feed, lamps, 'yes', 'no' or None.

    Source: [method-machine] #lock-test
    """
    score = {3: 0, 4: 0}
    for feed, _, steady in rows:
        score[len(feed)] += {"yes": 1, "no": -1}.get(steady or "", 0)
    if score[3] < 0 < score[4]:
        return " One lead against two reads steadily, two leads alone flicker: the sensors are aligned."
    if score[4] < 0 < score[3]:
        return " Two leads alone read steadily, one against two flickers: the sensors sit 30° out."
    return ""
