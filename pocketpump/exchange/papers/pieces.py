"""Pieces of a page, one under the other, set as large as one page allows.

A piece gives rows of a width and a type size; a row is never parted, so what does not fit goes on
over the page and nothing is cut. Sizes in a piece count in type sizes, gaps in mm.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pocketpump.exchange.papers.chart_drawing import moved
from pocketpump.exchange.papers.drawing.flow import LEADING, SMALLEST
from pocketpump.exchange.papers.drawing.page import (
    MM_PER_POINT,
    Box,
    Drawn,
    Page,
    Rule,
    broken,
    line,
    width_of,
)
from pocketpump.exchange.papers.paper_size import Size

MARGIN = 12.5
_ASCENT = 0.76
_COLUMN_GAP = 6.0
_PAD = 1.4
"""The dark ground of a band beyond its letters, in mm."""


@dataclass(frozen=True, slots=True)
class Row:
    """What is drawn from 0, 0 down, and how high it is in mm."""

    drawn: tuple[Drawn, ...]
    height: float


@dataclass(frozen=True, slots=True)
class Piece:
    """``rows`` takes the width in mm and the type size in points; ``gap`` is the space above.

    One that ``leads`` (a heading) never stands alone at the foot of a page.
    """

    rows: Callable[[float, float], list[Row]]
    gap: float = 1.0
    leads: bool = False


def on_pages(pieces: Sequence[Piece], paper: Size, sizes: Sequence[float]) -> list[Page]:
    """Return one page in the largest of ``sizes`` (smallest first), or several in the smallest."""
    pages = _flowed(pieces, paper, sizes[0])
    if len(pages) > 1:
        return pages
    fits, too_large = 0, len(sizes)
    while too_large - fits > 1:
        tried = (fits + too_large) // 2
        larger = _flowed(pieces, paper, sizes[tried])
        if len(larger) == 1:
            fits, pages = tried, larger
        else:
            too_large = tried
    return pages


def words(
    text: str, size: float = 1.0, *, bold: bool = False, band: bool = False, gap: float = 1.0,
    leads: bool = False, language: str = "en",
) -> Piece:  # fmt: skip
    """Return a paragraph; ``band`` sets it white on black."""

    def rows(width: float, points: float) -> list[Row]:
        own = max(SMALLEST, size * points)
        step = own * LEADING * MM_PER_POINT
        grey = 1.0 if band else 0.0
        ground = [Box(-_PAD, 0.0, width + 2 * _PAD, step + 0.05)] if band else []
        return [
            Row((*ground, line(part, 0.0, step * _ASCENT, own, width=width, bold=bold or band,
                               language=language, grey=grey)), step)
            for part in broken(text, own, width, language)
        ]  # fmt: skip

    return Piece(rows, gap, leads)


def heading(text: str, language: str = "en", size: float = 1.2) -> Piece:
    """Return a heading with a line under it."""

    def rows(width: float, points: float) -> list[Row]:
        set_words = words(text, size, bold=True, language=language).rows(width, points)
        under = Rule(0.0, 0.4, width, 0.4, 0.3)
        return [*set_words, Row((under,), 1.0)]

    return Piece(rows, 2.2, leads=True)


def ticked(text: str, language: str = "en") -> Piece:
    """Return a paragraph after an empty box to tick."""

    def box(points: float, height: float) -> tuple[list[Drawn], float]:
        side = max(2.4, points * 0.28)
        top = max(0.0, height * 0.5 - side * 0.5)
        corners = [(0.0, top), (side, top), (side, top + side), (0.0, top + side), (0.0, top)]
        return [Rule(*a, *b, 0.25) for a, b in pairwise(corners)], side + 1.8

    return _marked(text, box, 0.6, language)


def pointed(text: str, language: str = "en") -> Piece:
    """Return a paragraph after a point."""

    def point(points: float, height: float) -> tuple[list[Drawn], float]:
        return [line("•", 0.0, height * _ASCENT, points, width=points)], points * 0.25 + 0.4

    return _marked(text, point, 0.3, language)


def _marked(
    text: str, mark: Callable[[float, float], tuple[list[Drawn], float]], gap: float, language: str
) -> Piece:
    """Return a paragraph set in after a mark, which is made for a type size and a line's height."""

    def rows(width: float, points: float) -> list[Row]:
        drawn, indent = mark(points, points * LEADING * MM_PER_POINT)
        inner = words(text, language=language).rows(width - indent, points)
        first, *others = [Row(_moved(row.drawn, indent, 0.0), row.height) for row in inner]
        return [Row((*drawn, *first.drawn), first.height), *others]

    return Piece(rows, gap)


