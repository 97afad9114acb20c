"""The clinic's open days and the notice it needs.

A rule narrows the open weekdays to certain weeks of the month. It is kept in the words of
RFC 5545, section 3.3.10, of which only ``FREQ=MONTHLY;BYDAY=1TU,-1TH`` (first Tuesday and last
Thursday) is used here: rules that need a starting date, such as every second week, would
open the wrong week after a slip in that date, so such days are entered one by one instead.
"""

import re
from collections.abc import Callable, Iterable, Set
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache

from dateutil.rrule import rrulestr

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import joined, message

EVERY_DAY = frozenset(range(7))
WORKDAYS = frozenset(range(5))
WEEKS_OF_MONTH = {
    # Note: as in "the first Tuesday of the month", or "the first" alone.
    1: message("first"),
    2: message("second"),
    3: message("third"),
    4: message("fourth"),
    5: message("fifth"),
    -1: message("last"),
}
"""The weeks a rule can name: 1 is the first such weekday of the month, -1 the last."""

WEEKDAYS = (
    message("Monday"),
    message("Tuesday"),
    message("Wednesday"),
    message("Thursday"),
    message("Friday"),
    message("Saturday"),
    message("Sunday"),
)
_CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_RULE = re.compile(r"FREQ=MONTHLY;BYDAY=((?:[1-5]|-1)(?:MO|TU|WE|TH|FR|SA|SU)(?:,|$))+(?<!,)")


@dataclass(frozen=True, slots=True)
class ClinicDays:
    """When refills are done.

    ``open_weekdays`` (0 Monday - 6 Sunday), narrowed by ``rule`` ("" for every week), less
    ``closed_on``, and ``opened_on`` besides. A day that is in both lists is closed: a visit
    on a closed day is the worse mistake.
    """

    open_weekdays: Set[int] = EVERY_DAY
    closed_on: Set[date] = frozenset()
    opened_on: Set[date] = frozenset()
    rule: str = ""

    def is_open(self, day: date) -> bool:
        """Return whether the clinic is open on ``day``."""
        if day in self.closed_on:
            return False
        if day in self.opened_on:
            return True
        if day.weekday() not in self.open_weekdays:
            return False
        return not self.rule or day in _days_of_rule(self.rule, day.year, day.month)

    def last_open_day(self, day: date) -> date:
        """Return the last open day not after ``day``; ``day`` itself if the clinic never opens."""
        return _last(day, self.is_open)

    def last_day_to_call(self, day: date) -> date:
        """Return the last day not after ``day`` on which the clinic's telephone is answered.

        That is from Monday to Friday and on every weekday of refills, in any week of the month,
        but not on closed days (common practice, no source).
        """
        weekdays = {*WORKDAYS, *self.open_weekdays}
        return _last(day, lambda one: one.weekday() in weekdays and one not in self.closed_on)


def _last(day: date, fits: Callable[[date], bool]) -> date:
    back = (day - timedelta(days=days) for days in range(367))
    return next((one for one in back if fits(one)), day)


def rule_of(weeks: Iterable[int], weekdays: Iterable[int]) -> str:
    """Return the rule for the given weeks of the month and weekdays; "" for none of either."""
    chosen = [f"{week}{_CODES[weekday]}" for weekday in sorted(weekdays) for week in sorted(weeks)]
    return f"FREQ=MONTHLY;BYDAY={','.join(chosen)}" if chosen else ""


def read_rule(text: str) -> str:
    """Return ``text`` if it is a rule that `ClinicDays` understands; raises `InputError`."""
    if text and not _RULE.fullmatch(text):
        raise InputError(
            message(
                '"{text}" is not a rule for clinic days: write it like FREQ=MONTHLY;BYDAY=1TU.',
                text=shown(text),
            ),
            "rule",
        )
    return text


def weeks_of(rule: str) -> frozenset[int]:
    """Return the weeks of the month that ``rule`` names."""
    return frozenset(week for week, _ in _parts(rule))


def describe_rule(rule: str) -> str:
    """Return the rule in words: "first and third Tuesday of the month"; "" without one."""
    by_day: dict[int, list[str]] = {}
    for week, weekday in _parts(rule):
        by_day.setdefault(weekday, []).append(WEEKS_OF_MONTH[week])
    named: list[str] = [
        # Note: "first and third Tuesday".
        message("{weeks} {weekday}", weeks=_listed(weeks), weekday=WEEKDAYS[weekday])
        for weekday, weeks in by_day.items()
    ]
    # Note: "first and third Tuesday of the month".
    return message("{weekdays} of the month", weekdays=_listed(named)) if named else ""


def _parts(rule: str) -> list[tuple[int, int]]:
    found = re.findall(r"(-?\d)([A-Z]{2})", rule.partition("BYDAY=")[2])
    return [(int(week), _CODES.index(code)) for week, code in found]


def _listed(words: list[str]) -> str:
    if len(words) == 1:
        return words[0]
    return message("{others} and {last}", others=joined(", ", words[:-1]), last=words[-1])


@lru_cache(maxsize=256)
def _days_of_rule(rule: str, year: int, month: int) -> frozenset[date]:
    start = datetime(year, month, 1)  # noqa: DTZ001 a calendar day has no zone
    # dateutil goes on to later months, so the end of this one is where the reading stops.
    end = start + timedelta(days=31)
    found = rrulestr(rule, dtstart=start).between(start, end, inc=True)
    return frozenset(instant.date() for instant in found if instant.month == month)
