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
    ClockSpan,
    DrugReach,
    Trip,
    clock_spans,
    places_of,
)
from pocketpump.core.travel.trip_phrases import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.travel.week_there import week_there
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
from pocketpump.exchange.papers.travel_week_words import week_sentence, weekdays_text
from pocketpump.exchange.papers.travel_words import (
    days_text,
    reach_sentences,
    shift_sentence,
    step_sentence,
)

TITLE = message("Travel sheet")
_SIZES = [7.4, 7.8, *(8.0 + 0.25 * step for step in range(13))]
"""Type sizes in points; what is set a little smaller never goes below the smallest."""
# Note: heads of a table: the time at the place, the time on the pump's clock, what begins, and the
# same in words.
_THERE, _PUMP, _BEGINS, _IN_WORDS = (
    message("There"), message("Pump's clock"), message("Begins"), message("In words"),
)  # fmt: skip
_SHORT, _DAILY, _WEEKLY = (57.0, 14.5, 19.5), (13, 20, 32, 100), (32.5, 13, 19.5, 20, 107)
"""The shares of the columns: of a day beside another place's or alone, and of a week."""
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
    lists = _lists(told, say)
    alike = _alike(spans)
    if not _in_columns(alike) or len(alike) % 2 == 0:
        lists.append(_cautions(say))
    yield side_by_side(lists, gap=2.2)
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
    if not all(row.daily for span in spans for row in span.rows):
        yield _weeks(alike, say)
        return
    if not _in_columns(alike):
        for group in alike:
            yield from _place(group, say, short=False)
        return
    tables = [list(_place(group, say, short=True)) for group in alike]
    for index in range(0, len(tables), 2):
        pair = tables[index : index + 2]
        # Beside an odd last one is room for what the sheet has next.
        yield side_by_side(pair if len(pair) == 2 else [*pair, _cautions(say)], gap=2.0)


def _alike(spans: Sequence[ClockSpan]) -> list[list[ClockSpan]]:
    return [list(group) for _, group in groupby(spans, key=lambda span: span.rows)]


def _in_columns(alike: Sequence[Sequence[ClockSpan]]) -> bool:
    rows = alike[0][0].rows if alike else ()
    return len(alike) > 1 and rows[0].daily and len(rows) <= _MOST_IN_A_COLUMN


def _place(
    spans: Sequence[ClockSpan], say: Callable[[str], str], *, short: bool
) -> Iterator[Piece]:
    for span in spans:
        yield words(say(_where(span)), bold=True, gap=1.4, leads=True)
    yield words(say(shift_sentence(spans[0])), gap=0.2, leads=True)
    body: list[list[Piece]] = []
    for row in sorted(spans[0].rows, key=lambda row: row.local_clock):
        told = [row.pump_clock, say(row.what), say(step_sentence(row))]
        if short:
            # The sentence says the hour there.
            body.append([words(text) for text in (told[-1], *told[:-1])])
        else:
            body.append([words(row.local_clock, bold=True), *map(words, told)])
    heads = (_IN_WORDS, _PUMP, _BEGINS) if short else (_THERE, _PUMP, _BEGINS, _IN_WORDS)
    yield table([words(say(text), 0.9) for text in heads], body, _SHORT if short else _DAILY)


def _weeks(alike: Sequence[Sequence[ClockSpan]], say: Callable[[str], str]) -> Piece:
    """Return one table of all places: the days of the week there, with their hours."""
    body: list[Sequence[Piece] | Piece] = []
    for spans in alike:
        wheres = [*map(_where, spans)]
        wheres[-1] = joined(". ", (wheres[-1], shift_sentence(spans[0])))
        body += [words(say(where), bold=True, gap=1.2, leads=True) for where in wheres]
        for days in week_there(spans[0]):
            named = weekdays_text(days.weekdays)
            for row in days.rows:
                clocks = [words(say(named), bold=True), words(row.local_clock, bold=True)]
                told = (row.pump_clock, row.what, week_sentence(row, days.weekdays))
                body.append([*clocks, *(words(say(text)) for text in told)])
                named = ""
    # Note: the head of a table's column: days of the week at the place.
    heads = (message("Days there"), _THERE, _PUMP, _BEGINS, _IN_WORDS)
    return table([words(say(text), 0.9) for text in heads], body, _WEEKLY)


def _where(span: ClockSpan) -> str:
    place = message("{place} ({zone})", place=span.place or span.zone_name, zone=span.zone_name)
    return joined(", ", (place, days_text(span.first_on, span.last_on)))


def _lists(told: TravelSheet, say: Callable[[str], str]) -> list[list[Piece]]:
    packed = list(PACKING)
    if told.languages:
        named = joined(", ", (ENGLISH_NAMES[code] for code in told.languages))
        packed.append(message("The emergency card in: {languages}", languages=named))
    left = [heading(say(message("To pack"))), *(ticked(say(item)) for item in packed)]
    right = [heading(say(message("To ask the clinic"))), *(ticked(say(one)) for one in QUESTIONS)]
    return [left, right]


def _cautions(say: Callable[[str], str]) -> list[Piece]:
    lines = (words(say(line), 0.9, gap=0.6) for line in CAUTIONS)
    return [heading(say(message("Beware of"))), *lines]
