"""A card as blocks of words in one language, for every view that writes it out.

The person's own words stay as typed and are marked; amounts, names and numbers are kept
whole by isolates, so that a telephone number reads the right way in Arabic too.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pocketpump.core.safety.card import CARE, SIGNS, Card, CardContact
from pocketpump.core.safety.card_dose_lines import CardLine
from pocketpump.core.units.instants import WEEKDAYS, date_text
from pocketpump.exchange.language.locales import HABITS
from pocketpump.exchange.papers.card_phrases import ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.drawing.writing import LTR, isolated

FACT_LABELS = ("strength", "dose", "dose_most", "last_refill", "alarm_date", "clinic_alarm_date")
"""The four facts every stranger looks for; of the alarm dates the earlier is the fact."""
STEP_LABELS = ("day_pattern", "constant_rate", "timed_boluses", "requested_boluses")
DATE_LABELS = ("empty_date", "refill_by", "dose_changed")
PERSON_LABELS = ("communication", "diagnosis", "blood_pressure", "blood_thinners",
                 "other_implants", "weight")  # fmt: skip
PUMP_LABELS = ("reservoir", "alarm_volume", "line_volume", "model", "serial", "position", "tip",
               "implanted_on", "surgeon")  # fmt: skip
DANGER, WHO, FACTS, RISKS, CALLS, PERSON, SIGNS_PART, STAFF, REST = (
    "danger", "who", "facts", "risks", "calls", "person", "signs", "staff", "rest",
)  # fmt: skip
"""The parts of the card in their order; those up to the calls fill a phone's first screen."""
_UNITS = {"mcg/mL": "unit_strength", "mcg/day": "unit_dose", "mcg/h": "unit_rate",
          "mcg": "unit_amount", "mL": "unit_volume", "kg": "unit_weight"}  # fmt: skip
_AMOUNT = re.compile(rf"([0-9.]+) ({'|'.join(_UNITS)})(?![a-zA-Z])")
_SPAN = re.compile(r"(\d\d:\d\d)-(\d\d:\d\d) ")
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAY = re.compile(rf"\b({'|'.join(WEEKDAYS)})\b")


@dataclass(frozen=True, slots=True)
class Words:
    """One piece of the card: ``label`` may be "". ``original`` is the English beside it.

    ``weight`` is "title", "alarm" (a warning), "fact" (one of the four), "strong" or "plain";
    ``own`` marks the person's own words, which are in no known language; ``phone`` is a number
    to dial and ``who`` has it; ``part`` is the part of the card.
    """

    key: str
    label: str
    text: str
    original: str = ""
    weight: str = "plain"
    own: bool = False
    phone: str = ""
    who: CardContact | None = None
    part: str = REST


def card_words(card: Card, language: str, today: date) -> tuple[Words, ...]:
    """Return the whole card in reading order, the most urgent first."""
    return tuple(_all(card, phrases(language), today))


def say_date(iso: str, language: str = ORIGINAL) -> str:
    """Return a date no one can read the wrong way, its month as a word: 26 Feb 2026.

    Where a language's months are not known here: 2026-02-26.
    """
    if iso and language in HABITS:
        return HABITS[language].day(date.fromisoformat(iso), weekday=False)
    if not iso or language != ORIGINAL:
        return iso
    return date_text(date.fromisoformat(iso))[4:]


