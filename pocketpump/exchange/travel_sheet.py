"""The travel sheet: one trip on paper, for the hand luggage."""

from dataclasses import dataclass
from datetime import date

from pocketpump.core.contacts import Contact
from pocketpump.core.errors import Problem
from pocketpump.core.instants import date_text
from pocketpump.core.pattern import Programme
from pocketpump.core.sign_table import EMERGENCY_SIGNS
from pocketpump.core.travel_words import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.trip import ClockRow, Reach, Trip, clock_spans, places_of
from pocketpump.exchange.drawing.faces import undrawable
from pocketpump.exchange.drawing.flow import Block, Picture, flowed
from pocketpump.exchange.drawing.pdf import to_pdf
from pocketpump.exchange.phrases import ENGLISH_NAMES

TITLE = "Travel sheet"


def reach_sentences(reach: Reach) -> tuple[str, ...]:
    """Return in words whether the drug reaches the return; the same on screen and paper."""
    if reach.verdict == "cannot tell":
        return (f"Cannot tell whether the drug lasts ({reach.because}). Ask the clinic.",)
    if reach.verdict == "do not leave":
        return (
            "Do not leave before a refill: call the clinic now.",
            _OVERDUE[reach.because],
            "If you have left already, call all the same: the clinic can help to find one near.",
            EMERGENCY_SIGNS,
        )
    assert reach.reaches is not None  # every other answer has a day
    until = f"Needed until {date_text(reach.needed_until)}: the return and your margin."
    sure = (
        f"By the numbers, what is in the pump lasts at least until {date_text(reach.reaches)}"
        f" ({reach.because})."
    )
    if reach.verdict == "fine":
        return ("By the numbers the drug lasts to the return and your margin.", until, sure)
    return tuple(filter(None, (_FIRST[reach.verdict, reach.is_due], *_refill(reach), until, sure)))


_OVERDUE = {
    "empty": "By these numbers the pump is empty.",
    "alarm": "The alarm date has come.",
    "overdue": "The refill-by date is past.",
}
_FIRST = {
    ("refill first", False): "Ask for a refill before you go: without it the drug may not reach"
    " the return.",
    ("refill first", True): "A refill is due before this trip: book it first.",
    ("more refills", True): "A refill is due before this trip, and it alone does not reach the"
    " return. Talk to the clinic early, and look here again after that refill.",
    ("refill away", False): "This trip needs a refill while you are away, or other days."
    " Talk to the clinic early.",
    ("refill away", True): "This trip needs a refill while you are away, or other days."
    " Talk to the clinic early.",
}


def _refill(reach: Reach) -> tuple[str, ...]:
    if reach.refill_on is None:
        return ()
    on = date_text(reach.refill_on)
    if reach.is_due:
        day = f"Refill by {on}: the last open day before the drug runs low."
    else:
        day = f"The last day the clinic is open before you leave: {on}."
    if reach.reaches_then is None:
        return (day,)
    return (
        day,
        f"After a refill like the last one on {on} the drug would last at least until"
        f" {date_text(reach.reaches_then)}. This supposes the same fill and dose.",
    )


def clock_sentence(row: ClockRow) -> str:
    """Return one hour of the pump in words."""
    days = {
        -2: ", two days before,", -1: ", the day before,",
        1: ", the day after,", 2: ", two days after,",
    }  # fmt: skip
    day = "" if row.daily else days.get(row.day_shift, "")
    return f"{row.local_clock}{day} there: {row.what} (pump's clock {row.pump_clock})"


@dataclass(frozen=True, slots=True)
class TravelSheet:
    """What one travel sheet tells besides the lists, which are the same for every trip.

    ``clinic`` is the clinic at the place, as the person wrote it; ``home`` are the numbers
    of the clinic at home, ``languages`` those of the cards to take along.
    """

    trip: Trip
    reach: Reach | None
    programme: Programme | None
    clinic: str = ""
    home: tuple[Contact, ...] = ()
    languages: tuple[str, ...] = ()


def travel_sheet(told: TravelSheet, today: date) -> bytes:
    """Return the sheet as PDF."""
    trip = told.trip
    blocks: list[Block | Picture] = [
        Block(TITLE, 20, bold=True),
        Block(f"As of {date_text(today)}", 10),
        Block(places_of(trip.stays), 14, bold=True, gap=4),
        Block(f"From {date_text(trip.leaves_on)} to {date_text(trip.returns_on)}"),
    ]
    if told.home:
        blocks += _part("Your clinic at home", [_number(contact) for contact in told.home])
    if told.clinic:
        blocks.append(Block(f"Clinic there, in the person's own words: {told.clinic}"))
    if told.languages:
        named = ", ".join(ENGLISH_NAMES[code] for code in told.languages)
        blocks.append(Block(f"Take the emergency card along in: {named}"))
    if told.reach is not None:
        blocks += _part("Does the drug last?", reach_sentences(told.reach))
    spans = clock_spans(trip, told.programme) if told.programme is not None else ()
    if spans:
        blocks.append(Block("The pump's hours there", 13, bold=True, gap=5))
    for span in spans:
        where = span.place or span.zone_name
        days = f"{date_text(span.first_on)} to {date_text(span.last_on)}"
        blocks.append(Block(f"{where} ({span.zone_name}), {days}", bold=True))
        blocks += [Block(clock_sentence(row)) for row in span.rows]
    blocks += _part("Beware of", CAUTIONS)
    blocks += _part("To pack", [f"[  ] {item}" for item in PACKING])
    blocks += _part("To ask the clinic", [f"[  ] {item}" for item in QUESTIONS])
    blocks.append(
        Block("A notebook with arithmetic: the clinic's instructions come first.", 9, gap=6)
    )
    return to_pdf(flowed(blocks), TITLE)


def sheet_problems(told: TravelSheet) -> tuple[Problem, ...]:
    """Return what of the person's own words the sheet cannot show."""
    own = [told.clinic, *(stay.place for stay in told.trip.stays), *map(_number, told.home)]
    return undrawable("".join(own), "Write them on the paper by hand, or use Latin letters.")


def _number(contact: Contact) -> str:
    return ": ".join(
        filter(None, (contact.name, ", ".join(filter(None, (contact.phone, contact.hours)))))
    )


def _part(title: str, lines: list[str] | tuple[str, ...]) -> list[Block]:
    return [Block(title, 13, bold=True, gap=5), *(Block(line) for line in lines)]
