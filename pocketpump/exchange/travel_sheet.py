"""The travel sheet: one trip on paper, for the hand luggage."""

from datetime import date

from pocketpump.core.instants import date_text
from pocketpump.core.pattern import Programme
from pocketpump.core.travel_words import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.trip import ClockRow, Reach, Trip, clock_spans, places_of
from pocketpump.exchange.drawing.flow import Block, Picture, flowed
from pocketpump.exchange.drawing.pdf import to_pdf

TITLE = "Travel sheet"


def reach_sentences(reach: Reach) -> tuple[str, ...]:
    """Return in words whether the drug reaches the return; the same on screen and paper."""
    until = f"Needed until {date_text(reach.needed_until)}: the return and your margin."
    if reach.verdict == "cannot tell":
        return (f"Cannot tell whether the drug lasts ({reach.because}). Ask the clinic.",)
    assert reach.reaches is not None  # only "cannot tell" has no day
    sure = f"By the numbers it lasts at least until {date_text(reach.reaches)} ({reach.because})."
    if reach.verdict == "fine":
        return ("By the numbers the drug lasts to the return and your margin.", until, sure)
    before = "" if reach.refill_on is None else date_text(reach.refill_on)
    if reach.verdict == "refill first":
        return (
            "Ask for a refill before you go: without it the drug may not reach the return.",
            until,
            sure,
            f"The last day the clinic is open before you leave: {before}.",
        )
    then = "" if reach.reaches_then is None else (
        f"After a refill like the last one on {before} it would last at least until"
        f" {date_text(reach.reaches_then)}."
    )  # fmt: skip
    return tuple(
        filter(
            None,
            (
                "This trip needs a refill while you are away, or other days."
                " Talk to the clinic early.",
                until,
                sure,
                then,
            ),
        )
    )


def clock_sentence(row: ClockRow) -> str:
    """Return one hour of the pump in words."""
    days = {-1: ", the day before,", 1: ", the day after,"}
    day = "" if row.daily else days.get(row.day_shift, "")
    return f"{row.local_clock}{day} there: {row.what} (pump's clock {row.pump_clock})"


def travel_sheet(
    trip: Trip, reach: Reach | None, programme: Programme | None, clinic: str, today: date
) -> bytes:
    """Return the sheet as PDF; ``clinic`` is the clinic at the place, as the person wrote it."""
    blocks: list[Block | Picture] = [
        Block(TITLE, 20, bold=True),
        Block(f"As of {date_text(today)}", 10),
        Block(places_of(trip.stays), 14, bold=True, gap=4),
        Block(f"From {date_text(trip.leaves_on)} to {date_text(trip.returns_on)}"),
    ]
    if clinic:
        blocks.append(Block(f"Clinic there, in the person's own words: {clinic}"))
    if reach is not None:
        blocks += _part("Does the drug last?", reach_sentences(reach))
    spans = clock_spans(trip, programme) if programme is not None else ()
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


def _part(title: str, lines: list[str] | tuple[str, ...]) -> list[Block]:
    return [Block(title, 13, bold=True, gap=5), *(Block(line) for line in lines)]
