"""Pieces of a page, and pages made of them: paragraphs, facts, points to tick, tables."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from unicodedata import bidirectional

from pocketpump.exchange.papers import paper_size
from pocketpump.exchange.papers.chart_drawing import moved
from pocketpump.exchange.papers.drawing.flow import SMALLEST
from pocketpump.exchange.papers.drawing.page import (
    MM_PER_POINT,
    Box,
    Drawn,
    Rule,
    broken,
    line,
)
from pocketpump.exchange.papers.sheet_parts import Table

PLAIN = 8.5
"""The type size of what is read, not seen at a glance, in points."""
_LEADING = 1.25
_CELL_GAP = 2.0
_BOX = 2.6
_BETWEEN = 6.0
_LINES = 7.5
"""From one line to write on to the next, in mm."""
_LONG_FACT, _LONG_SHARE = 30, 1.4
"""A fact of more letters gets so many times the width of the others beside it."""
_HAIR = 0.15
_SHADE = 0.75


@dataclass(frozen=True, slots=True)
class Piece:
    """What is drawn in ``height`` mm, from its own upper left corner.

    ``keep`` holds it on the page of the piece after it; ``head`` is drawn again above it where
    it begins a page.
    """

    height: float
    drawn: tuple[Drawn, ...] = ()
    keep: bool = False
    head: "Piece | None" = None


@dataclass(frozen=True, slots=True)
class PaperSize:
    """A paper size, in mm."""

    width: float
    height: float
    margin: float = 14.0

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * self.margin


PAPERS = {name: PaperSize(*size) for name, size in paper_size.PAPERS.items()}
"""The paper sizes there are, with the sheet's margin."""


def gap(height: float) -> Piece:
    """Return so much free space."""
    return Piece(height, keep=True)


def paragraph(
    text: str, width: float, size: float = PLAIN, *, bold: bool = False, grey: float = 0.0,
    x: float = 0.0,
) -> list[Piece]:  # fmt: skip
    """Return ``text`` in lines no wider than ``width``, a piece each."""
    step = size * _LEADING * MM_PER_POINT
    direction = _direction_of(text)
    return [
        Piece(
            step,
            (line(words, x, step * 0.76, size, width=width, direction=direction, bold=bold,
                  grey=grey),) if words else (),
        )
        for words in broken(text.replace("−", "–"), size, width)
    ]  # fmt: skip


def block(pieces: Iterable[Piece]) -> Piece:
    """Return ``pieces`` under each other as one that is not broken."""
    drawn: list[Drawn] = []
    y = 0.0
    for piece in pieces:
        drawn += (moved(thing, 0.0, y) for thing in piece.drawn)
        y += piece.height
    return Piece(y, tuple(drawn))


def beside(columns: Sequence[tuple[float, Piece]]) -> Piece:
    """Return pieces side by side, each at its x."""
    drawn = [moved(thing, x, 0.0) for x, piece in columns for thing in piece.drawn]
    return Piece(max((piece.height for _, piece in columns), default=0.0), tuple(drawn))


def heading(text: str, width: float, size: float = 10.5) -> list[Piece]:
    """Return a heading over a line; it stays with what follows."""
    words = block([gap(2.6), *paragraph(text, width, size, bold=True)])
    rule = Box(0.0, words.height + 0.3, width, 0.25, 0.3)
    return [Piece(words.height + 1.6, (*words.drawn, rule), keep=True)]


def facts_in_columns(facts: Sequence[tuple[str, str]], width: float) -> Piece:
    """Return facts beside each other: the name small, the value under it."""
    shares = [_LONG_SHARE if len(value) > _LONG_FACT else 1.0 for _, value in facts]
    unit = (width + _BETWEEN) / max(sum(shares), 1.0)
    names: list[tuple[float, Piece]] = []
    values: list[tuple[float, Piece]] = []
    x = 0.0
    for (name, value), share in zip(facts, shares, strict=True):
        inner = unit * share - _BETWEEN
        names.append((x, block(paragraph(name, inner, SMALLEST + 0.5, grey=0.25))))
        values.append((x, block(paragraph(value, inner, 9.5, bold=True))))
        x += unit * share
    return block([beside(names), beside(values)])


def facts_in_rows(facts: Sequence[tuple[str, str]], width: float) -> list[Piece]:
    """Return facts two to a row: name, value."""
    half = (width - _BETWEEN) / 2
    cells = [
        beside([
            (0.0, block(paragraph(name, half * 0.48, PLAIN))),
            (half * 0.5, block(paragraph(value, half * 0.5, PLAIN, bold=True))),
        ])
        for name, value in facts
    ]  # fmt: skip
    rows = [cells[i : i + 2] for i in range(0, len(cells), 2)]
    return [beside([(n * (half + _BETWEEN), cell) for n, cell in enumerate(row)]) for row in rows]


