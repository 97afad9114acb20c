"""A chart on the screen: what `exchange.charts.placed` works out, in the colours of the theme.

What lies side by side and looks alike becomes one shape: ten years of days are drawn as fast as a
week of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.exchange.charts import placed as at
from pocketpump.exchange.charts.description import Chart, Shifts
from pocketpump.exchange.charts.placed_shifts import interval_placed, shift_axis_placed

LABEL_SIZE = theme.SMALL_SIZE - 2
"""Numbers at an axis; the words beside the chart say the same at full size."""
_LARGEST = 1.4
"""Labels grow with the person's letters up to so many times, or a phone has no room for both."""
_COLOURS = {at.INK: theme.INK, at.DATA: theme.DEEP, at.FILL: theme.WATER,
            at.GRID: theme.HAIRLINE, at.SOFT: theme.SOFT_INK, at.PALE: theme.LINE}  # fmt: skip
_SIDES = {at.LEFT: ft.Alignment.BOTTOM_LEFT, at.MIDDLE: ft.Alignment.BOTTOM_CENTER,
          at.RIGHT: ft.Alignment.BOTTOM_RIGHT}  # fmt: skip


def label_of(scale: float) -> float:
    """Return the height of a line of labels, in pixels, where letters are ``scale`` times large."""
    return LABEL_SIZE * min(scale, _LARGEST)


def chart_picture(chart: Chart, *, width: float, height: float, scale: float) -> ft.Control:
    """Draw a chart; ``height`` is that of its panels, room for labels is added."""
    label = label_of(scale)
    tall = height + at.labels_height(chart, label)
    shapes = _shapes(at.chart_placed(chart, width, tall, label), label)
    return picture(shapes, width, tall, chart.spoken)


def shift_pictures(shifts: Shifts, *, width: float, scale: float) -> list[list[ft.Control]]:
    """Draw the rows of ``shifts``: for each the axis and the interval of every score it has."""
    label = label_of(scale)
    rows: list[list[ft.Control]] = []
    for row in shifts.rows:
        pictures: list[ft.Control] = []
        for axis, interval in zip(shifts.axes, row.intervals, strict=True):
            if interval is None:
                continue
            things = shift_axis_placed(axis, width, label)
            high = 2.6 * label
            drawn = interval_placed(interval, axis, width, 2 * label, label)
            pictures += [
                picture(_shapes(things, label), width, high, axis.title),
                picture(_shapes(drawn, label), width, 2 * label, interval.words),
            ]
        rows.append(pictures)
    return rows


def picture(shapes: list[cv.Shape], width: float, height: float, spoken: str) -> ft.Control:
    """The canvas, as one picture; ``spoken`` says all of it to a screen reader."""
    return ft.Semantics(
        label=spoken,
        image=True,
        container=True,
        exclude_semantics=True,
        content=cv.Canvas(shapes=shapes, width=width, height=height),
    )


def fill(colour: str) -> ft.Paint:
    """The paint of a surface."""
    return ft.Paint(color=colour, style=ft.PaintingStyle.FILL)


def _shapes(placed: Sequence[at.Placed], label: float) -> list[cv.Shape]:
    shapes: list[cv.Shape] = []
    for kind, group in groupby(placed, key=_alike):
        things = list(group)
        if kind[0] is at.Area:
            shapes.append(_areas(things, kind[1]))
        elif kind[0] is at.Spot:
            shapes += _spots(things)
        elif kind[0] is at.Stroke:
            shapes += [_stroke(thing) for thing in things if isinstance(thing, at.Stroke)]
        else:
            shapes += [_words(thing, label) for thing in things if isinstance(thing, at.Words)]
    return shapes


def _alike(thing: at.Placed) -> tuple[object, ...]:
    if isinstance(thing, at.Spot):
        return at.Spot, thing.role, thing.kind, round(thing.radius, 1)
    return type(thing), thing.role


def _words(thing: at.Words, label: float) -> cv.Shape:
    return cv.Text(
        thing.x,
        # The foot of a line lies below the letters that have no tail.
        thing.y + label * 0.3,
        thing.text,
        alignment=_SIDES[thing.anchor],
        style=ft.TextStyle(
            size=label,
            color=_COLOURS[thing.role],
            weight=ft.FontWeight.W_700 if thing.bold else ft.FontWeight.W_400,
            font_family="Roboto",
        ),
    )


def _stroke(thing: at.Stroke) -> cv.Shape:
    paint = ft.Paint(
        color=_COLOURS[thing.role],
        style=ft.PaintingStyle.STROKE,
        stroke_width=thing.weight,
        stroke_cap=ft.StrokeCap.ROUND,
        stroke_join=ft.StrokeJoin.ROUND,
        stroke_dash_pattern=[4, 5] if thing.dashed else None,
    )
    (x, y), *rest = ((round(x, 1), round(y, 1)) for x, y in thing.points)
    elements: list[cv.Path.PathElement] = [cv.Path.MoveTo(x, y)]
    return cv.Path([*elements, *(cv.Path.LineTo(x, y) for x, y in rest)], paint=paint)


def _areas(things: Sequence[at.Placed], role: object) -> cv.Shape:
    elements: list[cv.Path.PathElement] = [
        cv.Path.Rect(round(one.x, 1), round(one.y, 1), round(one.width, 1), round(one.height, 1))
        for one in things
        if isinstance(one, at.Area)
    ]
    return cv.Path(elements, paint=fill(_COLOURS[str(role)]))


def _spots(things: Sequence[at.Placed]) -> list[cv.Shape]:
    spots = [one for one in things if isinstance(one, at.Spot)]
    kind, role, r = spots[0].kind, spots[0].role, spots[0].radius
    if kind == at.DOT:
        paint = ft.Paint(
            color=_COLOURS[role], stroke_width=2 * r, stroke_cap=ft.StrokeCap.ROUND,
            style=ft.PaintingStyle.STROKE,
        )  # fmt: skip
        points: list[ft.Offset | tuple[int | float, int | float]] = [
            ft.Offset(round(one.x, 1), round(one.y, 1)) for one in spots
        ]
        return [cv.Points(points=points, point_mode=cv.PointMode.POINTS, paint=paint)]
    if kind == at.RING:
        ring = ft.Paint(color=_COLOURS[role], stroke_width=2.5, style=ft.PaintingStyle.STROKE)
        ground = fill(theme.SHELL)
        return [
            cv.Circle(one.x, one.y, r, paint=paint) for one in spots for paint in (ground, ring)
        ]
    elements = [element for one in spots for element in _outline(one)]
    return [cv.Path(elements, paint=fill(_COLOURS[role]))]


def _outline(spot: at.Spot) -> list[cv.Path.PathElement]:
    x, y, r = spot.x, spot.y, spot.radius
    if spot.kind == at.SQUARE:
        return [cv.Path.Rect(x - r, y - r, 2 * r, 2 * r)]
    if spot.kind == at.DIAMOND:
        return [cv.Path.MoveTo(x, y - r), cv.Path.LineTo(x + r, y), cv.Path.LineTo(x, y + r),
                cv.Path.LineTo(x - r, y), cv.Path.Close()]  # fmt: skip
    return [
        cv.Path.MoveTo(x, y - r),
        cv.Path.QuadraticTo(x + r, y + r * 0.3, x + r * 0.7, y + r * 0.6),
        cv.Path.QuadraticTo(x, y + r * 1.4, x - r * 0.7, y + r * 0.6),
        cv.Path.QuadraticTo(x - r, y + r * 0.3, x, y - r),
    ]
