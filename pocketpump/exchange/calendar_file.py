"""The reminders as a calendar file (RFC 5545), for any calendar program.

A calendar is often shared and shown on a lock screen, so by default no title names pump,
drug or refill. The UIDs stay the same from one file to the next, and SEQUENCE rises, so that
a calendar that reads a newer file moves its events instead of doubling them.
"""

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from pocketpump.core.booking import Reminder

# What a stranger may read. The full titles are the reminders' own.
_PLAIN = {
    "call-by": "Call the clinic",
    "refill-by": "Clinic visit needed by today",
    "next-visit": "Visit at the clinic",
    "judge-from": "Look back at the last days",
}
_PLAIN_OTHERS = "A date to look up in your notebook"
_PLAIN_TEXT = "Your notebook says more."
_LONGEST_LINE = 75
_EPOCH = datetime(2020, 1, 1, tzinfo=UTC)


def calendar_file(
    reminders: Iterable[Reminder], *, owner: str, stamp: datetime, full_titles: bool = False
) -> bytes:
    """Return the file with one all-day event for each reminder, told at nine in the morning.

    ``owner`` is any text that stays the same for one person's record (its first entry's id),
    so that two people's events in one calendar stay apart. ``stamp`` is the aware instant of
    making. ``full_titles`` says that titles and texts may name what they are about.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//PocketPump//Reminders//EN",
             "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]  # fmt: skip
    for reminder in reminders:
        lines += _event(reminder, owner, stamp, full_titles)
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) for line in lines)


def _event(reminder: Reminder, owner: str, stamp: datetime, full_titles: bool) -> list[str]:
    title = reminder.title if full_titles else _PLAIN.get(reminder.code, _PLAIN_OTHERS)
    text = reminder.text if full_titles else _PLAIN_TEXT
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
        f"SUMMARY:{_text(title)}",
        f"DESCRIPTION:{_text(text)}",
        "TRANSP:TRANSPARENT",
        "CLASS:PRIVATE",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_text(title)}",
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
