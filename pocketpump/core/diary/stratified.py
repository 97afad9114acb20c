"""Check-ins before and after a change that may be compared: of one time of day and kind of day.

Many people are stiffer at one time of the day than at another, and on working days other than at
weekends. So scores are compared within spans of the day and within weekdays or weekends, and only
within those noted about as regularly before as after: who notes the evening only when it is bad,
and only since the change, would else seem to have got worse.

Whether it was noted as regularly is judged of everything together, then of each time of the day,
then of each kind of day. Everything together comes first, for somebody who leaves out the better
check-ins does so at all hours, and in one span alone that can look like chance. Where everything
together was noted more or less often than before, only what was nearly always noted is compared.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from statistics import fmean, pvariance

from pocketpump.core.diary.check_ins import Reading, daily_medians
from pocketpump.core.diary.hour_spans import SPAN_HOURS
from pocketpump.core.statistics.rank_test import Score
from pocketpump.core.units.instants import is_weekend

_FIRST_HOUR = 2
"""Spans begin at 2, 6, 10, 14, 18 and 22 o'clock, so that the hours at which most people note
something, 8, 12 and 20, lie inside one (own choice)."""
_NEAR_HOURS = 1.5
"""The mean hours of a span before and after lie at most so far apart, or no farther than chance
makes them (own choice)."""
_FEWEST_SCORES = 2
LEAST_REGULAR = 0.8
"""What was noted less than this often, against the other side, is not compared if that is more
than chance (own choice, measured)."""
_NEARLY_ALWAYS = 0.9
"""Where the whole was noted more or less often than before, only what was noted on this share of
its days on both sides is compared (own choice, measured)."""
_BY_CHANCE = 1.64
"""So many standard errors are still chance (one-sided 5 %)."""

Stratum = tuple[int, bool]
"""The first hour of a span of the day, and whether it is of Saturdays and Sundays."""

Strata = dict[Stratum, tuple[list[Score], list[Score]]]
"""The scores before and after of each stratum, one a day each, in order of days."""


@dataclass(frozen=True, slots=True)
class Side:
    """The readings of one side, and the first and last day on which one could have been noted."""

    marks: tuple[Reading, ...]
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Matched:
    """The strata compared, and of how many check-ins before and after they are made."""

    strata: Strata
    check_ins: tuple[int, int]

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

    def without(self, since: date) -> "Matched | None":
        """Return the same without the days before the change from ``since`` on; None when empty.

        Whether hours were noted as regularly is not asked anew: there are fewer days to tell by.
        """
        left = {
            stratum: ([score for score in before if score.day < since], after)
            for stratum, (before, after) in self.strata.items()
        }
        kept = {key: pair for key, pair in left.items() if len(pair[0]) >= _FEWEST_SCORES}
        return Matched(kept, self.check_ins) if kept else None

    def shares(self) -> dict[date, list[float]]:
        """Return of each day which share of its scores each stratum has."""
        there: dict[date, list[float]] = {}
        for number, pair in enumerate(self.strata.values()):
            for score in (*pair[0], *pair[1]):
                there.setdefault(score.day, [0.0] * len(self.strata))[number] = 1.0
        return {day: [one / sum(ones) for one in ones] for day, ones in there.items()}


def matched(before: Side, after: Side) -> Matched:
    """Return what can be compared of two sides; nothing when they have no stratum in common."""
    sides = (before, after)
    noted = [_by_stratum(side.marks) for side in sides]
    common: Strata = {}
    for stratum in sorted(noted[0].keys() & noted[1].keys()):
        scores = _scores(noted[0][stratum]), _scores(noted[1][stratum])
        hours = [[_hour(mark) for mark in one[stratum]] for one in noted]
        if min(map(len, scores)) >= _FEWEST_SCORES and _at_one_time(*hours):
            common[stratum] = scores
    fits = _as_regular if _as_regular(*_shares(common, sides)) else _nearly_always
    kept: Strata = {}
    for span in sorted({span for span, _ in common}):
        of_span = {stratum: pair for stratum, pair in common.items() if stratum[0] == span}
        if fits(*_shares(of_span, sides)):
            kept |= {
                stratum: pair
                for stratum, pair in of_span.items()
                if fits(*_shares({stratum: pair}, sides))
            }
    before_count, after_count = (sum(len(one[stratum]) for stratum in kept) for one in noted)
    return Matched(kept, (before_count, after_count))


def _at_one_time(before: Sequence[float], after: Sequence[float]) -> bool:
    apart = abs(fmean(after) - fmean(before))
    return apart <= max(_NEAR_HOURS, _BY_CHANCE * _error(before, after))


def _error(before: Sequence[float], after: Sequence[float]) -> float:
    """Return the standard error of the difference of two means."""
    return sqrt(pvariance(before) / len(before) + pvariance(after) / len(after))


def _shares(strata: Strata, sides: Sequence[Side]) -> tuple[list[float], list[float]]:
    """Return of each day of either side which share of the ``strata`` it could have was noted.

    By days, because they are noted or left out as a whole as often as not.
    """
    could = Counter(kind for _, kind in strata)
    found: list[list[float]] = []
    for number, side in enumerate(sides):
        noted = Counter(score.day for pair in strata.values() for score in pair[number])
        length = (side.last - side.first).days + 1
        days = (side.first + timedelta(days=ahead) for ahead in range(length))
        of = [(day, could[is_weekend(day)]) for day in days]
        found.append([noted[day] / most for day, most in of if most])
    return found[0], found[1]


def _as_regular(before: Sequence[float], after: Sequence[float]) -> bool:
    """Whether about the same share was noted of either side's days, or no other than by chance."""
    if not before or not after:
        return True
    means = fmean(before), fmean(after)
    close = min(means) >= LEAST_REGULAR * max(means)
    return close or max(means) - min(means) <= _BY_CHANCE * _error(before, after)


def _nearly_always(before: Sequence[float], after: Sequence[float]) -> bool:
    """Whether so much was noted on both sides that nothing can have been chosen."""
    return min(fmean(before), fmean(after)) >= _NEARLY_ALWAYS


def _by_stratum(marks: Iterable[Reading]) -> dict[Stratum, list[Reading]]:
    found: dict[Stratum, list[Reading]] = defaultdict(list)
    for mark in marks:
        span = (mark.at.hour - _FIRST_HOUR) % 24 // SPAN_HOURS * SPAN_HOURS + _FIRST_HOUR
        found[span, is_weekend(mark.at.date())].append(mark)
    return found


def _scores(marks: Iterable[Reading]) -> list[Score]:
    return [Score(day, value) for day, value in daily_medians(marks).items()]


def _hour(mark: Reading) -> float:
    hour = mark.at.hour + mark.at.minute / 60
    # The last span runs on past midnight.
    return hour if hour >= _FIRST_HOUR else hour + 24
