"""Asks an independent winding library for a sample of windings and writes tests/machine/windings_swat_em.json.

The library is no part of the project's environment. In a throw-away one:

    python -m venv build/swat && build/swat/bin/pip install swat-em==0.6.3
    build/swat/bin/python scripts/make_winding_fixture.py

The sample is drawn with a fixed seed, so that the file comes out the same.
"""

from __future__ import annotations

import json
import random
from importlib.metadata import version
from math import gcd
from pathlib import Path

from swat_em import datamodel

SEED, WANTED = 20261125, 60
ORDERS = (1, 3, 5, 7, 9, 11)
TARGET = Path(__file__).resolve().parent.parent / "tests" / "machine" / "windings_swat_em.json"


def winding(slots: int, poles: int, layers: int, span: int) -> dict[str, object] | None:
    """What the library says of one winding; None where it finds none that is balanced."""
    data = datamodel()
    try:
        data.genwdg(Q=slots, P=poles, m=3, w=span, layers=layers)
        data.analyse_wdg()
    except Exception:
        return None
    if not data.get_is_symmetric():
        return None
    found, factors = data.get_windingfactor_el()
    by_order = {int(order): [abs(float(f)) for f in row] for order, row in zip(found, factors, strict=False)}
    pairs = poles // 2
    if not all(order in by_order for order in ORDERS):
        return None
    return {
        "slots": slots,
        "pole_pairs": pairs,
        "layers": layers,
        "coil_span": span,
        "factors": {str(order): round(by_order[order][0], 6) for order in ORDERS},
        "sides_of_phase_a": data.get_phases()[0],
    }


def sample() -> list[dict[str, object]]:
    """Integer and fractional slots per pole and phase, tooth coils, one and two layers, full pitch and chorded."""
    draw = random.Random(SEED)
    rows: list[dict[str, object]] = []
    seen = set()
    while len(rows) < WANTED:
        slots, poles = 3 * draw.randint(1, 36), 2 * draw.randint(1, 12)
        if slots % (3 * gcd(slots, poles // 2)):
            continue
        pitch = slots / poles
        span = max(1, round(pitch) - draw.choice((0, 0, 1)))
        layers = draw.choice((1, 2))
        if (slots, poles, span, layers) in seen or span >= slots:
            continue
        if layers == 1 and span % 2 == 0:  # there the library pairs sides as it likes, whatever the span
            continue
        seen.add((slots, poles, span, layers))
        row = winding(slots, poles, layers, span)
        if row is not None:
            rows.append(row)
    return rows


if __name__ == "__main__":
    about = {"library": f"swat-em {version('swat-em')}", "seed": SEED, "windings": sample()}
    lines = ",\n".join(f"  {json.dumps(row)}" for row in about.pop("windings"))
    head = json.dumps(about)[:-1]
    TARGET.write_text(f'{head}, "windings": [\n{lines}\n]}}\n', encoding="utf-8")
    print(f"{TARGET.name}: {lines.count(chr(10)) + 1} windings")
