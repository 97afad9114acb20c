"""Two stretches of days compared: one shift, and an interval that holds whatever may explain it.

Three things look like the effect of a change and are none: other hours (`like_with_like`), days
that are alike (`rank_test`), and a score that was moving anyway (`interrupted_series`). And a
change made in a bad week is followed by better ones whatever was changed (Barnett 2005), so after
such a week, or two or three, the days without them are compared, too. The interval holds every
shift that any of these keeps; so `verdict` can claim only what all of them exclude.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import ceil, isfinite
from statistics import NormalDist, fmean

from pocketpump.core.diary.stratified import Matched, Side, matched
from pocketpump.core.diary.verdict import FEWEST_DAYS
from pocketpump.core.statistics.interrupted_series import Step, step_in_series
from pocketpump.core.statistics.rank_test import RankShift, rank_shift
from pocketpump.core.statistics.ranks import Shift, theil_sen

GRAIN = 1.0
"""Scores are whole numbers."""
_BAD_WEEKS = (1, 2, 3)
"""So many weeks before the change may have been a bad spell (own choice: of four)."""
_BAD_SHARE = 0.1
"""Weeks are bad that lie this share of the scale above the days before them: one point of ten (own
choice)."""
_WEEK_DAYS = 7
_MOVING_POINTS = 0.5
"""A score that moves less over the days before than this is not called moving (own choice)."""
_NONE_LEFT = Shift(0.0, 0.0, 0.0)
"""Where nothing is left without the bad weeks, no shift is not excluded."""
_ALIKE = 3.0
_FAR_POINTS = 1.0
_FOUND = NormalDist().inv_cdf(0.8)


@dataclass(frozen=True, slots=True)
class Caution:
    """How sure a look must be: ``confidence`` of the rank test, ``tail`` of the step, one-sided.

    Against a trend one side counts: a slow fall is never taken for a rise.
    """

    confidence: float
    tail: float


FIRST_LOOK, LAST_LOOK = Caution(0.99, 0.02), Caution(0.95, 0.10)
"""The first look is the surer one, so that two looks together are as sure as one (O'Brien &
Fleming 1979); how sure, chosen on simulated diaries (docs/measured.md)."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """What two sides say.

    ``shift`` holds the points and the widest interval; ``ranks`` and ``step``, the shift beside a
    trend, are the parts it is made of. ``visible`` is the shift, in points, that would have been
    found in four of five such diaries. ``moving`` is the slope of the days before, in points a
    week, where it is worth a word, else 0; ``surely_moving`` where that is more than chance.
    ``bad_weeks`` are the weeks right before that were worse than the days before them, 0 when none
    were; ``pair`` is what was compared, as surely as ``caution``.
    """

    shift: Shift
    ranks: RankShift
    step: Shift
    visible: float
    moving: float
    surely_moving: bool
    bad_weeks: int
    pair: Matched
    caution: Caution

    @property
    def ranks_differ(self) -> bool:
        """Whether the two sides differ by their ranks alone."""
        return self.ranks.shift.low > 0 or self.ranks.shift.high < 0

    @property
    def was_moving(self) -> bool:
        """Whether the score moved before as it lies after, and either is more than chance."""
        on = self.moving * self.shift.points > 0
        far = abs(self.shift.points) >= _FAR_POINTS
        return on and (self.ranks_differ or (self.surely_moving and far))

    @property
    def may_be_slow(self) -> bool:
        """Whether only a slow change over the whole time would explain that the ranks differ."""
        return self.ranks_differ and self.step.low <= 0 <= self.step.high

    def more_days(self, wanted: float) -> int | None:
        """Return how many days more, noted like these, either side would need for ``wanted``.

        The shift that shows shrinks with the root of the days. None when nobody can say.
        """
        if not isfinite(self.visible):
            return None
        days = min(len(self.pair.days(side)) for side in (0, 1))
        return max(0, ceil(days * ((self.visible / wanted) ** 2 - 1)))

    @property
    def alike(self) -> bool:
        """Whether the days are worth less than a third of as many independent ones."""
        return self.ranks.factor > _ALIKE


# A drawn diary asks again for answers that stand; those of ten years fit.
@lru_cache(maxsize=256)
def compared(before: Side, after: Side, highest: float, caution: Caution) -> Comparison | None:
    """Compare two sides whose scores run up to ``highest``; None when too few are comparable."""
    pair = matched(before, after)
    if min(len(pair.days(side)) for side in (0, 1)) < FEWEST_DAYS:
        return None
    parts = _parts(pair, caution)
    if parts is None:
        return None
    ranks, step = parts
    beside = step.interval(caution.tail)
    bounds = [ranks.shift, beside]
    daily, bad_weeks = pair.daily(0), 0
    for weeks in _BAD_WEEKS:
        # Before a longer spell the diary must have had a week of other days to tell it by.
        if weeks > 1 and (before.last - before.first).days + 1 < (weeks + 1) * _WEEK_DAYS:
            break
        since = before.last - timedelta(days=weeks * _WEEK_DAYS - 1)
        if _is_bad(daily, since, highest):
            bad_weeks = weeks
            rest = pair.without(since)
            left = None if rest is None else _parts(rest, caution)
            bounds += [left[0].shift, left[1].interval(caution.tail)] if left else [_NONE_LEFT]
    low, high = min(one.low for one in bounds), max(one.high for one in bounds)
    reach = max(
        ranks.standard_error * (ranks.edge + _FOUND),
        (beside.high - beside.low) / 2 + step.standard_error * _FOUND,
    )
    shift = Shift(ranks.shift.points, low, high)
    return Comparison(shift, ranks, beside, reach, *_moving(daily), bad_weeks, pair, caution)


def _parts(pair: Matched, caution: Caution) -> tuple[RankShift, Step] | None:
    strata = list(pair.strata.values())
    ranks = rank_shift(strata, confidence=caution.confidence, grain=GRAIN)
    if ranks is None:
        return None
    daily = pair.daily(0) | pair.daily(1)
    shares = pair.shares()
    after = set(pair.days(1))
    step = step_in_series(
        [day.toordinal() for day in daily],
        list(daily.values()),
        [day in after for day in daily],
        # The shares of a day add up to one, so the last says nothing more.
        list(zip(*(shares[day] for day in daily), strict=True))[:-1],
        grain=GRAIN,
    )
    return None if step is None else (ranks, step)


def _is_bad(daily: dict[date, float], since: date, highest: float) -> bool:
    """Whether the days from ``since`` on were worse than those before; so when there are none."""
    late = [value for day, value in daily.items() if day >= since]
    early = [value for day, value in daily.items() if day < since]
    if not late or not early:
        return bool(late)
    return fmean(late) - fmean(early) >= _BAD_SHARE * highest


def _moving(daily: dict[date, float]) -> tuple[float, bool]:
    days: Sequence[int] = [day.toordinal() for day in daily]
    slope = theil_sen(days, list(daily.values()))
    if slope is None or abs(slope.per_unit) * (days[-1] - days[0]) < _MOVING_POINTS:
        return 0.0, False
    return slope.per_unit * _WEEK_DAYS, slope.low > 0 or slope.high < 0
