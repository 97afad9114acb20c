"""The few facts the page shows before Python is up, as plain values ready for JSON.

All dates come from the core's forecast. The page works out two things only: whole days
between two dates, and which of the states it was given holds now (the first that does, see
`pocketpump.core.pump.state`).

Its sentences and dates are written out here, in the person's language. The page itself has
what `pocketpump.web.page_words` holds: for facts without words of their own, and for what is
said before there are facts.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from pocketpump.app.look import theme
from pocketpump.app.parts.level_layout import amount_y
from pocketpump.app.parts.reservoir_chart import amount_text, placed_marks, vessel_of
from pocketpump.app.screens.today.reservoir import (
    capacity_ml,
    level_marks,
    spoken_level,
    volume_on,
)
from pocketpump.app.shared_texts import EMERGENCY_SIGNS
from pocketpump.core.errors import InputError
from pocketpump.core.messages import Locale, joined, text_in
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.reminders import booked_on
from pocketpump.core.pump.state import State, first_holding, states
from pocketpump.core.safety.card import Card, CardContact
from pocketpump.core.safety.contacts import dial_text
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.language.locales import ENGLISH, LANGUAGE_NAMES, locale
from pocketpump.exchange.papers.card_phrases import LANGUAGES, ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.card_words import Words, card_words
from pocketpump.record.facts.state import NOTHING_SINCE, SinceRefill
from pocketpump.web.page_words import PAGE_WORDS, REMINDER_WORDS

_DAYS_DRAWN = 45
"""For how many days the page draws the reservoir; it says before then that it is old."""
_AMOUNT_HEIGHT = theme.BODY_SIZE * 1.3
_LEFT = "{left}"  # for the page to put in


def glance_facts(
    card: Card,
    answer: Forecast | None,
    next_visit_on: date | None = None,
    language: str = ENGLISH,
    *,
    since: SinceRefill | None = None,
    remind: Mapping[str, Any] | None = None,
    away: str = "",
    epoch: str = "",
) -> dict[str, Any]:
    """Return what the page shows of ``card`` and ``answer``.

    Instants and dates are in ISO 8601, None for never; without a forecast there is the
    card alone. ``next_visit_on`` is the visit the clinic has given; until its day, one that
    is in time answers the call to the clinic. ``language`` is the person's, one of
    `LANGUAGE_NAMES`, ``since`` what happened since the last refill, ``remind`` from how many
    days before the service worker reminds ("days", None for never) and whether it says of what
    ("more"), ``away`` what is to be said of a trip that keeps from the refill: it stands where
    nothing else would be due. ``epoch`` tells the record from another, for what is noted on the
    page.
    """
    code = language if language in LANGUAGE_NAMES else ENGLISH
    into = locale(code)
    facts: dict[str, Any] = {"language": code}
    if epoch:
        facts["epoch"] = epoch
    if remind is not None:
        facts["remind"] = dict(remind)
    if into is not None:
        facts["words"] = {
            name: text_in(text, into) for name, text in {**PAGE_WORDS, **REMINDER_WORDS}.items()
        }
    if answer is not None:
        every = states(answer, next_visit_on=next_visit_on, **(since or NOTHING_SINCE))
        counted = _countdown(answer, booked_on(answer, next_visit_on), every, away, into)
        drawn = {"reservoir": _reservoir(answer, first_holding(every, answer.now), into)}
        facts |= {**counted, **drawn, "written": _written(counted, into)}
    return {**facts, "card": _card(card, code if code in LANGUAGES else ORIGINAL)}


def _countdown(
    answer: Forecast,
    booked: date | None,
    every: Sequence[State],
    away: str,
    into: Locale | None,
) -> dict[str, Any]:
    stopped = answer.programme.mode == "stopped"
    printed = answer.printed_in_force
    return {
        "computed_at": answer.now.isoformat(),
        "stopped": stopped,
        "refill_by": None if stopped else answer.refill_by.isoformat(),
        "call_by": None if stopped else answer.call_by.isoformat(),
        "booked_on": booked.isoformat() if booked else None,
        "alarm_on": _day(answer.alarm_at),
        "alarm_earliest_on": _day(answer.alarm_earliest),
        "alarm_latest_on": _day(answer.alarm_latest),
        "empty_on": _day(answer.empty_at),
        "clinic_alarm_on": printed.isoformat() if printed else None,
        "states": [_state(one, away, into) for one in every],
    }


def _reservoir(answer: Forecast, state: State, into: Locale | None) -> dict[str, Any]:
    """Return the picture of the reservoir as it is drawn: heights in it, and what stands there.

    ``days`` begin with today, each with the height of the water, that of the words in it and the
    words; of the first the volume is that of now. ``marks`` are the lines: their heights, those of
    their labels, the labels, whether one plans by them.
    """
    vessel = vessel_of(capacity_ml(answer))
    placed = placed_marks(level_marks(answer, state), vessel)
    lines = [one.y for one in placed]
    levels: list[float | None] = [answer.volume_now_ml]
    levels += (volume_on(answer, answer.today + timedelta(n)) for n in range(1, _DAYS_DRAWN))
    days = [
        [
            round(vessel.y_of(ml), 1),
            round(amount_y(vessel, ml, lines, text_height=_AMOUNT_HEIGHT), 1),
            text_in(amount_text(ml), into),
        ]
        for ml in levels
        if ml is not None
    ]
    return {
        "box": [vessel.left, vessel.right, vessel.top, vessel.bottom, vessel.radius],
        "days": days,
        "marks": [
            [round(m.y, 1), round(m.label_y, 1), text_in(m.mark.label, into), m.mark.leading]
            for m in placed
        ],
        "spoken": text_in(spoken_level(answer, _LEFT), into),
    }


def _state(state: State, away: str, into: Locale | None) -> dict[str, Any]:
    """Return one way in which things can stand; None where nothing bounds it in time."""
    text = joined(" ", (state.sentence, EMERGENCY_SIGNS)) if state.is_grave else state.sentence
    if state.word == "calm" and away:
        text = away
    return {
        "state": state.word,
        "grave": state.is_grave,
        "text": text_in(text, into),
        "from_at": _instant(state.from_at),
        "from_on": state.from_on.isoformat() if state.from_on else None,
        "until_on": state.until_on.isoformat() if state.until_on else None,
    }


def _written(counted: Mapping[str, Any], into: Locale | None) -> dict[str, str]:
    """Return every date the page writes out, by its ISO form, as the app writes it."""
    shown = ("refill_by", "call_by", "alarm_on", "alarm_earliest_on", "alarm_latest_on",
             "empty_on", "clinic_alarm_on", "booked_on", "computed_at")  # fmt: skip
    days = (counted[name][:10] for name in shown if counted[name])
    return {day: text_in(date_text(date.fromisoformat(day)), into) for day in days}


def _card(card: Card, language: str) -> dict[str, Any]:
    """Return the card; the page says by itself from when on it is old or low.

    Beside each phrase of a translation stands the English one, for that is the one that counts.
    """
    words, first = phrases(language), phrases(ORIGINAL)
    heads = ("title", "stale", "maybe_empty")
    # On the first day of a trip that is to come, so that what is said of it is among the lines.
    asked_on = date.fromisoformat(card.away_from or card.as_of)
    lines = [
        _contact(piece, piece.who) if piece.who is not None else _line(piece, words)
        for piece in card_words(card, language, asked_on)
        if piece.key not in heads
    ]
    for line in lines:
        if line["key"] == "abroad":
            line |= {"from": card.away_from, "to": card.away_to}
    return {
        "language": language,
        "lines": lines,
        "stale_from": card.stale_from,
        "low_from": card.low_from,
        **{key: words[key] for key in heads},
        "originals": {} if words.is_original else {key: first[key] for key in heads},
    }


def _line(piece: Words, words: Phrases) -> dict[str, Any]:
    mark = f" ({words['own_words']})" if piece.own else ""
    label = f"{piece.label}{mark}" if piece.label else ""
    return {"key": piece.key, "part": piece.part, "label": label, "text": piece.text,
            "weight": piece.weight, **_original(piece)}  # fmt: skip


def _original(piece: Words) -> dict[str, str]:
    return {"original": piece.original} if piece.original else {}


def _contact(piece: Words, contact: CardContact) -> dict[str, Any]:
    """Return a contact with its number apart, so that the page can make it a link."""
    text = " · ".join(filter(None, (contact.name, contact.role, contact.hours)))
    line = {"key": piece.key, "part": piece.part, "label": piece.label, "text": text,
            "weight": piece.weight, "phone": contact.phone, **_original(piece)}  # fmt: skip
    try:
        return {**line, "dial": dial_text(contact.phone)}
    except InputError:
        return line


def _instant(instant: datetime | None) -> str | None:
    return None if instant is None else instant.isoformat()


def _day(instant: datetime | None) -> str | None:
    return None if instant is None else instant.date().isoformat()
