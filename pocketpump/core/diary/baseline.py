"""The usual score of a person at an hour and on a kind of day.

Many people are stiffer at one time of the day, or at the weekend. So a score is never compared with
all others, but as its distance from the usual score at that hour and on that kind of day.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from statistics import median

from pocketpump.core.diary.check_ins import Reading
from pocketpump.core.units.instants import is_weekend

Scores = Mapping[tuple[date, int], float]
"""One score for each day and hour of the wall clock."""

NEAR_HOURS = 2
"""The usual score at an hour is that of this hour and so many on either side (own choice)."""
FEWEST_NEAR_DAYS = 7
"""On fewer days noted about that hour it is not known what is usual then (own choice)."""
FEWEST_KIND_DAYS = 5
"""With fewer weekdays or weekend days noted the two are not told apart (own choice)."""


@dataclass(frozen=True, slots=True)
class Baseline:
    """What is usual, learnt from some scores by `baseline_of`.

    ``by_hour`` are the mean scores about each hour of the wall clock (None: not known);
    ``weekday`` and ``weekend`` are added on such days; ``days_near`` were noted about each hour.
    """

    by_hour: tuple[float | None, ...]
    days_near: tuple[int, ...]
    weekday: float = 0.0
    weekend: float = 0.0

    def at(self, when: datetime) -> float | None:
        """Return the usual score at the wall clock of ``when``; None when it is not known."""
        score = self.by_hour[when.hour]
        if score is None:
            return None
        return score + (self.weekend if is_weekend(when.date()) else self.weekday)

    def off_by_day(self, scores: Scores) -> dict[date, list[float]]:
        """Return how far ``scores`` lie from the usual ones, by day, in order of the days.

        A day with no score at an hour known is left out.
        """
        found: dict[date, list[float]] = {}
        for (day, hour), score in scores.items():
            usual = self.by_hour[hour]
            if usual is not None:
                found.setdefault(day, []).append(score - usual)
        ordered = {}
        for day in sorted(found):
            kind = self.weekend if is_weekend(day) else self.weekday
            ordered[day] = [off - kind for off in found[day]]
        return ordered

    def days_off(self, scores: Scores) -> dict[date, float]:
        """Return the mean of `off_by_day` for each day: one number a day."""
        return {day: _mean(off) for day, off in self.off_by_day(scores).items()}


def scores_by_hour(marks: Iterable[Reading]) -> Scores:
    """Return one score for each hour noted, so that many notes of one bad hour count once."""
    found: dict[tuple[date, int], list[float]] = {}
    for mark in marks:
        found.setdefault((mark.at.date(), mark.at.hour), []).append(mark.value)
    return {when: values[0] if len(values) == 1 else median(values)
            for when, values in found.items()}  # fmt: skip


def baseline_of(scores: Scores) -> Baseline:
    """Return what is usual in ``scores`` (one scale)."""
    at_hour: list[dict[date, float]] = [{} for _ in range(24)]
    for (day, hour), score in scores.items():
        at_hour[hour][day] = score
    sums = [sum(of_day.values()) for of_day in at_hour]
    by_hour: list[float | None] = []
    days_near = []
    for hour in range(24):
        near = [(hour + away) % 24 for away in range(-NEAR_HOURS, NEAR_HOURS + 1)]
        noted = [at_hour[one] for one in near if at_hour[one]]
        days_near.append(len(set().union(*noted)))
        is_known = days_near[-1] >= FEWEST_NEAR_DAYS
        by_hour.append(sum(sums[one] for one in near) / sum(map(len, noted)) if is_known else None)
    usual = Baseline(tuple(by_hour), tuple(days_near))
    kinds: tuple[list[float], list[float]] = ([], [])
    for day, off in usual.days_off(scores).items():
        kinds[is_weekend(day)].append(off)
    if min(map(len, kinds)) < FEWEST_KIND_DAYS:
        return usual
    return Baseline(usual.by_hour, usual.days_near, *map(_mean, kinds))


def _mean(values: Collection[float]) -> float:
    return sum(values) / len(values)
