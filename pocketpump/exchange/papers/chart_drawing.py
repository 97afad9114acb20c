"""A chart on paper: what `charts.placed` works out, as things of a page, black and grey."""

from collections.abc import Callable, Sequence
from itertools import pairwise

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
    Dot,
    Drawn,
    Rule,
    Text,
    width_of,
)
from pocketpump.exchange.papers.drawing.writing import on_paper

LABEL = SMALLEST * MM_PER_POINT
"""The height of a line of labels, in mm: the smallest type there is on paper."""
_GREY = {"ink": 0.0, "data": 0.0, "fill": 0.8, "grid": 0.82, "soft": 0.4, "pale": 0.65}
_HAIRLINE = 0.15
_SLICES = 12
"""A sign with slanting sides is drawn as so many level strips."""


def on_page(placed: Sequence[Placed]) -> tuple[Drawn, ...]:
    """Return the things ``placed`` (in mm, by `LABEL`) as they are drawn."""
    return tuple(drawn for thing in placed for drawn in _drawn(thing))


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
    dash = 0.9 if stroke.dashed else 0.0
    return [
        Rule(x, y, to_x, to_y, width, dash, grey)
        for (x, y), (to_x, to_y) in pairwise(stroke.points)
    ]


def _spot(spot: Spot) -> list[Drawn]:
    grey, x, y, r = _GREY[spot.role], spot.x, spot.y, spot.radius
    if spot.kind == SQUARE:
        return [Box(x - r, y - r, 2 * r, 2 * r, grey)]
    if spot.kind == DIAMOND:
        return _strips(x, y - r, y + r, lambda down: r - abs(down - y), grey)
    if spot.kind == DROP:
        # A disc with a point on it.
        low, disc = y + 0.3 * r, 0.7 * r
        point = _strips(x, y - r, low, lambda down: (down - y + r) / 1.3 * 0.65, grey)
        return [*point, Dot(x, low, disc, grey)]
    drawn: list[Drawn] = [Dot(x, y, r, grey)]
    return [*drawn, Dot(x, y, r * 0.6, 1.0)] if spot.kind == RING else drawn


def _strips(
    x: float, top: float, bottom: float, half: Callable[[float], float], grey: float
) -> list[Drawn]:
    """Return what slants as level strips around ``x``; ``half`` is half the width at a height."""
    step = (bottom - top) / _SLICES
    strips: list[Drawn] = []
    for number in range(_SLICES):
        y = top + number * step
        wide = half(y + step / 2)
        # A little over each other, so that no light shows between them.
        strips.append(Box(x - wide, y, 2 * wide, step * 1.2, grey))
    return strips
