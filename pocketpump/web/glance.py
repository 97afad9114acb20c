"""The few facts the page shows before Python is up, as plain values ready for JSON.

All dates come from the core's forecast. The page works out two things only: whole days
between two dates, and which of the states it was given holds now (the first that does, see
`pocketpump.core.pump.state`).

Its sentences and dates are written out here, in the person's language. The page itself has
only the English of `PAGE_WORDS`, the service worker that of `REMINDER_WORDS`: for facts
without words of their own, and for what is said before there are facts.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from pocketpump.app.shared_texts import EMERGENCY_SIGNS
from pocketpump.core.errors import InputError
from pocketpump.core.messages import Locale, joined, message, plural_message, text_in
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.reminders import booked_on
from pocketpump.core.pump.state import State, states
from pocketpump.core.safety.card import Card, CardContact
from pocketpump.core.safety.contacts import dial_text
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.language.locales import ENGLISH, LANGUAGE_NAMES, locale
from pocketpump.exchange.papers.card_phrases import LANGUAGES, ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.card_words import Words, card_words
from pocketpump.record.facts.state import NOTHING_SINCE, SinceRefill

PAGE_WORDS: Final[Mapping[str, str]] = {
    "opening": message("Opening…"),
    "could_not_load": message(
        "A part of the app did not come. Check the connection. If you use a content blocker or a"
        " filter, let this page through. Then load the page again."
    ),
    "could_not_start": message(
        "The app could not start. Load the page again. If it does not start then, close other"
        " apps and windows first: the device may be short of memory."
    ),
    "takes_long": message(
        "Opening takes longer than usual. Wait a little more, or load the page again."
    ),
    "takes_long_first": message(
        "The first start takes long: the whole app has to come over the connection. Leave this"
        " page open. If nothing changes for some minutes, load the page again."
    ),
    "stopped_working": message(
        "PocketPump has stopped working. What was called saved is kept; what you typed after that"
        " may be lost. Load the page again to go on."
    ),
    "no_answer": message(
        "PocketPump does not answer. Wait a little: it may still be at work. If nothing changes,"
        " load the page again; what was called saved is kept."
    ),
    "as_saved": message("What is shown here is as it was last saved."),
    "left_out": message(
        "Some of what is kept for this page cannot be read and is left out here. The record"
        " itself is not touched. Open the app to see all of it."
    ),
    "load_again": message("Load the page again"),
    "save_files": message("Save the record's files"),
    "files_saved": message(
        "The record's files are in {file}, where your browser keeps downloads. Anybody with it can"
        " read it. PocketPump brings it in like a backup, on this device or another."
    ),
    "files_not_saved": message(
        "The record's files could not be saved. Close all windows of the browser, open this page"
        " again and try once more. Nothing in the record was touched."
    ),
    "could_not_keep": message(
        "What you entered last could not be kept on this device. Free some space, load the page"
        " again, and look at what is there."
    ),
    "storage_gone": message(
        "What you entered last was not saved: the browser has cleared PocketPump's files while it"
        " was open. Load the page again and bring in your last backup."
    ),
    "new_version": message("A new version is ready."),
    "use_now": message("Use it now"),
    "use_later": message("Later"),
    "old": message("This was last worked out {count} days ago. Open the app and check it."),
    "stopped": message("the pump is stopped"),
    # Note: stands under the number of days, in large letters.
    "day_to": plural_message("day to refill-by", "days to refill-by", 1),
    "days_to": plural_message("day to refill-by", "days to refill-by", 2),
    # Note: stands under a large 0.
    "due": message("refill-by is today"),
    # Note: stands under the number of days, in large letters.
    "day_past": plural_message("day past refill-by", "days past refill-by", 1),
    "days_past": plural_message("day past refill-by", "days past refill-by", 2),
    "window": message("may come from {first} to {last}"),
    "alarm": message("Alarm date"),
    "clinic_alarm": message("Clinic's alarm date"),
    "no_alarm": message("none while stopped"),
    "call": message("Call the clinic by"),
    "empty": message("Empty date"),
    # Note: a label; beside it stands the day on which the dates were computed.
    "worked_out": message("Worked out on"),
}
"""What the page says of its own, by the names its scripts know."""

# The count and the day are left for the service worker to put in.
_COUNT: Final = "{count}"
_DAY: Final = "{day}"
REMINDER_WORDS: Final[Mapping[str, str]] = {
    "remind_day": plural_message(
        "{count} day to refill-by.", "{count} days to refill-by.", 1, count=_COUNT
    ),
    "remind_days": plural_message(
        "{count} day to refill-by.", "{count} days to refill-by.", 2, count=_COUNT
    ),
    "remind_due": message("Today is the refill-by date."),
    "remind_past": message("The refill-by date has passed. Call your clinic."),
    "remind_visit": message("Your refill is booked for {day}.", day=_DAY),
    "remind_visit_today": message("Your refill is booked for today."),
    "remind_visit_past": message(
        "The day of your visit is past and no refill is noted. Open PocketPump."
    ),
    # Note: stands on a locked screen, where others may read it: no word of health.
    "remind_near": message("A day you noted is near."),
    # Note: stands on a locked screen, where others may read it: no word of health.
    "remind_now": message("A day you noted is today."),
    # Note: stands on a locked screen, where others may read it: no word of health.
    "remind_gone": message("A day you noted is past. Please look."),
}
"""What the service worker reminds of; the last three give nothing away."""


def glance_facts(
    card: Card,
    answer: Forecast | None,
    next_visit_on: date | None = None,
    language: str = ENGLISH,
    *,
    since: SinceRefill | None = None,
    remind: Mapping[str, Any] | None = None,
    away: str = "",
) -> dict[str, Any]:
    """Return what the page shows of ``card`` and ``answer``.

    Instants and dates are in ISO 8601, None for never; without a forecast there is the
    card alone. ``next_visit_on`` is the visit the clinic has given; until its day, one that
    is in time answers the call to the clinic. ``language`` is the person's, one of
    `LANGUAGE_NAMES`, ``since`` what happened since the last refill, ``remind`` from how many
    days before the service worker reminds ("days", None for never) and whether it says of what
    ("more"), ``away`` what is to be said of a trip that keeps from the refill: it stands where
    nothing else would be due.
    """
    code = language if language in LANGUAGE_NAMES else ENGLISH
    into = locale(code)
    facts: dict[str, Any] = {"language": code}
    if remind is not None:
        facts["remind"] = dict(remind)
    if into is not None:
        facts["words"] = {
            name: text_in(text, into) for name, text in {**PAGE_WORDS, **REMINDER_WORDS}.items()
        }
    if answer is not None:
        every = states(answer, next_visit_on=next_visit_on, **(since or NOTHING_SINCE))
        counted = _countdown(answer, booked_on(answer, next_visit_on), every, away, into)
        facts |= {**counted, "written": _written(counted, into)}
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
