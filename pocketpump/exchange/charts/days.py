"""Charts over days: the diary with the dose, and one measure with its goal."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from statistics import median

from pocketpump.core.diary.check_ins import SCALES, SPASMS, STIFFNESS, Reading, readings
from pocketpump.core.diary.measures import Measure
from pocketpump.core.messages import LazyText, joined, message, plural_message
from pocketpump.core.pump.situation import Situation
from pocketpump.core.units.instants import MONTHS, date_text
from pocketpump.core.units.quantity import entered_number, format_number
from pocketpump.exchange.charts.description import (
    Axis,
    Chart,
    Dots,
    Line,
    Mark,
    Note,
    Panel,
    Range,
    round_top,
    scale_of,
    thinned,
)
from pocketpump.record.facts.findings import Findings

_MOST_RANGES = 120
"""More days than this are put together, several to one."""
_DATES = 4
_LONG_DAYS = 300
"""From so many days on the dates under a chart tell the year and not the day."""


def day_and_month(day: date) -> LazyText:
    """Return the day without its year, for a narrow place: 26 Feb."""
    return message("{day} {month}", day=day.day, month=MONTHS[day.month - 1])


def month_and_year(day: date) -> LazyText:
    """Return the month with the whole year: Feb 2026."""
    return message("{month} {year}", month=MONTHS[day.month - 1], year=day.year)


def axis_of_days(first: date, last: date) -> Axis:
    """Return the axis from the start of ``first`` to the end of ``last``, in days, with dates."""
    whole = (last - first).days
    count = max(2, min(_DATES, whole + 1))
    days = dict.fromkeys(round(whole * i / (count - 1)) for i in range(count))
    say = month_and_year if whole > _LONG_DAYS else day_and_month
    ticks = tuple((back + 0.5, say(first + timedelta(days=back))) for back in days)
    return Axis(0.0, whole + 1.0, ticks)


def place_of(at: datetime, first: date) -> float:
    """Return where the instant ``at``, by its own wall clock, stands on the axis from ``first``."""
    return (at.date() - first).days + (at.hour * 60 + at.minute) / 1_440


def diary_chart(found: Findings, situation: Situation | None, first: date, last: date) -> Chart:
    """Return stiffness, spasms and the daily dose from ``first`` to ``last``.

    Each day stands with its lowest, its highest and its median score; of a long time several days
    together. Days and instants are those of the wall clock where each was noted.
    """
    x = axis_of_days(first, last)
    shown = [one for one in found.check_ins if first <= one.at.date() <= last]
    group = thinned((last - first).days + 1, _MOST_RANGES)
    settings, changes = (situation.settings, situation.changes()) if situation else ((), ())
    doses = [(place_of(s.at, first), s.programme.dose_mcg_per_day) for s in settings]
    stiffness, spasms = readings(shown, STIFFNESS), readings(shown, SPASMS)
    panels = [_scores(message("Stiffness"), stiffness, STIFFNESS, first, group, 2.0)]
    if spasms:
        panels.append(_scores(message("Spasms"), spasms, SPASMS, first, group, 1.0))
    if doses:
        panels.append(_doses(doses, x))
    return Chart(
        x,
        tuple(panels),
        spoken=_spoken(stiffness, first, last),
        key=_key(group),
        cuts=_inside(x, (place_of(one.at, first) for one in changes)),
        over=_inside(x, (place_of(one.at, first) for one in found.diary_events)),
        under=_inside(x, (place_of(f.at, first) for f in (situation.fills if situation else ()))),
    )


def measure_chart(measures: Sequence[Measure], spoken: str) -> Chart:
    """Return one measure over time, ``measures`` in order and at least one; the goal is dashed."""
    newest, first = measures[-1], measures[0].at.date()
    x = axis_of_days(first, newest.at.date())
    points = tuple((place_of(one.at, first), one.value) for one in measures)
    values = [value for _, value in points]
    top, low = round_top([*values, newest.goal or 0.0]), min(0.0, *values)
    marks: list[Mark] = [Line(points), Dots(points)]
    if newest.goal is not None:
        marks.insert(0, Line(((x.low, newest.goal), (x.high, newest.goal)), dashed=True))
        marks.append(Note(x.high, newest.goal, message("goal")))
    panel = Panel(newest.unit, scale_of(low, (low + top) / 2, top), tuple(marks))
    return Chart(x, (panel,), spoken)


def _scores(
    title: str, marks: Sequence[Reading], scale: str, first: date, group: int, weight: float
) -> Panel:
    by_day: dict[int, list[float]] = {}
    for mark in marks:
        by_day.setdefault((mark.at.date() - first).days, []).append(mark.value)
    ranges = _ranges(by_day, group)
    highest = SCALES[scale]
    lines = tuple(Line(run) for run in _runs(ranges, max(5, 3 * group)))
    return Panel(title, scale_of(0, highest / 2, highest), (*lines, *ranges), weight)


def _ranges(by_day: Mapping[int, list[float]], group: int) -> tuple[Range, ...]:
    groups: dict[int, list[int]] = {}
    for day in sorted(by_day):
        groups.setdefault(day // group, []).append(day)
    return tuple(
        Range(
            number * group + group / 2,
            float(group),
            min(min(by_day[day]) for day in days),
            # One number a day, so that a bad day with many check-ins does not count many times.
            median(median(by_day[day]) for day in days),
            max(max(by_day[day]) for day in days),
        )
        for number, days in groups.items()
    )


def _runs(ranges: Iterable[Range], longest: int) -> list[tuple[tuple[float, float], ...]]:
    """Return the medians in stretches; more than ``longest`` days with nothing noted end one."""
    runs: list[list[tuple[float, float]]] = []
    for one in ranges:
        if not runs or one.x - runs[-1][-1][0] > longest:
            runs.append([])
        runs[-1].append((one.x, one.middle))
    return [tuple(run) for run in runs if len(run) > 1]


def _doses(doses: Sequence[tuple[float, float]], x: Axis) -> Panel:
    # Of the settings before the first day shown only the last one still ran on it.
    earlier = [(at, dose) for at, dose in doses if at < x.low][-1:]
    kept = [(x.low, dose) for _, dose in earlier]
    for at, dose in doses:
        # What is noted again as it was (at a refill, from a printout) is no step.
        if x.low <= at <= x.high and not (kept and kept[-1][1] == dose):
            kept.append((at, dose))
    points: list[tuple[float, float]] = []
    for at, dose in kept:
        if points:
            points.append((at, points[-1][1]))
        points.append((at, dose))
    notes = [Note(at, dose, entered_number(dose), begins=True) for at, dose in kept]
    if points:
        points.append((x.high, points[-1][1]))
    top = round_top([dose * 1.25 for _, dose in kept])
    line = (Line(tuple(points), filled=True),) if points else ()
    return Panel(message("Daily dose, mcg/day"), scale_of(0, top), (*line, *notes))


def _inside(x: Axis, places: Iterable[float]) -> tuple[float, ...]:
    return tuple(place for place in places if x.low <= place <= x.high)


def _spoken(stiffness: Sequence[Reading], first: date, last: date) -> str:
    if not stiffness:
        return message("Chart: no check-in in this time.")
    values = [mark.value for mark in stiffness]
    return plural_message(
        "Chart from {first} to {last}: stiffness from {least} to {most}, on {count} day.",
        "Chart from {first} to {last}: stiffness from {least} to {most}, on {count} days.",
        len({mark.at.date() for mark in stiffness}),
        first=date_text(first),
        last=date_text(last),
        least=format_number(min(values), 1),
        most=format_number(max(values), 1),
    )


def _key(group: int) -> str:
    bars = plural_message(
        "Each bar: a day's lowest to highest score, the dot its median.",
        "Each bar: the lowest to highest score of {count} days, the dot their median.",
        group,
    )
    signs = message(
        "Dashed lines: the dose setting changed. Drops: refills. Diamonds: something happened."
    )
    return joined(" ", (bars, signs))
