"""Checklists and circuit: filled in from a build, blank where nothing is known, and safe in their order."""

from __future__ import annotations

import re

import pytest

from calc import checklists, circuit, printed
from calc.build import Build
from calc.entries import parse_all
from calc.fields import FIELDS
from calc.graph import GRAPH
from calc.sheet import Sheet, demo

NAMES = [*checklists.checklists(), "circuit"]


@pytest.mark.parametrize("name", checklists.checklists())
def test_what_is_filled_in_is_a_field_or_a_node(name: str) -> None:
    one = checklists.checklists()[name]
    words = [one["intro"], one["caution"], one["last"], *(w for step in one["steps"] for w in step)]
    for node, _ in (hole for text in words for hole in checklists.HOLE.findall(text)):
        assert node in FIELDS or node in GRAPH, node


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_is_filled_in_and_the_demo_is_marked(name: str) -> None:
    own = printed.page(name, Sheet(demo().entries), demo=False, today="25 Nov 2026")
    text = re.sub(r"<[^>]+>", " ", own.split("<main>")[1])
    assert "{" not in text and not re.search(r"\bnan\b|\binf\b|None [VAΩk]", text)
    assert "DEMO VALUES" not in own and "25 Nov 2026" in own
    assert "DEMO VALUES" in printed.page(name, demo(), demo=True)
    assert "Local codes and licensed practice" in own


@pytest.mark.parametrize("name", NAMES)
def test_what_is_not_known_is_a_line_to_write_on(name: str) -> None:
    """An empty sheet prints, and never puts another build's numbers on it."""
    text = printed.page(name, Sheet({}), demo=False)
    assert checklists.BLANK in text
    assert "58.4 V" not in text


def test_the_pack_of_the_build_is_on_its_charging_sheet() -> None:
    entries = parse_all({"chemistry": "nmc", "series": "13", "charger_voltage": "54.6 V"}, FIELDS)
    text = printed.page("charging", Sheet(entries), demo=False)
    assert text.count("54.6 V") >= 3 and "NMC" in text


def test_the_wire_list_sizes_leads_by_their_own_current() -> None:
    """100 A of phase limit are 81.6 A in a lead; more limit asks for a thicker one."""

    def lead(limit: str) -> tuple[str, str]:
        entries = {**demo().entries, **parse_all({"phase_current_limit": limit}, FIELDS)}
        build = Build.of([("sheet", entries)])
        row = next(r for r in circuit.runs(build, build.nominal()) if "machine" in r[0])
        return row[1], row[2]

    amps, section = lead("100 A")
    assert amps == "81.6 A"
    more = float(lead("200 A")[1].split(" ")[0])
    assert more > float(section.split(" ")[0])
