"""Days and times as people write them, read so that they cannot be misread."""

from __future__ import annotations

import re
import unicodedata
from datetime import date, time, timedelta

from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message
from pocketpump.core.units.instants import FIRST_YEAR, MONTHS, date_text, of_our_time

YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year first", "day first", "month first"
ORDERS = (YEAR_FIRST, DAY_FIRST, MONTH_FIRST)
ORDER_WORDS = {
    YEAR_FIRST: message("year first"),
    DAY_FIRST: message("day first"),
    MONTH_FIRST: message("month first"),
}
"""Every order as it is named within a sentence."""

# By their first three letters, in English and in German with its usual abbreviations.
_MONTHS = {name.lower(): number for number, name in enumerate(MONTHS, start=1)} | {
    "jän": 1,
    "jae": 1,
    "mär": 3,
    "mae": 3,
    "mrz": 3,
    "mai": 5,
    "okt": 10,
    "dez": 12,
}
_WEEKDAYS = (
    ("monday", "montag"),
    ("tuesday", "dienstag"),
    ("wednesday", "mittwoch"),
    ("thursday", "donnerstag"),
    ("friday", "freitag"),
    ("saturday", "samstag", "sonnabend"),
    ("sunday", "sonntag"),
)
_LETTER = r"[^\W\d_]"
_WEEKDAY_FIRST = re.compile(rf"({_LETTER}{{2,10}})[., ]+(?:den )?(.+)")
_ISO = re.compile(r"([0-9]{4})[-./ ]([0-9]{1,2})[-./ ]([0-9]{1,2})")
_COMPACT = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")
_NAMED = re.compile(rf"([0-9]{{1,2}})\.?[-/ ]*({_LETTER}{{3,9}})\.?[-/, ]*([0-9]{{4}})")
_NAMED_US = re.compile(rf"({_LETTER}{{3,9}})\.?[-/ ]*([0-9]{{1,2}}),?[-/ ]+([0-9]{{4}})")
_DOTTED = re.compile(r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4})")
"""As it is written where the day stands first; nobody writes the month first with dots."""
_NUMBERS = re.compile(r"([0-9]{1,2})[-./ ]([0-9]{1,2})[-./ ]([0-9]{4})")
_PARTS = re.compile(
    rf"([0-9]{{1,4}})[-./ ]+([0-9]{{1,2}}|{_LETTER}{{3,9}})\.?[-./, ]+([0-9]{{1,4}})(?!\d)"
)
_CLOCK = re.compile(r"([0-9]{1,2})(?:[:.h ]?([0-9]{2}))?(?:\s*([ap])\.?(?:\s?m\.?)?)?")
_UHR = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{2})\s*uhr|\s*uhr\s*([0-9]{2})?)")
_BARE = re.compile(r"[0-9\s]*|0\.[0-9]+")
"""An amount, a number of times, or the part of a day as which spreadsheets count a time."""
_SECONDS = re.compile(r"(?<=\d:\d\d):[0-9]{2}")

DAY_HINT = message("Write it like 26 Feb 2026 or 2026-02-26.")
TIME_HINT = message("Write it like 14:30 or 2:30 pm.")


def read_day(text: str, first_year: int = FIRST_YEAR) -> date:
    """The day written in ``text``, from ``first_year`` to 2150; raises `InputError`.

    Numbers alone in the order day and month, or month and day, are refused when both
    orders make sense: 3/4/2026 is two different days. With dots (3.4.2026) the day stands
    first, wherever that is written. A month is read in English or German,
    and so is a weekday before the day, which must be the right one.
    """
    words = _plain(text)
    weekday = None
    if match := _WEEKDAY_FIRST.fullmatch(words):
        weekday = weekday_named(match[1])
        words = words if weekday is None else match[2]
    day = of_our_time(_read_day(words, text), "", first_year)
    if weekday is not None and weekday != day.weekday():
        raise InputError(
            message(
                "That date is {day}: look at the weekday and the date again.", day=date_text(day)
            )
        )
    return day


