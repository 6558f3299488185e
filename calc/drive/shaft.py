"""What reaches the motor's sprocket, and how it compares with what is asked there."""

from __future__ import annotations

from calc.quantities import Nm, Number


def shaft_torque(machine_torque: Nm, drag_torque: Nm) -> Nm:
    """Torque at the driver sprocket, N·m: the machine's less what it holds back by itself at that speed.

    Source: [method] #ride
    """
    return machine_torque - drag_torque


def start_margin(torque_available_worst: Nm, torque_needed: Nm) -> Number:
    """(have − need)/need at the worst rotor position. Validity: something is needed (rolling resistance is).

    Source: [method] #six-step-torque
    """
    return (torque_available_worst - torque_needed) / torque_needed
