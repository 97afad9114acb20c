"""A card as blocks of words in one language, for every face that writes it out.

The person's own words stay as typed and are marked; amounts, names and numbers are kept
whole by isolates, so that a telephone number reads the right way in Arabic too.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pocketpump.core.card import CARE, FIRST, SIGNS, Card, CardContact, CardLine
from pocketpump.core.instants import date_text
from pocketpump.exchange.drawing.writing import LTR, isolated
from pocketpump.exchange.phrases import ORIGINAL, Phrases, phrases

PUMP_LABELS = ("reservoir", "alarm_volume", "line_volume", "model", "serial", "position", "tip",
               "implanted_on", "surgeon")  # fmt: skip
DRUG_LABELS = ("strength", "dose", "mode", "last_refill", "alarm_date", "refill_by")
OWN_LABELS = ("allergies", "tablets", "mri_notes", "plan")


@dataclass(frozen=True, slots=True)
class Words:
    """One piece of the card: ``label`` may be "". ``original`` is the English beside it.

    ``weight`` is "title", "alarm" (a warning), "strong" or "plain"; ``own`` marks the
    person's own words, which are in no known language.
    """

    key: str
    label: str
    text: str
    original: str = ""
    weight: str = "plain"
    own: bool = False


def card_words(card: Card, language: str, today: date) -> tuple[Words, ...]:
    """Return the whole card in reading order, the most urgent first."""
    return tuple(_all(card, phrases(language), today))


def say_date(iso: str, language: str = ORIGINAL) -> str:
    """Return a date no one can read the wrong way: 26 Feb 2026, elsewhere 2026-02-26."""
    if not iso or language != ORIGINAL:
        return iso
    return date_text(date.fromisoformat(iso))[4:]


def _all(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    yield from heading(card, words, today)
    if card.name:
        born = say_date(card.born_on, words.code)
        yield Words("name", words["name"], isolated(card.name), _original("name", words), "strong")
        if born:
            yield Words("born", words["born"], isolated(born, LTR), _original("born", words))
    yield from (phrase(key, words, "strong") for key in FIRST)
    yield from (phrase(key, words, "alarm") for key in card.risks)
    yield from (contact_words("clinic", clinic, words) for clinic in card.clinics)
    yield from (contact_words("contacts", contact, words) for contact in card.contacts)
    for label in (*DRUG_LABELS, *PUMP_LABELS):
        yield from (line_words(line, words) for line in card.lines if line.label == label)
    yield from (phrase(key, words) for key in (*SIGNS, *CARE))
    for label in OWN_LABELS:
        yield from (line_words(line, words) for line in card.lines if line.label == label)


def heading(card: Card, words: Phrases, today: date) -> Iterator[Words]:
    """Return the title, how old the card is, and what to beware of."""
    yield phrase("title", words, "title")
    as_of = isolated(say_date(card.as_of, words.code), LTR)
    yield Words("as_of", words["as_of"], as_of, _original("as_of", words))
    if card.last_entry:
        last = isolated(say_date(card.last_entry, words.code), LTR)
        yield Words("last_entry", words["last_entry"], last, _original("last_entry", words))
    if card.is_stale(today):
        yield phrase("stale", words, "alarm")
    if words.needs_review:
        yield phrase("unreviewed", words, "strong")


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
    """Return one contact; its number stands before the name ("01 …", ITU-T E.123)."""
    name = " ".join(part for part in (contact.number, contact.name) if part)
    # A telephone number is not broken over two lines.
    phone = contact.phone.replace(" ", "\u00a0")
    parts = [isolated(name), isolated(contact.role), isolated(phone, LTR), isolated(contact.hours)]
    text = " · ".join(part for part in parts if part)
    if contact.number:
        return Words(label, "", text, weight="strong")
    return Words(label, words[label], text, _original(label, words), "strong")


def _original(key: str, words: Phrases) -> str:
    return "" if words.is_original else phrases(ORIGINAL)[key]
