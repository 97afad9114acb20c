"""Letters as a browser draws them with the fonts of the phone, as outlines for paper.

A browser shows no font files, but it draws any letter on a canvas; its picture is traced. Where
the phone has no letter either it draws a box, in some browsers with the letter's number in it:
that is told by the width and the frame of a code point that stands for no letter.
"""

from collections.abc import Callable
from dataclasses import dataclass
from unicodedata import category

from pocketpump.exchange.papers.drawing import traced
from pocketpump.exchange.papers.drawing.lending import EM, Lender, LentLetter, Stroke

_NO_LETTERS = ("\u0378", "\U0003fffd")
"""Given to no letter; of four digits and of five, as a box with digits has room for them."""
_ROOM = 0.02
"""Widths that differ by less, in ems, are alike."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a letter is drawn: its size, the side of the picture, where its baseline begins."""

    size: int = 128
    side: int = 288
    x: int = 72
    y: int = 184


@dataclass(frozen=True, slots=True)
class Drawing:
    """A letter drawn: its ``advance`` in pixels, and the ink of each pixel, 0 to 255."""

    advance: float
    alpha: bytes


Draw = Callable[[str, Placed], Drawing]
PLACED = Placed()


def lender(draw: Draw) -> Lender:
    """Return who lends the letters that ``draw`` draws."""
    boxes: list[tuple[float, tuple[bytes, ...]]] = []

    def lend(letter: str) -> LentLetter | None:
        if not boxes:
            boxes.extend(_framed(draw(none, PLACED)) for none in _NO_LETTERS)
        found = _alone(letter, draw)
        rows = _rows(found.alpha)
        if not any(map(any, rows)) or _touches_the_edge(rows):
            return None
        wide, frame = _framed(found)
        if any(abs(wide - w) < _ROOM * PLACED.size and frame == f for w, f in boxes):
            return None
        return LentLetter(letter, found.advance / PLACED.size, outline(rows))

    return lend


def outline(rows: list[bytes]) -> tuple[Stroke, ...]:
    """Return the ink of a picture as the steps of a pen."""
    scale = EM / PLACED.size
    strokes: list[Stroke] = []
    for contour in traced.traced(rows):
        placed = [((x - PLACED.x) * scale, (PLACED.y - y) * scale) for x, y in contour]
        strokes.append(("moveTo", (placed[0],)))
        strokes += [("lineTo", (point,)) for point in placed[1:]]
        strokes.append(("closePath", ()))
    return tuple(strokes)


def _alone(letter: str, draw: Draw) -> Drawing:
    """Draw ``letter``; a mark above or below on a letter that is then taken away.

    Alone, a mark would stand on a dotted circle.
    """
    if category(letter) != "Mn":
        return draw(letter, PLACED)
    carrier = "\u0e01" if letter < "\u0e80" else "\u0e81"
    bare, both = draw(carrier, PLACED), draw(carrier + letter, PLACED)
    ink = bytes(max(0, b - a) for a, b in zip(bare.alpha, both.alpha, strict=True))
    shift = round(bare.advance)
    rows = (row[shift:] + bytes(shift) for row in _rows(ink))
    return Drawing(max(0.0, both.advance - bare.advance), b"".join(rows))


def _rows(alpha: bytes) -> list[bytes]:
    side = PLACED.side
    return [alpha[at : at + side] for at in range(0, side * side, side)]


def _touches_the_edge(rows: list[bytes]) -> bool:
    """Tell whether ink is cut off; where pictures may not be read, all of it is ink or noise."""
    return any(rows[0]) or any(rows[-1]) or any(row[0] or row[-1] for row in rows)


def _framed(drawn: Drawing) -> tuple[float, tuple[bytes, ...]]:
    """Return the width of a letter and the outermost ink of it, all round."""
    half = bytes(int(value > 127) for value in range(256))
    rows = [row.translate(half) for row in _rows(drawn.alpha)]
    inked = [row for row in rows if any(row)]
    if not inked:
        return drawn.advance, ()
    left = min(row.index(1) for row in inked)
    right = max(row.rindex(1) for row in inked)
    sides = (bytes(row[at] for row in inked) for at in (left, right))
    return drawn.advance, (inked[0][left : right + 1], inked[-1][left : right + 1], *sides)
