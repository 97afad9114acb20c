"""The days before a change and the days after it, a dot a day, on one time axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.axis import TimeAxis, ValueAxis
from pocketpump.app.parts.chart import (
    dates_under,
    dots,
    fill,
    frame_of,
    heading,
    path,
    picture,
    stroke,
)
from pocketpump.core.messages import message

Days = Sequence[tuple[date, float]]


@dataclass(frozen=True)
class PeriodsPicture:
    """What the chart draws: the score of each day, in order.

    ``before`` and ``after`` are compared, ``pale`` are the days that are not: at other hours, or
    while a step was settling. ``middle`` is the median of the days before; ``likely`` the lowest
    and the highest that the days after likely have for theirs, None while nothing is compared.
    """

    before: Days
    after: Days
    pale: Days
    steps: Sequence[date]
    middle: float | None
    likely: tuple[float, float] | None
    top: float


def periods_chart(show: PeriodsPicture, *, width: float, scale: float, spoken: str) -> ft.Control:
    """Dots of both periods, the middle before as a line, where the days after lie as a band."""
    s = min(scale, 1.4)
    left, right, head = 40 * s, width - 6, 44 * s
    days = [day for day, _ in (*show.before, *show.pale, *show.after)]
    axis = TimeAxis(min(*days, *show.steps), max(*days, *show.steps), left, right)
    panel = ValueAxis(0, show.top, head, head + 130)
    shapes: list[cv.Shape] = []
    if show.likely is not None and show.after:
        shapes.append(_band(show.likely, axis, panel, show.after))
    shapes += frame_of(panel, left, right, (0, show.top / 2, show.top), scale)
    for step in show.steps:
        x = axis.x_of_day(step)
        shapes.append(cv.Line(x, panel.top, x, panel.bottom, paint=stroke(theme.INK, 1.5, True)))
    if show.middle is not None and show.before:
        shapes += _level(show.middle, axis, panel, (show.before[0][0], axis.last))
    shapes += _dots(show.pale, axis, panel, theme.LINE)
    shapes += _dots((*show.before, *show.after), axis, panel, theme.DEEP)
    title = 14 * s
    shapes.append(heading(left, title, message("Before"), scale))
    shapes.append(heading(right, title, message("After"), scale, ft.Alignment.TOP_RIGHT))
    base = panel.bottom + 12
    shapes += dates_under(axis, base, scale, 3)
    return picture(shapes, width, base + 24 * s, spoken)


def _dots(days: Days, axis: TimeAxis, panel: ValueAxis, colour: str) -> list[cv.Shape]:
    return dots([(axis.x_of_day(day), panel.y_of(score)) for day, score in days], colour, 7)


def _level(
    middle: float, axis: TimeAxis, panel: ValueAxis, days: tuple[date, date]
) -> list[cv.Shape]:
    y = panel.y_of(middle)
    return path([(axis.x_of_day(day), y) for day in days], stroke(theme.DEEP, 2))


def _band(likely: tuple[float, float], axis: TimeAxis, panel: ValueAxis, after: Days) -> cv.Shape:
    x1, x2 = axis.x_of_day(after[0][0]) - 5, axis.x_of_day(after[-1][0]) + 5
    low, high = (panel.y_of(value) for value in likely)
    return cv.Rect(
        x1,
        high,
        x2 - x1,
        max(low - high, 3),
        border_radius=ft.BorderRadius.all(4),
        paint=fill(theme.WATER),
    )
