"""The travel sheet: one trip on one page, for the hand luggage.

A usual trip of up to four places takes one page; a longer one goes on over it.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import groupby

from pocketpump.core.errors import Problem
from pocketpump.core.messages import Locale, joined, message, text_in
from pocketpump.core.pump.programme import Programme
from pocketpump.core.safety.contacts import Contact
from pocketpump.core.travel.away import away_at_visit
from pocketpump.core.travel.trip import (
    ClockRow,
    ClockSpan,
    DrugReach,
    Trip,
    clock_spans,
    places_of,
)
from pocketpump.core.travel.trip_phrases import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES
from pocketpump.exchange.papers.drawing.fonts import undrawable
from pocketpump.exchange.papers.drawing.page import Page
from pocketpump.exchange.papers.numbers import number_rows
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.pieces import (
    Piece,
    heading,
    on_pages,
    side_by_side,
    table,
    ticked,
    words,
    write_here,
)
from pocketpump.exchange.papers.travel_words import (
    days_text,
    reach_sentences,
    shift_sentence,
    step_name,
    step_sentence,
    there_text,
)

TITLE = message("Travel sheet")
_SIZES = [7.8, *(8.0 + 0.25 * step for step in range(13))]
"""Type sizes in points; what is set a little smaller stays above the smallest."""
_DAILY, _SHORT, _WEEKLY = (1.1, 1.3, 2.0, 4.2), (0.9, 1.3, 1.7, 1.9), (2.4, 1.3, 4.9)
"""The shares of the columns: of a day that is every day, alone or beside another; of a week."""
_MOST_IN_A_COLUMN = 16
"""How many rows a table may have that stands beside another."""


@dataclass(frozen=True, slots=True)
class TravelSheet:
    """What one travel sheet tells besides the lists, which are the same for every trip.

    ``clinic`` is the clinic at the place, as the person wrote it; ``home`` are the numbers
    of the clinic at home, ``languages`` those of the cards to take along, ``visit_on`` is the
    day of the visit that is booked at home.
    """

    trip: Trip
    reach: DrugReach | None
    programme: Programme | None
    clinic: str = ""
    home: tuple[Contact, ...] = ()
    languages: tuple[str, ...] = ()
    visit_on: date | None = None


def travel_pages(
    told: TravelSheet, today: date, locale: Locale | None = None, paper: PaperSize = A4
) -> list[Page]:
    """Return the pages of the sheet in ``locale`` (None: English); one for a usual trip."""
    say: Callable[[str], str] = partial(text_in, locale=locale)
    return on_pages(list(_pieces(told, today, say)), paper, _SIZES)


def sheet_problems(told: TravelSheet) -> tuple[Problem, ...]:
    """Return what of the person's own words the sheet cannot show."""
    numbers = (f"{c.name}{c.phone}{c.hours}" for c in told.home)
    own = [told.clinic, *(stay.place for stay in told.trip.stays), *numbers]
    instead = message("Write them on the paper by hand, or use Latin letters.")
    return undrawable("".join(own), instead)


def _pieces(told: TravelSheet, today: date, say: Callable[[str], str]) -> Iterator[Piece]:
    trip = told.trip
    yield words(say(joined(": ", (TITLE, places_of(trip.stays)))), 1.7, bold=True)
    made = date_text(today)
    if trip.leaves_on == trip.returns_on:
        days = message("On {on}. As of {day}.", on=date_text(trip.leaves_on), day=made)
    else:
        days = message(
            "From {first} to {last}. As of {day}.",
            first=date_text(trip.leaves_on),
            last=date_text(trip.returns_on),
            day=made,
        )
    yield words(say(days))
    at_visit = away_at_visit(trip, told.visit_on)
    if at_visit:
        yield words(say(at_visit), 1.15, bold=True, band=True)
    if told.reach is not None:
        yield from _reach(told.reach, say)
    yield from _numbers(told, say)
    spans = clock_spans(trip, told.programme) if told.programme is not None else ()
    if spans:
        yield from _hours(spans, say)
    yield from _lists(told, say)
    alike = _alike(spans)
    if not _in_columns(alike) or len(alike) % 2 == 0:
        title, *lines = _cautions(say)
        yield title
        half = (len(lines) + 1) // 2
        yield side_by_side([lines[:half], lines[half:]])
    last = message("A notebook with arithmetic: the clinic's instructions come first.")
    yield words(say(last), 0.9, gap=2.0)


