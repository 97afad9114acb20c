"""A chart on paper: what `charts.placed` works out, as things of a page, black and grey."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import sqrt

from pocketpump.exchange.charts.placed import (
    DIAMOND,
    DROP,
    RING,
    SQUARE,
    Area,
    Placed,
    Spot,
    Stroke,
    Words,
)
from pocketpump.exchange.papers.drawing.flow import SMALLEST
from pocketpump.exchange.papers.drawing.page import (
    MM_PER_POINT,
    Box,
    Drawn,
    Rule,
    Text,
    width_of,
)
from pocketpump.exchange.papers.drawing.writing import on_paper

LABEL = SMALLEST * MM_PER_POINT
"""The height of a line of labels, in mm: the smallest type there is on paper."""
_GREY = {"ink": 0.0, "data": 0.0, "fill": 0.8, "grid": 0.82, "soft": 0.4}
_HAIRLINE = 0.15
_SLICES = 12
"""A round sign is drawn as so many level strips."""


def on_page(placed: Sequence[Placed], x: float, y: float) -> list[Drawn]:
    """Return the things ``placed`` (in mm, by `LABEL`) with their upper left corner at x, y."""
    drawn: list[Drawn] = []
    for thing in placed:
        drawn += _drawn(thing)
    return [moved(thing, x, y) for thing in drawn]


def moved(thing: Drawn, x: float, y: float) -> Drawn:
    """Return ``thing`` so much to the right and further down."""
    if isinstance(thing, Rule):
        return replace(
            thing, x=thing.x + x, y=thing.y + y, to_x=thing.to_x + x, to_y=thing.to_y + y
        )
    return replace(thing, x=thing.x + x, y=thing.y + y)


def _drawn(thing: Placed) -> list[Drawn]:
    if isinstance(thing, Words):
        return [_words(thing)]
    if isinstance(thing, Area):
        return [Box(thing.x, thing.y, thing.width, thing.height, _GREY[thing.role])]
    if isinstance(thing, Stroke):
        return _stroke(thing)
    return _spot(thing)


def _words(words: Words) -> Text:
    letters = on_paper(words.text.replace("−", "–"))
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor] * width_of(letters, SMALLEST)
    grey = 0.25 if words.role == "soft" else 0.0
    return Text(words.x - back, words.y, SMALLEST, letters, words.bold, "en", grey)


def _stroke(stroke: Stroke) -> list[Drawn]:
    width, grey = stroke.weight * _HAIRLINE, _GREY[stroke.role]
    drawn: list[Drawn] = []
    for (x, y), (to_x, to_y) in pairwise(stroke.points):
        if stroke.dashed or (x != to_x and y != to_y):
            drawn.append(Rule(x, y, to_x, to_y, width, 0.9 if stroke.dashed else 0.0))
        else:
            half = width / 2
            left, top = min(x, to_x) - half, min(y, to_y) - half
            drawn.append(Box(left, top, abs(to_x - x) + width, abs(to_y - y) + width, grey))
    return drawn


def _spot(spot: Spot) -> list[Drawn]:
    grey, r = _GREY[spot.role], spot.radius
    if spot.kind == SQUARE:
        return [Box(spot.x - r, spot.y - r, 2 * r, 2 * r, grey)]
    outline = _OUTLINES.get(spot.kind, _round)
    drawn: list[Drawn] = list(_strips(spot.x, spot.y, r, outline, grey))
    if spot.kind == RING:
        drawn += _strips(spot.x, spot.y, r * 0.6, outline, 1.0)
    return drawn


def _strips(
    x: float, y: float, r: float, outline: Callable[[float], float], grey: float
) -> list[Box]:
    """Return a sign as level strips; ``outline`` is half its width at a height of -1 to 1."""
    step = 2 * r / _SLICES
    strips = []
    for number in range(_SLICES):
        half = outline((number + 0.5) * 2 / _SLICES - 1) * r
        # A little over each other, so that no light shows between them.
        strips.append(Box(x - half, y - r + number * step, 2 * half, step * 1.2, grey))
    return strips


def _round(height: float) -> float:
    return sqrt(max(1 - height**2, 0.0))


def _diamond(height: float) -> float:
    return 1 - abs(height)


def _drop(height: float) -> float:
    """A point above, round below."""
    if height < 0.2:
        return (height + 1) / 1.2 * 0.8
    return 0.8 * _round((height - 0.2) / 0.8)


_OUTLINES: dict[str, Callable[[float], float]] = {DIAMOND: _diamond, DROP: _drop}
