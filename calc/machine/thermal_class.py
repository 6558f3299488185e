"""How hot the insulation of a coil may get, by its class."""

from __future__ import annotations

from calc.quantities import Kelvin

CLASS_LIMIT = {"A": 378.15, "E": 393.15, "B": 403.15, "F": 428.15, "H": 453.15}
"""Greatest temperature of an insulation class, K. Source: [iec60085] thermal classes"""
HOT_SPOT = 10.0
"""How much hotter than its mean the hottest spot of a winding is, K (common practice, no source)."""


def allowed_temperature(insulation_class: str) -> Kelvin:
    """Mean temperature that a winding of the class may have, K: its limit less HOT_SPOT for its hottest spot.

    Source: [iec60085] thermal classes; [method-drive] #thermal-limit
    """
    return CLASS_LIMIT[insulation_class] - HOT_SPOT
