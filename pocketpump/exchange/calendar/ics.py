"""The reminders as a calendar file (RFC 5545), for any calendar program.

A calendar is often shared and shown on a lock screen, so by default no title names pump,
drug or refill. The UIDs stay the same from one file to the next, and SEQUENCE rises, so that
a calendar that reads a newer file moves its events instead of doubling them.
"""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from pocketpump.core.messages import Locale, message, text_in
from pocketpump.core.pump.reminders import Reminder

# What a stranger may read. The full titles are the reminders' own.
_PLAIN = {
    "call-by": message("Call the clinic"),
    "refill-by": message("Clinic visit needed by today"),
    "next-visit": message("Visit at the clinic"),
    "judge-from": message("Look back at the last days"),
}
_PLAIN_OTHERS = message("A date to look up in your notebook")
_PLAIN_TEXT = message("Your notebook says more.")
_LONGEST_LINE = 75
_EPOCH = datetime(2020, 1, 1, tzinfo=UTC)


def calendar_file(
    reminders: Iterable[Reminder],
    *,
    owner: str,
    stamp: datetime,
    full_titles: bool = False,
    locale: Locale | None = None,
) -> bytes:
    """Return the file with one all-day event for each reminder, told at nine in the morning.

    ``owner`` is any text that stays the same for one person's record (its first entry's id),
    so that two people's events in one calendar stay apart. ``stamp`` is the aware instant of
    making. ``full_titles`` says that titles and texts may name what they are about. ``locale``
    is the language of titles and texts, None for English.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//PocketPump//Reminders//EN",
             "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]  # fmt: skip
    for reminder in reminders:
        plain_title = _PLAIN.get(reminder.code, _PLAIN_OTHERS)
        title, text = (reminder.title, reminder.text) if full_titles else (plain_title, _PLAIN_TEXT)
        event = replace(reminder, title=text_in(title, locale), text=text_in(text, locale))
        lines += _event(event, owner, stamp)
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) for line in lines)


def _event(reminder: Reminder, owner: str, stamp: datetime) -> list[str]:
    uid = uuid5(NAMESPACE_URL, f"pocketpump:{owner}:{reminder.code}")
    at = f"{stamp.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    return [
        "BEGIN:VEVENT",
        f"UID:{uid}",
        f"DTSTAMP:{at}",
        f"LAST-MODIFIED:{at}",
        # Nothing is remembered between two files, so the minute of making is the number.
        f"SEQUENCE:{max(0, int((stamp - _EPOCH) // timedelta(minutes=1)))}",
        f"DTSTART;VALUE=DATE:{_date(reminder.on)}",
        # The end of an all-day event is the first day that is no longer part of it.
        f"DTEND;VALUE=DATE:{_date(reminder.on + timedelta(days=1))}",
        f"SUMMARY:{_text(reminder.title)}",
        f"DESCRIPTION:{_text(reminder.text)}",
        "TRANSP:TRANSPARENT",
        "CLASS:PRIVATE",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_text(reminder.title)}",
        "TRIGGER:PT9H",
        "END:VALARM",
        "END:VEVENT",
    ]


def _date(day: date) -> str:
    return f"{day:%Y%m%d}"


def _text(text: str) -> str:
    """Return a TEXT value (RFC 5545, 3.3.11): backslash, comma, semicolon, line break escaped."""
    escaped = re.sub(r"([\\,;])", r"\\\1", text)
    return re.sub(r"\r\n|\r|\n", r"\\n", escaped)


def _folded(line: str) -> bytes:
    """Return the line in pieces of at most 75 octets, never cut within a character."""
    pieces, piece = [], b""
    for letter in line:
        octets = letter.encode()
        if len(piece) + len(octets) > _LONGEST_LINE:
            pieces.append(piece)
            piece = b" "
        piece += octets
    return b"\r\n".join([*pieces, piece]) + b"\r\n"
