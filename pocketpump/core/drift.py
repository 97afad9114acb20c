"""A slow drift, and a sudden change: today against the usual range."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from pocketpump.core.diary import (
    SCALE_WORDS,
    STIFFNESS,
    Reading,
    between,
    daily_medians,
    weekly_medians,
)
from pocketpump.core.quantity import format_number
from pocketpump.core.response_text import points_text
from pocketpump.core.statistics import (
    Slope,
    Trend,
    mann_kendall,
    theil_sen,
    variance_inflation,
)
from pocketpump.core.wording import worded, worded_count

DRIFT_WEEKS = 26
"""At most so many weeks back (own choice): about one or two refills."""
FEWEST_WEEKS = 8
"""Fewer weeks with three or more days each are not enough to say (own choice)."""
DRIFT_P = 0.05
# A drift of less than this over the whole stretch is too small to speak of (own choice).
LEAST_DRIFT_POINTS = 1.0
# Note: stands after "since".
LAST_CHANGE = worded("the last change")

USUAL_DAYS = 28
"""The usual range is that of the 28 days before today (own choice)."""
FEWEST_USUAL_DAYS = 7
"""Fewer days with a check-in at this time of day are not enough to say (own choice, measured)."""
NEAR_HOURS = 3
"""Scores at most so far apart by the wall clock are of one time of day (own choice)."""
# One step can be chance in anyone; two beyond the usual range are told (own choice).
SUDDEN_POINTS = 2.0


@dataclass(frozen=True, slots=True)
class Drift:
    """Whether a score creeps up or down.

    ``verdict`` is "not enough", "rising", "falling" or "steady"; ``slope`` in points a week
    (None while there is not enough); ``sentence`` says it with n, ``lines`` are the working.
    """

    scale: str
    weeks: int
    days: int
    slope: Slope | None
    trend: Trend | None
    verdict: str
    sentence: str
    lines: tuple[str, ...]


def drift(
    marks: Sequence[Reading], now: datetime, *, since: datetime | None = None,
    since_what: str = LAST_CHANGE, scale: str = STIFFNESS,
) -> Drift:  # fmt: skip
    """Return the drift of ``marks`` (all of one scale, in order of time) up to ``now``.

    Only weeks after ``since`` (the end of the last change's settling days) are looked at, so
    that a step at a change is not taken for a drift; ``since_what`` names it. Medians
    of days make medians of weeks; Theil-Sen's slope over them, Mann-Kendall's test with its
    variance inflated by their likeness.
    """
    today = now.date()
    first = today - timedelta(days=7 * DRIFT_WEEKS - 1)
    score = SCALE_WORDS[scale]
    time = worded("in the last {weeks} weeks", weeks=DRIFT_WEEKS)
    if not marks or marks[0].at.date() > first:
        time = worded("since the first check-in")
    if since is not None and since.date() >= first:
        first, time = since.date() + timedelta(days=1), worded("since {what}", what=since_what)
    # The day before and after as well, since a check-in far away has a date of its own.
    wide = between(marks, now - timedelta(days=7 * DRIFT_WEEKS + 1), now + timedelta(days=1))
    days = {d: v for d, v in daily_medians(wide).items() if first <= d <= today}
    weeks = weekly_medians(days, today)
    if len(weeks) < FEWEST_WEEKS:
        sentence = worded(
            "Slow drift of {score} {time}: not enough to say ({weeks}; {needed} are needed).",
            score=score,
            time=time,
            weeks=worded_count(
                "{count} weeks with 3 or more days", "{count} weeks with 3 or more days", len(weeks)
            ),
            needed=FEWEST_WEEKS,
        )
        return Drift(scale, len(weeks), len(days), None, None, "not enough", sentence, ())
    slope = theil_sen(tuple(weeks), tuple(weeks.values()))
    assert slope is not None  # two or more weeks differ
    inflation = variance_inflation([_without_trend(weeks, slope)])
    trend = mann_kendall(tuple(weeks.values()), inflation)
    whole = slope.per_unit * (max(weeks) - min(weeks))
    verdict = "steady"
    if trend.p < DRIFT_P and abs(whole) >= LEAST_DRIFT_POINTS:
        verdict = "rising" if whole > 0 else "falling"
    counts = worded("({weeks} weeks, {days} days)", weeks=len(weeks), days=len(days))
    points = points_text(whole)
    if verdict == "steady":
        sentence = worded(
            "No clear slow drift of {score} {time} {counts}.", score=score, time=time, counts=counts
        )
    elif verdict == "rising":
        sentence = worded(
            "{time} {score} has been slowly rising: about {points} over the time looked at"
            " {counts}. That is worth telling the clinic.",
            time=time.capitalize(), score=score, points=points, counts=counts,
        )  # fmt: skip
    else:
        sentence = worded(
            "{time} {score} has been slowly falling: about {points} over the time looked at"
            " {counts}. That is worth telling the clinic.",
            time=time.capitalize(), score=score, points=points, counts=counts,
        )  # fmt: skip
    return Drift(scale, len(weeks), len(days), slope, trend, verdict, sentence,
                 _lines(len(weeks), slope, trend, inflation))  # fmt: skip


def _lines(weeks: int, slope: Slope, trend: Trend, inflation: float) -> tuple[str, ...]:
    chance = (
        worded("p below 0.001")
        if trend.p < 0.001
        else worded("p = {p}", p=format_number(trend.p, 3))
    )
    return (
        worded("The median of each day, then of each week: {weeks} weeks.", weeks=weeks),
        worded(
            "Slope (Theil and Sen): {slope} points a week.", slope=format_number(slope.per_unit, 2)
        ),
        worded(
            "Rises less falls over all pairs of weeks (Mann and Kendall): {sum}; variance"
            " multiplied by {factor} because weeks are alike; {chance}.",
            sum=trend.score,
            factor=format_number(inflation, 1),
            chance=chance,
        ),
        worded(
            "Told only when p is below {p} and the drift at least {points}.",
            p=format_number(DRIFT_P, 2),
            points=points_text(LEAST_DRIFT_POINTS),
        ),
    )


def _without_trend(weeks: dict[int, float], slope: Slope) -> tuple[float, ...]:
    return tuple(value - slope.per_unit * week for week, value in weeks.items())


@dataclass(frozen=True, slots=True)
class Sudden:
    """The newest score of today against the usual range at this time of day.

    ``verdict`` is "not enough", "above", "below" or "usual"; ``low`` and ``high`` are the
    least and the largest score at about this time on the usual days.
    """

    verdict: str
    value: float | None
    low: float | None
    high: float | None
    sentence: str
    lines: tuple[str, ...]


def sudden_change(marks: Iterable[Reading], today: date, *, scale: str = STIFFNESS) -> Sudden:
    """Return how today's newest reading compares with the days before (all of one scale).

    Like is compared with like: one reading with one of each of the `USUAL_DAYS` before, the
    nearest in time of day and at most `NEAR_HOURS` away, since many people are stiffer at one
    time of the day than at another. The usual range is the least to the largest of them. Were
    the days exchangeable, a new one would fall above all n in 1 of n + 1 (order statistics);
    days alike make it more, the two points of `SUDDEN_POINTS` fewer. The tests measure both.
    """
    score = SCALE_WORDS[scale]
    near = [m for m in marks if timedelta(0) <= today - m.at.date() <= timedelta(USUAL_DAYS + 1)]
    now = max((m for m in near if m.at.date() == today), key=lambda m: m.at, default=None)
    if now is None:
        sentence = worded("Today's {score}: no check-in yet.", score=score)
        return Sudden("not enough", None, None, None, sentence, ())
    usual = _at_this_time(now, near)
    if len(usual) < FEWEST_USUAL_DAYS:
        sentence = worded(
            "Today's {score} against your usual range at this time of day: not enough to say"
            " ({days}; {needed} are needed).",
            score=score,
            days=worded_count("{count} days", "{count} days", len(usual)),
            needed=FEWEST_USUAL_DAYS,
        )
        return Sudden("not enough", now.value, None, None, sentence, ())
    low, high = min(usual), max(usual)
    verdict, where = "usual", worded("within or near your usual range")
    if now.value >= high + SUDDEN_POINTS:
        verdict, where = "above", worded("well above your usual range")
    elif now.value <= low - SUDDEN_POINTS:
        verdict, where = "below", worded("well below your usual range")
    sentence = worded(
        "Today's {score} of {value} is {where} of {low} to {high} at this time of day"
        " ({days} days).",
        score=score,
        value=format_number(now.value, 1),
        where=where,
        low=format_number(low, 1),
        high=format_number(high, 1),
        days=len(usual),
    )
    lines = (
        worded(
            "Usual range: the lowest to the highest score within {hours} hours of {clock}, one of"
            " each day, in the last {days} days; {count} of them have one (median {median}).",
            hours=NEAR_HOURS,
            clock=f"{now.at:%H:%M}",
            days=USUAL_DAYS,
            count=len(usual),
            median=format_number(median(usual), 1),
        ),
        worded(
            "Told as sudden from {points} beyond that range on.",
            points=points_text(SUDDEN_POINTS),
        ),
    )
    return Sudden(verdict, now.value, low, high, sentence, lines)


def _at_this_time(now: Reading, marks: Iterable[Reading]) -> list[float]:
    """Return of each usual day the score nearest to the time of day of ``now``, if near."""
    wall = now.at.replace(tzinfo=None)
    nearest: dict[int, tuple[timedelta, float]] = {}
    for mark in marks:
        back = wall - mark.at.replace(tzinfo=None)
        days = round(back / timedelta(days=1))
        apart = abs(back - timedelta(days=days))
        if 1 <= days <= USUAL_DAYS and apart <= timedelta(hours=NEAR_HOURS):
            nearest[days] = min(nearest.get(days, (apart, mark.value)), (apart, mark.value))
    return [value for _, value in nearest.values()]
