"""Strokes for figures that read in grey print: ink lines, dashes instead of colours, words on the drawing.

Every figure has a title and a description in words; its ids start with the caller's, so that a page may hold
many. Colours come from the page's style sheet by class: f-line, f-thin, f-mark, f-soft, f-text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import NamedTuple

DASHES = ("", "9 4", "2 4", "9 4 2 4")


def figure(uid: str, title: str, words: str, width: float, height: float, body: Sequence[str]) -> str:
    """The SVG of a figure: `title` names it, `words` say what it shows to somebody who can't see it."""
    return (
        f'<svg class="f-figure" viewBox="0 0 {width:g} {height:g}" role="img" '
        f'aria-labelledby="{uid}-t" aria-describedby="{uid}-d"><title id="{uid}-t">{escape(title)}</title>'
        f'<desc id="{uid}-d">{escape(words)}</desc>{"".join(body)}</svg>'
    )


def _at(place: float) -> str:
    """A coordinate to a hundredth. The nudge keeps what lies half-way from being rounded by the machine's last bit."""
    return f"{place + 1e-6:.2f}"


def line(x1: float, y1: float, x2: float, y2: float, kind: str = "f-thin", dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<line x1="{_at(x1)}" y1="{_at(y1)}" x2="{_at(x2)}" y2="{_at(y2)}" class="{kind}"{dashed}/>'


def path(points: Sequence[tuple[float, float]], kind: str = "f-line", dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    steps = "L".join(f"{_at(x)} {_at(y)}" for x, y in points)
    return f'<path d="M{steps}" class="{kind}"{dashed}/>'


def text(x: float, y: float, words: str, anchor: str = "start", kind: str = "f-text") -> str:
    return f'<text x="{_at(x)}" y="{_at(y)}" text-anchor="{anchor}" class="{kind}">{escape(words)}</text>'


def circle(x: float, y: float, r: float, kind: str = "f-thin") -> str:
    return f'<circle cx="{_at(x)}" cy="{_at(y)}" r="{_at(r)}" class="{kind}"/>'


def box(x: float, y: float, width: float, height: float, kind: str = "f-box") -> str:
    return f'<rect x="{_at(x)}" y="{_at(y)}" width="{_at(max(width, 0))}" height="{_at(height)}" class="{kind}"/>'


class Curve(NamedTuple):
    """One curve of a plot: points in data units, its name, and which dash draws it."""

    points: Sequence[tuple[float, float]]
    name: str
    dash: int = 0


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers that divide low..high into about that many parts."""
    span = (high - low) / about
    power = 10.0 ** math.floor(math.log10(span))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= span * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [step * k for k in range(first, math.floor(high / step + 1e-9) + 1)]


def _whole(low: float, high: float) -> list[float]:
    """The whole numbers from `low` to `high`."""
    return [float(n) for n in range(math.ceil(low), math.floor(high) + 1)]


WIDTH, HEIGHT = 480.0, 310.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 24.0, 48.0, 44.0
LETTER = 8.0
"""Room for one letter of f-text; the book's letter takes 7 in the mean, a digit 9."""


def plot(
    uid: str,
    title: str,
    words: str,
    x_label: str,
    y_label: str,
    curves: Sequence[Curve],
    points: Sequence[tuple[float, float, str]] = (),
    decades: bool = False,
) -> str:
    """Curves over common axes, each named at its end; `points` are marked with a ring and a word.

    decades: what is drawn are logarithms to the base ten; the axes say the numbers themselves.
    """
    xs = [x for c in curves for x, _ in c.points] + ([x for x, _, _ in points] if decades else [])
    ys = [y for c in curves for _, y in c.points] + [y for _, y, _ in points] + ([] if decades else [0.0])
    x0, x1 = min(xs), max(max(xs), min(xs) + 1e-6)
    y0, y1 = min(ys), max(ys) * 1.08 if max(ys) > 0 else 1.0
    if decades:
        x0, x1, y0, y1 = math.floor(x0), math.ceil(x1), math.floor(y0), math.ceil(y1)
    y1 = max(y1, y0 + 1e-6)

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            LEFT + (x - x0) / (x1 - x0) * (WIDTH - LEFT - RIGHT),
            HEIGHT - BOTTOM - (y - y0) / (y1 - y0) * (HEIGHT - TOP - BOTTOM),
        )

    body = []

    def told(value: float) -> str:
        return f"{10.0**value:g}" if decades else f"{value:.6g}"

    for x in _whole(x0, x1) if decades else ticks(x0, x1):
        px, py = at(x, y0)
        body += [line(px, py, px, TOP, "f-grid"), text(px, py + 18, told(x), "middle")]
    for y in _whole(y0, y1) if decades else ticks(y0, y1):
        px, py = at(x0, y)
        body += [line(px, py, WIDTH - RIGHT, py, "f-grid"), text(px - 6, py + 4, told(y), "end")]
    body += [
        path([at(x0, y1), at(x0, y0), at(x1, y0)], "f-thin"),
        text(8, 14, y_label),
        text(WIDTH - RIGHT, HEIGHT - 8, x_label, "end"),
    ]
    wide = [36 + LETTER * len(curve.name) for curve in curves]
    gap = (WIDTH - LEFT - RIGHT - sum(wide)) / len(curves)
    for number, curve in enumerate(curves):
        body.append(path([at(x, y) for x, y in curve.points], "f-line", DASHES[curve.dash]))
        # The names stand in a row of their own above the curves, each beside its dash.
        kx = LEFT + sum(wide[:number]) + number * gap
        body += [
            line(kx, TOP - 16, kx + 30, TOP - 16, "f-line", DASHES[curve.dash]),
            text(kx + 36, TOP - 12, curve.name),
        ]
    for x, y, word in points:
        px, py = at(x, y)
        body += [
            circle(px, py, 5, "f-ring"),
            text(
                px + 8 if px < WIDTH * 0.6 else px - 8,
                py - 8,
                word,
                "start" if px < WIDTH * 0.6 else "end",
                "f-tag f-over",
            ),
        ]
    return figure(uid, title, words, WIDTH, HEIGHT, body)
