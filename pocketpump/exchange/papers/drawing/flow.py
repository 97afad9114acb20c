"""Rows down as many pages as they need, and blocks of text as rows: the one flow of all papers."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from pocketpump.exchange.papers.drawing.page import (
    MM_PER_POINT,
    Box,
    Drawn,
    Page,
    broken,
    line,
    moved,
)

LEADING = 1.3
"""From baseline to baseline, in type sizes."""
SMALLEST = 7.0
"""The smallest type on paper, in points: smaller is not read by tired eyes (own default)."""
_BETWEEN = 6.0
_ENDLESS = float("inf")

Matrix = tuple[tuple[bool, ...], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """What is drawn from 0, 0 down in ``height`` mm, never parted; ``gap`` is the space above it.

    ``keep`` holds it on the page of the row after it; ``head`` is drawn again above it where it
    begins a page.
    """

    height: float
    drawn: tuple[Drawn, ...] = ()
    gap: float = 0.0
    keep: bool = False
    head: "Row | None" = None


def down(rows: Sequence[Row], height: float = _ENDLESS) -> list[Row]:
    """Return the ``rows`` under each other, as one row for each page of ``height`` mm."""
    pages: list[Row] = []
    drawn: list[Drawn] = []
    y = 0.0
    for number, row in enumerate(rows):
        y += row.gap if drawn else 0.0
        # What is held together is parted only where it is higher than a page.
        is_held = number > 0 and rows[number - 1].keep
        if drawn and y + (row.height if is_held else _held(rows, number)) > height:
            pages.append(Row(y, tuple(drawn)))
            drawn = [*row.head.drawn] if row.head else []
            y = row.head.height if row.head else 0.0
        drawn += [moved(thing, 0.0, y) for thing in row.drawn]
        y += row.height
    return [*pages, Row(y, tuple(drawn))]


def _held(rows: Sequence[Row], number: int) -> float:
    """Return the height of a row with all it is held together with."""
    height = rows[number].height
    while rows[number].keep and number + 1 < len(rows):
        number += 1
        height += rows[number].gap + rows[number].height
    return height


def stacked(rows: Sequence[Row]) -> Row:
    """Return ``rows`` under each other as one that is not parted."""
    return down(rows)[0]


def beside(columns: Sequence[tuple[float, Row]]) -> Row:
    """Return rows side by side as one, each at its x."""
    drawn = (moved(thing, x, 0.0) for x, row in columns for thing in row.drawn)
    return Row(max(row.height for _, row in columns), tuple(drawn))


def paged(pages: Iterable[Row], width: float, height: float | None, margin: float) -> list[Page]:
    """Return each of ``pages`` inside its margins; without a ``height`` as long as needed."""
    return [
        Page(
            width,
            page.height + 2 * margin if height is None else height,
            tuple(moved(thing, margin, margin) for thing in page.drawn),
        )
        for page in pages
    ]


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph; ``beside`` is the same in the original, in a column of its own.

    ``band`` sets it white on black. ``gap`` is the free space above, in mm, ``leading`` the way
    from baseline to baseline in type sizes.
    """

    text: str
    size: float = 11.0
    bold: bool = False
    language: str = "en"
    direction: str = "ltr"
    beside: str = ""
    band: bool = False
    gap: float = 1.2
    leading: float = LEADING
    grey: float = 0.0

    @property
    def step(self) -> float:
        """From one line to the next, in mm."""
        return self.size * self.leading * MM_PER_POINT

    def rows(self, width: float) -> list[Row]:
        """Return the block's lines, with what stands beside them, in ``width``."""
        half = (width - _BETWEEN) / 2
        own_width = half if self.beside else width
        # The text begins where its readers begin; the original takes the other side.
        own_x, beside_x = 0.0, half + _BETWEEN
        if self.beside and self.direction == "rtl":
            own_x, beside_x = beside_x, own_x
        # A little smaller, never too small.
        small = max(SMALLEST, self.size * 0.85)
        own = broken(self.text, self.size, own_width, self.language)
        originals = broken(self.beside, small, half) if self.beside else []
        base, white = self.step * 0.76, 1.0 if self.band else None
        rows: list[Row] = []
        for text, original in zip_longest(own, originals, fillvalue=""):
            drawn: list[Drawn] = []
            if self.band:
                drawn.append(Box(-1.5, 0.0, width + 3.0, self.step + 0.05))
            if text:
                drawn.append(
                    line(text, own_x, base, self.size, width=own_width, direction=self.direction,
                         bold=self.bold, language=self.language, grey=white or self.grey)
                )  # fmt: skip
            if original:
                drawn.append(line(original, beside_x, base, small, width=half, grey=white or 0.25))
            rows.append(Row(self.step, tuple(drawn), 0.0 if rows else self.gap))
        return rows


@dataclass(frozen=True, slots=True)
class Picture:
    """A code to scan, ``side`` mm wide and high."""

    matrix: Matrix
    side: float
    gap: float = 4.0

    def rows(self, _width: float) -> list[Row]:
        """Return the code as one row."""
        return [Row(self.side, tuple(picture(self.matrix, 0.0, 0.0, self.side)), self.gap)]


def set_blocks(
    blocks: Sequence[Block], x: float, y: float, width: float
) -> tuple[list[Drawn], float]:
    """Return ``blocks`` drawn from ``y`` down, and the y below them."""
    drawn: list[Drawn] = []
    for row in (row for block in blocks for row in block.rows(width)):
        y += row.gap
        drawn += [moved(thing, x, y) for thing in row.drawn]
        y += row.height
    return drawn, y


def flowed(
    blocks: Sequence[Block | Picture],
    width: float = 210.0,
    height: float | None = 297.0,
    margin: float = 18.0,
) -> list[Page]:
    """Return the pages that hold ``blocks``; without a ``height`` one page as long as needed."""
    rows = [row for block in blocks for row in block.rows(width - 2 * margin)]
    pages = down(rows) if height is None else down(rows, height - 2 * margin)
    return paged(pages, width, height, margin)


def picture(matrix: Matrix, x: float, y: float, side: float, quiet: int = 0) -> list[Drawn]:
    """Return a code drawn as boxes, one for each run of dark modules.

    Of the ``side`` the outer ``quiet`` modules all round stay white.
    """
    module = side / (len(matrix) + 2 * quiet)
    x, y = x + quiet * module, y + quiet * module
    drawn: list[Drawn] = []
    for row, cells in enumerate(matrix):
        column = 0
        while column < len(cells):
            end = column
            while end < len(cells) and cells[end]:
                end += 1
            if end > column:
                drawn.append(
                    Box(x + column * module, y + row * module, (end - column) * module, module)
                )
            column = end + 1
    return drawn
