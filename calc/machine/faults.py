"""What goes wrong with position sensors besides their slots: what the lamps do then, what tells it, the mend.

How often people go wrong in each way is common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

# Cheapest first. What each cause shows in them stands in its `sees`.
TESTS = {
    "turn": "Turn the rotor on, slowly, by two claws of one half",
    "codes": "Write down the codes of one turn",
    "field": "Read the field's amps at the brush leads",
    "plug": "Unplug one of the sensors whose lamps go together",
    "swap": "Exchange the plugs of two sensors",
    "count": "Chalk the slots and count from sensor to sensor",
    "claws": "Chalk a claw and count those of one rotor half, twice",
    "volts": "Volts at the sensor's own pins: supply, and output",
    "mark": "Turn one way only and mark the shaft where each lamp changes",
    "magnet": "Field off, hold one pole of a magnet to each sensor in turn",
    "slide": "Slide the sensor along its slot, to mid-stack and to the bore",
}


class Cause(NamedTuple):
    """One way it may have come about. often: how often, 0 to 1; sees: what a test shows if it is this one.

    fits: whether it agrees with the slots entered: "yes", "no", or "" when it says nothing of slots.
    """

    cause: str
    often: float
    sees: dict[str, str]
    mend: str
    fits: str = ""
    slots: tuple[int, ...] = ()


FAULTS: dict[str, tuple[Cause, ...]] = {
    "one-fixed": (
        Cause(
            "One sensor has no supply, a broken lead or no pull-up.",
            0.9,
            {
                "swap": "the dead lamp goes with the sensor's plug",
                "volts": "no supply, or an output that never moves",
            },
            "5 V at its pins; a pull-up of 4.7 kΩ from output to supply; a new lead.",
        ),
        Cause(
            "One sensor sits too far from the bore: its threshold isn't reached.",
            0.5,
            {
                "slide": "its lamp wakes up nearer to the claws",
                "magnet": "it answers to both poles of a magnet",
            },
            "Bring it to the slot's mouth at mid-stack; more field; a more sensitive kind.",
        ),
        Cause(
            "One sensor sits at a claw's root: one polarity is so wide there that the other never switches it.",
            0.45,
            {"slide": "its lamp wakes up at mid-stack", "magnet": "it answers to both poles of a magnet"},
            "Move it to the middle of the stack's length.",
        ),
        Cause(
            "One sensor faces away, or is of another kind: the pole that it needs never comes near enough.",
            0.4,
            {"magnet": "it answers to the other pole than its neighbours, or from its back alone"},
            "Turn it over, marked face to the bore as the others'; three of one kind, best latching.",
        ),
        Cause(
            "The rotor was turned by less than one electrical turn.",
            0.3,
            {"turn": "the lamp changes after all"},
            "Turn further: every lamp changes twice for each pole pair.",
        ),
    ),
    "none": (
        Cause(
            "The field is off, or its brushes don't touch.",
            1.0,
            {"field": "no amps", "magnet": "every lamp answers to a magnet"},
            "Field on first, at low current; seat the brushes.",
        ),
        Cause(
            "The sensors have no supply, or their common lead is broken.",
            0.7,
            {"volts": "no supply", "magnet": "no lamp answers to a magnet"},
            "5 V at their pins; a pull-up of 4.7 kΩ from each output to supply.",
        ),
        Cause(
            "The rotor was turned by less than one sixth of an electrical turn.",
            0.3,
            {"turn": "the lamps change after all"},
            "Turn further: all lamps change within one pole pair.",
        ),
        Cause(
            "All sensors sit too far from the bore: their thresholds aren't reached.",
            0.25,
            {"slide": "a lamp wakes up nearer to the claws", "field": "more amps wake them up"},
            "Bring them to the slots' mouths at mid-stack; more field; a more sensitive kind.",
        ),
    ),
    "uneven": (
        Cause(
            "The sensors sit at a claw's root, where one polarity is wider: lamps are on for more or less than half.",
            0.7,
            {
                "mark": "on and off of one lamp aren't half a turn apart",
                "slide": "the lamps even out at mid-stack",
            },
            "Move them to the middle of the stack's length.",
        ),
        Cause(
            "A sensor sits off the middle of its slot.",
            0.6,
            {"mark": "both marks of one lamp are shifted alike", "count": "the slots are right"},
            "Measure the shift, enter it as the sensor's place, and move it.",
        ),
        Cause(
            "The rotor jumped from tooth to tooth while it was turned by hand.",
            0.4,
            {"turn": "with a lever and less field the steps even out"},
            "Turn it by a lever with little field.",
        ),
    ),
    "all-together": (
        Cause(
            "The three signal wires touch.",
            0.35,
            {"plug": "all lamps still go together", "count": "the slots are right"},
            "Unplug all; look for less than 1 kΩ from wire to wire; insulate.",
        ),
    ),
    "six-codes": (
        Cause(
            "Nothing: these lamps are right. Their order depends on the way it turns and on which lead is which.",
            0.3,
            {"codes": "none that the controller doesn't know"},
            "Go on to lead matching.",
        ),
    ),
}
_TOUCH = Cause(
    "Two signal wires touch.",
    0.35,
    {"plug": "both lamps still go together", "count": "the slots are right"},
    "Unplug all; look for less than 1 kΩ from wire to wire; insulate.",
)
FAULTS |= {"two-together": (_TOUCH,), "two-at-once": (_TOUCH,)}
UNIPOLAR = Cause(
    "Unipolar sensors with a threshold near the field's peak: lamps are on for less than half.",
    0.9,
    {"mark": "every lamp is on for less than half a turn", "field": "more amps lengthen it"},
    "Use latching sensors, or more field.",
)
"""Only where the sensors are unipolar, and uneven."""
