"""The page for a school or a carer: what the pump is, when to call whom, and what never to do.

The signs are rows of the table in ``core.safety``, so that no second list can say otherwise. Of the
person it holds what was chosen, one detail at a time. What has no source beside it is common
practice, no source.
"""

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from pocketpump.core.errors import Problem
from pocketpump.core.messages import Locale, joined, message, text_in
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.safety.card import CareFacts, one_line
from pocketpump.core.safety.contacts import EMERGENCY_ROLE, Contact, call_order
from pocketpump.core.safety.sign_table import (
    EMERGENCY_SIGNS,
    ON_THE_SIDE,
    SIGNS,
    TOO_LITTLE,
    TOO_MUCH,
    UNANSWERED,
    Sign,
    Urgency,
)
from pocketpump.core.units.instants import date_text, short_date_text
from pocketpump.core.units.quantity import DOSE, entered_quantity
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers.drawing.fonts import undrawable
from pocketpump.exchange.papers.drawing.page import Page
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.numbers import number_rows
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.pieces import (
    Piece,
    heading,
    on_pages,
    pointed,
    side_by_side,
    words,
    write_here,
)

TITLE = message("A baclofen pump: for school or a carer")
DETAILS = ("name", "born", "clinic", "people", "plan", "dose")
"""What of the person can be on the page, each by itself."""
USUAL_DETAILS = ("name", "born", "clinic", "people", "plan")
"""What is on it unless chosen otherwise: a carer does not need the dose."""
_SIZES = [8.0 + 0.25 * step for step in range(13)]

_WHAT = (
    message(
        "A small pump under the skin drips the medicine baclofen to the spinal cord, day and night."
        " It makes stiff muscles looser."
    ),
    message(
        "The clinic fills it with a needle every few weeks or months. Nobody else has to do"
        " anything to it."
    ),
    # The label; Coffey 2002.
    message("The medicine must not stop suddenly: that can kill."),
)
_USUAL = (
    message("The pump can be felt under the skin, like a small, flat, round box."),
    message("You cannot hear it work. A beep is an alarm."),
    message("Some stiffness and some spasms may stay."),
)
_UNTIL_HELP = (
    message("Do not leave the person alone."),
    message("Call the emergency number first, then the family."),
    message("Have the emergency card ready, and show it."),
    ON_THE_SIDE,
    # The label: no other form of baclofen is to be relied on; the amount is the clinic's alone.
    message("Give no extra tablets, unless the clinic's written plan says so."),
)
_NEVER = (
    # The label: trained staff alone.
    message("Never press, turn or open the pump, or put a needle into it."),
    message("Never wait to see if a sign of danger gets better."),
    message("Never give or leave out medicine against the clinic's plan."),
    # De Andres 2011; the label.
    message("Never allow an MRI before the pump team has agreed."),
    # Own default, no source.
    message("No hot bath, sauna or heat pad before the clinic has agreed."),
)
# As the rules of `core.safety` have it: delivery in doubt makes emergencies.
_DOUBTED = message(
    "After an urgent alarm or a missed refill, two of the signs of too little are an emergency."
)
_ON_THE_PUMP = ("red skin", "leaking skin", "open skin")
"""Signs of the skin that stand with those of the pump."""


@dataclass(frozen=True, slots=True)
class CarerSheet:
    """What of the person is on the page; "" and () are left out.

    ``emergency`` are the local emergency numbers, which tell nothing about anybody.
    """

    emergency: tuple[Contact, ...] = ()
    name: str = ""
    born_on: date | None = None
    dose: str = ""
    clinics: tuple[Contact, ...] = ()
    people: tuple[Contact, ...] = ()
    plan: str = ""


def carer_sheet_of(
    facts: CareFacts, answer: Forecast | None, shown: Collection[str] = USUAL_DETAILS
) -> CarerSheet:
    """Return the page with those of `DETAILS` that are ``shown``, as far as they are known."""
    called = call_order(facts.contacts, emergency_first=True)
    dose = answer.dose_mcg_per_day if answer is not None and "dose" in shown else None
    return CarerSheet(
        tuple(c for c in called if c.role == EMERGENCY_ROLE)[:1],
        one_line(facts.name) if "name" in shown else "",
        facts.born_on if "born" in shown else None,
        "" if dose is None else entered_quantity(dose, DOSE),
        tuple(c for c in called if c.is_clinic) if "clinic" in shown else (),
        tuple(c for c in called if c.is_person and c.on_card) if "people" in shown else (),
        facts.plan.strip() if "plan" in shown else "",
    )


def carer_file(
    sheet: CarerSheet, today: date, locale: Locale | None = None, paper: PaperSize = A4
) -> bytes:
    """Return the page as PDF, in ``locale`` (None: English)."""
    pages = carer_pages(sheet, today, locale, paper)
    return to_pdf(pages, text_in(TITLE, locale), code_of(locale))


