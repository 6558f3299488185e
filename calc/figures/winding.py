"""The winding laid flat: which phase each slot holds."""

from __future__ import annotations

from collections.abc import Sequence

from calc.figures.svg import box, figure, text

PER_ROW = 24


def winding_strip(uid: str, sides: Sequence[dict[str, object]], slots: int) -> str:
    """Slots in rows of at most 24, each with its coil sides: letter and sense, phase A filled, B ringed, C plain."""
    pitch, left, side_high = 19.0, 12.0, 19.0
    row_high = 28.0 + side_high * max(int(str(side["layer"])) for side in sides)
    body = []
    for side in sides:
        slot, layer, phase = int(str(side["slot"])), int(str(side["layer"])), str(side["phase"])
        x = left + (slot % PER_ROW) * pitch
        y = 22.0 + (slot // PER_ROW) * row_high + (layer - 1) * side_high
        body.append(
            box(x + 1, y, pitch - 2, side_high - 2, {"A": "f-fill", "B": "f-box"}.get(phase, "f-soft"))
        )
        kind = "f-onfill" if phase == "A" else "f-small"
        body.append(text(x + pitch / 2, y + 13, f"{phase}{side['sense']}", "middle", kind))
    for slot in range(0, slots, 6):
        x = left + (slot % PER_ROW) * pitch
        body.append(text(x + pitch / 2, 17.0 + (slot // PER_ROW) * row_high, str(slot), "middle", "f-small"))
    layers = list(dict.fromkeys(side["layer"] for side in sides))
    told = "; ".join(
        (f"layer {layer}: " if len(layers) > 1 else "")
        + ", ".join(f"{side['phase']}{side['sense']}" for side in sides if side["layer"] == layer)
        for layer in layers
    )
    return figure(
        uid,
        "Slots and phases",
        f"{slots} slots laid flat, {PER_ROW} to a row, each with its phase and sense, from slot 0 on: {told}.",
        2 * left + PER_ROW * pitch,
        12.0 + -(-slots // PER_ROW) * row_high,
        body,
    )
