"""Blocks set as large as a place allows, around what stands in its upper corner."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from unicodedata import east_asian_width

from pocketpump.core.safety.card import one_line
from pocketpump.exchange.papers.drawing.flow import Block, set_blocks
from pocketpump.exchange.papers.drawing.page import MM_PER_POINT, Dot, Drawn, Rule, Text

_DESCENDER = 0.25
"""The depth of a p or g below its baseline, in type sizes."""


@dataclass(frozen=True, slots=True)
class CardArea:
    """A rectangle in mm; blocks that begin above ``narrow_to`` are only ``narrow`` wide."""

    x: float
    y: float
    width: float
    height: float
    narrow: float = 0.0
    narrow_to: float = 0.0


def fitted(
    layouts: Iterable[Sequence[Block]], sizes: Sequence[float], place: CardArea
) -> list[Drawn]:
    """Return the first of ``layouts`` that fits, in the largest of ``sizes`` (smallest first).

    The size of a block counts in the place's type size: 1.3 is set in 1.3 times that.

    When none fits, of the last, in the smallest size, the lines that have room are set: nothing
    is drawn below the place, where the paper is cut or not printed.
    """
    drawn: list[Drawn] = []
    foot = place.y + place.height
    for layout in layouts:
        drawn, below = _set(layout, sizes[0], place)
        if below <= foot:
            return _largest(layout, sizes, place)
    return [thing for thing in drawn if _foot_of(thing) <= foot]


def clipped(text: str, columns: int) -> str:
    """Return ``text`` in one line of at most ``columns``; Chinese letters take two."""
    whole = one_line(text)
    used = 0
    for i, letter in enumerate(whole):
        used += 2 if east_asian_width(letter) in "WF" else 1
        if used > columns:
            return whole[: max(0, i - 1)].rstrip() + "…"
    return whole


def _foot_of(thing: Drawn) -> float:
    if isinstance(thing, Rule):
        return max(thing.y, thing.to_y)
    if isinstance(thing, Text):
        return thing.y + _DESCENDER * thing.size * MM_PER_POINT
    return thing.y + (thing.radius if isinstance(thing, Dot) else thing.height)


def _largest(layout: Sequence[Block], sizes: Sequence[float], place: CardArea) -> list[Drawn]:
    for size in reversed(sizes):
        drawn, below = _set(layout, size, place)
        if below <= place.y + place.height:
            return drawn
    raise AssertionError("the smallest size fitted")


def _set(layout: Sequence[Block], size: float, place: CardArea) -> tuple[list[Drawn], float]:
    drawn: list[Drawn] = []
    y = place.y
    for block in layout:
        width = place.narrow if y < place.narrow_to else place.width
        sized = replace(block, size=size * block.size, gap=size * block.gap)
        things, y = set_blocks([sized], place.x, y, width)
        drawn += things
    return drawn, y
