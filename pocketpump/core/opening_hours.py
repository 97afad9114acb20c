"""When the clinic's telephone is answered, read from the hours as the person noted them.

"Mon-Fri 9-16", "Mo–Fr 9:00–16:00 Uhr, Sa 9-12", "Tue, Thu 8:30 am to 1 pm", "day and night".
What cannot be read for certain is not guessed: the answer is then "not known".
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from pocketpump.core.contacts import Contact, can_be_dialled

MINUTES_A_DAY = 24 * 60
_DAY_NAMES = (
    ("monday", "montag", "mon", "mo"),
    ("tuesday", "dienstag", "tues", "tue", "tu", "di"),
    ("wednesday", "mittwoch", "wed", "we", "mi"),
    ("thursday", "donnerstag", "thurs", "thur", "thu", "th", "do"),
    ("friday", "freitag", "fri", "fr"),
    ("saturday", "samstag", "sonnabend", "sat", "sa"),
    ("sunday", "sonntag", "sun", "su", "so"),
)
_DAY_OF = {name: day for day, names in enumerate(_DAY_NAMES) for name in names}
_SETS = {
    "weekdays": range(5),
    "werktags": range(5),
    "daily": range(7),
    "every day": range(7),
    "täglich": range(7),
}
_ALWAYS = ("24/7", "24 h", "24h", "24 hours", "always", "day and night", "rund um die uhr",
           "tag und nacht")  # fmt: skip
_DAY = "|".join(sorted(_DAY_OF, key=len, reverse=True))
_CLOCK = r"(?:2[0-4]|[01]?\d)(?!\d)(?:[:.h][0-5]\d)?\s*(?:am|pm|a\.m\.|p\.m\.)?"
_TOKEN = re.compile(
    rf"\s*(?:(?P<set>{'|'.join(_SETS)})"
    rf"|(?P<span>(?:{_CLOCK})\s*-\s*(?:{_CLOCK}))"
    rf"|(?P<days>(?:{_DAY})s?\b\.?(?:\s*-\s*(?:{_DAY})s?\b\.?)?)"
    r"|(?P<skip>(?:uhr|h|o'clock|from|von|and|und|:|&|\+|,|;|/|\n)))"
)
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d\d))?\s*([ap])?")


@dataclass(frozen=True, slots=True)
class OpeningHours:
    """Minutes of the week (0 is Monday 0:00) at which it is open: pairs of from and until."""

    spans: tuple[tuple[int, int], ...]

    def is_open(self, now: datetime) -> bool:
        """Return whether it is open at ``now``, by the wall clock of ``now``."""
        minute = now.weekday() * MINUTES_A_DAY + now.hour * 60 + now.minute
        week = 7 * MINUTES_A_DAY
        # A span over midnight on Sunday runs on into Monday.
        return any(start <= m < end for start, end in self.spans for m in (minute, minute + week))


def read_hours(text: str) -> OpeningHours | None:
    """Return the hours ``text`` tells; None when they cannot be read for certain.

    Hours without a day are those of Monday to Friday; days without an hour cannot be read.
    """
    plain = re.sub(r"[‐-―−]|\bto\b|\bbis\b|\btill?\b|\buntil\b", "-", text.casefold()).strip()
    if plain in _ALWAYS:
        return OpeningHours(((0, 7 * MINUTES_A_DAY),))
    days: list[int] = []
    spans: list[tuple[int, int]] = []
    used = True  # whether the days collected have had their hours
    at = 0
    while at < len(plain):
        found = _TOKEN.match(plain, at)
        if found is None or found.end() == at:
            return None
        at = found.end()
        if found["set"] or found["days"]:
            new = list(_SETS[found["set"]]) if found["set"] else _days(found["days"])
            days = new if used else [*days, *new]
            used = False
        elif found["span"]:
            span = _span(found["span"])
            if span is None:
                return None
            start, end = span
            of_days = days or range(5)
            spans += [(d * MINUTES_A_DAY + start, d * MINUTES_A_DAY + end) for d in of_days]
            used = True
    return OpeningHours(tuple(spans)) if spans and used else None


def clinic_open(contacts: Iterable[Contact], now: datetime) -> bool | None:
    """Return whether a clinic can be reached by telephone at ``now``; None when not known.

    ``now`` is on the wall clock where the clinic is. True when one clinic's number is answered
    day and night or open by its noted hours, False when all are noted as closed.
    """
    known: list[bool | None] = []
    for contact in contacts:
        if not contact.is_clinic or not can_be_dialled(contact.phone):
            continue
        hours = read_hours(contact.hours)
        known.append(contact.emergency or (None if hours is None else hours.is_open(now)))
    if True in known:
        return True
    return None if None in known or not known else False


def _days(text: str) -> list[int]:
    first, *last = (_DAY_OF[_bare(name)] for name in text.split("-"))
    if not last:
        return [first]
    return [day % 7 for day in range(first, last[0] + (1 if last[0] >= first else 8))]


def _bare(name: str) -> str:
    bare = name.strip().rstrip(".")
    return bare if bare in _DAY_OF else bare.removesuffix("s")


def _span(text: str) -> tuple[int, int] | None:
    """Return the minutes of a day from and until; the second may lie on the next day."""
    begins, ends = text.split("-")
    first, last = _TIME.match(begins.strip()), _TIME.match(ends.strip())
    if first is None or last is None:
        return None
    said_half = first[3] or last[3]
    start, end = _minutes(first, last[3] if not first[3] else None), _minutes(last, None)
    if first[3] is None and last[3] == "p" and start >= end:
        start = _minutes(first, "a")  # "9 to 4 pm" begins in the morning
    if start > MINUTES_A_DAY or end > MINUTES_A_DAY or start == end:
        return None
    if end < start:
        # "18-8" is a night; "9-4" may be an afternoon said without "pm".
        if not said_half and start < 12 * 60:
            return None
        end += MINUTES_A_DAY
    return start, end


def _minutes(found: re.Match[str], half: str | None) -> int:
    hour, minute = int(found[1]), int(found[2] or 0)
    half = found[3] or half
    if half and hour <= 12:
        hour = hour % 12 + (12 if half == "p" else 0)
    return hour * 60 + minute
