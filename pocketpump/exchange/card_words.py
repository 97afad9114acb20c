"""A card as blocks of words in one language, for every face that writes it out.

The person's own words stay as typed and are marked; amounts, names and numbers are kept
whole by isolates, so that a telephone number reads the right way in Arabic too.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pocketpump.core.card import CARE, SIGNS, Card, CardContact, CardLine
from pocketpump.core.instants import date_text
from pocketpump.exchange.drawing.writing import LTR, isolated
from pocketpump.exchange.phrases import ORIGINAL, Phrases, phrases

PUMP_LABELS = ("reservoir", "alarm_volume", "line_volume", "model", "serial", "position", "tip",
               "implanted_on", "surgeon")  # fmt: skip
DRUG_LABELS = ("strength", "dose", "dose_most", "mode", "last_refill", "alarm_date",
               "clinic_alarm_date", "empty_date", "refill_by")  # fmt: skip
OWN_LABELS = ("tablets", "mri_notes", "plan")


@dataclass(frozen=True, slots=True)
class Words:
    """One piece of the card: ``label`` may be "". ``original`` is the English beside it.

    ``weight`` is "title", "alarm" (a warning), "strong" or "plain"; ``own`` marks the
    person's own words, which are in no known language; ``phone`` is a number to dial.
    """

    key: str
    label: str
    text: str
    original: str = ""
    weight: str = "plain"
    own: bool = False
    phone: str = ""


def card_words(card: Card, language: str, today: date) -> tuple[Words, ...]:
    """Return the whole card in reading order, the most urgent first."""
    return tuple(_all(card, phrases(language), today))


def say_date(iso: str, language: str = ORIGINAL) -> str:
    """Return a date no one can read the wrong way: 26 Feb 2026, elsewhere 2026-02-26."""
    if not iso or language != ORIGINAL:
        return iso
    return date_text(date.fromisoformat(iso))[4:]


def _all(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    yield phrase("title", words, "title")
    yield from warnings(card, words, today)
    yield phrase("implant", words, "strong")
    yield from lines_called(card, ("other_drugs",), words, "strong")
    yield phrase("stopping", words, "strong")
    yield from (phrase(key, words, "alarm") for key in card.risks)
    yield from lines_called(card, ("allergies",), words, "strong")
    yield from (contact_words("clinic", clinic, words) for clinic in card.clinics)
    if card.name:
        yield Words("name", words["name"], isolated(card.name), _original("name", words), "strong")
    if card.born_on:
        born = isolated(say_date(card.born_on, words.code), LTR)
        yield Words("born", words["born"], born, _original("born", words))
    yield phrase("mild", words, "strong")
    yield from (phrase(key, words) for key in SIGNS)
    yield from ages(card, words)
    yield from lines_called(card, (*DRUG_LABELS, *PUMP_LABELS), words)
    yield from (contact_words("contacts", contact, words) for contact in card.contacts)
    yield from (phrase(key, words) for key in CARE)
    yield from lines_called(card, OWN_LABELS, words)
    if words.needs_review:
        yield phrase("unreviewed", words, "strong")


def warnings(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    """Return what must be seen before any number: that the pump may be empty, the card old."""
    if card.is_low(today):
        told = [phrase("maybe_empty", words).text]
        told += [f"{w.label}: {w.text}" for w in lines_called(card, _RUNS_OUT, words)]
        yield Words("maybe_empty", "", "\n".join(told), _original("maybe_empty", words), "alarm")
    if card.is_stale(today):
        yield phrase("stale", words, "alarm")


_RUNS_OUT = ("alarm_date", "clinic_alarm_date", "empty_date")


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
    elif line.kind == "date":
        text = isolated(say_date(line.value, words.code), LTR)
    elif line.kind == "own":
        text = "\n".join(isolated(part) for part in line.value.splitlines())
    return Words(line.label, words[line.label], text, original, own=line.kind == "own")


def contact_words(label: str, contact: CardContact, words: Phrases) -> Words:
    """Return one contact; its number stands before the name ("01 …", ITU-T E.123).

    Relation and hours are the person's own words, so they stand in quotation marks.
    """
    name = " ".join(part for part in (contact.number, contact.name) if part)
    # A telephone number is not broken over two lines.
    phone = contact.phone.replace(" ", "\u00a0")
    parts = [isolated(name), _quoted(contact.role), isolated(phone, LTR), _quoted(contact.hours)]
    text = " · ".join(part for part in parts if part)
    if contact.number:
        return Words(label, "", text, weight="strong", phone=contact.phone)
    return Words(label, words[label], text, _original(label, words), "strong", phone=contact.phone)


def _quoted(own: str) -> str:
    return isolated(f"“{own}”") if own else ""


def _original(key: str, words: Phrases) -> str:
    return "" if words.is_original else phrases(ORIGINAL)[key]
