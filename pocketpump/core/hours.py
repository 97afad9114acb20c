"""Stiffness by the hour of the wall clock beside the rate by the hour.

Where the two disagree is said as something to show the clinic; what should be set is never
said.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, timezone, tzinfo
from itertools import pairwise
from statistics import fmean, median, median_high, median_low

from pocketpump.core.diary import SCALE_WORDS, STIFFNESS, Reading, between
from pocketpump.core.instants import to_seconds
from pocketpump.core.pattern import Programme, curve_of
from pocketpump.core.quantity import format_number
from pocketpump.core.response_text import points_text
from pocketpump.core.statistics import Shift, median_difference, variance_inflation
from pocketpump.core.wording import joined, worded, worded_count

SPAN_HOURS = 4
"""Six spans a day (own choice): finer ones rarely hold enough check-ins."""
FEWEST_DAYS = 14
"""Fewer days with a check-in both in a span and outside it are not enough (own choice)."""
LEAST_SHARE = 0.6
"""Of the days with a check-in at least so many must have both (own choice, measured): who notes
the evening only when it is bad would otherwise seem to have bad evenings."""
HOURS_DAYS = 56
# Six spans are looked at, so each may be wrong in one of 120 (Bonferroni, 5 % in all).
_CONFIDENCE = 1 - 0.05 / (24 / SPAN_HOURS)
LEAST_POINTS = 1.0
_STARTS = range(0, 24, SPAN_HOURS)
_BESIDE = {
    "at": worded("while the rate is at its daily mean"),
    "below": worded("while the rate is below its daily mean"),
    "at or below": worded("while the rate is at or below its daily mean"),
    "above": worded("while the rate is above its daily mean"),
}


@dataclass(frozen=True, slots=True)
class Span:
    """One span of the day: ``start_hour`` to ``start_hour`` + `SPAN_HOURS` by the wall clock.

    ``days`` have a check-in in it; ``middle`` is the median of their scores, one a day (None
    without any); ``rate_mcg_per_h`` is the mean rate in it over a week.
    """

    start_hour: int
    days: int
    middle: float | None
    rate_mcg_per_h: float

    @property
    def name(self) -> str:
        """The span in words: "04:00 to 08:00"."""
        start, end = self.start_hour, (self.start_hour + SPAN_HOURS) % 24
        # Note: two clock times.
        return worded("{start} to {end}", start=f"{start:02d}:00", end=f"{end:02d}:00")


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A span whose scores lie above those of the rest of the same days by ``shift``.

    ``days`` were compared, on all of which the rate in the span stood as ``level`` says to
    its mean of that day: "at", "below", "at or below" or "above".
    """

    span: Span
    shift: Shift
    days: int
    level: str


@dataclass(frozen=True, slots=True)
class Hours:
    """The day in spans, the rate of each of its 24 hours over a week, and what disagrees."""

    spans: tuple[Span, ...]
    rate_by_hour_mcg_per_h: tuple[float, ...]
    disagree: tuple[Disagreement, ...]
    sentence: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Day:
    """One day with check-ins: the median score of each span noted.

    ``levels`` is how each span's rate stands to its mean of the day: 1 above, 0 at it, -1 below.
    """

    scores: Mapping[int, float]
    levels: Mapping[int, int]

    def difference(self, start: int, *, lower: bool) -> float | None:
        """How far the span's score lies above the rest of the day; None without either.

        Of two middle scores of the rest the one nearer counts: the lower one when it is asked
        whether the span lies ``lower``. So one bad evening does not make two calm spans calmer.
        """
        rest = [score for other, score in self.scores.items() if other != start]
        if not rest or start not in self.scores:
            return None
        return self.scores[start] - (median_low(rest) if lower else median_high(rest))


def rate_by_hour(programme: Programme, day: date, zone: tzinfo) -> tuple[float, ...]:
    """Return the mean rate, mcg/h, in each hour of the wall clock of ``zone`` on ``day``.

    Timed boluses are counted at their hour, requested ones not at all, as nobody knows when.
    On a day with 23 or 25 hours the clock's own hours are still 24.
    """
    curve = curve_of(programme, 0.0)
    # From midnight on the clock's face, also where the clocks skip it.
    wall = datetime.combine(day, time())
    edges = [to_seconds((wall + timedelta(hours=h)).replace(tzinfo=zone)) for h in range(25)]
    return tuple(
        curve.delivered(a, b) / (b - a) * 3_600 if b > a else curve.rate_at(a) * 3_600
        for a, b in pairwise(edges)
    )


def hours(
    marks: Sequence[Reading],
    programme: Programme,
    now: datetime,
    *,
    since: datetime | None = None,
    scale: str = STIFFNESS,
) -> Hours:
    """Return ``marks`` (one scale, in order of time) by hour beside the programme's rate by hour.

    Only the last `HOURS_DAYS` days count, and only those after ``since``, when the setting was
    made and had settled. One score a span and day, compared with the rest of the same day, so
    that neither a bad day nor many check-ins on it weigh more than once; and each day with the
    rate of its own weekday. ``now`` is aware; its zone gives the wall clock of the rate shown.
    """
    begin = now - timedelta(days=HOURS_DAYS)
    begin = begin if since is None else max(begin, since)
    days = _days(between(marks, begin, now), programme)
    zone = now.tzinfo
    assert zone is not None  # an instant is aware
    week = [rate_by_hour(programme, now.date() - timedelta(days=d), zone) for d in range(7)]
    rates = tuple(fmean(hour) for hour in zip(*week, strict=True))
    spans = tuple(_span(days, start, rates) for start in _STARTS)
    judged = [_judged(days, span, above=above) for span in spans for above in (False, True)]
    compared = [one for one in judged if one is not None]
    disagree = tuple(one for one in compared if _disagrees(one))
    return Hours(spans, rates, disagree, _sentence(len(days), bool(compared), disagree, scale),
                 _lines(spans, scale))  # fmt: skip


