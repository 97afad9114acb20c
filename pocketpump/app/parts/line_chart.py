"""One measure over time, with its goal as a dashed line."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.axis import TimeAxis, ValueAxis, round_top
from pocketpump.app.parts.chart import dates_under, dots, frame_of, path, picture, stroke, words
from pocketpump.core.messages import message

_HEIGHT = 150


def line_chart(
    points: Sequence[tuple[datetime, float]],
    *,
    goal: float | None,
    unit: str,
    width: float,
    scale: float,
    spoken: str,
) -> ft.Control:
    """``points`` in order of time, at least one; ``spoken`` says it to a screen reader."""
    values = [value for _, value in points]
    top = round_top([*values, goal or 0.0])
    low = min(0.0, *values)
    left, right = 44 * min(scale, 1.4), width - 8
    axis = TimeAxis(points[0][0].date(), points[-1][0].date(), left + 8, right - 8)
    upright = ValueAxis(low, top, 22, _HEIGHT)
    places = [(axis.x_of(at), upright.y_of(value)) for at, value in points]
    shapes: list[cv.Shape] = frame_of(upright, left, right, (low, (low + top) / 2, top), scale)
    if goal is not None:
        y = upright.y_of(goal)
        shapes.append(cv.Line(left, y, right, y, paint=stroke(theme.DEEP, 2, dashed=True)))
        shapes.append(
            words(right, y - 2, message("goal"), scale, ft.Alignment.BOTTOM_RIGHT,
                        colour=theme.DEEP)
        )  # fmt: skip
    shapes += path(places, stroke(theme.DEEP, 2))
    shapes += dots(places, theme.DEEP, 9)
    shapes.append(words(left, 0, unit, scale, ft.Alignment.TOP_LEFT))
    shapes += dates_under(axis, _HEIGHT + 8, scale, 3)
    return picture(shapes, width, _HEIGHT + 8 + 24 * min(scale, 1.4), spoken)
