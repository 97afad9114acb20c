"""A slow drift, and a sudden change: today against the usual range."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from pocketpump.core.diary import (
    STIFFNESS,
    Reading,
    between,
    daily_medians,
    weekly_medians,
)
from pocketpump.core.quantity import format_number
from pocketpump.core.response import points_text
from pocketpump.core.statistics import (
    Slope,
    Trend,
    mann_kendall,
    theil_sen,
    variance_inflation,
)

DRIFT_WEEKS = 26
"""At most so many weeks back (own choice): about one or two refills."""
FEWEST_WEEKS = 8
"""Fewer weeks with three or more days each are not enough to say (own choice)."""
DRIFT_P = 0.05
# A drift of less than this over the whole stretch is too small to speak of (own choice).
LEAST_DRIFT_POINTS = 1.0
LAST_CHANGE = "the last change"

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
    time = f"in the last {DRIFT_WEEKS} weeks"
    if not marks or marks[0].at.date() > first:
        time = "since the first check-in"
    if since is not None and since.date() >= first:
        first, time = since.date() + timedelta(days=1), f"since {since_what}"
    # The day before and after as well, since a check-in far away has a date of its own.
    wide = between(marks, now - timedelta(days=7 * DRIFT_WEEKS + 1), now + timedelta(days=1))
    days = {d: v for d, v in daily_medians(wide).items() if first <= d <= today}
    weeks = weekly_medians(days, today)
    if len(weeks) < FEWEST_WEEKS:
        sentence = (
            f"Slow drift of {scale} {time}: not enough to say ({len(weeks)} weeks with 3 or more"
            f" days; {FEWEST_WEEKS} are needed)."
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
    counts = f"({len(weeks)} weeks, {len(days)} days)"
    sentence = (
        f"No clear slow drift of {scale} {time} {counts}."
        if verdict == "steady"
        else f"{time.capitalize()} {scale} has been slowly {verdict}: about"
        f" {points_text(whole)} over the time looked at {counts}. That is worth telling the"
        " clinic."
    )
    lines = (
        f"The median of each day, then of each week: {len(weeks)} weeks.",
        f"Slope (Theil and Sen): {format_number(slope.per_unit, 2)} points a week.",
        f"Rises less falls over all pairs of weeks (Mann and Kendall): {trend.score}; variance"
        f" multiplied by {format_number(inflation, 1)} because weeks are alike;"
        f" p {'below 0.001' if trend.p < 0.001 else f'= {format_number(trend.p, 3)}'}.",
        f"Told only when p is below {format_number(DRIFT_P, 2)} and the drift at least"
        f" {points_text(LEAST_DRIFT_POINTS)}.",
    )
    return Drift(scale, len(weeks), len(days), slope, trend, verdict, sentence, lines)


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
    near = [m for m in marks if timedelta(0) <= today - m.at.date() <= timedelta(USUAL_DAYS + 1)]
    now = max((m for m in near if m.at.date() == today), key=lambda m: m.at, default=None)
    if now is None:
        sentence = f"Today's {scale}: no check-in yet."
        return Sudden("not enough", None, None, None, sentence, ())
    usual = _at_this_time(now, near)
    if len(usual) < FEWEST_USUAL_DAYS:
        sentence = (
            f"Today's {scale} against your usual range at this time of day: not enough to say"
            f" ({len(usual)} days; {FEWEST_USUAL_DAYS} are needed)."
        )
        return Sudden("not enough", now.value, None, None, sentence, ())
    low, high = min(usual), max(usual)
    verdict, words = "usual", "within or near"
    if now.value >= high + SUDDEN_POINTS:
        verdict, words = "above", "well above"
    elif now.value <= low - SUDDEN_POINTS:
        verdict, words = "below", "well below"
    sentence = (
        f"Today's {scale} of {format_number(now.value, 1)} is {words} your usual range of"
        f" {format_number(low, 1)} to {format_number(high, 1)} at this time of day"
        f" ({len(usual)} days)."
    )
    lines = (
        f"Usual range: the lowest to the highest score within {NEAR_HOURS} hours of {now.at:%H:%M},"
        f" one of each day, in the last {USUAL_DAYS} days; {len(usual)} of them have one (median"
        f" {format_number(median(usual), 1)}).",
        f"Told as sudden from {points_text(SUDDEN_POINTS)} beyond that range on.",
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