def carer_pages(
    sheet: CarerSheet, today: date, locale: Locale | None = None, paper: PaperSize = A4
) -> list[Page]:
    """Return the page; more than one only where many numbers or a long plan are on it."""
    say: Callable[[str], str] = partial(text_in, locale=locale)
    return on_pages(list(_pieces(sheet, today, say)), paper, _SIZES)


def carer_problems(sheet: CarerSheet) -> tuple[Problem, ...]:
    """Return what of the person's own words the page cannot show."""
    called = (*sheet.emergency, *sheet.clinics, *sheet.people)
    numbers = (f"{c.name}{c.relation}{c.phone}{c.hours}" for c in called)
    own = "".join([sheet.name, sheet.plan, *numbers])
    return undrawable(own, message("Write them on the paper by hand, or use Latin letters."))


def _pieces(sheet: CarerSheet, today: date, say: Callable[[str], str]) -> Iterator[Piece]:
    yield words(say(TITLE), 1.7, bold=True)
    yield from _person(sheet, say)
    what = [heading(say(message("What it is"))), words(say(joined(" ", _WHAT)))]
    usual = [
        heading(say(message("What is usual"))),
        words(say(joined(" ", _USUAL))),
        write_here(say(message("Usual for this person:")), gap=0.4),
    ]
    yield side_by_side([what, usual], gap=2.0)
    yield from _danger(sheet, say)
    yield from _early(say)
    yield heading(say(message("Numbers to call")))
    yield from _numbers(sheet, say)
    until = [heading(say(message("Until help comes"))), *_listed(_UNTIL_HELP, say)]
    never = [heading(say(message("What never to do"))), *_listed(_NEVER, say)]
    yield side_by_side([until, never], gap=2.0)
    if sheet.plan:
        # Note: what the clinic wrote down for this person, should a refill be missed.
        yield heading(say(message("The clinic's written plan")))
        yield words(sheet.plan)
    last = message(
        "Made {day} from the person's own notebook. The clinic's instructions come first.",
        day=date_text(today),
    )
    yield words(say(last), 0.9, gap=2.0)


def _person(sheet: CarerSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    told: list[str] = [sheet.name] if sheet.name else []
    if sheet.born_on is not None:
        told.append(message("born {day}", day=short_date_text(sheet.born_on)))
    if sheet.dose:
        told.append(message("daily dose {dose}", dose=sheet.dose))
    if told:
        yield words(say(joined(" · ", told)), 1.3, bold=True)


def _danger(sheet: CarerSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    number = one_line(sheet.emergency[0].phone) if sheet.emergency else ""
    if number:
        call = message("Danger: call {number} at once", number=number)
    else:
        call = message("Danger: call the emergency number at once")
    yield words(say(call), 1.3, band=True, gap=2.6, leads=True)
    found = [sign for sign in SIGNS if sign.urgency is Urgency.EMERGENCY]
    yield _columns([sign.words for sign in found], 3, say)
    yield words(say(EMERGENCY_SIGNS), bold=True)


def _early(say: Callable[[str], str]) -> Iterator[Piece]:
    title = message("Early signs: call the pump clinic at once, even when they seem mild")
    yield heading(say(title))
    columns = (
        (message("Could be too little baclofen"), _early_signs(TOO_LITTLE)),
        (message("Could be too much baclofen"), _early_signs(TOO_MUCH)),
        (message("The pump, or the skin over it"),
         [s for s in SIGNS if s.subject == "pump" or s.id in _ON_THE_PUMP]),
    )  # fmt: skip
    yield side_by_side([
        [words(say(title), bold=True), *_listed([sign.words for sign in signs], say)]
        for title, signs in columns
    ])  # fmt: skip
    yield words(say(_DOUBTED), bold=True)
    yield words(say(UNANSWERED[Urgency.NOW][0]), bold=True, gap=0.3)


def _early_signs(cause: str) -> list[Sign]:
    """Return what this cause may begin with: all it is named for that is no emergency alone."""
    return [
        sign
        for sign in SIGNS
        if cause in sign.could_be
        and sign.urgency is not Urgency.EMERGENCY
        and sign.subject != "pump"
    ]


def _numbers(sheet: CarerSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    emergency = say(message("In danger, first"))
    clinic = say(message("Pump clinic"))
    if sheet.emergency:
        yield from number_rows((emergency, replace(one, name="")) for one in sheet.emergency)
    else:
        yield write_here(say(message("Emergency number:")), gap=1.0)
    yield from number_rows((clinic, one) for one in sheet.clinics)
    if not sheet.clinics:
        yield write_here(say(message("Pump clinic, with number:")), gap=1.0)
    yield from number_rows(("", one) for one in sheet.people)
    if not sheet.people:
        yield write_here(say(message("Family, with number:")), gap=1.0)


def _columns(texts: list[str], count: int, say: Callable[[str], str]) -> Piece:
    each = -(-len(texts) // count)
    parts = [texts[i * each : (i + 1) * each] for i in range(count)]
    return side_by_side([_listed(part, say) for part in parts])


def _listed(texts: Collection[str], say: Callable[[str], str]) -> list[Piece]:
    return [pointed(say(text)) for text in texts]
