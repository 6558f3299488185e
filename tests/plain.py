"""For tests that compare words: what stands on a page keeps its numbers and units together by no-break spaces."""

from __future__ import annotations


def spaces(text: str) -> str:
    """A text with plain spaces."""
    return text.replace("\N{NO-BREAK SPACE}", " ")
