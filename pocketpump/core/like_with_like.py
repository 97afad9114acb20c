"""Check-ins before and after a change that may be compared: of one time of day and kind of day.

Many people are stiffer at one time of the day than at another, and on working days other than at
weekends. So scores are compared within spans of the day and within weekdays or weekends, and only
within those noted about as regularly before as after: who notes the evening only when it is bad,
and only since the change, would else seem to have got worse.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from statistics import fmean, median, pvariance

from pocketpump.core.diary import Reading
from pocketpump.core.rank_test import Score

SPAN_HOURS = 4
_FIRST_HOUR = 2
"""Spans begin at 2, 6, 10, 14, 18 and 22 o'clock, so that the hours at which most people note
something, 8, 12 and 20, lie inside one (own choice)."""
_NEAR_HOURS = 1.5
"""The mean hours of a span before and after lie at most so far apart, or no farther than chance
makes them (own choice)."""
_FEWEST_SCORES = 2
LEAST_REGULAR = 0.7
"""A span noted on fewer than this share of its days, against the other side, is not compared if
that is more than chance (own choice, measured)."""
_BY_CHANCE = 1.64
"""So many standard errors are still chance (one-sided 5 %)."""
_SATURDAY = 5

Stratum = tuple[int, bool]
"""The first hour of a span of the day, and whether it is of Saturdays and Sundays."""


@dataclass(frozen=True, slots=True)
class Side:
    """The readings of one side, and the first and last day on which one could have been noted."""

    marks: tuple[Reading, ...]
    first: date
    last: date

    def without_last(self, days: int) -> "Side":
        """Return the side as if its last ``days`` days had not been."""
        last = self.last - timedelta(days=days)
        kept = tuple(mark for mark in self.marks if mark.at.date() <= last)
        return Side(kept, self.first, last)


@dataclass(frozen=True, slots=True)
class Matched:
    """Scores before and after by stratum, one a day each, in order of days; of ``check_ins``."""

    strata: dict[Stratum, tuple[list[Score], list[Score]]]
    check_ins: int

    def days(self, side: int) -> list[date]:
        """Return the days of the side 0, before, or 1, after."""
        return sorted({score.day for pair in self.strata.values() for score in pair[side]})

    def daily(self, side: int) -> dict[date, float]:
        """Return the mean of the scores of each day of a side."""
        values: dict[date, list[float]] = defaultdict(list)
        for pair in self.strata.values():
            for score in pair[side]:
                values[score.day].append(score.value)
        return {day: fmean(values[day]) for day in sorted(values)}

    def shares(self) -> dict[date, list[float]]:
        """Return of each day which share of its scores each stratum has."""
        there: dict[date, list[float]] = {}
        for number, pair in enumerate(self.strata.values()):
            for score in (*pair[0], *pair[1]):
                there.setdefault(score.day, [0.0] * len(self.strata))[number] = 1.0
        return {day: [one / sum(ones) for one in ones] for day, ones in there.items()}


def matched(before: Side, after: Side) -> Matched:
    """Return what can be compared of two sides; nothing when they have no stratum in common."""
    sides = [_by_stratum(side.marks) for side in (before, after)]
    chances = [_chances(side) for side in (before, after)]
    kept = {}
    for stratum in sorted(sides[0].keys() & sides[1].keys()):
        scores = [_scores(side[stratum]) for side in sides]
        days = [chance[stratum[1]] for chance in chances]
        hours = [[_hour(mark) for mark in side[stratum]] for side in sides]
        if (
            min(map(len, scores)) >= _FEWEST_SCORES
            and _at_one_time(*hours)
            and _as_regular([*map(len, scores)], days)
        ):
            kept[stratum] = (scores[0], scores[1])
    return Matched(kept, sum(len(side[stratum]) for side in sides for stratum in kept))


def _at_one_time(before: Sequence[float], after: Sequence[float]) -> bool:
    apart = abs(fmean(after) - fmean(before))
    error = sqrt(pvariance(before) / len(before) + pvariance(after) / len(after))
    return apart <= max(_NEAR_HOURS, _BY_CHANCE * error)


def _as_regular(noted: Sequence[int], days: Sequence[int]) -> bool:
    shares = [one / of for one, of in zip(noted, days, strict=True)]
    pooled = min(sum(noted) / sum(days), 1.0)
    error = sqrt(pooled * (1 - pooled) * sum(1 / of for of in days))
    apart = max(shares) - min(shares)
    return min(shares) >= LEAST_REGULAR * max(shares) or apart <= _BY_CHANCE * error


def _by_stratum(marks: Iterable[Reading]) -> dict[Stratum, list[Reading]]:
    found: dict[Stratum, list[Reading]] = defaultdict(list)
    for mark in marks:
        span = (mark.at.hour - _FIRST_HOUR) % 24 // SPAN_HOURS * SPAN_HOURS + _FIRST_HOUR
        found[span, _is_weekend(mark.at.date())].append(mark)
    return found


def _scores(marks: Iterable[Reading]) -> list[Score]:
    by_day: dict[date, list[float]] = defaultdict(list)
    for mark in marks:
        by_day[mark.at.date()].append(mark.value)
    return [Score(day, median(by_day[day])) for day in sorted(by_day)]


def _chances(side: Side) -> Counter[bool]:
    """Return how many days of either kind the side had; at least one each."""
    length = (side.last - side.first).days + 1
    days = (side.first + timedelta(days=number) for number in range(length))
    return Counter({True: 1, False: 1}) | Counter(_is_weekend(day) for day in days)


def _is_weekend(day: date) -> bool:
    return day.weekday() >= _SATURDAY


def _hour(mark: Reading) -> float:
    hour = mark.at.hour + mark.at.minute / 60
    # The last span runs on past midnight.
    return hour if hour >= _FIRST_HOUR else hour + 24
