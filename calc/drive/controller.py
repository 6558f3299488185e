"""What the controller itself loses between the pack and the bus of ideal switches."""

from __future__ import annotations

from calc.quantities import Ampere, Fraction, Real


def bus_current_limit(battery_current_limit: Ampere, controller_efficiency: Fraction) -> Ampere:
    """Current that reaches the bus of ideal switches when the controller draws its battery limit from the pack, A.

    The limit is what leaves the pack; what the controller loses of it never reaches the machine.

    Source: [method] #controller-loss
    """
    return battery_current_limit * controller_efficiency


def drawn(bus: Real, controller_efficiency: Fraction) -> Real:
    """What the controller draws from the pack for what its ideal switches take: power in W, or current in A.

    Validity: driving; nothing is fed back.

    Source: [method] #controller-loss
    """
    return bus / controller_efficiency
