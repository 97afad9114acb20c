"""What reaches the body: the old drug in the line, and the day pattern on the wall clock."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from itertools import pairwise
from math import inf

from pocketpump.core.pump.programme import DAY_MIN, Programme
from pocketpump.core.pump.timeline import Fill, Segment, Setting, Timeline, in_order
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.units.instants import from_seconds, start_of, to_seconds

_HOUR_S = 3_600


@dataclass(frozen=True, slots=True)
class Course:
    """What the body got after a strength change, with the bridge or without it (``bridged``).

    ``old_hours`` is how long the old drug still came, ``arrives_at`` when the new one did;
    both None when it did not come before the next refill. The rates are mcg/h reaching the
    body, averaged over the day of a pattern: ``before`` the refill, ``meanwhile`` with the old
    drug in the line, ``after`` the new one arrived.
    """

    bridged: bool
    arrives_at: datetime | None = None
    old_hours: float | None = None
    before_mcg_per_h: float | None = None
    meanwhile_mcg_per_h: float | None = None
    after_mcg_per_h: float | None = None


@dataclass(frozen=True, slots=True)
class StrengthChange:
    """A refill with another strength, and what the body got from it.

    ``courses`` holds one course; both, the one without a bridge first, while nobody knows
    whether there was one; none without a line volume, when nothing can be computed.
    """

    fill: Fill
    old_mcg_per_ml: float
    courses: tuple[Course, ...]


def strength_changes(
    fills: Sequence[Fill], settings: Sequence[Setting], line_volume_ml: float | None, zone: tzinfo
) -> tuple[StrengthChange, ...]:
    """Return every strength change of ``fills``, oldest first; instants in ``zone``."""
    ordered = in_order(fills)
    found = []
    for index, (before, fill) in enumerate(pairwise(ordered), 1):
        if before.strength_mcg_per_ml == fill.strength_mcg_per_ml:
            continue
        courses = []
        for bridged in (False, True) if fill.bridged is None else (fill.bridged,):
            supposed = [*ordered[:index], replace(fill, bridged=bridged), *ordered[index + 1 :]]
            timeline, _ = build_timeline(supposed, settings, line_volume_ml)
            course = _course(timeline, index, bridged, zone)
            courses += [course] if course else []
        found.append(StrengthChange(fill, before.strength_mcg_per_ml, tuple(courses)))
    return tuple(found)


def _course(timeline: Timeline, index: int, bridged: bool, zone: tzinfo) -> Course | None:
    fill = timeline.fills[index]
    own = [segment for segment in timeline.segments if segment.fill == index]
    if not own or own[0].tip_mcg_per_ml is None:
        return None
    started_s = to_seconds(fill.at)
    waiting = [s for s in own if s.tip_mcg_per_ml != fill.strength_mcg_per_ml]
    arrives_s = waiting[-1].end_s if waiting else started_s
    # Up to the next refill, or never with a stopped pump: the new drug has not come by then.
    came = arrives_s < own[-1].end_s
    after = next((s for s in own if s.start_s >= arrives_s), None) if came else None
    return Course(
        bridged,
        arrives_at=from_seconds(arrives_s, zone) if came and arrives_s < inf else None,
        old_hours=(arrives_s - started_s) / _HOUR_S if came else None,
        before_mcg_per_h=_mean(timeline.segment_at(started_s - 1)),
        meanwhile_mcg_per_h=_mean(waiting[0]) if waiting else None,
        after_mcg_per_h=_mean(after),
    )


def _mean(segment: Segment | None) -> float | None:
    if segment is None or segment.tip_mcg_per_ml is None:
        return None
    flow = segment.curve.week_mcg / segment.divisor_mcg_per_ml
    return flow * segment.tip_mcg_per_ml / (7 * 24)


@dataclass(frozen=True, slots=True)
class WallStep:
    """From ``minute`` (0-1439) of the wall clock on: a rate, or at that minute a bolus.

    ``weekday`` is 0 Monday - 6 Sunday by the wall, None when it is the same every day.
    """

    minute: int
    rate_mcg_per_hour: float | None = None
    bolus_mcg: float | None = None
    weekday: int | None = None


@dataclass(frozen=True, slots=True)
class WallSpan:
    """The days ``first`` to ``last`` (inclusive) in which the wall clock stays as it is.

    ``shift_minutes`` is the wall clock less the pump's clock. A day on which the wall clock
    changes is counted to the span after it.
    """

    first: date
    last: date
    shift_minutes: int
    steps: tuple[WallStep, ...]


def pattern_on_wall_clock(
    programme: Programme, zone: tzinfo, day_from: date, day_to: date
) -> tuple[WallSpan, ...]:
    """Return when each step of ``programme`` comes by the wall clock of ``zone``, by span.

    Daylight saving ends a span and begins another. For a journey, ask with the zone of the
    place and the days spent there.
    """
    spans: list[WallSpan] = []
    first, shift = day_from, _shift(programme, zone, day_from)
    day = day_from
    while day < day_to:
        day += timedelta(days=1)
        now = _shift(programme, zone, day)
        if now != shift:
            last = day - timedelta(days=1)
            spans.append(WallSpan(first, last, shift, _steps(programme, shift)))
            first, shift = day, now
    return (*spans, WallSpan(first, day_to, shift, _steps(programme, shift)))


def _shift(programme: Programme, zone: tzinfo, day: date) -> int:
    # At the day's end, so that the day of a change already counts as changed.
    end = start_of(day + timedelta(days=1), zone) - timedelta(minutes=1)
    offset = datetime.combine(end.date(), time(end.hour, end.minute), zone).utcoffset()
    minutes = int((offset or timedelta(0)).total_seconds() // 60)
    return minutes - programme.clock_offset_minutes


def _steps(programme: Programme, shift: int) -> tuple[WallStep, ...]:
    daily = all(day == programme.days[0] for day in programme.days)
    weekdays = [None] if daily else list(range(7))
    steps = []
    for weekday in weekdays:
        for minute, rate in _changes(programme, weekday):
            steps.append(_moved(minute, weekday, shift, rate=rate))
        for bolus in programme.timed:
            for minute in bolus.start_minutes:
                steps.append(_moved(minute, weekday, shift, bolus=bolus.amount_mcg))
    return tuple(sorted(steps, key=lambda s: (s.weekday or 0, s.minute, s.bolus_mcg or 0.0)))


def _changes(programme: Programme, weekday: int | None) -> list[tuple[int, float]]:
    """Return the steps of a day that do change the rate, or the only one there is."""
    day = programme.days[weekday or 0]
    rate = programme.days[(weekday or 0) - 1][-1].rate_mcg_per_hour
    found = []
    for step in day:
        if step.rate_mcg_per_hour != rate or len(day) == 1:
            found.append((step.start_minute, step.rate_mcg_per_hour))
        rate = step.rate_mcg_per_hour
    return found


def _moved(
    minute: int, weekday: int | None, shift: int, *, rate: float | None = None,
    bolus: float | None = None,
) -> WallStep:  # fmt: skip
    days, local = divmod(minute + shift, DAY_MIN)
    moved = None if weekday is None else (weekday + days) % 7
    return WallStep(local, rate, bolus, moved)
