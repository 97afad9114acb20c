"""The clinic sheet as PDF: the visit in one look on the first page, the tables after it."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from functools import partial
from itertools import chain
from math import ceil

from pocketpump.core.messages import Locale, message, text_in
from pocketpump.exchange.charts.description import Chart, ShiftRow, Shifts
from pocketpump.exchange.charts.placed import Placed, chart_placed
from pocketpump.exchange.charts.placed_shifts import interval_placed, shift_axis_placed
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers.chart_drawing import LABEL, on_page
from pocketpump.exchange.papers.drawing.flow import Row, down, paged, stacked
from pocketpump.exchange.papers.drawing.fonts import missing
from pocketpump.exchange.papers.drawing.page import Box, Page, moved
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.paper_size import PAPERS
from pocketpump.exchange.papers.pieces import (
    GREY,
    Piece,
    Setting,
    at_the_end,
    facts_in_columns,
    facts_in_rows,
    heading,
    lines,
    lines_that_fit,
    rows_of,
    side_by_side,
    table,
    ticked,
    words,
    write_here,
)
from pocketpump.exchange.papers.sheet_parts import (
    ASKED,
    BY_HAND,
    CHANGE,
    HAPPENED,
    NOW,
    QUESTIONS,
    STATE,
    Section,
    Sheet,
    sheet_in,
)

LOST = message(
    "Letters that cannot be printed here stand as a mark. The sheet as a web page has them all."
)
_ROOM = message("Room to write")
_MARGIN, _FOOT = 14.0, 6.0
_POINTS, _LEADING = 8.5, 1.25
"""The type of what is read, not seen at a glance; the sizes below are times this."""
_LEAD, _CHANGED, _UNDER, _NEWEST, _SMALL, _SMALLEST = 3.06, 1.76, 1.65, 1.18, 0.88, 0.8
_PATTERN = 27.0
_MOST_FACTS = 4
"""More facts than this are set in another row."""
_HEIGHTS = (76.0, 66.0, 56.0, 48.0)
"""How high the picture of the days may be, in mm: as high as the first page has room for."""
_SMALL_PICTURE = 34.0
_MOST_BESIDE = 90.0
"""Higher columns, in mm, are set under each other, so that they can go on over the page."""
_BETWEEN = 4.0
"""From one axis of shifts to the next, in mm."""


def sheet_pdf(sheet: Sheet, locale: Locale | None = None, paper: str = "a4") -> bytes:
    """Return the sheet as a PDF in ``locale`` (None: English), on one of `PAPERS`."""
    pages = sheet_pages(sheet, locale, paper)
    return to_pdf(pages, text_in(sheet.title, locale), code_of(locale))


def sheet_pages(sheet: Sheet, locale: Locale | None = None, paper: str = "a4") -> list[Page]:
    """Return the pages of the sheet, as `sheet_pdf` writes them."""
    size = PAPERS[paper]
    setting = Setting(size.width - 2 * _MARGIN, _POINTS, _LEADING)
    told = sheet_in(sheet, locale)
    bottom = size.height - 2 * _MARGIN - _FOOT
    by_name = {one.name: one for one in told.sections if one.name}
    by_hand = [text_in(label, locale) for label in BY_HAND]
    begin = rows_of(_beginning(told, by_name, by_hand), setting)
    happened = by_name.get(HAPPENED)
    first = begin
    if happened is not None:
        for height in _HEIGHTS:
            first = [*begin, *rows_of(_section(happened, height), setting)]
            if stacked(first).height <= bottom:
                break
    if missing("".join(_letters(told))):
        first += words(text_in(LOST, locale), gap=1.5)(setting)
    rest = rows_of(chain(*(_section(one) for one in told.sections if not one.name)), setting)
    free = bottom - stacked(first).height
    if free >= 0:
        room = _room(free, text_in(_ROOM, locale), setting)
        pages = [stacked([*first, *room]), *down(rest, bottom)]
    else:
        pages = down([*first, *rest], bottom)
    named = ", ".join(filter(None, (told.title, told.person)))
    whole: list[Row] = []
    for number, page in enumerate(pages, 1):
        said = message("Page {number} of {pages}", number=number, pages=len(pages))
        foot = _foot(told.caution if number == 1 else named, text_in(said, locale), setting)
        drawn = (moved(thing, 0.0, bottom) for thing in foot.drawn)
        whole.append(replace(page, drawn=(*page.drawn, *drawn)))
    return paged(whole, *size, _MARGIN)


def _beginning(told: Sheet, by_name: dict[str, Section], by_hand: Sequence[str]) -> Iterator[Piece]:
    title = [words(told.title, 1.53, bold=True)]
    made = [at_the_end(told.made, 1.0, GREY)]
    yield side_by_side([title, made])
    if told.person:
        yield words(told.person, 1.41, bold=True, gap=0.0)
    else:
        yield side_by_side([[write_here(label, 0.0)] for label in by_hand], (2.0, 1.0), gap=0.6)
    if STATE in by_name:
        yield heading(by_name[STATE].title)
        yield words(by_name[STATE].lead, _CHANGED, bold=True, gap=0.8)
    if NOW in by_name:
        yield from _now(by_name[NOW])
    yield _asked([by_name[name] for name in (QUESTIONS, ASKED) if name in by_name])
    if CHANGE in by_name:
        change = by_name[CHANGE]
        yield heading(change.title)
        yield words(change.lead, _CHANGED, bold=True, gap=0.8)
        if isinstance(change.picture, Shifts):
            yield from _shifts(change.picture)
        yield from _paragraphs(change.lines, _SMALL, 0.8)


def _asked(sections: Sequence[Section]) -> Piece:
    """Return what is asked: checks and questions beside each other where both are short."""
    columns = [[heading(one.title), *_points(one)] for one in sections]

    def rows(setting: Setting) -> list[Row]:
        if len(columns) == 2:
            (row,) = side_by_side(columns, between=8.0, gap=2.2)(setting)
            if row.height < _MOST_BESIDE:
                return [row]
        return rows_of(chain(*columns), setting)

    return rows


def _points(asked: Section) -> list[Piece]:
    """Return each line with its room to write; none of a list has the room of the whole."""
    if asked.listed:
        return [ticked(text, 1.12, asked.room) for text in asked.lines]
    return [*(words(text, 1.12, gap=0.6) for text in asked.lines), lines(asked.room)]


def _now(now: Section) -> Iterator[Piece]:
    """Yield the dose as large as it can be seen, its day beside it, the dates under both."""
    yield heading(now.title)
    first, *more = now.under
    columns = [[
        words(now.lead, _LEAD, bold=True),
        words(first, _UNDER, bold=True, gap=0.0),
        *_paragraphs(more, _NEWEST),
    ]]  # fmt: skip
    if isinstance(now.picture, Chart):
        columns.append([_chart(now.picture, _PATTERN)])
    yield side_by_side(columns, between=0.0, gap=0.8)
    across = ceil(len(now.facts) / ceil(len(now.facts) / _MOST_FACTS))
    for begin in range(0, len(now.facts), across):
        yield facts_in_columns(now.facts[begin : begin + across])


def _section(one: Section, height: float = 0.0) -> Iterator[Piece]:
    """Yield a section from its heading on; a picture of the days is ``height`` mm high."""
    yield heading(one.title)
    if isinstance(one.picture, Chart):
        high = height or (_SMALL_PICTURE * (1.5 if len(one.picture.panels) > 1 else 1.0))
        share = 1.0 if height else 0.7
        columns: list[list[Piece]] = [[_chart(one.picture, high)], []]
        yield side_by_side(columns, (share, 1.0 - share), between=0.0, gap=0.8)
        if one.picture.key:
            yield words(one.picture.key, _SMALLEST, gap=0.0)
    elif one.picture is not None:
        yield from _shifts(one.picture)
    yield from facts_in_rows(one.facts)
    yield from _paragraphs(one.lines, 1.0, 1.0 if one.picture else 0.6)
    if one.table is not None:
        head = [words(cell, bold=True) for cell in one.table.header]
        body = [[words(cell) for cell in row] for row in one.table.rows]
        yield table(head, body, one.table.widths, grey=0.75)


def _chart(chart: Chart, height: float) -> Piece:
    return _drawn(lambda width: chart_placed(chart, width, height, LABEL), height)


def _drawn(placed: Callable[[float], Sequence[Placed]], height: float) -> Piece:
    """Return a picture that is worked out for a width."""
    return lambda setting: [Row(height, on_page(placed(setting.width)))]


def _shifts(shifts: Shifts) -> Iterator[Piece]:
    """Yield a row for each change over the common axes; the newest one larger."""
    label = 0.36 if len(shifts.axes) == 1 else 0.26
    shares = [label, *([(1.0 - label) / len(shifts.axes)] * len(shifts.axes))]
    axes = [
        [_drawn(partial(shift_axis_placed, axis, label=LABEL), 2.5 * LABEL)] for axis in shifts.axes
    ]
    over = side_by_side([[], *axes], shares, between=_BETWEEN)
    yield lambda setting: [replace(row, keep=True) for row in over(setting)]
    for number, row in enumerate(shifts.rows):
        size = 1.0 if number else _NEWEST
        counted = f"{row.counts} ({row.cautions})" if row.cautions else row.counts
        told = [words(row.label, size, bold=True)]
        told += _paragraphs(filter(None, (row.detail,)), 1.0)
        told += _paragraphs(filter(None, (counted,)), _SMALL)
        if row.instead:
            instead = [words(row.instead, size, bold=not number)]
            yield side_by_side([told, instead], (label, 1.0 - label), between=_BETWEEN)
        else:
            intervals = _intervals(row, shifts, size, bold=not number)
            yield side_by_side([told, *intervals], shares, between=_BETWEEN)
        if row.note:
            note = [[], [words(row.note, _SMALLEST)]]
            yield side_by_side(note, (label, 1.0 - label), between=_BETWEEN, gap=0.0, parted=True)
    cautions = (f"({number}) {caution}" for number, caution in enumerate(shifts.cautions, 1))
    yield from _paragraphs(cautions, _SMALLEST, 1.0)


def _intervals(row: ShiftRow, shifts: Shifts, size: float, *, bold: bool) -> Iterator[list[Piece]]:
    high = 2.2 * LABEL
    for axis, interval in zip(shifts.axes, row.intervals, strict=True):
        drawn = _drawn(partial(interval_placed, interval, axis, height=high, label=LABEL), high)
        said = [words(interval.words, size, bold=bold, gap=0.4)] if interval else []
        yield [drawn, *said]


def _room(free: float, title: str, setting: Setting) -> list[Row]:
    """Return lines to write on for what is left of the first page."""
    above = heading(title)(setting)
    count = lines_that_fit(free - sum(row.gap + row.height for row in above))
    return [*above, *lines(count)(setting)] if count else []


def _foot(text: str, number: str, setting: Setting) -> Row:
    """Return a line with two lines of ``text`` under it, and the page's number at their end."""
    told = words(text, _SMALLEST, grey=GREY)
    columns = [
        [lambda setting: told(setting)[:2]],
        [words("", _SMALLEST), at_the_end(number, _SMALLEST)],
    ]
    (row,) = side_by_side(columns, (0.85, 0.15), between=0.0)(setting)
    rule = Row(1.4, (Box(0.0, 0.0, setting.width, 0.15, 0.6),))
    return stacked([rule, replace(row, gap=0.0)])


def _paragraphs(texts: Iterable[str], size: float, gap: float = 0.0) -> Iterator[Piece]:
    """Yield a paragraph for each of ``texts``, with a ``gap`` above the first."""
    for number, text in enumerate(texts):
        yield words(text, size, gap=0.0 if number else gap)


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
