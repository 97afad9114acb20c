"""The pump's week by the clock there: which of its hours come on which days, equal days as one."""

from collections.abc import Sequence
from dataclasses import dataclass

from pocketpump.core.travel.trip import ClockRow, ClockSpan


@dataclass(frozen=True, slots=True)
class DaysThere:
    """Days there (0 is Monday) on which the same ``rows`` come, in the order of their clock."""

    weekdays: tuple[int, ...]
    rows: tuple[ClockRow, ...]


def week_there(span: ClockSpan) -> tuple[DaysThere, ...]:
    """Return the days of a stay with what comes on them, in the order of the week there.

    A stay of less than a week begins with its own first day, or with the day before it on which
    the step began that runs already.
    """
    stay = _days_of(span)
    on_day: dict[int, list[ClockRow]] = {day: [] for day in stay}
    for row in span.rows:
        daily = row.weekday is None
        for day in stay if daily else ((row.weekday or 0) + row.day_shift,):
            on_day.setdefault(day % 7, []).append(row)
    before = [day for day in on_day if day not in stay]
    alike: dict[tuple[object, ...], list[int]] = {}
    for day in (*before, *stay):
        on_day[day].sort(key=lambda row: row.local_clock)
        if on_day[day]:
            told = tuple((r.local_clock, r.day_shift, r.what, r.is_bolus) for r in on_day[day])
            alike.setdefault(told, []).append(day)
    return tuple(DaysThere(tuple(days), tuple(on_day[days[0]])) for days in alike.values())


def runs_of(weekdays: Sequence[int]) -> list[tuple[int, int]]:
    """Return the first and the last of each run of days that follow each other, over Sunday too.

    The days are in their order, and not all seven.
    """
    runs: list[tuple[int, int]] = []
    for day in weekdays:
        if runs and (runs[-1][1] + 1) % 7 == day:
            runs[-1] = (runs[-1][0], day)
        else:
            runs.append((day, day))
    if len(runs) > 1 and (runs[-1][1] + 1) % 7 == runs[0][0]:
        runs = [(runs[-1][0], runs[0][1]), *runs[1:-1]]
    return runs


def _days_of(span: ClockSpan) -> list[int]:
    count = (span.last_on - span.first_on).days + 1
    if count >= 7:
        return list(range(7))
    return [(span.first_on.weekday() + n) % 7 for n in range(count)]
