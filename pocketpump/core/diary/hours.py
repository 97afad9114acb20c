"""Stiffness by the hour of the wall clock beside the rate by the hour.

Where the two disagree is said as something to show the clinic; what should be set is never
said. A rate acts later than it runs: after a bolus most at about four hours, at a new steady rate
first after six to eight (label). So a span counts only where the rate of the four hours before it
stood as its own does; anything slower is not considered, and that is said.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, timezone, tzinfo
from itertools import pairwise
from statistics import fmean, median, median_high, median_low

from pocketpump.core.diary.check_ins import Reading, between
from pocketpump.core.diary.hour_spans import (
    FEW_DAYS,
    FEWEST_DAYS,
    JUDGED,
    LEAST_RATE_SHARE,
    RATE_CHANGES,
    SPAN_HOURS,
    Disagreement,
    Span,
)
from pocketpump.core.diary.hours_text import hours_lines, hours_sentence
from pocketpump.core.pump.programme import Programme, curve_of
from pocketpump.core.statistics.effective_sample import likeness, variance_factor
from pocketpump.core.statistics.ranks import median_difference
from pocketpump.core.units.instants import to_seconds

LEAST_SHARE = 0.6
"""Of the days with a check-in at least so many must have both (own choice, measured): who notes
the evening only when it is bad would otherwise seem to have bad evenings."""
HOURS_DAYS = 56
# Six spans are looked at, so each may be wrong in one of 120 (Bonferroni, 5 % in all).
_CONFIDENCE = 1 - 0.05 / (24 / SPAN_HOURS)
LEAST_POINTS = 1.0
_STARTS = range(0, 24, SPAN_HOURS)


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

    ``levels`` is how each span's rate, and that of the four hours before it, stand to their mean
    of the day: 1 above, 0 at it, -1 below.
    """

    scores: Mapping[int, float]
    levels: Mapping[int, frozenset[int]]

    def is_level(self, start: int, *, above: bool) -> bool:
        """Whether the rate is above its mean both in the span and before it, or in neither."""
        return all((level > 0) == above for level in self.levels[start])

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
) -> Hours:
    """Return stiffness, ``marks`` in order of time, by hour beside the programme's rate by hour.

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
    compared: list[Disagreement] = []
    spans = []
    for start in _STARTS:
        judged = [_judged(days, start, rates, above=above) for above in (False, True)]
        found = [one for one in judged if one is not None]
        spans.append(found[0].span if found else _span(days, start, rates, judged=False))
        compared += found
    disagree = tuple(one for one in compared if _disagrees(one))
    sentence = hours_sentence(len(days), spans, disagree)
    return Hours(tuple(spans), rates, disagree, sentence, hours_lines(spans))


def _days(marks: Iterable[Reading], programme: Programme) -> list[_Day]:
    by_day: dict[date, list[Reading]] = {}
    for mark in marks:
        by_day.setdefault(mark.at.date(), []).append(mark)
    known: dict[tuple[int, timedelta], dict[int, frozenset[int]]] = {}
    days = []
    for day, members in by_day.items():
        offset = members[0].at.utcoffset() or timedelta(0)
        # The programme runs by the week, so a weekday by one clock is always the same.
        clock = (day.weekday(), offset)
        if clock not in known:
            zone = timezone(offset)
            before = rate_by_hour(programme, day - timedelta(days=1), zone)
            known[clock] = _levels(rate_by_hour(programme, day, zone), before)
        scores: dict[int, list[float]] = {}
        for mark in members:
            scores.setdefault(mark.at.hour // SPAN_HOURS * SPAN_HOURS, []).append(mark.value)
        days.append(_Day({start: median(values) for start, values in scores.items()}, known[clock]))
    return days


def _levels(rates: Sequence[float], day_before: Sequence[float]) -> dict[int, frozenset[int]]:
    own, last = _own_levels(rates), _own_levels(day_before)[_STARTS[-1]]
    return {
        start: frozenset((own[start], own[start - SPAN_HOURS] if start else last))
        for start in _STARTS
    }


def _own_levels(rates: Sequence[float]) -> dict[int, int]:
    mean = fmean(rates)
    off = {start: fmean(rates[start : start + SPAN_HOURS]) - mean for start in _STARTS}
    return {
        s: 0 if abs(o) <= LEAST_RATE_SHARE * mean else 1 if o > 0 else -1 for s, o in off.items()
    }


def _span(days: Sequence[_Day], start: int, rates: Sequence[float], *, judged: bool) -> Span:
    noted = [day for day in days if start in day.scores]
    middle = median(day.scores[start] for day in noted) if noted else None
    coverage = JUDGED if judged else FEW_DAYS
    # Were the rate left out of it, there would be enough.
    if not judged and _enough(days, [day for day in noted if len(day.scores) > 1]):
        coverage = RATE_CHANGES
    rate = fmean(rates[start : start + SPAN_HOURS])
    return Span(start, len(noted), middle, rate, coverage)


def _enough(alike: Sequence[_Day], compared: Sequence[object]) -> bool:
    return len(compared) >= max(FEWEST_DAYS, LEAST_SHARE * len(alike))


def _judged(
    days: Sequence[_Day], start: int, rates: Sequence[float], *, above: bool
) -> Disagreement | None:
    """Compare the span on the days when its rate is above the mean, or on the others."""
    alike = [day for day in days if day.is_level(start, above=above)]
    pairs = [(day, off) for day in alike if (off := day.difference(start, lower=above)) is not None]
    if not _enough(alike, pairs):
        return None
    differences = [off for _, off in pairs]
    # Not raised by its own error (own choice, measured: test_false_alarms.py).
    inflation = variance_factor(likeness([differences], raised_by=0))
    shift = median_difference(differences, confidence=_CONFIDENCE, inflation=inflation)
    levels = {level for day, _ in pairs for level in day.levels[start]}
    words = {1: "above", 0: "at", -1: "below"}
    level = "at or below" if len(levels) > 1 else words[levels.pop()]
    if shift is None:
        return None
    return Disagreement(_span(days, start, rates, judged=True), shift, len(pairs), level)


def _disagrees(one: Disagreement) -> bool:
    """Stiffer than the rest where the rate is not above its mean, or looser where it is.

    A steady rate is never called too high: hours that are better than others need no word.
    """
    if abs(one.shift.points) < LEAST_POINTS:
        return False
    return one.shift.high < 0 if one.level == "above" else one.shift.low > 0
