"""Cases of solved_in_time.py and the table of their results. Run as a module it writes solved_in_time.csv anew."""

from __future__ import annotations

import csv
import multiprocessing
import platform
from pathlib import Path

import numpy as np
import scipy

from tests.drive.solved_in_time import CLOSE, CUT, FADE, PULSES, RESULTS, solve

TABLE = Path(__file__).with_name("solved_in_time.csv")
TEXTS = ("edges", "harmonics")
GIVEN = (
    "speed",
    "constant",
    "resistance",
    "inductance",
    "pairs",
    "supply",
    "source",
    "limit",
    "duty",
    "late",
    *TEXTS,
)


def cases():
    """About a machine of the demo's order, and others: speeds, limits, duties, edges, L/R."""
    inf = float("inf")
    base = {
        "constant": 0.09,
        "resistance": 0.03,
        "inductance": 200e-6,
        "pairs": 8,
        "supply": 48.0,
        "source": 0.0,
    }
    plain = {**base, "limit": inf, "duty": 1.0, "late": 0.0, "edges": "", "harmonics": ""}

    def case(**changes):
        return {**plain, **changes}

    # No-load speed of this machine is about 48/(√2·0.09) = 377 rad/s or a little more.
    for speed, late in (
        *((2.0, 0.0), (40.0, -30.0), (40.0, 0.0), (120.0, 0.0), (120.0, 30.0), (220.0, -15.0), (220.0, 20.0)),
        *((300.0, 0.0), (340.0, -30.0), (400.0, 0.0), (430.0, -20.0), (490.0, 10.0)),
    ):
        yield case(speed=speed, late=late)
    yield case(speed=180.0, inductance=3e-6, resistance=0.06)  # L/R 0.05 ms
    yield case(speed=180.0, inductance=20e-6, resistance=0.06, late=-15.0)
    yield case(speed=180.0, inductance=300e-6, resistance=0.015, late=15.0)  # 20 ms
    yield case(speed=60.0, inductance=2e-3, resistance=0.1, late=-30.0)  # 20 ms
    yield case(
        speed=900.0, constant=0.03, resistance=0.08, inductance=60e-6, pairs=6, supply=36.0, late=-10.0
    )
    yield case(speed=45.0, constant=0.4, resistance=0.2, inductance=1.2e-3, pairs=12, supply=60.0)
    yield case(speed=200.0, edges="5 -4 3 -6 2 0")
    yield case(speed=330.0, late=-10.0, edges="8 -2 -7 4 0 -3")
    yield case(speed=200.0, harmonics="5 0.05 0; 3 0.1 0")
    yield case(speed=290.0, late=-15.0, harmonics="5 0.05 0.5; 7 0.03 0")
    yield case(speed=80.0, source=0.02)
    yield case(speed=250.0, source=0.05, late=-20.0)
    # Above no-load speed, with diodes that conduct for most of a turn; little inductance and long diode times.
    yield case(speed=140.0, constant=0.38, resistance=0.02, inductance=2e-6, pairs=2, supply=60.0, late=-30.0)
    yield case(
        speed=440.0,
        constant=0.048,
        resistance=0.06,
        inductance=3.5e-6,
        pairs=2,
        supply=26.0,
        edges="-8 3 8 5 -9 -8",
    )
    yield case(speed=450.0, inductance=500e-6, late=26.0, edges="2 -6 -1 2 4 7")
    # Limited: hardly, well, hard; and close to standstill.
    for limit, speed, late in (
        *((150.0, 2.0, 0.0), (80.0, 8.0, -20.0), (80.0, 90.0, -30.0), (80.0, 90.0, 0.0), (80.0, 90.0, 30.0)),
        *(
            (30.0, 200.0, 0.0),
            (30.0, 200.0, -20.0),
            (150.0, 60.0, 20.0),
            (150.0, 150.0, 0.0),
            (60.0, 260.0, -10.0),
        ),
    ):
        yield case(limit=limit, speed=speed, late=late)
    yield case(limit=80.0, speed=150.0, inductance=20e-6, resistance=0.06, late=10.0)
    yield case(limit=200.0, speed=120.0, inductance=3e-6, resistance=0.06)
    yield case(limit=50.0, speed=60.0, inductance=2e-3, resistance=0.1)
    yield case(limit=80.0, speed=60.0, edges="5 -4 3 -6 2 0")
    yield case(limit=80.0, speed=120.0, harmonics="5 0.05 0.5; 3 0.1 0")
    yield case(limit=120.0, speed=100.0, source=0.05)
    yield case(limit=20.0, speed=330.0, late=-30.0)
    yield case(limit=15.0, speed=440.0, late=10.0)
    # Pulsed.
    for duty, speed, late in (
        *((0.4, 30.0, 0.0), (0.4, 100.0, -30.0), (0.7, 100.0, -20.0), (0.7, 180.0, 0.0), (0.7, 220.0, 20.0)),
        *((0.4, 180.0, 0.0), (0.4, 250.0, 0.0)),
    ):
        yield case(duty=duty, speed=speed, late=late)
    yield case(duty=0.7, speed=180.0, inductance=20e-6, resistance=0.06)
    yield case(duty=0.7, speed=150.0, edges="5 -4 3 -6 2 0")
    yield case(duty=0.7, speed=60.0, limit=60.0, late=-10.0)


def rows():
    """The table: each case with its results."""
    with TABLE.open(encoding="utf-8") as file:
        lines = [line for line in file if not line.startswith("#")]
    return [{k: v if k in TEXTS else float(v) for k, v in row.items()} for row in csv.DictReader(lines)]


def main():
    with TABLE.open("w", encoding="utf-8", newline="") as file, multiprocessing.Pool(2) as pool:
        file.write(
            f"# solved_cases.py: Python {platform.python_version()}, numpy {np.__version__}, scipy"
            f" {scipy.__version__}, solve_ivp by DOP853 at {CLOSE}; {PULSES} pulses to a sector and"
            f" {FADE} to L/R or more, and twice as many; a cut lasts {CUT} of a pulse\n"
        )
        out = csv.writer(file, lineterminator="\n")
        out.writerow([*GIVEN, *RESULTS])
        grid = list(cases())
        for case, found in zip(grid, pool.imap(solve, grid), strict=True):
            out.writerow([*(case[name] for name in GIVEN), *(f"{x:.7g}" for x in found)])
            file.flush()


if __name__ == "__main__":
    main()
