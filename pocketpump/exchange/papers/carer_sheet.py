"""The page for a school or a carer: what the pump is, when to call whom, and what never to do.

The signs are rows of the table in ``core.safety``, so that no second list can say otherwise. Of the
person it holds what was chosen, one detail at a time. What has no source beside it is common
practice, no source.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from pocketpump.core.errors import Problem
from pocketpump.core.messages import Locale, joined, message, text_in
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.safety.card import CareFacts, one_line
from pocketpump.core.safety.contacts import EMERGENCY_ROLE, Contact, call_order
from pocketpump.core.safety.sign_table import (
    CORD,
    EMERGENCY_SIGNS,
    INFECTION,
    LEAK,
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
from pocketpump.exchange.papers.drawing.flow import Row
from pocketpump.exchange.papers.drawing.fonts import undrawable
from pocketpump.exchange.papers.drawing.page import Page
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.numbers import number_rows
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.pieces import (
    Piece,
    Setting,
    heading,
    on_pages,
    pointed,
    side_by_side,
    words,
    write_here,
)

TITLE = message("A baclofen pump: for school or a carer")
EARLY_BEHIND = message("The early signs are on the other side.")
DETAILS = (
    "name", "born", "position", "allergies", "clinic", "people", "steps", "plan", "dose",
)  # fmt: skip
"""What of the person can be on the page, each by itself; "steps" are for a cord injury."""
USUAL_DETAILS = tuple(detail for detail in DETAILS if detail != "dose")
"""What is on it unless chosen otherwise: a carer does not need the dose."""
_SIZES = [7.8, *(8.0 + 0.25 * step for step in range(13))]
_SIZES_OF_MORE = [8.5 + 0.25 * step for step in range(9)]

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
    message("Have the emergency card ready, if you have it, and show it."),
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
    "Pump empty or stopped, alarm date past, refill missed or an urgent alarm: two signs of too"
    " little are an emergency."
)
# As the rule of `core.safety` says it to the person.
_SAY_BOTH = message("An infection and too little baclofen can look the same. Say both.")
# Bycroft 2005; Consortium for Spinal Cord Medicine; levels as the rules of `core.safety` have them.
_CORD_DANGER = message(
    "An emergency, with or without a pressure reading: a pounding or a new, bad headache; any"
    " headache with flushing or sweating above the injury; flushing with sweating; very high blood"
    " pressure. Too little baclofen can look the same: say both."
)
_CORD_EARLY = message(
    "Flushing, sweating, unsteady pressure or distress alone: call the pump clinic now, day or"
    " night."
)
_CORD_STEPS = message(
    "Usual first steps: sit the person up, lower the legs, loosen what is tight. Check the bladder,"
    " then the bowel. Call even when it passes."
)
_SKIN_AT_THE_PUMP = ("red skin", "leaking skin", "open skin", "thin skin")
"""Signs of the skin that stand with those of the pump."""
_MEASURED = ("pressure", "high pressure")
"""Signs that few at a school or at home can measure; they stand last."""
LEFT_OUT: Mapping[str, str] = {
    "headache": "usual for many, and no sign of danger alone; the bad ones stand on the page",
    "constipation": "an effect of the drug to be told at the next visit",
    "spine curve": "grows over months, and is seen at the visits",
}
"""The signs of the table that are not on the page, each with the reason."""


@dataclass(frozen=True, slots=True)
class CarerSheet:
    """What of the person is on the page; "" and () are left out.

    ``emergency`` are the local emergency numbers, which tell nothing about anybody. With
    ``cord_steps`` the page says what to do about a cord injury at T6 or above, ``own_steps`` first.
    """

    emergency: tuple[Contact, ...] = ()
    name: str = ""
    born_on: date | None = None
    dose: str = ""
    clinics: tuple[Contact, ...] = ()
    people: tuple[Contact, ...] = ()
    plan: str = ""
    position: str = ""
    allergies: str = ""
    cord_steps: bool = False
    own_steps: str = ""


def carer_sheet_of(
    facts: CareFacts, answer: Forecast | None, shown: Collection[str] = USUAL_DETAILS
) -> CarerSheet:
    """Return the page with those of `DETAILS` that are ``shown``, as far as they are known."""
    called = call_order(facts.contacts, emergency_first=True)
    has_steps = facts.injury_t6_or_above and "steps" in shown
    dose = answer.dose_mcg_per_day if answer is not None and "dose" in shown else None
    return CarerSheet(
        tuple(c for c in called if c.role == EMERGENCY_ROLE)[:1],
        one_line(facts.name) if "name" in shown else "",
        facts.born_on if "born" in shown else None,
        "" if dose is None else entered_quantity(dose, DOSE),
        tuple(c for c in called if c.is_clinic) if "clinic" in shown else (),
        tuple(c for c in called if c.is_person and c.on_card) if "people" in shown else (),
        facts.plan.strip() if "plan" in shown else "",
        one_line(facts.position) if "position" in shown else "",
        one_line(facts.allergies) if "allergies" in shown else "",
        has_steps,
        facts.own_steps.strip() if has_steps else "",
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
    """Return the page; where it needs a second side, the first has all that cannot wait."""
    say: Callable[[str], str] = partial(text_in, locale=locale)
    pages = on_pages([*_front(sheet, say), *_back(sheet, today, say)], paper, _SIZES)
    if len(pages) == 1:
        return pages
    # What needs a second side anyway is set to be read with ease.
    front, back = _front(sheet, say, two_sides=True), _back(sheet, today, say, two_sides=True)
    sides = (on_pages(list(side), paper, _SIZES_OF_MORE) for side in (front, back))
    return [page for side in sides for page in side]


def carer_problems(sheet: CarerSheet) -> tuple[Problem, ...]:
    """Return what of the person's own words the page cannot show."""
    called = (*sheet.emergency, *sheet.clinics, *sheet.people)
    numbers = (f"{c.name}{c.relation}{c.phone}{c.hours}" for c in called)
    typed = (sheet.name, sheet.plan, sheet.position, sheet.allergies, sheet.own_steps)
    own = "".join([*typed, *numbers])
    return undrawable(own, message("Write them on the paper by hand, or use Latin letters."))


