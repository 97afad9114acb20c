"""Where things stand in the waterline: millilitres to heights, labels kept apart. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class LevelMark:
    """A level with a name, such as ("alarm", 2.0).

    ``leading`` is the one to plan by, ``needs_you`` gives it the accent.
    """

    label: str
    volume_ml: float
    leading: bool = False
    needs_you: bool = False


@dataclass(frozen=True)
class PlacedMark:
    """A mark in the drawing: its line's height, and its label's, which may stand off it."""

    mark: LevelMark
    y: float
    label_y: float


@dataclass(frozen=True)
class Vessel:
    """The inside of the vessel in the drawing: upright walls, a rounded bottom."""

    left: float
    right: float
    top: float
    bottom: float
    radius: float
    capacity_ml: float

    def y_of(self, volume_ml: float) -> float:
        """The height of a level; what is below empty or above full stands at the edge."""
        share = min(max(volume_ml / self.capacity_ml, 0.0), 1.0)
        return self.bottom - share * (self.bottom - self.top)

    def inset(self, y: float) -> float:
        """How far the wall has curved inwards at height ``y``."""
        below = y - (self.bottom - self.radius)
        if below <= 0:
            return 0.0
        return self.radius - math.sqrt(max(self.radius**2 - below**2, 0.0))


def place_marks(
    marks: Sequence[LevelMark], vessel: Vessel, *, label_height: float, floor: float, ceiling: float
) -> list[PlacedMark]:
    """Marks from the top down, labels at least ``label_height`` apart.

    Labels keep inside ``ceiling`` to ``floor`` and as near their lines as they can.
    """
    ordered = sorted(marks, key=lambda mark: -mark.volume_ml)
    heights = [vessel.y_of(mark.volume_ml) for mark in ordered]
    half = label_height / 2
    spots = keep_apart(heights, label_height, ceiling + half, floor - half)
    return [
        PlacedMark(mark, y, spot) for mark, y, spot in zip(ordered, heights, spots, strict=True)
    ]


def amount_y(
    vessel: Vessel, volume_ml: float, lines: Sequence[float], *, text_height: float
) -> float:
    """Where the amount is written: under the surface, else above it and clear of lines."""
    surface = vessel.y_of(volume_ml)
    under = surface + text_height
    clear = all(abs(line - under) >= text_height * 0.7 for line in lines)
    if clear and under + text_height * 0.8 <= vessel.bottom:
        return under
    y = surface - text_height * 0.85
    for line in sorted(lines, reverse=True):
        if abs(line - y) < text_height * 0.7:
            y = line - text_height * 0.75
    return y


def keep_apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """The nearest places to ``wanted`` (rising) that are ``gap`` apart, in ``low``–``high``.

    Neighbours that collide become one block around their middle; blocks that then
    collide join, until none does. If they cannot all fit, the gap shrinks.
    """
    if not wanted:
        return []
    if len(wanted) > 1:
        gap = min(gap, (high - low) / (len(wanted) - 1))
    blocks: list[tuple[int, float]] = []
    for place in wanted:
        count, middle = 1, _inside(place, 1, gap, low, high)
        while blocks and _end(blocks[-1], gap) + gap > middle - (count - 1) * gap / 2 + 1e-9:
            before, their = blocks.pop()
            middle = (before * their + count * middle) / (before + count)
            count += before
            middle = _inside(middle, count, gap, low, high)
        blocks.append((count, middle))
    return [middle + (i - (count - 1) / 2) * gap for count, middle in blocks for i in range(count)]


def _inside(middle: float, count: int, gap: float, low: float, high: float) -> float:
    half = (count - 1) * gap / 2
    return min(max(middle, low + half), high - half)


def _end(block: tuple[int, float], gap: float) -> float:
    count, middle = block
    return middle + (count - 1) * gap / 2