def write_here(label: str, language: str = "en", gap: float = 2.0) -> Piece:
    """Return a label and a line to write on by hand."""

    def rows(width: float, points: float) -> list[Row]:
        step = max(6.0, points * LEADING * MM_PER_POINT)
        base = step * _ASCENT
        own = width_of(line(label, 0.0, 0.0, points, width=width).letters, points, language)
        told = line(label, 0.0, base, points, width=width, language=language)
        begins = own + 2.0 if own < width * 0.7 else 0.0
        end = base + 0.8 if begins else base + step
        rule = Rule(begins, end, width, end, 0.2)
        return [Row((told, rule), step if begins else 2 * step)]

    return Piece(rows, gap)


def side_by_side(columns: Sequence[Sequence[Piece]], gap: float = 1.0) -> Piece:
    """Return columns of one width, never parted: for short texts only."""

    def rows(width: float, points: float) -> list[Row]:
        each = (width - _COLUMN_GAP * (len(columns) - 1)) / len(columns)
        drawn: list[Drawn] = []
        height = 0.0
        for index, pieces in enumerate(columns):
            one = _stacked(pieces, each, points)
            drawn += _moved(one.drawn, index * (each + _COLUMN_GAP), 0.0)
            height = max(height, one.height)
        return [Row(tuple(drawn), height)]

    return Piece(rows, gap)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table's row; a number that is ``whole`` gets smaller before it is broken."""

    text: str
    size: float = 1.0
    bold: bool = False
    whole: bool = False


def table_row(
    cells: Sequence[Cell], shares: Sequence[float], *, ruled: bool = True, gap: float = 0.0,
    leads: bool = False, language: str = "en",
) -> Piece:  # fmt: skip
    """Return one row; ``shares`` are the columns' parts of the width."""

    def rows(width: float, points: float) -> list[Row]:
        drawn: list[Drawn] = []
        height = x = 0.0
        for cell, share in zip(cells, shares, strict=True):
            own = share / sum(shares) * width
            size = _fitting(cell, own - 2.0, points, language)
            set_words = words(cell.text, size, bold=cell.bold, language=language)
            one = _stacked([replace(set_words, gap=0.0)], own - 2.0, points)
            drawn += _moved(one.drawn, x, 0.0)
            height = max(height, one.height)
            x += own
        height += 0.4
        if ruled:
            drawn.append(Rule(0.0, height, width, height, 0.15))
        return [Row(tuple(drawn), height + 0.2)]

    return Piece(rows, gap, leads)


def _fitting(cell: Cell, width: float, points: float, language: str) -> float:
    size = cell.size
    while cell.whole and size > 1.0 and width_of(cell.text, size * points, language) > width:
        size -= 0.05
    return size


def _stacked(pieces: Sequence[Piece], width: float, points: float) -> Row:
    drawn: list[Drawn] = []
    y = 0.0
    for index, piece in enumerate(pieces):
        y += piece.gap if index else 0.0
        for row in piece.rows(width, points):
            drawn += _moved(row.drawn, 0.0, y)
            y += row.height
    return Row(tuple(drawn), y)


def _flowed(pieces: Sequence[Piece], paper: Size, points: float) -> list[Page]:
    width, bottom = paper[0] - 2 * MARGIN, paper[1] - MARGIN
    pages: list[list[Drawn]] = [[]]
    y = MARGIN
    set_pieces = [(piece, piece.rows(width, points)) for piece in pieces]
    for index, (piece, rows) in enumerate(set_pieces):
        y += piece.gap if pages[-1] else 0.0
        # A heading goes over the page together with what it leads to.
        needed = rows[0].height + _led(set_pieces[index:])
        if y + needed > bottom and pages[-1]:
            pages.append([])
            y = MARGIN
        for row in rows:
            if y + row.height > bottom and pages[-1]:
                pages.append([])
                y = MARGIN
            pages[-1] += _moved(row.drawn, MARGIN, y)
            y += row.height
    return [Page(*paper, tuple(drawn)) for drawn in pages]


def _led(following: Sequence[tuple[Piece, list[Row]]]) -> float:
    """Return how much room is needed under the first row of the first piece."""
    first, rows = following[0]
    if not first.leads:
        return 0.0
    room = sum(row.height for row in rows[1:])
    for piece, their_rows in following[1:]:
        room += piece.gap + their_rows[0].height
        if not piece.leads:
            break
    return room


def _moved(drawn: Sequence[Drawn], x: float, y: float) -> tuple[Drawn, ...]:
    return tuple(moved(one, x, y) for one in drawn)
