"""Days and times as people write them, read so that they cannot be misread."""

from __future__ import annotations

import re
from datetime import date, time, timedelta

from pocketpump.core.errors import InputError
from pocketpump.core.instants import MONTHS, date_text, of_our_time

YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year first", "day first", "month first"
ORDERS = (YEAR_FIRST, DAY_FIRST, MONTH_FIRST)
_MONTHS = tuple(name.lower() for name in MONTHS)
_ISO = re.compile(r"(\d{4})[-./ ](\d{1,2})[-./ ](\d{1,2})")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_NAMED = re.compile(r"(\d{1,2})\.?[-/ ]*([a-z]{3,9})\.?[-/, ]*(\d{4})")
_NAMED_US = re.compile(r"([a-z]{3,9})\.?[-/ ]*(\d{1,2}),?[-/ ]+(\d{4})")
_NUMBERS = re.compile(r"(\d{1,2})[-./ ](\d{1,2})[-./ ](\d{4})")
_PARTS = re.compile(r"(\d{1,4})[-./ ]+(\d{1,2}|[a-z]{3,9})\.?[-./, ]+(\d{1,4})")
_CLOCK = re.compile(r"(\d{1,2})(?:[:.h ]?(\d{2}))?\s*([ap])?\.?m?\.?")

DAY_HINT = "Write it like 26 Feb 2026 or 2026-02-26."
TIME_HINT = "Write it like 14:30 or 2:30 pm."


def read_day(text: str) -> date:
    """The day written in ``text``, from 1950 to 2150; raises `InputError`.

    Numbers alone in the order day and month, or month and day, are refused when both
    orders make sense: 3/4/2026 is two different days.
    """
    words = text.strip().lower()
    if match := _ISO.fullmatch(words) or _COMPACT.fullmatch(words):
        return _day(*(int(part) for part in match.groups()))
    if match := _NAMED.fullmatch(words):
        return _day(int(match[3]), _month(match[2]), int(match[1]))
    if match := _NAMED_US.fullmatch(words):
        return _day(int(match[3]), _month(match[1]), int(match[2]))
    if match := _NUMBERS.fullmatch(words):
        first, second, year = (int(part) for part in match.groups())
        if first <= 12 and second <= 12 and first != second:
            raise InputError(
                f"{text.strip()} can be two days: {_either(year, first, second)}. "
                "Write the month as a word."
            )
        return _day(year, first, second) if second > 12 else _day(year, second, first)
    raise InputError(f"This is not a day. {DAY_HINT}")


def day_in_order(text: str, order: str) -> date | None:
    """The day that ``text`` begins with, written in ``order``, one of :data:`ORDERS`.

    For whole columns, where one order holds for all rows. None when it is no day, or none of
    our time, in that order; a time after the day is the spreadsheet's own doing.
    """
    match = _PARTS.match(text.strip().lower())
    if match is None:
        return None
    first, second, third = match.groups()
    year, month, day = {
        YEAR_FIRST: (first, second, third),
        DAY_FIRST: (third, second, first),
        MONTH_FIRST: (third, first, second),
    }[order]
    if order == MONTH_FIRST and second.isalpha():
        return None
    try:
        return _day(int(year), int(month) if month.isdecimal() else _month(month), int(day))
    except InputError:
        return None


def step_day(text: str, days: int, *, fallback: date) -> str:
    """The text for the day ``days`` later; an unreadable text gives ``fallback``."""
    try:
        day = read_day(text) + timedelta(days=days)
    except (InputError, OverflowError):
        day = fallback
    return day.isoformat()


def read_time(text: str) -> time:
    """The time of day written in ``text``: 24 hours, or with am or pm."""
    match = _CLOCK.fullmatch(text.strip().lower())
    if not match:
        raise InputError(f"This is not a time. {TIME_HINT}")
    hour, minute, half = int(match[1]), int(match[2] or 0), match[3]
    if half and not 1 <= hour <= 12:
        raise InputError("With am or pm the hour goes from 1 to 12.")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise InputError("The clock goes from 00:00 to 23:59.")
    return time(hour, minute)


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
        found = date(year, month, day)
    except ValueError:
        raise InputError("There is no such day in the calendar.") from None
    return of_our_time(found)


def _month(word: str) -> int:
    try:
        return _MONTHS.index(word[:3]) + 1
    except ValueError:
        raise InputError(f"“{word}” is not a month. {DAY_HINT}") from None


def _either(year: int, first: int, second: int) -> str:
    return " or ".join(date_text(_day(year, *p)) for p in ((second, first), (first, second)))
