"""The clinic sheet as PDF: the visit in one look on the first page, the tables after it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields, is_dataclass

from pocketpump.core.messages import Locale, message, text_in
from pocketpump.exchange.charts.description import Chart, ShiftRow, Shifts
from pocketpump.exchange.charts.placed import chart_placed
from pocketpump.exchange.charts.placed_shifts import interval_placed, shift_axis_placed
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers.chart_drawing import LABEL, moved, on_page
from pocketpump.exchange.papers.drawing.flow import SMALLEST
from pocketpump.exchange.papers.drawing.fonts import missing
from pocketpump.exchange.papers.drawing.page import Box, Drawn, Page, line, width_of
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.sheet_parts import (
    ASKED,
    CHANGE,
    HAPPENED,
    NOW,
    QUESTIONS,
    Section,
    Sheet,
    sheet_in,
)
from pocketpump.exchange.papers.sheet_setting import (
    PAPERS,
    PLAIN,
    PaperSize,
    Piece,
    beside,
    block,
    facts_in_columns,
    facts_in_rows,
    framed,
    gap,
    heading,
    height_of,
    laid_out,
    lines_that_fit,
    paragraph,
    points,
    ruled,
    table,
)

LOST = message(
    "Letters that cannot be printed here stand as a mark. The sheet as a web page has them all."
)
_ROOM = message("Room to write")
_LEAD, _CHANGED = 26.0, 15.0
_PATTERN = 27.0
_HEIGHTS = (76.0, 66.0, 56.0, 48.0)
"""How high the picture of the days may be, in mm: as high as the first page has room for."""
_SMALL_PICTURE = 34.0
_COLUMN_GAP = 8.0
_MOST_BESIDE = 90.0
"""Higher columns, in mm, are set under each other, so that they can go on over the page."""
_FOOT = 6.0


def sheet_pdf(sheet: Sheet, locale: Locale | None = None, paper: str = "a4") -> bytes:
    """Return the sheet as a PDF in ``locale`` (None: English), on one of `PAPERS`."""
    pages = sheet_pages(sheet, locale, paper)
    return to_pdf(pages, text_in(sheet.title, locale), code_of(locale))


def sheet_pages(sheet: Sheet, locale: Locale | None = None, paper: str = "a4") -> list[Page]:
    """Return the pages of the sheet, as `sheet_pdf` writes them."""
    size = PAPERS[paper]
    told = sheet_in(sheet, locale)
    bottom = size.height - 2 * size.margin - _FOOT
    by_name = {one.name: one for one in told.sections if one.name}
    begin = _beginning(told, by_name, size)
    happened = by_name.get(HAPPENED)
    first = begin
    if happened is not None:
        for height in _HEIGHTS:
            first = [*begin, *_section(happened, size.inner, height)]
            if height_of(first) <= bottom:
                break
    if missing("".join(_letters(told))):
        first += [gap(1.5), *paragraph(text_in(LOST, locale), size.inner, PLAIN)]
    rest = [piece for one in told.sections if not one.name for piece in _section(one, size.inner)]
    free = bottom - height_of(first)
    if free >= 0:
        pages = laid_out([*first, *_room(free, size, locale)], bottom) + laid_out(rest, bottom)
    else:
        pages = laid_out([*first, *rest], bottom)

    def foot(number: int) -> list[Drawn]:
        return _foot(told, number, len(pages), size, locale)

    return [Page(size.width, size.height, drawn) for drawn in framed(pages, size, foot)]


def _beginning(told: Sheet, by_name: dict[str, Section], size: PaperSize) -> list[Piece]:
    width = size.inner
    pieces = [_header(told, width)]
    if NOW in by_name:
        pieces += _now(by_name[NOW], width)
    if CHANGE in by_name:
        change = by_name[CHANGE]
        pieces += heading(change.title, width)
        pieces += paragraph(change.lead, width, _CHANGED, bold=True)
        if isinstance(change.picture, Shifts):
            pieces += _shifts(change.picture, width)
        pieces += [gap(0.8), *_paragraphs(change.lines, width, SMALLEST + 0.5)]
    return [*pieces, *_asked([by_name[n] for n in (ASKED, QUESTIONS) if n in by_name], width)]


def _asked(sections: Sequence[Section], width: float) -> list[Piece]:
    """Return what is asked: checks and questions beside each other where both are short."""
    half = (width - _COLUMN_GAP) / 2
    columns = [
        block([*heading(one.title, half), *points(one.lines, half, one.room)]) for one in sections
    ]
    if len(columns) == 2 and max(one.height for one in columns) < _MOST_BESIDE:
        return [beside([(0.0, columns[0]), (half + _COLUMN_GAP, columns[1])])]
    return [
        piece
        for one in sections
        for piece in (*heading(one.title, width), *points(one.lines, width, one.room))
    ]


def _header(told: Sheet, width: float) -> Piece:
    title = block(paragraph(told.title, width / 2, 13, bold=True))
    made = paragraph(told.made, width / 2, PLAIN, grey=0.25)
    right = width - width_of(told.made, PLAIN)
    top = beside([(0.0, title), (right, block([gap(1.0), *made]))])
    person = paragraph(told.person, width, 12, bold=True) if told.person else []
    return block([top, *person])


def _now(now: Section, width: float) -> list[Piece]:
    """Return the dose as large as it can be seen, its day beside it, the dates under both."""
    left = width * 0.5 if now.picture else width
    words = [*paragraph(now.lead, left, _LEAD, bold=True)]
    first, *more = now.under
    words += [*paragraph(first, left, 14, bold=True), *_paragraphs(more, left, 10)]
    columns = [(0.0, block(words))]
    if isinstance(now.picture, Chart):
        columns.append((left, _chart(now.picture, width - left, _PATTERN)))
    return [
        *heading(now.title, width),
        beside(columns),
        gap(1.6),
        facts_in_columns(now.facts, width),
    ]


def _section(one: Section, width: float, height: float = 0.0) -> list[Piece]:
    """Return a section from its heading on; a picture of the days is ``height`` mm high."""
    pieces = heading(one.title, width)
    if isinstance(one.picture, Chart):
        high = height or (_SMALL_PICTURE * (1.5 if len(one.picture.panels) > 1 else 1.0))
        wide = width if height else width * 0.7
        pieces.append(_chart(one.picture, wide, high))
        told = filter(None, (one.picture.key,))
        pieces += [*_paragraphs(told, width, SMALLEST), gap(1.0)]
    elif one.picture is not None:
        pieces += _shifts(one.picture, width)
    pieces += facts_in_rows(one.facts, width)
    pieces += _paragraphs(one.lines, width, PLAIN)
    if one.table is not None:
        pieces += [gap(0.8), *table(one.table, width)]
    return pieces


def _chart(chart: Chart, width: float, height: float) -> Piece:
    return Piece(height, tuple(on_page(chart_placed(chart, width, height, LABEL), 0.0, 0.0)))


def _shifts(shifts: Shifts, width: float) -> list[Piece]:
    """Return a row for each change over the common axes; the newest one larger."""
    label = width * (0.36 if len(shifts.axes) == 1 else 0.26)
    wide = (width - label) / len(shifts.axes) - 4.0
    starts = [label + number * (wide + 4.0) for number in range(len(shifts.axes))]
    axes: list[Drawn] = []
    for start, axis in zip(starts, shifts.axes, strict=True):
        axes += on_page(shift_axis_placed(axis, wide, LABEL), start, 0.0)
    pieces = [gap(1.0), Piece(2.5 * LABEL, tuple(axes), keep=True)]
    for number, row in enumerate(shifts.rows):
        pieces.append(_shift_row(row, shifts, starts, wide, label, is_newest=number == 0))
        pieces += paragraph(row.note, width - label, SMALLEST, x=label) if row.note else []
        pieces.append(gap(1.0))
    told = [f"({number}) {caution}" for number, caution in enumerate(shifts.cautions, 1)]
    return [*pieces, *_paragraphs(told, width, SMALLEST)]


def _shift_row(
    row: ShiftRow, shifts: Shifts, starts: Sequence[float], wide: float, label: float, *,
    is_newest: bool,
) -> Piece:  # fmt: skip
    size = 10.0 if is_newest else PLAIN
    counted = f"{row.counts} ({row.cautions})" if row.cautions else row.counts
    columns = [
        (0.0, block([
            *paragraph(row.label, label - 3, size, bold=True),
            *(paragraph(row.detail, label - 3, PLAIN) if row.detail else []),
            *(paragraph(counted, label - 3, SMALLEST + 0.5) if counted else []),
        ]))
    ]  # fmt: skip
    if row.instead:
        room = wide * len(starts)
        columns.append((starts[0], block(paragraph(row.instead, room, size, bold=is_newest))))
        return beside(columns)
    high = 2.2 * LABEL
    for start, axis, interval in zip(starts, shifts.axes, row.intervals, strict=True):
        drawn = on_page(interval_placed(interval, axis, wide, high, LABEL), 0.0, 0.0)
        words = paragraph(interval.words, wide, size, bold=is_newest) if interval else []
        columns.append((start, block([Piece(high, tuple(drawn)), gap(0.4), *words])))
    return beside(columns)


def _room(free: float, size: PaperSize, locale: Locale | None) -> list[Piece]:
    """Return lines to write on for what is left of the first page."""
    title = heading(text_in(_ROOM, locale), size.inner)
    count = lines_that_fit(free - height_of(title))
    return [*title, *ruled(count, size.inner)] if count else []


def _foot(
    told: Sheet, number: int, count: int, size: PaperSize, locale: Locale | None
) -> list[Drawn]:
    said = text_in(message("Page {number} of {pages}", number=number + 1, pages=count), locale)
    right = size.width - size.margin - width_of(said, SMALLEST)
    base = size.height - size.margin + 1.0
    drawn: list[Drawn] = [
        Box(size.margin, base - 7.0, size.inner, 0.15, 0.6),
        line(said, right, base, SMALLEST, width=0.0),
    ]
    words = told.caution if number == 0 else ", ".join(filter(None, (told.title, told.person)))
    for row, piece in enumerate(paragraph(words, size.inner * 0.85, SMALLEST, grey=0.25)[:2]):
        drawn += (moved(thing, size.margin, base - 5.6 + row * piece.height)
                  for thing in piece.drawn)  # fmt: skip
    return drawn


def _paragraphs(texts: Iterable[str], width: float, size: float) -> list[Piece]:
    return [piece for text in texts for piece in paragraph(text, width, size)]


def _letters(thing: object) -> Iterator[str]:
    """Yield every text of the sheet."""
    if isinstance(thing, str):
        yield thing.replace("−", "–")
    elif isinstance(thing, tuple):
        for one in thing:
            yield from _letters(one)
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from _letters(getattr(thing, field.name))
