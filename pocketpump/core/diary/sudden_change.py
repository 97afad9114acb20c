"""A sudden change: the last one to three days against what was usual before."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import fmean

from pocketpump.core.diary.baseline import baseline_of, scores_by_hour
from pocketpump.core.diary.check_ins import SCALE_WORDS, STIFFNESS, Reading
from pocketpump.core.diary.response_text import points_text
from pocketpump.core.messages import LazyText, message, plural_message
from pocketpump.core.units.quantity import format_number

USUAL_DAYS = 56
"""What is usual is learnt from so many days (own choice, measured): with four weeks, a spell of bad
days makes the next good ones look sudden."""
FEWEST_USUAL_DAYS = 14
"""Fewer days with a check-in are not enough to say what is usual (own choice, measured)."""
SUDDEN_POINTS = (4.0, 2.5, 2.0)
"""From so many points on one day, two days, three days are told (own choice)."""
SUDDEN_TIMES = 4.0
"""And from so many times the usual spread of such means on (own choice, measured)."""
LOOK_BACK_DAYS = USUAL_DAYS + len(SUDDEN_POINTS) + 1
"""Readings of so many days back are all that is looked at."""


@dataclass(frozen=True, slots=True)
class Sudden:
    """The last days against what was usual for the person before.

    ``verdict`` is "not enough", "above", "below" or "usual"; ``usual`` the usual score at the hour
    of today's newest one, ``value``; ``points`` is how far the mean of the last ``days`` days with
    a check-in lies above (or, below zero, under) the usual.
    """

    verdict: str
    value: float | None
    usual: float | None
    points: float | None
    days: int
    sentence: str
    lines: tuple[str, ...]


def sudden_change(marks: Iterable[Reading], today: date) -> Sudden:
    """Return how today and the days before compare with what was usual for stiffness.

    Today counts with its newest reading, yesterday and the day before with their mean, each as the
    distance from what is usual at that hour (`usual`), learnt from the `USUAL_DAYS` before these
    three. Today alone, and the mean of the last two and three, are held against the spread of
    such means in that time: the more alike a person's days are, the wider the means of
    several scatter, and the more is needed (sums of the last values: Page 1954, from memory).
    """
    score = SCALE_WORDS[STIFFNESS]
    recent_days = len(SUDDEN_POINTS)
    recent: list[Reading] = []
    before: list[Reading] = []
    for mark in marks:
        back = (today - mark.at.date()).days
        if 0 <= back < recent_days:
            recent.append(mark)
        elif recent_days <= back < recent_days + USUAL_DAYS:
            before.append(mark)
    newest = max((m for m in recent if m.at.date() == today), key=lambda m: m.at, default=None)
    if newest is None:
        sentence = message("Today's {score}: no check-in yet.", score=score)
        return Sudden("not enough", None, None, None, 0, sentence, ())
    scores = scores_by_hour(before)
    usual = baseline_of(scores)
    at_hour = usual.at(newest.at)
    known = tuple(usual.off_by_day(scores).values())
    if at_hour is None or len(known) < FEWEST_USUAL_DAYS:
        days = min(len(known), usual.days_near[newest.at.hour])
        sentence = message(
            "Today's {score} against what is usual for you at this time of day: not enough to say"
            " ({days}; {needed} are needed).",
            score=score,
            days=plural_message("{count} days", "{count} days", days),
            needed=FEWEST_USUAL_DAYS,
        )
        return Sudden("not enough", newest.value, None, None, 0, sentence, ())
    earlier = usual.days_off(scores_by_hour(m for m in recent if m.at.date() < today))
    off = (newest.value - at_hour, *reversed(earlier.values()))
    means = [fmean(off[: days + 1]) for days in range(len(off))]
    needed = [_needed(known, days + 1) for days in range(len(off))]
    days = max(range(len(off)), key=lambda number: abs(means[number]) / needed[number])
    points, verdict = means[days], "usual"
    if abs(points) >= needed[days]:
        verdict = "above" if points > 0 else "below"
    return Sudden(
        verdict,
        newest.value,
        at_hour,
        points,
        days + 1,
        _sentence(score, verdict, points, days + 1, newest.value, at_hour, len(known)),
        _lines(len(known), means, needed),
    )


def _needed(known: Sequence[Sequence[float]], days: int) -> float:
    """Return from how many points on the mean of ``days`` days is told.

    Its usual spread is that of the same means on the days ``known``: each score once as the newest,
    the days before it with their means.
    """
    of_day = [sum(off) / len(off) for off in known]
    means = [
        (newest + sum(of_day[number - days + 1 : number])) / days
        for number in range(days - 1, len(known))
        for newest in known[number]
    ]
    middle = sum(means) / len(means)
    spread = sqrt(sum((mean - middle) ** 2 for mean in means) / (len(means) - 1))
    return max(SUDDEN_POINTS[days - 1], SUDDEN_TIMES * spread)


def _sentence(
    score: str, verdict: str, points: float, days: int, value: float, usual: float, known: int
) -> str:
    return _SENTENCES[verdict, days > 1 and verdict != "usual"].filled(
        score=score,
        value=format_number(value, 1),
        usual=format_number(usual, 1),
        points=points_text(points),
        recent=days,
        days=known,
    )


_SENTENCES: Mapping[tuple[str, bool], LazyText] = {
    ("usual", False): message(
        "Today's {score} of {value} is not far from what is usual for you at this time of day:"
        " about {usual} ({days} days)."
    ),
    ("above", False): message(
        "Today's {score} of {value} is well above what is usual for you at this time of"
        " day: about {usual} ({days} days)."
    ),
    ("below", False): message(
        "Today's {score} of {value} is well below what is usual for you at this time of"
        " day: about {usual} ({days} days)."
    ),
    ("above", True): message(
        "In the last {recent} days with a check-in {score} was about {points} above what is"
        " usual for you at that time of day ({days} days)."
    ),
    ("below", True): message(
        "In the last {recent} days with a check-in {score} was about {points} below what is"
        " usual for you at that time of day ({days} days)."
    ),
}
"""By verdict, and by whether it is of several days."""


def _lines(known: int, means: Sequence[float], needed: Sequence[float]) -> tuple[str, ...]:
    told = [
        message(
            "Mean of the last {days} days: {points} points from the usual; told from {needed} on.",
            days=days,
            points=format_number(mean, 1),
            needed=format_number(least, 1),
        )
        if days > 1
        else message(
            "Today: {points} points from the usual; told from {needed} on.",
            points=format_number(mean, 1),
            needed=format_number(least, 1),
        )
        for days, (mean, least) in enumerate(zip(means, needed, strict=True), start=1)
    ]
    return (
        message(
            "Usual is the mean of {count} days at about that hour, on weekdays and weekends apart,"
            " from the {days} days before the last three.",
            count=known,
            days=USUAL_DAYS,
        ),
        *told,
        message(
            "Needed are {times} times the usual spread, and at least {one}, {two} or {three}"
            " points for one, two or three days. In invented diaries that gave less than one false"
            " alarm a year.",
            times=format_number(SUDDEN_TIMES, 2),
            one=format_number(SUDDEN_POINTS[0], 1),
            two=format_number(SUDDEN_POINTS[1], 1),
            three=format_number(SUDDEN_POINTS[2], 1),
        ),
    )
