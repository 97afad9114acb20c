"""Stiffness by the hour of the wall clock beside the rate by the hour.

Where the two disagree is said as something to show the clinic; what should be set is never
said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise
from statistics import fmean, median

from pocketpump.core.diary import STIFFNESS, Reading, between
from pocketpump.core.instants import start_of, to_seconds
from pocketpump.core.pattern import Programme, curve_of
from pocketpump.core.quantity import format_number
from pocketpump.core.response import points_text
from pocketpump.core.statistics import Shift, hodges_lehmann

SPAN_HOURS = 4
"""Six spans a day (own choice): finer ones rarely hold enough check-ins."""
FEWEST_CHECK_INS = 8
"""Fewer check-ins in a span, or fewer in the rest, are not enough to say (own choice)."""
HOURS_DAYS = 56
# Six spans are looked at, so each may be wrong in one of 120 (Bonferroni, 5 % in all).
_CONFIDENCE = 1 - 0.05 / (24 / SPAN_HOURS)
LEAST_POINTS = 1.0


@dataclass(frozen=True, slots=True)
class Span:
    """One span of the day: ``start_hour`` to ``start_hour`` + `SPAN_HOURS` by the wall clock.

    ``middle`` is the median score (None without check-ins), ``shift`` how far these scores lie
    above those of the rest of the day (None: too few), ``rate_mcg_per_h`` the mean rate.
    """

    start_hour: int
    check_ins: int
    middle: float | None
    shift: Shift | None
    rate_mcg_per_h: float

    @property
    def name(self) -> str:
        """The span in words: "04:00 to 08:00"."""
        return f"{self.start_hour:02d}:00 to {(self.start_hour + SPAN_HOURS) % 24:02d}:00"


@dataclass(frozen=True, slots=True)
class Hours:
    """The day in spans, the rate of each of its 24 hours, and what disagrees, in words."""

    spans: tuple[Span, ...]
    rate_by_hour_mcg_per_h: tuple[float, ...]
    disagree: tuple[Span, ...]
    sentence: str
    lines: tuple[str, ...]


def rate_by_hour(programme: Programme, day: date, zone: tzinfo) -> tuple[float, ...]:
    """Return the mean rate, mcg/h, in each hour of the wall clock of ``zone`` on ``day``.

    Timed boluses are counted at their hour, requested ones not at all, as nobody knows when.
    On a day with 23 or 25 hours the clock's own hours are still 24.
    """
    curve = curve_of(programme, 0.0)
    wall = start_of(day, zone).replace(tzinfo=None)
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
    made and had settled. ``now`` is aware; its zone gives the wall clock of the rate.
    """
    begin = now - timedelta(days=HOURS_DAYS)
    begin = begin if since is None else max(begin, since)
    kept = between(marks, begin, now)
    zone = now.tzinfo
    assert zone is not None  # an instant is aware
    rates = rate_by_hour(programme, now.date(), zone)
    spans = tuple(_span(kept, start, rates) for start in range(0, 24, SPAN_HOURS))
    mean = fmean(rates)
    disagree = tuple(span for span in spans if _disagrees(span, mean))
    judged = [span for span in spans if span.shift is not None]
    return Hours(spans, rates, disagree, _sentence(kept, judged, disagree, scale, mean),
                 _lines(spans, scale))  # fmt: skip


def _span(marks: Sequence[Reading], start: int, rates: Sequence[float]) -> Span:
    inside = [m.value for m in marks if start <= m.at.hour < start + SPAN_HOURS]
    outside = [m.value for m in marks if not start <= m.at.hour < start + SPAN_HOURS]
    shift = None
    if min(len(inside), len(outside)) >= FEWEST_CHECK_INS:
        shift = hodges_lehmann(outside, inside, confidence=_CONFIDENCE)
    middle = median(inside) if inside else None
    return Span(start, len(inside), middle, shift, fmean(rates[start : start + SPAN_HOURS]))


def _disagrees(span: Span, mean_rate: float) -> bool:
    """Stiffer than the rest where the rate is not above its mean, or looser where not below.

    A steady rate is never called too high: hours that are better than others need no word.
    """
    shift = span.shift
    if shift is None or abs(shift.points) < LEAST_POINTS:
        return False
    hair = 1e-9 * mean_rate
    if shift.low > 0:
        return span.rate_mcg_per_h <= mean_rate + hair
    return shift.high < 0 and span.rate_mcg_per_h > mean_rate + hair


def _sentence(
    marks: Sequence[Reading],
    judged: Sequence[Span],
    disagree: Sequence[Span],
    scale: str,
    mean_rate: float,
) -> str:
    counts = f"({len(marks)} check-ins)"
    if len(judged) < 2:
        return (
            f"{scale.capitalize()} by the hour: not enough to say {counts}; {FEWEST_CHECK_INS}"
            " are needed in each of two spans of the day."
        )
    if not disagree:
        return f"No hours stand out where {scale} and the pump's rate disagree {counts}."
    parts = []
    for span in disagree:
        assert span.shift is not None  # judged
        word = "higher" if span.shift.points > 0 else "lower"
        level = "below" if span.rate_mcg_per_h < mean_rate * (1 - 1e-9) else (
            "above" if span.rate_mcg_per_h > mean_rate * (1 + 1e-9) else "at")  # fmt: skip
        parts.append(
            f"from {span.name} {scale} is {word} by about {points_text(span.shift.points)} while"
            f" the rate is {level} its daily mean"
        )
    return f"Hours to show the clinic: {'; '.join(parts)} {counts}."


def _lines(spans: Sequence[Span], scale: str) -> tuple[str, ...]:
    lines = [
        f"{span.name}: median {scale} "
        f"{'–' if span.middle is None else format_number(span.middle, 1)}"
        f" ({span.check_ins} check-ins), rate {format_number(span.rate_mcg_per_h, 2)} mcg/h."
        for span in spans
    ]
    return (
        *lines,
        "Each span is compared with the rest of the day by ranks; the hours are those of the"
        " wall clock where the check-in was made.",
    )
