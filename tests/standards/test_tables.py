"""The tables: whole, monotonic, and as published."""

from __future__ import annotations

import numpy as np
import pytest

from calc import standards

CURVES = "ocv_pybamm_26_10_1_1"


@pytest.mark.parametrize(
    ("heading", "ends"),
    [
        ("lfp_prada2013_V", (2.0, 3.6)),
        ("nmc_chen2020_V", (2.5, 4.2)),
        ("nca_kim2011_V", (2.7, 4.2)),
        ("lco_ai2020_V", (3.0, 4.2)),
    ],
)
def test_open_circuit_curves(heading, ends):
    """Limits of the parameter sets, read in PyBaMM: Prada2013 2.0 to 3.6 V; Chen2020, NCA_Kim2011, Ai2020 to 4.2."""
    charge = np.array(standards.column(CURVES, "soc"))
    volts = np.array(standards.column(CURVES, heading))
    assert charge == pytest.approx(np.linspace(0.0, 1.0, 21))
    assert (volts[0], volts[-1]) == ends
    assert np.all(np.diff(volts) > 0)


def test_cell_windows():
    rows = standards.rows("cell_windows")
    assert [row["chemistry"] for row in rows] == ["lfp", "nmc", "nca", "lco"]
    for row in rows:
        assert 2.0 <= float(row["least_V"]) < float(row["nominal_V"]) < float(row["full_V"]) < 4.5


def test_an_unknown_table_is_our_fault():
    with pytest.raises(FileNotFoundError):
        standards.rows("no_such_table")
