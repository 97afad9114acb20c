"""Where things stand in a chart: instants to x, values to y, labels kept readable. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil, floor, log10

from pocketpump.app.shared_texts import day_and_month, month_and_year


@dataclass(frozen=True)
class TimeAxis:
    """Days ``first`` to ``last``, both whole, laid out from ``left`` to ``right``."""

    first: date
    last: date
    left: float
    right: float

    def x_of(self, at: datetime) -> float:
        """Where the wall-clock instant ``at`` stands; outside days at the edges."""
        days = (at.date() - self.first).days + (at.hour * 60 + at.minute) / 1_440
        return self._x(days)

    def x_of_day(self, day: date) -> float:
        """Where the middle of ``day`` stands."""
        return self._x((day - self.first).days + 0.5)

    def _x(self, days: float) -> float:
        whole = (self.last - self.first).days + 1
        return self.left + min(max(days / whole, 0.0), 1.0) * (self.right - self.left)

    def date_marks(self, most: int) -> list[tuple[float, str]]:
        """At most ``most`` dates with their places, evenly spread, the year told when long."""
        whole = (self.last - self.first).days
        count = max(2, min(most, whole + 1))
        days = [self.first + timedelta(days=round(whole * i / (count - 1))) for i in range(count)]
        return [(self.x_of_day(day), _short(day, long=whole > 300)) for day in dict.fromkeys(days)]


@dataclass(frozen=True)
class ValueAxis:
    """Values ``low`` to ``high``, laid out from ``bottom`` up to ``top``."""

    low: float
    high: float
    top: float
    bottom: float

    def y_of(self, value: float) -> float:
        """Where ``value`` stands; what is outside stands at the edge."""
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - min(max(share, 0.0), 1.0) * (self.bottom - self.top)


# No measure of a person is as small as this; a power of ten below it would vanish.
_NOTHING = 1e-9


def round_top(values: Sequence[float]) -> float:
    """The least round number (1, 1.5, 2, 3 … times a power of ten) at or above all values."""
    most = max((*values, 0.0))
    if most < _NOTHING:
        return 1.0
    power = 10.0 ** floor(log10(most))
    return next(
        step * power for step in (1, 1.5, 2, 3, 4, 5, 6, 8, 10) if step * power >= most * (1 - 1e-9)
    )


def thinned(count: int, most: int) -> int:
    """How many neighbours to put together so that at most ``most`` groups are left."""
    return max(1, ceil(count / most))


def _short(day: date, *, long: bool) -> str:
    return month_and_year(day) if long else day_and_month(day)
