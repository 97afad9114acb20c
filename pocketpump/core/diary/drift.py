"""A slow drift: whether a score creeps up or down over months."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pocketpump.core.diary.baseline import Scores, baseline_of, scores_by_hour
from pocketpump.core.diary.check_ins import SCALE_WORDS, STIFFNESS, Reading, between
from pocketpump.core.diary.response_text import points_text
from pocketpump.core.messages import message, plural_message
from pocketpump.core.statistics.linear_trend import Trend, needed_times_error, trend_of
from pocketpump.core.units.quantity import format_number

DRIFT_WEEKS = 26
"""At most so many weeks back (own choice): about one or two refills."""
FEWEST_WEEKS = 11
"""Fewer weeks with three or more days each are not enough to say (own choice, measured)."""
FEWEST_DAYS_A_WEEK = 3
DRIFT_P = 0.012
"""Chance allowed to one look; with a look each week, two hits in a row and either direction it
gives at most one false drift in ten years (measured: docs/measured.md)."""
LEAST_DRIFT_POINTS = 0.75
"""A drift of less than this over the whole stretch is too small to speak of (own choice)."""
# Note: stands after "since".
LAST_CHANGE = message("the last change")
_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Drift:
    """Whether stiffness creeps up or down.

    ``verdict`` is "not enough", "rising", "falling" or "steady"; ``trend`` is the line up to the
    end of the last whole week (None while there is not enough) through ``days`` days, ``weeks``
    of which have enough of them; ``sentence`` says it with n, ``lines`` are the working.
    """

    weeks: int
    days: int
    trend: Trend | None
    verdict: str
    sentence: str
    lines: tuple[str, ...]


def drift(
    marks: Sequence[Reading], now: datetime, *, since: datetime | None = None,
    since_what: str = LAST_CHANGE,
) -> Drift:  # fmt: skip
    """Return the drift of stiffness, ``marks`` in order of time, up to ``now``.

    Only days after ``since`` (the end of the last change's settling days) are looked at, so
    that a step at a change is not taken for a drift; ``since_what`` names it. It is judged once
    a week, at the end of Sunday, so that it does not matter how often one looks; and a drift is
    told only when the week before gave the same, each from the record alone. Days are compared as
    their distance from the usual score at their hours (`usual`), by a straight line (`trend`).
    """
    today = now.date()
    end = today - timedelta(days=today.weekday())
    first = end - DRIFT_WEEKS * _WEEK
    score = SCALE_WORDS[STIFFNESS]
    time = message("in the last {weeks} weeks", weeks=DRIFT_WEEKS)
    if not marks or marks[0].at.date() > first:
        time = message("since the first check-in")
    settled = None if since is None else since.date() + timedelta(days=1)
    if settled is not None and settled >= first:
        time = message("since {what}", what=since_what)
    # A day more on either side, since a check-in far away has a date of its own.
    near = scores_by_hour(between(marks, now - (DRIFT_WEEKS + 2) * _WEEK - timedelta(days=1), now))
    days, weeks, trend = _line(near, end, settled)
    if weeks < FEWEST_WEEKS or trend is None:
        sentence = message(
            "Slow drift of {score} {time}: not enough to say ({weeks}; {needed} are needed).",
            score=score,
            time=time,
            weeks=plural_message(
                "{count} weeks with 3 or more days", "{count} weeks with 3 or more days", weeks
            ),
            needed=FEWEST_WEEKS,
        )
        return Drift(weeks, days, None, "not enough", sentence, ())
    _, _, before = _line(near, end - _WEEK, settled)
    now_told, told_before = _told(trend), _told(before)
    verdict = now_told if now_told == told_before else "steady"
    counts = message("({weeks} weeks, {days} days)", weeks=weeks, days=days)
    points = points_text(trend.whole)
    if verdict == "steady":
        sentence = message(
            "No clear slow drift of {score} {time} {counts}.", score=score, time=time, counts=counts
        )
    elif verdict == "rising":
        sentence = message(
            "{time} {score} has been slowly rising: about {points} over the time looked at"
            " {counts}. That is worth telling the clinic.",
            time=time.capitalize(), score=score, points=points, counts=counts,
        )  # fmt: skip
    else:
        sentence = message(
            "{time} {score} has been slowly falling: about {points} over the time looked at"
            " {counts}. That is worth telling the clinic.",
            time=time.capitalize(), score=score, points=points, counts=counts,
        )  # fmt: skip
    return Drift(weeks, days, trend, verdict, sentence, _lines(trend, before))


def _line(near: Scores, end: date, settled: date | None) -> tuple[int, int, Trend | None]:
    """Return how many days, how many weeks with enough of them, and the line before ``end``."""
    first = end - DRIFT_WEEKS * _WEEK
    if settled is not None:
        first = max(first, settled)
    scores = {when: score for when, score in near.items() if first <= when[0] < end}
    off = baseline_of(scores).days_off(scores)
    back = [(day - end).days for day in off]
    by_week = Counter(number // 7 for number in back)
    weeks = sum(days >= FEWEST_DAYS_A_WEEK for days in by_week.values())
    return len(off), weeks, trend_of(back, tuple(off.values()))


def _told(trend: Trend | None) -> str:
    if trend is None or abs(trend.whole) < LEAST_DRIFT_POINTS or not trend.is_clear(DRIFT_P):
        return "steady"
    return "rising" if trend.whole > 0 else "falling"


def _lines(trend: Trend, before: Trend | None) -> tuple[str, ...]:
    def error(line: Trend | None) -> str:
        return "–" if line is None else format_number(abs(line.times_error), 1)

    return (
        message(
            "Each score is compared with what is usual for you at about that hour, on weekdays and"
            " weekends apart; one value a day, up to last Sunday."
        ),
        message(
            "Straight line through the days (least squares): {slope} points a week.",
            slope=format_number(trend.per_day * 7, 2),
        ),
        message(
            "That is {times} times its error, and {before} times a week earlier; the error is"
            " widened because neighbouring days are alike (variance times {factor}).",
            times=error(trend),
            before=error(before),
            factor=format_number(trend.factor, 1),
        ),
        message(
            "Told only when it is at least {needed} times its error and {points} in two weeks in a"
            " row.",
            needed=format_number(needed_times_error(DRIFT_P, trend.degrees), 1),
            points=points_text(LEAST_DRIFT_POINTS),
        ),
    )
