"""The few facts the page shows before Python is up, as plain values ready for JSON.

All dates come from the core's outlook. The page works out two things only: whole days
between two dates, and which sentence holds now (the order of :attr:`Outlook.state`).
"""

from datetime import date, datetime
from typing import Any

from pocketpump.app.words import EMERGENCY_SIGNS, SERIOUS_STATES, STATE_SENTENCES
from pocketpump.core.booking import booked_on
from pocketpump.core.card import Card, CardContact
from pocketpump.core.contacts import dial_text
from pocketpump.core.errors import InputError
from pocketpump.core.outlook import Outlook
from pocketpump.exchange.card_words import Words, card_words
from pocketpump.exchange.phrases import ORIGINAL, phrases


def glance_facts(
    card: Card, answer: Outlook | None, next_visit_on: date | None = None
) -> dict[str, Any]:
    """Return what the page shows of ``card`` and ``answer``.

    Instants and dates are in ISO 8601, None for never; without an outlook there is the
    card alone. ``next_visit_on`` is the visit the clinic has given; until its day, one that
    is in time answers the call to the clinic.
    """
    counted = {} if answer is None else _countdown(answer, booked_on(answer, next_visit_on))
    return {**counted, "card": _card(card)}


def _countdown(answer: Outlook, booked: date | None) -> dict[str, Any]:
    stopped = answer.programme.mode == "stopped"
    return {
        "computed_at": answer.now.isoformat(),
        "stopped": stopped,
        "refill_by": None if stopped else answer.refill_by.isoformat(),
        "call_by": None if stopped else answer.call_by.isoformat(),
        "booked_on": booked.isoformat() if booked else None,
        "alarm_at": _instant(answer.alarm_at),
        "alarm_on": _day(answer.alarm_at),
        "alarm_earliest_at": _instant(answer.alarm_earliest),
        "alarm_earliest_on": _day(answer.alarm_earliest),
        "alarm_latest_on": _day(answer.alarm_latest),
        "empty_at": _instant(answer.empty_at),
        "empty_on": _day(answer.empty_at),
        "sentences": STATE_SENTENCES,
        "serious": SERIOUS_STATES,
        "signs": EMERGENCY_SIGNS,
    }


def _card(card: Card) -> dict[str, Any]:
    """Return the card in English; the page says by itself from when on it is old or low."""
    words = phrases(ORIGINAL)
    people = iter((*card.clinics, *card.contacts))
    lines = [
        _contact(piece, next(people)) if piece.key in ("clinic", "contacts") else _line(piece)
        for piece in card_words(card, ORIGINAL, date.fromisoformat(card.as_of))
        if piece.key not in ("title", "stale", "maybe_empty")
    ]
    return {
        "title": words["title"],
        "lines": lines,
        "stale_from": card.stale_from,
        "stale": words["stale"],
        "low_from": card.low_from,
        "maybe_empty": words["maybe_empty"],
    }


def _line(piece: Words) -> dict[str, Any]:
    mark = f" ({phrases(ORIGINAL)['own_words']})" if piece.own else ""
    label = f"{piece.label}{mark}" if piece.label else ""
    return {"label": label, "text": piece.text, "weight": piece.weight}


def _contact(piece: Words, contact: CardContact) -> dict[str, Any]:
    """Return a contact with its number apart, so that the page can make it a link."""
    name = f"{contact.number} {contact.name}".strip()
    text = " · ".join(filter(None, (name, contact.role, contact.hours)))
    line = {"label": piece.label, "text": text, "weight": piece.weight, "phone": contact.phone}
    try:
        return {**line, "dial": dial_text(contact.phone)}
    except InputError:
        return line


def _instant(instant: datetime | None) -> str | None:
    return None if instant is None else instant.isoformat()


def _day(instant: datetime | None) -> str | None:
    return None if instant is None else instant.date().isoformat()
