"""The clinic's open days and the notice it needs."""

from collections.abc import Set
from dataclasses import dataclass
from datetime import date, timedelta

EVERY_DAY = frozenset(range(7))
WORKDAYS = frozenset(range(5))


@dataclass(frozen=True, slots=True)
class ClinicDays:
    """When refills are done: ``open_weekdays`` (0 Monday - 6 Sunday) less ``closed_on``."""

    open_weekdays: Set[int] = EVERY_DAY
    closed_on: Set[date] = frozenset()

    def is_open(self, day: date) -> bool:
        """Return whether the clinic is open on ``day``."""
        return day.weekday() in self.open_weekdays and day not in self.closed_on

    def last_open_day(self, day: date) -> date:
        """Return the last open day not after ``day``; ``day`` itself if the clinic never opens."""
        for back in range(367):
            earlier = day - timedelta(days=back)
            if self.is_open(earlier):
                return earlier
        return day
