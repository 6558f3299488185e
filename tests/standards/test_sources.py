"""Every public formula names its source, every source is used, and every derivation is on its page."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import pytest
from markdown.extensions.toc import slugify

import calc
from calc import standards

ROOT = Path(__file__).resolve().parents[2]
SOURCE = re.compile(r"Source: \[([\w-]+)\][ \t]*(.*)")
NOT_FORMULAS = {"each"}  # calls a formula for every value of a count
HOW = {"read", "second hand", "computed", "derived"}


def formula_modules():
    names = [
        found.name
        for package in ("machine", "drive", "power", "vehicle")
        for found in pkgutil.iter_modules([str(Path(calc.__file__).parent / package)], f"calc.{package}.")
    ]
    return [importlib.import_module(name) for name in names]


def formulas():
    return [
        pytest.param(function, id=f"{module.__name__}.{name}")
        for module in formula_modules()
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
        if name not in NOT_FORMULAS
    ]


def mentions():
    """(key, locator) wherever a module of formulas or calc.standards names a source."""
    return [
        (key, locator.strip().strip('"'))
        for module in formula_modules()
        for key, locator in SOURCE.findall(inspect.getsource(module))
    ]


def anchors(page):
    found = set()
    for line in (ROOT / "docs" / page).read_text(encoding="utf-8").splitlines():
        if heading := re.match(r"#+ (.+?)(?: \{#([\w-]+)\})?$", line):
            found.add(heading[2] or slugify(heading[1], "-"))
    return found


@pytest.mark.parametrize("function", formulas())
def test_formula_names_its_source(function):
    found = SOURCE.findall(inspect.getdoc(function) or "")
    assert found, "no line 'Source: [key] locator'"
    for key, locator in found:
        assert key in standards.sources()
        assert locator.strip()


@pytest.mark.parametrize(
    "key", ["method", "method-drive", "method-machine", "method-power", "method-vehicle"]
)
def test_every_derivation_is_on_the_page(key):
    asked = {locator for found, locator in mentions() if found == key}
    assert asked
    assert {locator.removeprefix("#") for locator in asked} <= anchors(f"{key}.md")
    assert all(locator.startswith("#") for locator in asked)


def test_no_source_without_a_use():
    assert {key for key, _ in mentions()} == set(standards.sources())


@pytest.mark.parametrize("key", standards.sources())
def test_source_says_what_it_is_and_how_it_was_read(key):
    source = standards.sources()[key]
    assert set(source) == {"citation", "edition", "year", "how", "access"}
    assert source["how"] in HOW
    assert 1900 < source["year"] < 2100
    assert all(str(source[part]).strip() for part in source)