def _all(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    first = (
        (DANGER, danger(card, words, today)),
        (WHO, person(card, words)),
        (FACTS, facts(card, words)),
        (RISKS, risks(card, words)),
        (CALLS, calls(card, words, today)),
        (PERSON, lines_called(card, PERSON_LABELS, words)),
        (SIGNS_PART, _signs(card, words)),
        (STAFF, _staff(card, words)),
        (REST, _rest(card, words)),
    )
    for part, items in first:
        yield from (replace(item, part=part) for item in items)


def danger(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    """Return what kills, after the warnings that hold today."""
    yield phrase("title", words, "title")
    yield from warnings(card, words, today)
    yield phrase("implant", words, "strong")
    yield from lines_called(card, ("other_drugs",), words, "strong")
    yield phrase("stopping", words, "strong")


def person(card: Card, words: Phrases) -> Iterator[Words]:
    """Return name and birth date in one line: whose card it is, before any number is read."""
    told = [isolated(card.name)] if card.name else []
    if card.born_on:
        original = _original("born", words)
        label = f"{words['born']} ({isolated(original, LTR)})" if original else words["born"]
        told.append(f"{label}: {isolated(say_date(card.born_on, words.code), LTR)}")
    if told:
        yield Words("name", "", " · ".join(told), weight="strong")


def facts(card: Card, words: Phrases) -> Iterator[Words]:
    """Return strength, dose, last refill and alarm date, and under each what belongs to it."""
    alarm_is_told = False
    for line in card.lines:
        if line.label not in FACT_LABELS:
            continue
        item = line_words(line, words)
        is_alarm = line.label in ("alarm_date", "clinic_alarm_date")
        if is_alarm and card.value("alarm_date") and card.value("clinic_alarm_date"):
            item = _one_of_two(item, words, counts=not alarm_is_told)
        # The later one of two alarm dates is no fact to act on.
        yield replace(item, weight="plain" if is_alarm and alarm_is_told else "fact")
        alarm_is_told = alarm_is_told or is_alarm
        if line.label in ("dose", "dose_most"):
            yield from mode(card, words)


def _one_of_two(item: Words, words: Phrases, *, counts: bool) -> Words:
    """Return one of two alarm dates: of the earlier one that it counts, of the later whose it is.

    The earlier one's name is short, for on a phone it stands in half a column among the facts.
    """
    key = "alarm_date_computed" if item.key == "alarm_date" else item.key
    key = "alarm_date" if counts else key
    label, original = words[key], _original(key, words)
    if counts:
        label += f" ({words['earlier_counts']})"
        original = original and f"{original} ({_original('earlier_counts', words)})"
    return replace(item, label=label, original=original)


def mode(card: Card, words: Phrases) -> Iterator[Words]:
    """Return how the dose is given: the mode, or the steps and boluses it is made of."""
    if not card.value("mode"):
        return
    weight = "alarm" if card.value("mode") == "stopped" else "plain"
    told = list(lines_called(card, STEP_LABELS, words))
    if len(told) == 1:
        yield replace(told[0], key="mode")
    elif told:
        text = " · ".join(f"{w.label}: {w.text}" for w in told)
        # The amounts read the same in both, so the labels of the original are enough.
        yield Words("mode", "", text, " · ".join(w.original for w in told if w.original))
    else:
        name = card.value("mode")
        yield Words("mode", "", words[name], _original(name, words), weight)


def risks(card: Card, words: Phrases) -> Iterator[Words]:
    """Return the risks and the allergies; that none are noted is said, for it is no "none"."""
    yield from (phrase(key, words, "alarm") for key in card.risks)
    allergies = tuple(lines_called(card, ("allergies",), words, "strong"))
    yield from allergies or (_not_noted("allergies", words),)


def calls(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    """Return the first number of each kind: the clinic, the emergency service, somebody near."""
    if card.clinics:
        yield contact_words("clinic", card.clinics[0], words)
    else:
        yield _not_noted("clinic", words)
    if card.emergency:
        yield contact_words("emergency", replace(card.emergency[0], name=""), words)
    else:
        original = _original("emergency_unknown", words)
        told = f"{_original('emergency', words)}: {original}" if original else ""
        yield Words("emergency", words["emergency"], words["emergency_unknown"], told, "strong")
    yield from (contact_words("contact", contact, words) for contact in card.contacts[:1])
    if card.is_away(today):
        yield phrase("abroad", words, "strong")


def _signs(card: Card, words: Phrases) -> Iterator[Words]:
    yield from (phrase(key, words, "strong" if key == "mild" else "plain") for key in SIGNS)
    yield from dysreflexia(card, words)


def dysreflexia(card: Card, words: Phrases) -> Iterator[Words]:
    """Return the first steps of a pressure crisis, for an injury at T6 or above alone.

    The person's own written steps come first.
    """
    if "t6" in card.risks:
        yield from lines_called(card, ("own_steps",), words, "strong")
        yield phrase("dysreflexia", words)


def _staff(card: Card, words: Phrases) -> Iterator[Words]:
    yield phrase("staff", words, "strong")
    for key in CARE:
        yield phrase(key, words)
        if key == "mri_check":
            yield from lines_called(card, ("mri_notes",), words)


def _rest(card: Card, words: Phrases) -> Iterator[Words]:
    others = [
        *(contact_words("clinic", clinic, words) for clinic in card.clinics[1:]),
        *(contact_words("contact", contact, words) for contact in card.contacts[1:]),
    ]
    if others:
        yield phrase("other_numbers", words, "strong")
    yield from others
    yield from ages(card, words)
    # The clinic's plan for this person comes before what the pump is made of.
    yield from lines_called(card, (*DATE_LABELS, "plan", *PUMP_LABELS, "tablets"), words)
    if words.needs_review:
        yield phrase("unreviewed", words, "strong")


def _not_noted(key: str, words: Phrases) -> Words:
    original = _original("not_noted", words)
    told = f"{_original(key, words)}: {original}" if original else ""
    return Words(key, words[key], words["not_noted"], told, "strong")


def warnings(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    """Return what must be seen before any number: that the pump may be empty, the card old."""
    if card.is_low(today):
        yield phrase("maybe_empty", words, "alarm")
    if card.is_stale(today):
        yield phrase("stale", words, "alarm")


def ages(card: Card, words: Phrases) -> Iterator[Words]:
    """Return how old the numbers are: what they rest on comes before the day of writing."""
    for key, day in (("last_entry", card.last_entry), ("stale_from", card.stale_from),
                     ("as_of", card.as_of)):  # fmt: skip
        if day:
            told = isolated(say_date(day, words.code), LTR)
            yield Words(key, words[key], told, _original(key, words))


def lines_called(
    card: Card, labels: Sequence[str], words: Phrases, weight: str = "plain"
) -> Iterator[Words]:
    """Return the known facts among ``labels``, in that order."""
    for label in labels:
        found = (line for line in card.lines if line.label == label)
        yield from (replace(line_words(line, words), weight=weight) for line in found)


def phrase(key: str, words: Phrases, weight: str = "plain") -> Words:
    """Return one fixed phrase."""
    return Words(key, "", words[key], _original(key, words), weight)


def line_words(line: CardLine, words: Phrases) -> Words:
    """Return one fact with its label."""
    text = isolated(line.value, LTR)
    original = _original(line.label, words)
    if line.kind == "phrase":
        text = words[line.value]
        value = _original(line.value, words)
        original = f"{original}: {value}" if value else ""
    elif line.kind == "amount":
        text = isolated(amount_said(line.value, words), LTR)
    elif line.kind == "date":
        text = isolated(say_date(line.value, words.code), LTR)
    elif line.kind == "own":
        text = "\n".join(isolated(part) for part in line.value.splitlines())
    return Words(line.label, words[line.label], text, original, own=line.kind == "own")


def amount_said(text: str, words: Phrases) -> str:
    """Return amounts with this language's decimal mark and units, and weekdays in its words.

    A step of a pattern is kept in one line: with its hours apart, a rate is read at another.
    """

    def amount(found: re.Match[str]) -> str:
        return f"{found[1].replace('.', words['decimal'])}\u00a0{words[_UNITS[found[2]]]}"

    said = _AMOUNT.sub(amount, _SPAN.sub("\\1\u2011\\2\u00a0", text))
    return _DAY.sub(lambda found: words[_DAYS[WEEKDAYS.index(found[1])]], said)


def contact_words(label: str, contact: CardContact, words: Phrases) -> Words:
    """Return one contact; its number stands before the name ("Contact 01: …", ITU-T E.123).

    Relation and hours are the person's own words, so they stand in quotation marks.
    """
    # A telephone number is not broken over two lines.
    phone = contact.phone.replace(" ", "\u00a0")
    own = isolated(contact.name), _quoted(contact.role)
    parts = [*own, isolated(phone, LTR), _quoted(contact.hours)]
    text = " · ".join(part for part in parts if part)
    named = " ".join(part for part in (words[label], contact.number) if part)
    original = _original(label, words)
    return Words(label, named, text, original, "strong", phone=contact.phone, who=contact)


def _quoted(own: str) -> str:
    return isolated(f"“{own}”") if own else ""


def _original(key: str, words: Phrases) -> str:
    return "" if words.is_original else phrases(ORIGINAL)[key]
