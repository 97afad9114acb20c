"""The strokes all charts share: frames, words, steps and dots, in the colours of the theme."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.axis import TimeAxis, ValueAxis
from pocketpump.core.messages import localized_number

LABEL_SIZE = theme.SMALL_SIZE - 2
"""Numbers at an axis; the words beside the chart say the same at full size."""


def stroke(colour: str, width: float, dashed: bool = False) -> ft.Paint:
    """The paint of a line."""
    return ft.Paint(
        color=colour,
        style=ft.PaintingStyle.STROKE,
        stroke_width=width,
        stroke_cap=ft.StrokeCap.ROUND,
        stroke_join=ft.StrokeJoin.ROUND,
        stroke_dash_pattern=[4, 5] if dashed else None,
    )


def fill(colour: str) -> ft.Paint:
    """The paint of a surface."""
    return ft.Paint(color=colour, style=ft.PaintingStyle.FILL)


def words(
    x: float, y: float, text: str, scale: float, where: Any, *, bold: bool = False,
    colour: str = theme.SOFT_INK,
) -> cv.Shape:  # fmt: skip
    """A short text whose point ``where`` (an alignment) stands at ``x``, ``y``."""
    return cv.Text(
        x,
        y,
        text,
        alignment=where,
        style=ft.TextStyle(
            size=LABEL_SIZE * min(scale, 1.4),
            color=colour,
            weight=ft.FontWeight.W_700 if bold else ft.FontWeight.W_400,
            font_family="Roboto",
        ),
    )


def heading(
    x: float, y: float, text: str, scale: float, where: Any = ft.Alignment.TOP_LEFT
) -> cv.Shape:
    """What a panel shows, over it."""
    return words(x, y, text, scale, where, bold=True, colour=theme.INK)


def frame_of(
    axis: ValueAxis, left: float, right: float, marks: Sequence[float], scale: float
) -> list[cv.Shape]:
    """Hairlines at ``marks`` with their numbers at the left."""
    shapes: list[cv.Shape] = []
    for value in marks:
        y = axis.y_of(value)
        shapes.append(cv.Line(left, y, right, y, paint=stroke(theme.HAIRLINE, 1)))
        shapes.append(
            words(left - 6, y, localized_number(f"{value:g}"), scale, ft.Alignment.CENTER_RIGHT)
        )
    return shapes


def dates_under(axis: TimeAxis, y: float, scale: float, most: int) -> list[cv.Shape]:
    """The dates under a chart; the outer ones keep inside it."""
    marks = axis.date_marks(most)
    shapes: list[cv.Shape] = []
    for index, (x, text) in enumerate(marks):
        where, place = ft.Alignment.TOP_CENTER, x
        if index == 0:
            where, place = ft.Alignment.TOP_LEFT, axis.left
        elif index == len(marks) - 1:
            where, place = ft.Alignment.TOP_RIGHT, axis.right
        shapes.append(words(place, y, text, scale, where))
    return shapes


def dots(places: Sequence[tuple[float, float]], colour: str, size: float) -> list[cv.Shape]:
    """Round dots, all as one shape however many."""
    if not places:
        return []
    return [
        cv.Points(
            points=[ft.Offset(round(x, 1), round(y, 1)) for x, y in places],
            point_mode=cv.PointMode.POINTS,
            paint=stroke(colour, size),
        )
    ]


def path(places: Sequence[tuple[float, float]], paint: ft.Paint) -> list[cv.Shape]:
    """A line through ``places``; nothing for fewer than two."""
    if len(places) < 2:
        return []
    (x, y), *rest = places
    elements: list[cv.Path.PathElement] = [cv.Path.MoveTo(round(x, 1), round(y, 1))]
    elements += [cv.Path.LineTo(round(x, 1), round(y, 1)) for x, y in rest]
    return [cv.Path(elements, paint=paint)]


def picture(shapes: list[cv.Shape], width: float, height: float, spoken: str) -> ft.Control:
    """The canvas, as one picture; ``spoken`` says all of it to a screen reader."""
    return ft.Semantics(
        label=spoken,
        image=True,
        container=True,
        exclude_semantics=True,
        content=cv.Canvas(shapes=shapes, width=width, height=height),
    )