def points(lines: Iterable[str], width: float, room: int, size: float = 9.5) -> list[Piece]:
    """Return points to tick off, each with ``room`` lines to write on."""
    pieces: list[Piece] = []
    indent = _BOX + 2.0
    for text in lines:
        words = paragraph(text, width - indent, size, x=indent)
        box = _tick_box(words[0].height * 0.78)
        first = Piece(words[0].height, (*words[0].drawn, *box), keep=len(words) > 1)
        pieces += [gap(0.8), first, *words[1:], *ruled(room, width, indent)]
    return pieces


def ruled(count: int, width: float, indent: float = 0.0) -> list[Piece]:
    """Return ``count`` lines to write on."""
    rule = Box(indent, _LINES - 0.4, width - indent, _HAIR, 0.5)
    return [Piece(_LINES, (rule,)) for _ in range(count)]


def lines_that_fit(height: float) -> int:
    """Return how many lines to write on there is room for in ``height`` mm."""
    return max(int(height / _LINES), 0)


def table(told: Table, width: float, size: float = PLAIN) -> list[Piece]:
    """Return a table, a piece a row; its head stands again on every page."""
    whole = sum(told.widths)
    starts = [sum(told.widths[:n]) / whole * width for n in range(len(told.widths))]
    widths = [share / whole * width - _CELL_GAP for share in told.widths]

    def row(cells: Sequence[str], *, bold: bool) -> list[Piece]:
        set_cells = [
            paragraph(cell, wide, size, bold=bold) for cell, wide in zip(cells, widths, strict=True)
        ]
        # Line by line, so that a cell longer than a page goes on over the next.
        count = max(map(len, set_cells))
        pieces = [
            beside([(x, cell[n]) for x, cell in zip(starts, set_cells, strict=True)
                    if n < len(cell)])
            for n in range(count)
        ]  # fmt: skip
        end = pieces[-1].height + 0.7
        rule = Box(0.0, end - 0.35, width, _HAIR, _SHADE)
        return [*pieces[:-1], Piece(end, (*pieces[-1].drawn, rule))]

    head = block(row(told.header, bold=True))
    pieces: list[Piece] = [Piece(head.height, head.drawn, keep=True)]
    for cells in told.rows:
        pieces += [_with_head(piece, head) for piece in row(cells, bold=False)]
    return pieces


def laid_out(pieces: Sequence[Piece], height: float) -> list[list[Drawn]]:
    """Return what is on each page of ``height`` mm, from its upper left corner."""
    pages: list[list[Drawn]] = [[]]
    y = 0.0
    number = 0
    while number < len(pieces):
        last = number
        while pieces[last].keep and last + 1 < len(pieces):
            last += 1
        group = pieces[number : last + 1]
        if y + sum(one.height for one in group) > height and pages[-1]:
            pages.append([])
            y = 0.0
            group = _begun(group)
        for piece in group:
            pages[-1] += (moved(thing, 0.0, y) for thing in piece.drawn)
            y += piece.height
        number = last + 1
    return pages


def height_of(pieces: Iterable[Piece]) -> float:
    """Return the height of ``pieces`` under each other, in mm."""
    return sum(piece.height for piece in pieces)


def framed(
    pages: Sequence[Sequence[Drawn]], paper: PaperSize, foot: Callable[[int], Sequence[Drawn]]
) -> list[tuple[Drawn, ...]]:
    """Return the things of each page inside the margins, with what stands at its foot."""
    return [
        (*(moved(one, paper.margin, paper.margin) for one in drawn), *foot(number))
        for number, drawn in enumerate(pages)
    ]


def _direction_of(text: str) -> str:
    """Return "rtl" if the first letter of ``text`` that has a direction runs to the left."""
    kinds = (bidirectional(letter) for letter in text)
    return (
        "rtl" if next((kind for kind in kinds if kind in ("L", "R", "AL")), "L") != "L" else "ltr"
    )


def _begun(group: Sequence[Piece]) -> list[Piece]:
    """Return the pieces that begin a page: no free space above, the head of a table again."""
    first = next((n for n, one in enumerate(group) if one.drawn), 0)
    head = group[first].head
    return [*([head] if head else []), *group[first:]]


def _with_head(piece: Piece, head: Piece) -> Piece:
    return Piece(piece.height, piece.drawn, piece.keep, head)


def _tick_box(bottom: float) -> list[Drawn]:
    top = bottom - _BOX
    corners = [(0.0, top), (_BOX, top), (_BOX, bottom), (0.0, bottom)]
    return [
        Rule(x, y, to_x, to_y, 0.2)
        for (x, y), (to_x, to_y) in zip(corners, [*corners[1:], corners[0]], strict=True)
    ]
