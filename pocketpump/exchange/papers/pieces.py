"""Pieces of a page, one under the other: what a paper is made of, and the pages made of it.

A piece gives its rows for a width and a size of type, so that one page can be set as large as it
allows. Sizes in a piece count in sizes of type, gaps in mm.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, zip_longest
from unicodedata import bidirectional

from pocketpump.exchange.papers.drawing.flow import (
    LEADING,
    SMALLEST,
    Block,
    Row,
    beside,
    down,
    paged,
    stacked,
)
from pocketpump.exchange.papers.drawing.page import (
    MM_PER_POINT,
    Box,
    Drawn,
    Page,
    Rule,
    framed,
    line,
    moved,
    width_of,
)
from pocketpump.exchange.papers.paper_size import PaperSize

MARGIN = 12.5
_ASCENT = 0.76
_CELL_GAP = 2.0
_LINES = 7.5
"""From one line to write on to the next, in mm."""
_LONG_FACT, _LONG_SHARE = 30, 1.4
"""A fact of more letters gets so many times the width of the others beside it."""
GREY = 0.25
"""What is read after the rest."""


@dataclass(frozen=True, slots=True)
class Setting:
    """The width in mm that pieces are set in, their size of type in points, and its leading."""

    width: float
    points: float
    leading: float = LEADING

    @property
    def step(self) -> float:
        """From one line to the next, in mm."""
        return self.points * self.leading * MM_PER_POINT


Piece = Callable[[Setting], list[Row]]


def on_pages(pieces: Sequence[Piece], paper: PaperSize, sizes: Sequence[float]) -> list[Page]:
    """Return one page in the largest of ``sizes`` (smallest first), or several in the smallest."""

    def tried(points: float) -> list[Row]:
        rows = rows_of(pieces, Setting(paper.width - 2 * MARGIN, points))
        return down(rows, paper.height - 2 * MARGIN)

    pages = tried(sizes[0])
    fits, too_large = 0, len(sizes)
    while len(pages) == 1 and too_large - fits > 1:
        middle = (fits + too_large) // 2
        larger = tried(sizes[middle])
        if len(larger) == 1:
            fits, pages = middle, larger
        else:
            too_large = middle
    return paged(pages, *paper, MARGIN)


def rows_of(pieces: Iterable[Piece], setting: Setting) -> list[Row]:
    """Return the rows of ``pieces`` one after the other."""
    return [row for piece in pieces for row in piece(setting)]


def words(
    text: str, size: float = 1.0, *, bold: bool = False, band: bool = False, grey: float = 0.0,
    gap: float = 1.0, leads: bool = False, whole: bool = False,
) -> Piece:  # fmt: skip
    """Return a paragraph; ``band`` sets it white on black.

    One that ``leads`` (a heading) never stands alone at the foot of a page; one that is ``whole``
    (a number) gets smaller before it is broken.
    """
    # The fonts have no minus sign.
    told = text.replace("−", "–")
    kinds = (bidirectional(letter) for letter in told)
    direction = "rtl" if next((k for k in kinds if k in ("L", "R", "AL")), "L") != "L" else "ltr"

    def rows(setting: Setting) -> list[Row]:
        own = size
        while whole and own > 1.0 and width_of(told, own * setting.points) > setting.width:
            own -= 0.05
        block = Block(told, max(SMALLEST, own * setting.points), bold or band, "en", direction,
                      band=band, gap=gap, leading=setting.leading, grey=grey)  # fmt: skip
        return [replace(row, keep=leads) for row in block.rows(setting.width)]

    return rows


def at_the_end(text: str, size: float, grey: float = 0.0) -> Piece:
    """Return one line that ends at the right edge."""

    def rows(setting: Setting) -> list[Row]:
        points = max(SMALLEST, size * setting.points)
        step = replace(setting, points=points).step
        x = setting.width - width_of(text, points)
        return [Row(step, (line(text, x, step * _ASCENT, points, width=0.0, grey=grey),))]

    return rows


def heading(text: str) -> Piece:
    """Return a heading with a line under it."""

    def rows(setting: Setting) -> list[Row]:
        told = words(text, 1.2, bold=True, gap=2.2, leads=True)(setting)
        under = Rule(0.0, 0.4, setting.width, 0.4, 0.3)
        return [*told, Row(1.0, (under,), keep=True)]

    return rows


def ticked(text: str, size: float = 1.0, room: int = 0) -> Piece:
    """Return a paragraph after an empty box to tick, with ``room`` lines to write on."""

    def box(points: float, step: float) -> tuple[list[Drawn], float]:
        side = max(2.4, points * 0.28)
        top = max(0.0, (step - side) / 2)
        return framed(0.0, top, side, top + side, 0.25), side + 1.8

    return _marked(text, box, 0.6, size, room)


def pointed(text: str) -> Piece:
    """Return a paragraph after a point."""

    def point(points: float, step: float) -> tuple[list[Drawn], float]:
        return [line("•", 0.0, step * _ASCENT, points, width=points)], points * 0.25 + 0.4

    return _marked(text, point, 0.3)


def _marked(
    text: str, mark: Callable[[float, float], tuple[list[Drawn], float]], gap: float,
    size: float = 1.0, room: int = 0,
) -> Piece:  # fmt: skip
    """Return a paragraph set in after a mark, which is made for a type size and a line's height."""

    def rows(setting: Setting) -> list[Row]:
        drawn, indent = mark(size * setting.points, size * setting.step)
        inner = replace(setting, width=setting.width - indent)
        first, *others = [
            replace(row, drawn=tuple(moved(one, indent, 0.0) for one in row.drawn))
            for row in (*words(text, size, gap=gap)(inner), *lines(room)(inner))
        ]
        held = len(others) > room
        return [replace(first, drawn=(*drawn, *first.drawn), keep=held), *others]

    return rows