def _read_day(words: str, text: str) -> date:
    if match := _ISO.fullmatch(words) or _COMPACT.fullmatch(words):
        return _day(*(int(part) for part in match.groups()))
    if match := _NAMED.fullmatch(words):
        return _day(int(match[3]), _month(match[2]), int(match[1]))
    if match := _NAMED_US.fullmatch(words):
        return _day(int(match[3]), _month(match[1]), int(match[2]))
    if match := _DOTTED.fullmatch(words):
        return _day(int(match[3]), int(match[2]), int(match[1]))
    if match := _NUMBERS.fullmatch(words):
        first, second, year = (int(part) for part in match.groups())
        if first <= 12 and second <= 12 and first != second:
            raise InputError(
                message(
                    "{text} can be two days: {one} or {other}. Write the month as a word.",
                    text=text.strip(),
                    one=date_text(_day(year, second, first)),
                    other=date_text(_day(year, first, second)),
                )
            )
        return _day(year, first, second) if second > 12 else _day(year, second, first)
    raise InputError(joined(" ", (message("This is not a day."), DAY_HINT)))


def day_in_order(text: str, order: str) -> date | None:
    """The day that ``text`` begins with, written in ``order``, one of :data:`ORDERS`.

    For whole columns, where one order holds for all rows. None when it is no day, or none of
    our time, in that order; a time after the day is the spreadsheet's own doing.
    """
    match = _PARTS.match(_plain(text))
    if match is None:
        return None
    first, second, third = match.groups()
    year, month, day = {
        YEAR_FIRST: (first, second, third),
        DAY_FIRST: (third, second, first),
        MONTH_FIRST: (third, first, second),
    }[order]
    if order == MONTH_FIRST and (second.isalpha() or _DOTTED.match(_plain(text))):
        return None
    try:
        month_number = int(month) if month.isdecimal() else _month(month)
        return of_our_time(_day(int(year), month_number, int(day)))
    except InputError:
        return None


def step_day(text: str, days: int, *, fallback: date, first_year: int = FIRST_YEAR) -> str:
    """The text for the day ``days`` later; an unreadable text gives ``fallback``."""
    try:
        day = read_day(text, first_year) + timedelta(days=days)
    except (InputError, OverflowError):
        day = fallback
    return day.isoformat()


def read_time(text: str) -> time:
    """The time of day written in ``text``: 24 hours, with am or pm, or with the German "Uhr".

    Raises `InputError` where there is none.
    """
    words = text.strip().lower()
    half = ""
    if match := _UHR.fullmatch(words):
        hour, minute = int(match[1]), int(match[2] or match[3] or 0)
    elif match := _CLOCK.fullmatch(words):
        hour, minute, half = int(match[1]), int(match[2] or 0), match[3] or ""
    else:
        raise InputError(joined(" ", (message("This is not a time."), TIME_HINT)))
    if half and not 1 <= hour <= 12:
        raise InputError(message("With am or pm the hour goes from 1 to 12."))
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise InputError(message("The clock goes from 00:00 to 23:59."))
    return time(hour, minute)


def read_said_time(text: str) -> time:
    """The time of day in ``text``, where digits alone could be something else and are refused.

    So in a table or beside an amount: raises `InputError`; else as :func:`read_time`. Seconds,
    which spreadsheets add, are left out.
    """
    if _BARE.fullmatch(text.strip()):
        raise InputError(joined(" ", (message("This is not a time."), TIME_HINT)))
    return read_time(_SECONDS.sub("", text, count=1))


def step_time(text: str, minutes: int, *, fallback: time) -> str:
    """The text for ``minutes`` later, around midnight; unreadable gives ``fallback``."""
    try:
        now = read_time(text)
    except InputError:
        return fallback.strftime("%H:%M")
    total = (now.hour * 60 + now.minute + minutes) % (24 * 60)
    return f"{total // 60:02d}:{total % 60:02d}"


def _day(year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise InputError(message("There is no such day in the calendar.")) from None


def _month(word: str) -> int:
    if word[:3] not in _MONTHS:
        strange = message("“{word}” is not a month.", word=word)
        raise InputError(joined(" ", (strange, DAY_HINT)))
    return _MONTHS[word[:3]]


def weekday_named(word: str) -> int | None:
    """The weekday (0 is Monday) that ``word``, in small letters, names in English or German.

    None when it names none; two letters are enough.
    """
    if len(word) < 2:
        return None
    fitting = (
        number
        for number, names in enumerate(_WEEKDAYS)
        if any(name.startswith(word) for name in names)
    )
    # "So" and "Son" are Sunday, of which Saturday's other German name begins like it.
    return max(fitting, default=None)


def _plain(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).lower().split())
