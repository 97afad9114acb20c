"""When the clinic's telephone is answered, read from the hours as the person noted them.

"Mon-Fri 9-16", "Mo–Fr 9:00–16:00 Uhr, Sa 9-12", "Tue, Thu 8:30 am to 1 pm", "day and night".
What cannot be read for certain is not guessed: the answer is then "not known".
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from pocketpump.core.messages import joined, message
from pocketpump.core.safety.contacts import Contact
from pocketpump.core.units.instants import WEEKDAYS

MINUTES_A_DAY = 24 * 60
_ALWAYS_SPANS = ((0, 7 * MINUTES_A_DAY),)
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
    "jeden tag": range(7),
    "an werktagen": range(5),
}
_ALWAYS = ("24/7", "24 h", "24h", "24 hours", "always", "day and night", "rund um die uhr",
           "tag und nacht")  # fmt: skip
_DAY = "|".join(sorted(_DAY_OF, key=len, reverse=True))
_CLOCK = r"(?:2[0-4]|[01]?\d)(?!\d)(?:[:.h][0-5]\d)?\s*(?:am|pm|a\.m\.|p\.m\.)?"
_TOKEN = re.compile(
    rf"\s*(?:(?P<set>{'|'.join(_SETS)})"
    rf"|(?P<span>(?:{_CLOCK})\s*-\s*(?:{_CLOCK}))"
    rf"|(?P<days>(?:{_DAY})s?\b\.?(?:\s*-\s*(?:{_DAY})s?\b\.?)?)"
    r"|(?P<skip>(?:uhr|h|o'clock|from|von|and|und|:|&|\+|,|;|/)))"
)
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d\d))?\s*([ap])?")


# What no clinic's telephone hours begin before, and a night's hours not before (own choice).
_EARLIEST, _EVENING = 6 * 60, 17 * 60
# A span over midnight is only believed with both halves of the day said, or neither.
_NIGHTS = ((True, True), (False, False))


@dataclass(frozen=True, slots=True)
class OpeningHours:
    """Minutes of the week (0 is Monday 0:00) at which it is open: pairs of from and until."""

    spans: tuple[tuple[int, int], ...]

    @property
    def is_always(self) -> bool:
        """Whether it is open day and night."""
        return self.spans == _ALWAYS_SPANS

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
    # One blank for many: each would be tried again from every one before it.
    plain = " ".join(text.casefold().split())
    plain = re.sub(r"[‐-―−]|\bto\b|\bbis\b|\btill?\b|\buntil\b", "-", plain).strip()
    if plain in _ALWAYS:
        return OpeningHours(_ALWAYS_SPANS)
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


def is_answered(contact: Contact, now: datetime, *, is_closed_day: bool = False) -> bool | None:
    """Return whether ``contact`` answers the telephone at ``now``; None when not known.

    ``now`` is on the wall clock where the contact is; on a day the clinic is noted as closed only
    a number answered day and night counts.
    """
    if contact.emergency:
        return True
    hours = read_hours(contact.hours)
    if hours is not None and hours.is_always:
        return True
    if is_closed_day:
        return False
    return None if hours is None else hours.is_open(now)


def clinic_open(answered: Iterable[bool | None]) -> bool | None:
    """Return whether a clinic can be reached, from whether each of its numbers `is_answered`.

    True when one is, False when all are noted as closed, None when not known or there is none.
    """
    known = list(answered)
    if True in known:
        return True
    return None if None in known or not known else False


def hours_text(hours: OpeningHours) -> str:
    """Return the hours as they were read, so that a person can see what was made of theirs."""
    if hours.is_always:
        return message("day and night")
    by_day = [
        [(a % MINUTES_A_DAY, b % MINUTES_A_DAY or MINUTES_A_DAY) for a, b in hours.spans
         if a // MINUTES_A_DAY == day]
        for day in range(7)
    ]  # fmt: skip
    told: list[str] = []
    for spans, alike in groupby(range(7), key=by_day.__getitem__):
        first, *others = alike
        if spans:
            times = joined(", ", [f"{_clock(a)}–{_clock(b)}" for a, b in spans])
            days = [WEEKDAYS[day] for day in (first, *others[-1:])]
            told.append(joined(" ", (joined("–", days), times)))
    return joined("; ", told)


def _clock(minute: int) -> str:
    return f"{minute // 60}:{minute % 60:02d}"


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
    said = (first[3] is not None, last[3] is not None)
    start, end = _minutes(first, first[3] or last[3]), _minutes(last, last[3])
    if said == (False, True) and start >= end:
        start = _minutes(first, "a")  # "9 to 4 pm" begins in the morning
    elif said == (True, False) and end <= start:
        end = _minutes(last, "p")  # "9 am to 5" ends in the afternoon
    if start > MINUTES_A_DAY or end > MINUTES_A_DAY or start == end:
        return None
    if said == (False, False) and 0 < start < _EARLIEST:
        return None  # "1-4" is an afternoon, more likely than a night
    if end < start:
        # "18-8" is a night; "9-4" and "12-4" may be an afternoon said without "pm".
        if said not in _NIGHTS or (said == (False, False) and start < _EVENING):
            return None
        end += MINUTES_A_DAY
    return start, end


def _minutes(found: re.Match[str], half: str | None) -> int:
    hour, minute = int(found[1]), int(found[2] or 0)
    half = found[3] or half
    if half and hour <= 12:
        hour = hour % 12 + (12 if half == "p" else 0)
    return hour * 60 + minute
