"""Settings of every test: hypothesis draws the same examples each time, and no deadline (machines differ)."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

from calc.sheet import Sheet, demo, load

settings.register_profile("same", derandomize=True, deadline=None)
settings.load_profile("same")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def cart() -> Sheet:
    """The harvest cart, which works."""
    return demo()


@pytest.fixture(scope="session")
def attempt() -> Sheet:
    """The first attempt, which fails."""
    return load(ROOT / "docs" / "examples" / "first-attempt.toml")
