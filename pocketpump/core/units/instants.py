"""Instants, local dates and time zones.

Inside the core an instant is a number of seconds since 1970-01-01 UTC, because Python
subtracts two datetimes of one zone by the wall clock and so loses the hour that
daylight saving takes. At the edges an instant is an aware ``datetime``.
"""

import re
from datetime import date, datetime, time, timedelta, timezone, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo

from dateutil import parser as date_parser
from dateutil import tz as date_zones

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import localized_day, localized_month, message

DAY_S = 86_400
FIRST_YEAR, LAST_YEAR = 1950, 2150
"""Years that are typed, saved and counted (own rule; no source)."""
FIRST_BORN_YEAR = 1900
"""The first year in which somebody of our time may be born."""
FIRST_KEPT_YEAR, LAST_KEPT_YEAR = 1900, 2200
"""Years in which an entry written before these limits, or elsewhere, is kept although it does not
count: before and after, zones and calendars come to their ends."""
WEEKDAYS = (
    message("Mon"),
    message("Tue"),
    message("Wed"),
    message("Thu"),
    message("Fri"),
    message("Sat"),
    message("Sun"),
)
_SATURDAY = 5
MONTHS = (
    # Note: the months as short as they can be, beside a chart.
    message("Jan"),
    message("Feb"),
    message("Mar"),
    message("Apr"),
    message("May"),
    message("Jun"),
    message("Jul"),
    message("Aug"),
    message("Sep"),
    message("Oct"),
    message("Nov"),
    message("Dec"),
)
_ZONE_NAME = re.compile(r"[A-Za-z0-9_+\-/]{1,60}")


def to_seconds(instant: datetime) -> float:
    """Return the seconds since 1970 of an aware instant; raises ``ValueError`` for a naive one."""
    if instant.tzinfo is None:
        raise ValueError("a naive datetime has no instant")
    return instant.timestamp()


def from_seconds(seconds: float, zone: tzinfo) -> datetime:
    """Return the instant as the wall clock of ``zone`` shows it, rounded to a whole second.

    Rounding makes 45 days come out as 45 days, not as 45 days less a billionth.
    """
    return datetime.fromtimestamp(round(seconds), zone)


def zone_named(name: str) -> tzinfo:
    """Return the time zone called ``name`` ("Europe/Rome", "UTC"); raises `InputError`."""
    if name.upper() in ("UTC", "Z"):
        return ZoneInfo("UTC")
    try:
        if not _ZONE_NAME.fullmatch(name):
            raise ValueError
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise InputError(
            message(
                'I do not know the time zone "{name}": write it like Europe/Rome or UTC.',
                name=shown(name),
            ),
            "zone",
        ) from None


@lru_cache(maxsize=64)
def is_zone(name: str) -> bool:
    """Tell whether ``name`` is a time zone this device knows, such as ``Europe/Berlin``."""
    try:
        zone_named(name)
    except InputError:
        return False
    return True


def parse_date(text: str, field: str = "", *, first_year: int = FIRST_YEAR) -> date:
    """Return the date written as year-month-day; other orders are refused, never guessed.

    ``first_year`` is as for `of_our_time`. Raises `InputError` for what it refuses.
    """
    cleaned = text.strip()
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", cleaned):
            raise ValueError
        found = date.fromisoformat(cleaned)
    except ValueError:
        raise InputError(
            message('"{text}" is not a date: write it like 2026-01-12.', text=shown(text)), field
        ) from None
    return of_our_time(found, field, first_year)


def parse_instant(text: str, zone: tzinfo, field: str = "") -> datetime:
    """Return the instant written in ISO 8601; without an offset it is the wall clock of ``zone``.

    A date alone means the start of that day. A wall-clock time that comes twice is taken as the
    first; raises `InputError` for one that daylight saving skips, and for what is no instant.
    """
    cleaned = text.strip()
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9:.,]+)?(Z|[+-][0-9:]+)?", cleaned):
            raise ValueError
        found = date_parser.isoparse(cleaned.replace(" ", "T"))
    except (ValueError, OverflowError):
        raise InputError(
            message(
                '"{text}" is not a date and time: write it like 2026-01-12T09:00.',
                text=shown(text),
            ),
            field,
        ) from None
    of_our_time(found.date(), field)
    if found.tzinfo is not None:
        return found.replace(tzinfo=timezone(found.utcoffset() or timedelta(0)))
    return attach_zone(found, zone, field)


def attach_zone(wall: datetime, zone: tzinfo, field: str = "") -> datetime:
    """Return the instant at which the clock in ``zone`` shows ``wall`` (naive).

    Raises `InputError` for a time that daylight saving skips.
    """
    if not date_zones.datetime_exists(wall, zone):
        raise InputError(
            message(
                "The clocks skip {clock} on {day} there: give a time before or after the change.",
                clock=f"{wall:%H:%M}",
                day=f"{wall:%Y-%m-%d}",
            ),
            field,
        )
    return wall.replace(tzinfo=zone)


def start_of(day: date, zone: tzinfo) -> datetime:
    """Return the first instant of ``day`` in ``zone`` (midnight, or when a skipped one ends)."""
    wall = datetime.combine(day, time(), zone)
    return date_zones.resolve_imaginary(wall)


def local_date(instant: datetime, zone: tzinfo) -> date:
    """Return the calendar date that people in ``zone`` have at ``instant``.

    At the very ends of the calendar, where that date does not exist, it is the one at hand.
    """
    try:
        return instant.astimezone(zone).date()
    except (OverflowError, ValueError):
        return instant.date()


def whole_days(start: datetime, end: datetime) -> int:
    """Return the whole 24-hour days from ``start`` to ``end``, rounded down (past: below 0)."""
    return int((to_seconds(end) - to_seconds(start)) // DAY_S)


def is_of_our_time(day: date) -> bool:
    """Tell whether ``day`` is from 1950 to 2150."""
    return FIRST_YEAR <= day.year <= LAST_YEAR


def of_our_time(day: date, field: str = "", first_year: int = FIRST_YEAR) -> date:
    """Return ``day`` if it is from ``first_year`` to 2150; raises `InputError` for any other.

    Only the birth of a person may be before 1950.
    A slip in the year ("0206") would otherwise give a countdown of centuries, or a date at
    the end of the calendar from which nothing can be counted on.
    """
    if not first_year <= day.year <= LAST_YEAR:
        raise InputError(
            message(
                "The year {year} is not from {first} to {last}: look at it again.",
                year=day.year,
                first=first_year,
                last=LAST_YEAR,
            ),
            field,
        )
    return day


def date_text(day: date) -> str:
    """Return a date nobody can read the wrong way round: Thu 26 Feb 2026."""
    return localized_day(f"{WEEKDAYS[day.weekday()]} {short_date_text(day)}", day, weekday=True)


def short_date_text(day: date) -> str:
    """Return a date without its weekday: 26 Feb 2026."""
    return localized_day(f"{day.day} {MONTHS[day.month - 1]} {day.year}", day, weekday=False)


def month_text(day: date) -> str:
    """Return the month and the year for a narrow place: Feb 26."""
    return localized_month(f"{MONTHS[day.month - 1]} {day.year % 100:02}", day)


def instant_text(instant: datetime | None) -> str:
    """Return an instant as date and wall-clock time; "never" for None."""
    if instant is None:
        return message("never")
    return message("{day}, {clock}", day=date_text(instant.date()), clock=f"{instant:%H:%M}")


def is_weekend(day: date) -> bool:
    """Whether ``day`` is a Saturday or a Sunday."""
    return day.weekday() >= _SATURDAY
