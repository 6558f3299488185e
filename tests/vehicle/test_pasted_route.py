"""A route as it is typed or pasted: columns in any order, units on top, and every bad cell told."""

from __future__ import annotations

from typing import Any

import pytest

from calc import sheet
from calc.entries import parse
from calc.errors import InputError
from calc.fields import FIELDS

ROUTE = FIELDS["route"]
TYPED = "400 m, 0 %, gravel, 10 km/h; 150 m, 6 %, measured, 6 km/h"


@pytest.mark.parametrize(
    "pasted",
    [
        "400, 0, gravel, 10\n150, 6, measured, 6",
        "distance, slope, surface, speed\n400, 0, gravel, 10\n150, 6, measured, 6\n",
        "Distance [km];Gradient (%);Surface;Speed (km/h)\r\n0,4;0;gravel;10\r\n0.15;6;measured;6\r\n",
        "speed_km/h\tdistance\tslope\tsurface\n10\t400\t0\tgravel\n6\t150\t6\tmeasured",
        'slope,"distance m",note,surface,speed\n0,400,flat,gravel,10 km/h\n6 %,150,,,6',
        "speed, surface, distance, slope; 10, rolled or packed gravel, 400, 0; 6, , 150, 6",
    ],
    ids=["bare", "commas", "semicolons", "tabs", "more-columns", "one-line"],
)
def test_what_is_pasted_means_what_is_typed(pasted: str) -> None:
    typed = [(d, g, "measured" if s is None else s, v, h) for d, g, s, v, h in parse(ROUTE, TYPED).value]
    entry = parse(ROUTE, pasted)
    read = [(d, g, "measured" if s is None else s, v, h) for d, g, s, v, h in entry.value]
    for row, other in zip(read, typed, strict=True):
        assert row == (
            pytest.approx(other[0]),
            pytest.approx(other[1]),
            other[2],
            pytest.approx(other[3]),
            None,
        )
    assert parse(ROUTE, entry.as_typed).value == entry.value  # what is kept can be read again


def test_columns_that_are_passed_over_are_named() -> None:
    entry = parse(ROUTE, "time,distance,lat,height\n0,0,51.1,210\n9,40,51.2,212")
    assert any("time, lat" in note for note in entry.notes)
    assert [row[4] for row in entry.value] == [210.0, 212.0]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("distance,slope\n100,2\nfar,3\n100,steep", ("row 2, distance", "row 3, slope")),
        ("distance;slope;surface\n100;2;lava\n100;80;sand", ("row 1, surface", "row 2, slope")),
        ("distance,slope\n100,2,7\n", ("row 1 has 3 cells",)),
        ("distance,slope\n0,5,2\n", ("row 1 has 3 cells", "with a point")),
        ("slope,speed\n2,10\n", ("there is no distance",)),
        ("distance,distance\n2,10\n", ("stands twice",)),
        ("distance (furlongs),slope\n2,10\n", ("furlongs",)),
        ("distance,slope\n0,2\n100,\n", ("row 1, distance", "row 2, slope", "0 % for level")),
        ("distance,height\n0,200\n100,210\n60,215\n", ("row 3, distance", "from the start")),
        ("distance,height\n0,200\n100,\n", ("row 2, height",)),
        ("distance,slope,height\n0,,200\n100,4,204\n", ("row 2, slope", "beside a height")),
        ("distance,height\n0,200\n", ("two points",)),
        ("distance,height\n5,200\n5,201\n", ("never grows",)),
        ("distance,slope\n", ("0 rows",)),
        ("100, 10 km/h", ("row 1, slope", "km/h")),
        ("distance,slope\n" + "1,0\n" * 2001, ("2001 rows", "2000")),
    ],
)
def test_every_bad_cell_is_told_with_its_row_and_column(given: str, says: tuple[str, ...]) -> None:
    with pytest.raises(InputError) as told:
        parse(ROUTE, given)
    text = " ".join(problem.text for problem in told.value.problems)
    for word in says:
        assert word in text
    assert all(problem.field == "route" for problem in told.value.problems)


def test_a_route_in_a_file_is_rows_or_the_pasted_text(tmp_path: Any) -> None:
    rows = sheet.write({"route": TYPED})
    assert "[[ride.route]]" in rows
    assert sheet.read(rows).entries["route"].value == parse(ROUTE, TYPED).value
    text = 'format = 1\n[ride]\nroute = """\ndistance;height\n0;200\n120;204,5\n"""\n'
    assert sheet.read(text).entries["route"].value[1][4] == pytest.approx(204.5)
