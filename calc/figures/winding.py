"""The winding laid flat: which phase each slot holds."""

from __future__ import annotations

from collections.abc import Sequence

from calc.figures.svg import box, figure, line, text

PER_ROW = 24


def winding_strip(uid: str, sides: Sequence[dict[str, object]], slots: int) -> str:
    """Slots in rows of at most 24, each with its coil sides: letter and sense, phase A filled, B ringed, C plain."""
    shown = min(slots, 4 * PER_ROW)
    pitch, left = 19.0, 12.0
    body = []
    rows = -(-shown // PER_ROW)
    for side in sides:
        slot, layer = int(str(side["slot"])), int(str(side["layer"]))
        if slot >= shown:
            continue
        x = left + (slot % PER_ROW) * pitch
        y = 22.0 + (slot // PER_ROW) * 66.0 + (layer - 1) * 19.0
        phase = str(side["phase"])
        if phase == "A":
            body.append(box(x + 1, y, pitch - 2, 17, "f-fill"))
        else:
            body.append(box(x + 1, y, pitch - 2, 17, "f-box" if phase == "B" else "f-soft"))
        body.append(
            text(
                x + pitch / 2,
                y + 13,
                f"{phase}{side['sense']}",
                "middle",
                "f-onfill" if phase == "A" else "f-small",
            )
        )
    for slot in range(0, shown):
        if slot % 6 == 0:
            x = left + (slot % PER_ROW) * pitch
            y = 17.0 + (slot // PER_ROW) * 66.0
            body += [text(x + pitch / 2, y, str(slot), "middle", "f-small"), line(x, y + 3, x, y + 3, "f-thin")]
    first = "; ".join(
        f"slot {side['slot']} {side['phase']}{side['sense']}" for side in list(sides)[: min(len(sides), 12)]
    )
    more = f" The first {shown} of {slots} slots are drawn; the rest repeats." if shown < slots else ""
    return figure(
        uid,
        "Slots and phases",
        f"{slots} slots laid flat: {first}, and so on.{more}",
        2 * left + PER_ROW * pitch,
        22 + rows * 66.0,
        body,
    )