def _front(
    sheet: CarerSheet, say: Callable[[str], str], *, two_sides: bool = False
) -> Iterator[Piece]:
    yield words(say(TITLE), 1.5, bold=True)
    yield from _person(sheet, say)
    what = [heading(say(message("What it is"))), words(say(joined(" ", _WHAT)))]
    usual = [
        heading(say(message("What is usual"))),
        words(say(joined(" ", _USUAL))),
        write_here(say(message("Usual for this person:")), gap=0.4),
    ]
    yield side_by_side([what, usual], (1.25, 1.0), gap=2.0)
    yield from _danger(sheet, say)
    if sheet.cord_steps:
        yield from _cord(sheet, say)
    yield from _now(say)
    if two_sides:
        yield words(say(UNANSWERED[Urgency.NOW][0]), bold=True)
    else:
        yield from _early(say)
    yield heading(say(message("Numbers to call")))
    yield from _numbers(sheet, say)
    until = [heading(say(message("Until help comes"))), *_listed(_UNTIL_HELP, say)]
    never = [heading(say(message("What never to do"))), *_listed(_NEVER, say)]
    yield side_by_side([until, never], gap=2.0)
    if two_sides:
        yield words(say(EARLY_BEHIND), bold=True, gap=2.0)


def _back(
    sheet: CarerSheet, today: date, say: Callable[[str], str], *, two_sides: bool = False
) -> Iterator[Piece]:
    if two_sides:
        yield from _early(say)
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
    more: list[str] = []
    if sheet.position:
        more.append(message("The pump sits here: {where}", where=sheet.position))
    if sheet.allergies:
        more.append(message("Allergies: {allergies}", allergies=sheet.allergies))
    if more:
        yield words(say(joined(" · ", more)), bold=True, gap=0.6)


