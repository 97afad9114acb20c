"""The travel sheet: one trip on paper, for the hand luggage."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from pocketpump.core.errors import Problem
from pocketpump.core.messages import Locale, joined, message, text_in
from pocketpump.core.pump.programme import Programme
from pocketpump.core.safety.contacts import Contact
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS
from pocketpump.core.travel.trip import ClockRow, DrugReach, Trip, clock_spans, places_of
from pocketpump.core.travel.trip_phrases import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES
from pocketpump.exchange.papers.drawing.flow import Block, flowed
from pocketpump.exchange.papers.drawing.fonts import undrawable
from pocketpump.exchange.papers.drawing.pdf import to_pdf

TITLE = message("Travel sheet")


def reach_sentences(reach: DrugReach) -> tuple[str, ...]:
    """Return in words whether the drug reaches the return; the same on screen and paper."""
    if reach.verdict == "cannot tell":
        return (
            message(
                "Cannot tell whether the drug lasts ({why}). Ask the clinic.", why=reach.because
            ),
        )
    if reach.verdict == "do not leave":
        return (
            message("Do not leave before a refill: call the clinic now."),
            _OVERDUE[reach.because],
            message(
                "If you have left already, call all the same: the clinic can help to find one near."
            ),
            EMERGENCY_SIGNS,
        )
    assert reach.reaches is not None  # every other answer has a day
    # Note: the drug is needed until then.
    until = message(
        "Needed until {day}: the return and your margin.", day=date_text(reach.needed_until)
    )
    sure = message(
        "By the numbers, what is in the pump lasts at least until {day} ({why}).",
        day=date_text(reach.reaches),
        why=reach.because,
    )
    if reach.verdict == "fine":
        lasts = message("By the numbers the drug lasts to the return and your margin.")
        return (lasts, until, sure)
    return tuple(filter(None, (_FIRST[reach.verdict, reach.is_due], *_refill(reach), until, sure)))


_OVERDUE = {
    "empty": message("By these numbers the pump is empty."),
    "maybe-empty": message("By these numbers the pump may be empty."),
    "alarm": message("The alarm date has come."),
    "clinic-alarm": message("The alarm date the clinic printed has come."),
    "drug-age": message("The drug has been in the pump longer than its limit."),
    "overdue": message("The refill-by date is past."),
}
_AWAY = message(
    "This trip needs a refill while you are away, or other days. Talk to the clinic early."
)
_FIRST = {
    ("refill first", False): message(
        "Ask for a refill before you go: without it the drug may not reach the return."
    ),
    ("refill first", True): message("A refill is due before this trip: book it first."),
    ("more refills", True): message(
        "A refill is due before this trip, and it alone does not reach the return. Talk to the"
        " clinic early, and look here again after that refill."
    ),
    ("refill away", False): _AWAY,
    ("refill away", True): _AWAY,
}


def _refill(reach: DrugReach) -> tuple[str, ...]:
    if reach.refill_on is None:
        return ()
    on = date_text(reach.refill_on)
    if reach.is_due:
        day = message("Refill by {day}: the last open day before the drug runs low.", day=on)
    else:
        day = message("The last day the clinic is open before you leave: {day}.", day=on)
    if reach.reaches_then is None:
        return (day,)
    return (
        day,
        message(
            "After a refill like the last one on {day} the drug would last at least until {last}."
            " This supposes the same fill and dose.",
            day=on,
            last=date_text(reach.reaches_then),
        ),
    )


def clock_sentence(row: ClockRow) -> str:
    """Return one hour of the pump in words."""
    say = _CLOCK[0 if row.daily else row.day_shift]
    return say(row.local_clock, row.what, row.pump_clock)


_CLOCK: dict[int, Callable[[str, str, str], str]] = {
    # Note: {clock} is the time at the place; {what} begins then, a rate or a bolus.
    -2: lambda clock, what, pump: message(
        "{clock}, two days before, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
    -1: lambda clock, what, pump: message(
        "{clock}, the day before, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
    0: lambda clock, what, pump: message(
        "{clock} there: {what} (pump's clock {pump})", clock=clock, what=what, pump=pump
    ),
    1: lambda clock, what, pump: message(
        "{clock}, the day after, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
    2: lambda clock, what, pump: message(
        "{clock}, two days after, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class TravelSheet:
    """What one travel sheet tells besides the lists, which are the same for every trip.

    ``clinic`` is the clinic at the place, as the person wrote it; ``home`` are the numbers
    of the clinic at home, ``languages`` those of the cards to take along.
    """

    trip: Trip
    reach: DrugReach | None
    programme: Programme | None
    clinic: str = ""
    home: tuple[Contact, ...] = ()
    languages: tuple[str, ...] = ()


def travel_sheet(told: TravelSheet, today: date, locale: Locale | None = None) -> bytes:
    """Return the sheet as PDF, in ``locale`` (None: English)."""
    blocks = [replace(block, text=text_in(block.text, locale)) for block in _blocks(told, today)]
    return to_pdf(flowed(blocks), text_in(TITLE, locale), code_of(locale))


def _blocks(told: TravelSheet, today: date) -> list[Block]:
    trip = told.trip
    blocks = [
        Block(TITLE, 20, bold=True),
        Block(message("As of {day}", day=date_text(today)), 10),
        Block(places_of(trip.stays), 14, bold=True, gap=4),
        Block(
            message(
                "From {first} to {last}",
                first=date_text(trip.leaves_on),
                last=date_text(trip.returns_on),
            )
        ),
    ]
    if told.home:
        numbers = [_number(contact) for contact in told.home]
        blocks += _part(message("Your clinic at home"), numbers)
    if told.clinic:
        blocks.append(
            Block(message("Clinic there, in the person's own words: {clinic}", clinic=told.clinic))
        )
    if told.languages:
        named = joined(", ", (ENGLISH_NAMES[code] for code in told.languages))
        blocks.append(
            Block(message("Take the emergency card along in: {languages}", languages=named))
        )
    if told.reach is not None:
        blocks += _part(message("Does the drug last?"), reach_sentences(told.reach))
    spans = clock_spans(trip, told.programme) if told.programme is not None else ()
    if spans:
        blocks.append(Block(message("The pump's hours there"), 13, bold=True, gap=5))
    for span in spans:
        where = message(
            "{place} ({zone}), {first} to {last}",
            place=span.place or span.zone_name,
            zone=span.zone_name,
            first=date_text(span.first_on),
            last=date_text(span.last_on),
        )
        blocks.append(Block(where, bold=True))
        blocks += [Block(clock_sentence(row)) for row in span.rows]
    blocks += _part(message("Beware of"), CAUTIONS)
    blocks += _part(message("To pack"), [_to_tick(item) for item in PACKING])
    blocks += _part(message("To ask the clinic"), [_to_tick(item) for item in QUESTIONS])
    last = message("A notebook with arithmetic: the clinic's instructions come first.")
    blocks.append(Block(last, 9, gap=6))
    return blocks


def _to_tick(item: str) -> str:
    return joined("", ("[  ] ", item))


def sheet_problems(told: TravelSheet) -> tuple[Problem, ...]:
    """Return what of the person's own words the sheet cannot show."""
    own = [told.clinic, *(stay.place for stay in told.trip.stays), *map(_number, told.home)]
    instead = message("Write them on the paper by hand, or use Latin letters.")
    return undrawable("".join(own), instead)


def _number(contact: Contact) -> str:
    return ": ".join(
        filter(None, (contact.name, ", ".join(filter(None, (contact.phone, contact.hours)))))
    )


def _part(title: str, lines: list[str] | tuple[str, ...]) -> list[Block]:
    return [Block(title, 13, bold=True, gap=5), *(Block(line) for line in lines)]