def _days(marks: Iterable[Reading], programme: Programme) -> list[_Day]:
    by_day: dict[date, list[Reading]] = {}
    for mark in marks:
        by_day.setdefault(mark.at.date(), []).append(mark)
    known: dict[tuple[int, timedelta], dict[int, int]] = {}
    days = []
    for day, members in by_day.items():
        offset = members[0].at.utcoffset() or timedelta(0)
        # The programme runs by the week, so a weekday by one clock is always the same.
        clock = (day.weekday(), offset)
        if clock not in known:
            known[clock] = _levels(rate_by_hour(programme, day, timezone(offset)))
        scores: dict[int, list[float]] = {}
        for mark in members:
            scores.setdefault(mark.at.hour // SPAN_HOURS * SPAN_HOURS, []).append(mark.value)
        days.append(_Day({start: median(values) for start, values in scores.items()}, known[clock]))
    return days


def _levels(rates: Sequence[float]) -> dict[int, int]:
    mean = fmean(rates)
    off = {start: fmean(rates[start : start + SPAN_HOURS]) - mean for start in _STARTS}
    return {s: 0 if abs(o) <= 1e-9 * mean else 1 if o > 0 else -1 for s, o in off.items()}


def _span(days: Sequence[_Day], start: int, rates: Sequence[float]) -> Span:
    inside = [day.scores[start] for day in days if start in day.scores]
    middle = median(inside) if inside else None
    return Span(start, len(inside), middle, fmean(rates[start : start + SPAN_HOURS]))


def _judged(days: Sequence[_Day], span: Span, *, above: bool) -> Disagreement | None:
    """Compare ``span`` on the days when its rate is above the mean, or on the others."""
    start = span.start_hour
    alike = [day for day in days if (day.levels[start] > 0) == above]
    pairs = [(day, off) for day in alike if (off := day.difference(start, lower=above)) is not None]
    if len(pairs) < max(FEWEST_DAYS, LEAST_SHARE * len(alike)):
        return None
    differences = [off for _, off in pairs]
    shift = median_difference(
        differences, confidence=_CONFIDENCE, inflation=variance_inflation([differences])
    )
    levels = {day.levels[start] for day, _ in pairs}
    words = {1: "above", 0: "at", -1: "below"}
    level = "at or below" if len(levels) > 1 else words[levels.pop()]
    return None if shift is None else Disagreement(span, shift, len(pairs), level)


def _disagrees(one: Disagreement) -> bool:
    """Stiffer than the rest where the rate is not above its mean, or looser where it is.

    A steady rate is never called too high: hours that are better than others need no word.
    """
    if abs(one.shift.points) < LEAST_POINTS:
        return False
    return one.shift.high < 0 if one.level == "above" else one.shift.low > 0


def _sentence(days: int, enough: bool, disagree: Sequence[Disagreement], scale: str) -> str:
    if not enough:
        return worded(
            "{score} by the hour: not enough to say ({days}). Needed are {needed} days with a"
            " check-in at about the same hour and one at another hour, and that on most days.",
            score=SCALE_WORDS[scale].capitalize(),
            days=_days_text(days),
            needed=FEWEST_DAYS,
        )
    if not disagree:
        return worded(
            "No hours stand out where {score} and the pump's rate disagree ({days} days).",
            score=SCALE_WORDS[scale],
            days=days,
        )
    parts = joined("; ", (_part(one, scale) for one in disagree))
    return worded("Hours to show the clinic: {parts}.", parts=parts)


def _part(one: Disagreement, scale: str) -> str:
    values = {
        "span": one.span.name,
        "score": SCALE_WORDS[scale],
        "points": points_text(one.shift.points),
        "beside": _BESIDE[one.level],
        "days": one.days,
    }
    if one.shift.points > 0:
        # Note: {beside} is like "while the rate is at its daily mean".
        return worded(
            "from {span} {score} is higher by about {points} than in the rest of the day,"
            " {beside} ({days} days)",
            **values,
        )
    # Note: {beside} is like "while the rate is at its daily mean".
    return worded(
        "from {span} {score} is lower by about {points} than in the rest of the day,"
        " {beside} ({days} days)",
        **values,
    )


def _lines(spans: Sequence[Span], scale: str) -> tuple[str, ...]:
    lines = [
        worded(
            "{span}: median {score} {median} ({days}), rate {rate} mcg/h.",
            span=span.name,
            score=SCALE_WORDS[scale],
            median="–" if span.middle is None else format_number(span.middle, 1),
            days=_days_text(span.days),
            rate=format_number(span.rate_mcg_per_h, 2),
        )
        for span in spans
    ]
    return (
        *lines,
        worded(
            "One score a span and day. Each span is compared with the rest of the same day by"
            " ranks (Wilcoxon), and only when it was noted on most days. The hours are those of"
            " the wall clock where the check-in was made; the rate counts by its own weekday."
        ),
    )


def _days_text(days: int) -> str:
    return worded_count("{count} days", "{count} days", days)