def lines(count: int) -> Piece:
    """Return ``count`` lines to write on."""
    return lambda setting: (
        [Row(_LINES, (Box(0.0, _LINES - 0.4, setting.width, 0.15, 0.5),))] * count
    )


def lines_that_fit(height: float) -> int:
    """Return how many lines to write on there is room for in ``height`` mm."""
    return max(int(height / _LINES), 0)


def write_here(label: str, gap: float = 2.0) -> Piece:
    """Return a label and a line to write on by hand."""

    def rows(setting: Setting) -> list[Row]:
        step = max(6.0, setting.step)
        base = step * _ASCENT
        told = line(label, 0.0, base, setting.points, width=setting.width)
        own = width_of(told.letters, setting.points)
        begins = own + 2.0 if own < setting.width * 0.7 else 0.0
        end = base + 0.8 if begins else base + step
        rule = Rule(begins, end, setting.width, end, 0.2)
        return [Row(step if begins else 2 * step, (told, rule), gap)]

    return rows


def side_by_side(
    columns: Sequence[Sequence[Piece]], shares: Sequence[float] = (), *, between: float = 6.0,
    gap: float = 1.0, parted: bool = False,
) -> Piece:  # fmt: skip
    """Return columns, ``shares`` of the width wide or all alike; never parted: for short texts.

    Only columns of one size of type can be ``parted``, between their lines.
    """
    shares = shares or [1.0] * len(columns)

    def rows(setting: Setting) -> list[Row]:
        unit = (setting.width + between) / sum(shares)
        starts = [before * unit for before in accumulate(shares, initial=0.0)]
        told = [
            rows_of(pieces, replace(setting, width=share * unit - between))
            for pieces, share in zip(columns, shares, strict=True)
        ]
        rows = zip_longest(*(told if parted else [[stacked(one)] for one in told]))
        return [
            replace(beside([(x, row) for x, row in zip(starts, across, strict=False) if row]),
                    gap=0.0 if number else gap)
            for number, across in enumerate(rows)
        ]  # fmt: skip

    return rows


def table_row(
    cells: Sequence[Piece], shares: Sequence[float], *, grey: float = 0.0, parted: bool = False
) -> Piece:
    """Return cells side by side over a line."""

    def rows(setting: Setting) -> list[Row]:
        columns = [[cell] for cell in cells]
        told = side_by_side(columns, shares, between=_CELL_GAP, gap=0.0, parted=parted)(setting)
        end = told[-1].height + 0.4
        under = Rule(0.0, end, setting.width, end, 0.15, grey=grey)
        return [*told[:-1], replace(told[-1], height=end + 0.2, drawn=(*told[-1].drawn, under))]

    return rows


def table(
    head: Sequence[Piece], body: Sequence[Sequence[Piece] | Piece], shares: Sequence[float],
    grey: float = 0.0,
) -> Piece:  # fmt: skip
    """Return a table in type of one size; its head stands again on every page it goes on over.

    A single piece among the rows of cells goes over all columns.
    """
    lines = [
        row if callable(row) else table_row(row, shares, grey=grey, parted=True) for row in body
    ]

    def rows(setting: Setting) -> list[Row]:
        above = stacked(table_row(head, shares, grey=grey)(setting))
        under = rows_of(lines, setting)
        return [replace(above, gap=0.6, keep=True), *(replace(row, head=above) for row in under)]

    return rows


def facts_in_columns(facts: Sequence[tuple[str, str]]) -> Piece:
    """Return facts beside each other: the name small, the value under it."""
    shares = [_LONG_SHARE if len(value) > _LONG_FACT else 1.0 for _, value in facts]
    names = side_by_side([[words(name, 0.88, grey=GREY)] for name, _ in facts], shares)
    values = side_by_side([[words(value, 1.12, bold=True)] for _, value in facts], shares, gap=0.0)
    return lambda setting: [replace(stacked(rows_of((names, values), setting)), gap=1.6)]


def facts_in_rows(facts: Sequence[tuple[str, str]]) -> list[Piece]:
    """Return facts two to a row: name, value."""
    cells = [[one] for name, value in facts for one in (words(name), words(value, bold=True))]
    rows = [[*cells[i : i + 4], [], []][:4] for i in range(0, len(cells), 4)]
    return [side_by_side(row, between=3.0, gap=0.0) for row in rows]
