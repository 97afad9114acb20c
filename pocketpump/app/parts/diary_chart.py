"""The diary on one time axis: stiffness, spasms, the daily dose, refills and diary events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.axis import TimeAxis, ValueAxis, round_top, thinned
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

_MOST_POINTS = 120
"""More points than this are put together into medians of several days."""
_DOTS_UP_TO = 60
"""Single days are drawn as dots up to so many; beyond it only the line."""


@dataclass(frozen=True)
class DiaryPicture:
    """What the chart draws; days and instants by the wall clock.

    ``stiffness`` and ``spasms`` are daily medians, ``doses`` the daily dose from each
    instant on (mcg/day), ``refills`` and ``diary_events`` instants.
    """

    first: date
    last: date
    stiffness: Mapping[date, float]
    spasms: Mapping[date, float]
    doses: Sequence[tuple[datetime, float]]
    refills: Sequence[datetime]
    diary_events: Sequence[datetime]


def diary_chart(show: DiaryPicture, *, width: float, scale: float, spoken: str) -> ft.Control:
    """Three panels under each other, the changes of the dose drawn through all of them."""
    s = min(scale, 1.4)
    left, right = 46 * s, width - 6
    axis = TimeAxis(show.first, show.last, left, right)
    head = 44 * s
    stiff = ValueAxis(0, 10, head, head + 140)
    spasm = ValueAxis(0, 4, stiff.bottom + head, stiff.bottom + head + 70)
    top = round_top([dose for _, dose in show.doses])
    dose = ValueAxis(0, top, spasm.bottom + head, spasm.bottom + head + 70)
    shapes: list[cv.Shape] = []
    for panel, marks, title in (
        (stiff, (0, 5, 10), message("Stiffness")),
        (spasm, (0, 2, 4), message("Spasms")),
        (dose, (0, top), message("Daily dose, mcg/day")),
    ):
        shapes += frame_of(panel, left, right, marks, scale)
        shapes.append(heading(0, panel.top - head + 14 * s, title, scale))
    shapes += _changes(show, axis, stiff.top, dose.bottom)
    shapes += _series(show.stiffness, axis, stiff)
    shapes += _series(show.spasms, axis, spasm)
    shapes += _steps(show, axis, dose)
    shapes += _refills(show, axis, dose.bottom)
    shapes += _diary_events(show, axis, stiff.top)
    base = dose.bottom + 18
    shapes += dates_under(axis, base, scale, 3 if scale > 1.3 else 4)
    return picture(shapes, width, base + 24 * s, spoken)


def _series(days: Mapping[date, float], axis: TimeAxis, panel: ValueAxis) -> list[cv.Shape]:
    """Dots for days while they are few, and the line of medians; a long gap breaks it."""
    seen = sorted(day for day in days if axis.first <= day <= axis.last)
    whole = (axis.last - axis.first).days + 1
    group = thinned(whole, _MOST_POINTS)
    buckets: dict[int, list[date]] = {}
    for day in seen:
        buckets.setdefault((day - axis.first).days // group, []).append(day)
    shapes: list[cv.Shape] = []
    run: list[tuple[float, float]] = []
    before: date | None = None
    for members in buckets.values():
        middle = members[len(members) // 2]
        if before is not None and members[0] - before > timedelta(days=max(5, 3 * group)):
            shapes += path(run, stroke(theme.DEEP, 2))
            run = []
        run.append((axis.x_of_day(middle), panel.y_of(median(days[day] for day in members))))
        before = members[-1]
    shapes += path(run, stroke(theme.DEEP, 2))
    if group == 1:
        size = 7.0 if whole <= _DOTS_UP_TO else 4.0
        places = [(axis.x_of_day(day), panel.y_of(days[day])) for day in seen]
        shapes += dots(places, theme.DEEP, size)
    return shapes


def _steps(show: DiaryPicture, axis: TimeAxis, panel: ValueAxis) -> list[cv.Shape]:
    """The daily dose as a filled step line."""
    places: list[tuple[float, float]] = []
    # Of the settings before the first day shown only the last one still ran on it.
    earlier = [dose for dose in show.doses if dose[0].date() < show.first]
    for at, dose in [*earlier[-1:], *show.doses[len(earlier) :]]:
        x, y = axis.x_of(at), panel.y_of(dose)
        if places:
            places.append((x, places[-1][1]))
        places.append((x, y))
    if not places:
        return []
    places.append((axis.right, places[-1][1]))
    ground = [(places[0][0], panel.bottom), *places, (axis.right, panel.bottom)]
    filled = fill(theme.WATER)
    return path(ground, filled) + path(places, stroke(theme.DEEP, 2))


def _places(instants: Iterable[datetime], axis: TimeAxis) -> list[float]:
    return [axis.x_of(at) for at in instants if axis.first <= at.date() <= axis.last]


def _changes(show: DiaryPicture, axis: TimeAxis, top: float, bottom: float) -> list[cv.Shape]:
    paint = stroke(theme.LINE, 1.5, dashed=True)
    places = _places((at for at, _ in show.doses), axis)
    return [cv.Line(x, top, x, bottom, paint=paint) for x in places]


def _refills(show: DiaryPicture, axis: TimeAxis, y: float) -> list[cv.Shape]:
    """A drop under the axis for each refill."""
    return [
        cv.Path(
            [
                cv.Path.MoveTo(x, y + 3),
                cv.Path.QuadraticTo(x + 6, y + 10, x + 4, y + 13),
                cv.Path.QuadraticTo(x, y + 18, x - 4, y + 13),
                cv.Path.QuadraticTo(x - 6, y + 10, x, y + 3),
            ],
            paint=fill(theme.INK),
        )
        for x in _places(show.refills, axis)
    ]


def _diary_events(show: DiaryPicture, axis: TimeAxis, y: float) -> list[cv.Shape]:
    """A diamond over the stiffness for each diary event."""
    shapes: list[cv.Shape] = []
    for x in _places(show.diary_events, axis):
        corners = [(x, y - 13), (x + 5, y - 7), (x, y - 1), (x - 5, y - 7), (x, y - 13)]
        shapes += path(corners, fill(theme.INK))
    return shapes
