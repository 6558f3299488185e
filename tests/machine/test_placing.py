"""Where sensors belong along the bore, against the winding's own axis and by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine import placing, winding

SIXTH = math.pi / 3.0


@pytest.mark.parametrize(
    ("connection", "shift", "kind"),
    [("delta", 0.0, "alike"), ("star", -math.pi * 92.0 * 3.75 / 360.0, "either")],
)
def test_one_slot_per_pole_and_phase(connection, shift, kind):
    """48 slots, 8 pole pairs, 92 mm: right in a slot for delta; in star 3.75° of shaft, 3.01 mm out."""
    found = placing.along_bore(48, 8, 3, 1, connection, (0, 2, 4), 92.0)
    assert found == pytest.approx((shift,) * 3)
    assert placing.kinds_of_slots(48, 8, 3, 1, connection) == kind


@pytest.mark.parametrize(("span", "kind"), [(6, "mirrored"), (5, "better")])
def test_two_slots_per_pole_and_phase(span, kind):
    """Full pitch: 15° out whichever slot, half of them the other way. Chorded 5/6: half of the slots are right."""
    assert placing.kinds_of_slots(72, 6, span, 2, "delta") == kind
    off = placing.along_bore(72, 6, span, 2, "delta", (0, 4, 8), 2.0)[0]
    assert abs(off) == pytest.approx(math.radians(15.0 / 6.0) if span == 6 else 0.0)


@given(
    st.integers(1, 30),
    st.integers(1, 12),
    st.integers(1, 12),
    st.integers(0, 90),
    st.sampled_from(["star", "delta"]),
)
def test_every_sensor_ends_on_an_axis(thirds, pole_pairs, span, second, connection):
    """Slots of any distance: for some slot as slot 0, each sensor, moved, lies on an axis of the line voltages."""
    slots = 3 * thirds
    if winding.fault(slots, pole_pairs, span, 2):
        return
    chosen = (0, second % slots, 2 * second % slots)
    axis = winding.phase_axis(slots, pole_pairs, span, 2) + (math.pi / 6.0 if connection == "star" else 0.0)
    moved = placing.along_bore(slots, pole_pairs, span, 2, connection, chosen, 2.0)

    def off(first: int) -> float:
        places = [
            pole_pairs * (math.tau * (first + s) / slots + m) - axis
            for s, m in zip(chosen, moved, strict=True)
        ]
        return max(abs((place + SIXTH / 2.0) % SIXTH - SIXTH / 2.0) for place in places)

    assert min(off(first) for first in range(slots)) == pytest.approx(0.0, abs=1e-6)