def _reach(reach: DrugReach, say: Callable[[str], str]) -> Iterator[Piece]:
    yield heading(say(message("Does the drug last?")))
    first, *rest = reach_sentences(reach)
    yield words(say(first), 1.15, bold=True, band=reach.verdict != "fine")
    if rest:
        yield words(say(joined(" ", rest)), gap=0.8)


def _numbers(told: TravelSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    yield heading(say(message("Numbers to call")))
    yield from number_rows([(say(message("Your clinic at home")), one) for one in told.home])
    yield write_here(say(message("Emergency number there:")), gap=1.0)
    if told.clinic:
        there = message("Clinic there, in the person's own words: {clinic}", clinic=told.clinic)
        yield words(say(there), bold=True)
    else:
        yield write_here(say(message("Clinic there, with number:")), gap=1.0)


def _hours(spans: Sequence[ClockSpan], say: Callable[[str], str]) -> Iterator[Piece]:
    """Yield a table for the places at which the hours are the same; several stand in columns."""
    yield heading(say(message("The pump's hours there")))
    alike = _alike(spans)
    if not _in_columns(alike):
        for group in alike:
            yield from _place(group, say, short=False)
        return
    if spans[0].rows[0].daily:
        example = step_sentence(_by_the_clock_there(spans[0].rows)[0])
        yield words(say(message("Read each row like this: {sentence}", sentence=example)))
    tables = [list(_place(group, say, short=True)) for group in alike]
    for index in range(0, len(tables), 2):
        pair = tables[index : index + 2]
        # Beside an odd last one is room for what the sheet has next.
        yield side_by_side(pair if len(pair) == 2 else [*pair, _cautions(say)], gap=2.0)


def _alike(spans: Sequence[ClockSpan]) -> list[list[ClockSpan]]:
    return [list(group) for _, group in groupby(spans, key=lambda span: span.rows)]


def _in_columns(alike: Sequence[Sequence[ClockSpan]]) -> bool:
    return len(alike) > 1 and len(alike[0][0].rows) <= _MOST_IN_A_COLUMN


def _place(
    spans: Sequence[ClockSpan], say: Callable[[str], str], *, short: bool
) -> Iterator[Piece]:
    for span in spans:
        yield words(say(_where(span)), bold=True, gap=1.4, leads=True)
    yield words(say(shift_sentence(spans[0])), gap=0.2, leads=True)
    yield _table(spans[0].rows, say, short=short)


def _where(span: ClockSpan) -> str:
    place = message("{place} ({zone})", place=span.place or span.zone_name, zone=span.zone_name)
    return joined(", ", (place, days_text(span.first_on, span.last_on)))


def _by_the_clock_there(rows: Sequence[ClockRow]) -> list[ClockRow]:
    return sorted(rows, key=lambda row: row.local_clock)


def _table(rows: Sequence[ClockRow], say: Callable[[str], str], *, short: bool) -> Piece:
    """Return the rows in the order of the day there; a week stands in that of the pump."""
    daily = all(row.daily for row in rows)
    # Note: heads of a table: the time at the place, the time on the pump's clock, and what begins.
    head = [message("There"), message("Pump's clock"), message("Begins")]
    if daily:
        # Note: the head of a column that says the same in words.
        head.append(message("In words"))
        rows = _by_the_clock_there(rows)
    body: list[list[Piece]] = []
    for row in rows:
        told = [row.pump_clock, say(row.what)]
        if daily:
            told.append(say(step_name(row) if short else step_sentence(row)))
        body.append([words(say(there_text(row)), bold=True), *map(words, told)])
    shares = (_SHORT if short else _DAILY) if daily else _WEEKLY
    return table([words(say(text), 0.9) for text in head], body, shares)


def _lists(told: TravelSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    packed = list(PACKING)
    if told.languages:
        named = joined(", ", (ENGLISH_NAMES[code] for code in told.languages))
        packed.append(message("The emergency card in: {languages}", languages=named))
    left = [heading(say(message("To pack"))), *(ticked(say(item)) for item in packed)]
    right = [heading(say(message("To ask the clinic"))), *(ticked(say(one)) for one in QUESTIONS)]
    yield side_by_side([left, right], gap=2.2)


def _cautions(say: Callable[[str], str]) -> list[Piece]:
    lines = (words(say(line), 0.9, gap=0.6) for line in CAUTIONS)
    return [heading(say(message("Beware of"))), *lines]
