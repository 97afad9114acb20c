"""Charts over the 24 hours of a day: the pump's pattern, and stiffness beside the rate."""

from collections.abc import Collection

from pocketpump.core.diary.hour_spans import SPAN_HOURS, Span
from pocketpump.core.diary.hours import Hours
from pocketpump.core.messages import joined, localized_number, message
from pocketpump.core.pump.programme import Day, Programme
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.units.instants import WEEKDAYS
from pocketpump.core.units.quantity import AMOUNT, entered_number, entered_quantity
from pocketpump.exchange.charts.description import (
    Axis,
    Band,
    Chart,
    Line,
    Mark,
    Note,
    Panel,
    round_top,
    scale_of,
)

DAY = Axis(0, 24, tuple((hour, f"{hour}") for hour in range(0, 25, 4)))
_MOST_PATTERNS = 3
"""More different days of the week than this are read in words, not seen in a small picture."""
_MOST_NOTES = 8
"""More numbers than this over one day run into each other."""
_GAP_HOURS = 0.25


def pattern_chart(programme: Programme) -> Chart | None:
    """Return the programme by the pump's clock, a panel for each kind of day; None if it is even.

    A timed bolus stands as a line at its hour; one whose hours are not known is left to the words.
    """
    boluses = [(minute / 60, one.amount_mcg) for one in programme.timed
               for minute in one.start_minutes]  # fmt: skip
    groups: dict[Day, list[int]] = {}
    for weekday, day in enumerate(programme.days):
        groups.setdefault(day, []).append(weekday)
    if len(groups) > _MOST_PATTERNS or (max(map(len, groups)) == 1 and not boluses):
        return None
    top = round_top([step.rate_mcg_per_hour * 1.25 for day in groups for step in day])
    panels = tuple(_pattern(day, weekdays, boluses, top) for day, weekdays in groups.items())
    spoken = message("{pattern} (pump's clock)", pattern=describe_programme(programme))
    return Chart(DAY, panels, spoken)


def hours_chart(hours: Hours) -> Chart:
    """Return stiffness by the hour of the wall clock over the mean rate of each hour of a week."""
    standing_out = [one.span for one in hours.disagree]
    rates = hours.rate_by_hour_mcg_per_h
    steps = tuple((h + edge, rate) for h, rate in enumerate(rates) for edge in (0.0, 1.0))
    scores = Panel(
        message("Stiffness, median"), scale_of(0, 5, 10), _blocks(hours.spans, standing_out), 1.6
    )
    rate = Panel(message("Rate, mcg/h"), scale_of(0, round_top(rates)), (Line(steps, filled=True),))
    return Chart(DAY, (scores, rate), joined("; ", hours.lines[: len(hours.spans)]))


def _pattern(
    day: Day, weekdays: list[int], boluses: list[tuple[float, float]], top: float
) -> Panel:
    points: list[tuple[float, float]] = []
    notes: list[Mark] = []
    ends = [*(step.start_minute for step in day[1:]), 24 * 60]
    for step, end in zip(day, ends, strict=True):
        start, rate = step.start_minute / 60, step.rate_mcg_per_hour
        points += [(start, rate), (end / 60, rate)]
        notes.append(Note((start + end / 60) / 2, rate, entered_number(rate)))
    marks: list[Mark] = [Line(tuple(points), filled=True)]
    marks += notes if len(day) + len(boluses) <= _MOST_NOTES else []
    for hour, amount in boluses:
        marks.append(Line(((hour, 0.0), (hour, top))))
        if len(boluses) <= _MOST_NOTES:
            marks.append(Note(hour, top, entered_quantity(amount, AMOUNT)))
    title = message("Rate, mcg/h")
    if len(weekdays) < len(WEEKDAYS):
        title = message("{days}: rate, mcg/h", days=_names(weekdays))
    return Panel(title, scale_of(0, top), tuple(marks))


def _names(weekdays: list[int]) -> str:
    """Return the days by name, those in a row as "Monday-Friday"."""
    runs: list[list[int]] = []
    for weekday in weekdays:
        if runs and weekday == runs[-1][-1] + 1:
            runs[-1].append(weekday)
        else:
            runs.append([weekday])
    return joined(", ", (joined("-", dict.fromkeys((WEEKDAYS[run[0]], WEEKDAYS[run[-1]])))
                         for run in runs))  # fmt: skip


def _blocks(spans: tuple[Span, ...], standing_out: Collection[Span]) -> tuple[Mark, ...]:
    """Return a block up to the median of each span, with its number; outlined if it stands out."""
    marks: list[Mark] = []
    for span in spans:
        if span.middle is None:
            continue
        strong = span in standing_out
        left, right = span.start_hour, span.start_hour + SPAN_HOURS
        marks += [
            Band(left + _GAP_HOURS, right - _GAP_HOURS, 0.0, span.middle, strong),
            Note((left + right) / 2, span.middle, localized_number(f"{span.middle:g}"), strong),
        ]
    return tuple(marks)