def _danger(sheet: CarerSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    number = one_line(sheet.emergency[0].phone) if sheet.emergency else ""
    if number:
        call = message("Danger: call {number} at once", number=number)
        # As `EMERGENCY_SIGNS` says it, with the number itself.
        first = message(
            "If stiffness comes back fast together with fever, confusion or a racing pulse, it"
            " could be baclofen withdrawal: call {number}.",
            number=number,
        )
    else:
        call, first = message("Danger: call the emergency number at once"), EMERGENCY_SIGNS
    yield words(say(call), 1.3, band=True, gap=2.6, leads=True)
    yield words(say(first), 1.1, bold=True)
    yield words(say(_DOUBTED), bold=True)
    yield _columns(_signs(lambda sign: sign.urgency is Urgency.EMERGENCY), 3, say)


def _cord(sheet: CarerSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    yield heading(say(message("Cord injury at T6 or above: a sudden rise of blood pressure")))
    yield words(say(_CORD_DANGER), bold=True)
    if sheet.own_steps:
        own = message("This person's own steps come first: {steps}", steps=sheet.own_steps)
        yield words(say(own), bold=True, gap=0.6)
    yield words(say(joined(" ", (_CORD_STEPS, _CORD_EARLY))), gap=0.6)


def _now(say: Callable[[str], str]) -> Iterator[Piece]:
    yield heading(say(message("Call the pump clinic now, day or night")))
    yield _columns(_signs(lambda sign: sign.urgency is Urgency.NOW), 3, say)


def _early(say: Callable[[str], str]) -> Iterator[Piece]:
    """Yield the other signs by what they could be; one that could be several stands in each."""
    title = message("Early signs: call the pump clinic at once, even when they seem mild")
    yield heading(say(title))
    both = {INFECTION, TOO_LITTLE}
    little = _begins(lambda sign: TOO_LITTLE in sign.could_be)
    much = _begins(lambda sign: TOO_MUCH in sign.could_be)
    either = _begins(lambda sign: both <= set(sign.could_be))
    inside = _begins(
        lambda sign: (
            TOO_LITTLE not in sign.could_be and not {INFECTION, LEAK}.isdisjoint(sign.could_be)
        )
    )
    cord = _begins(lambda sign: CORD in sign.could_be)
    at_the_pump = _signs(lambda sign: _is_early(sign) and _is_at_the_pump(sign))
    columns = (
        (
            *_group(message("Could be too little baclofen"), little, say),
            *_group(message("Could be infection, or too little baclofen"), either, say),
            words(say(_SAY_BOTH), gap=0.3),
            words(say(UNANSWERED[Urgency.NOW][0]), bold=True, gap=2.0),
        ),
        (
            *_group(message("Could be too much baclofen"), much, say),
            *_group(message("Could be infection, or a leak of spinal fluid"), inside, say),
        ),
        (
            *_group(message("The pump, or the skin over it"), at_the_pump, say),
            *_group(message("Could be a rise of blood pressure after a cord injury"), cord, say),
        ),
    )
    yield side_by_side(columns, between=4.0)


def _is_early(sign: Sign) -> bool:
    return sign.urgency < Urgency.NOW and sign.id not in LEFT_OUT


def _is_at_the_pump(sign: Sign) -> bool:
    return sign.subject == "pump" or sign.id in _SKIN_AT_THE_PUMP


def _begins(wanted: Callable[[Sign], bool]) -> list[str]:
    """Return the early signs away from the pump that are ``wanted``."""
    return _signs(lambda sign: _is_early(sign) and not _is_at_the_pump(sign) and wanted(sign))


def _signs(wanted: Callable[[Sign], bool]) -> list[str]:
    """Return the signs that are ``wanted`` in words, those to be measured last."""
    found = sorted(filter(wanted, SIGNS), key=lambda sign: sign.id in _MEASURED)
    return [
        message("{sign} (if you can measure it)", sign=sign.words)
        if sign.id in _MEASURED
        else sign.words
        for sign in found
    ]


def _group(title: str, texts: Sequence[str], say: Callable[[str], str]) -> tuple[Piece, ...]:
    return (words(say(title), bold=True), *_listed(texts, say))


def _numbers(sheet: CarerSheet, say: Callable[[str], str]) -> Iterator[Piece]:
    emergency = say(message("In danger, first"))
    clinic = say(message("Pump clinic"))
    numbers = [
        *((emergency, replace(one, name="")) for one in sheet.emergency),
        *((clinic, one) for one in sheet.clinics),
        *(("", one) for one in sheet.people),
    ]
    rows = list(number_rows(numbers))
    for index in range(0, len(rows), 2):
        # Two beside each other, so that there is room for the signs.
        yield side_by_side([[row] for row in [*rows[index : index + 2], _nothing][:2]], gap=0.0)
    unknown = (
        (sheet.emergency, message("Emergency number:")),
        (sheet.clinics, message("Pump clinic, with number:")),
        (sheet.people, message("Family, with number:")),
    )
    for known, label in unknown:
        if not known:
            yield write_here(say(label), gap=1.0)


def _nothing(_setting: Setting) -> list[Row]:
    return []


def _columns(texts: list[str], count: int, say: Callable[[str], str]) -> Piece:
    each = -(-len(texts) // count)
    parts = [texts[i * each : (i + 1) * each] for i in range(count)]
    return side_by_side([_listed(part, say) for part in parts], between=4.0)


def _listed(texts: Collection[str], say: Callable[[str], str]) -> list[Piece]:
    return [pointed(say(text)) for text in texts]
