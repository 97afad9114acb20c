"""The day: stiffness by the hour of the wall clock over the pump's rate by the hour."""

from __future__ import annotations

from collections.abc import Sequence

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.axis import ValueAxis, round_top
from pocketpump.app.parts.chart import fill, frame_of, heading, path, picture, stroke, words
from pocketpump.core.messages import localized_number, message


def hours_chart(
    spans: Sequence[tuple[int, int, float | None, bool]],
    rates_mcg_per_h: Sequence[float],
    *,
    width: float,
    scale: float,
    spoken: str,
) -> ft.Control:
    """``spans`` are (first hour, hours, median or None, stands out); ``rates`` 24 numbers."""
    s = min(scale, 1.4)
    left, right, head = 46 * s, width - 6, 44 * s
    score = ValueAxis(0, 10, head, head + 110)
    top = round_top(rates_mcg_per_h)
    rate = ValueAxis(0, top, score.bottom + head, score.bottom + head + 70)

    def x(hour: float) -> float:
        return left + hour / 24 * (right - left)

    shapes: list[cv.Shape] = frame_of(score, left, right, (0, 5, 10), scale)
    shapes += frame_of(rate, left, right, (0, top), scale)
    for panel, title in ((score, message("Stiffness, median")), (rate, message("Rate, mcg/h"))):
        shapes.append(heading(0, panel.top - head + 14 * s, title, scale))
    for start, hours, middle, stands_out in spans:
        if middle is not None:
            shapes += _block(x(start) + 3, x(start + hours) - 3, score, middle, stands_out, scale)
    steps = [(x(h + edge), rate.y_of(r)) for h, r in enumerate(rates_mcg_per_h) for edge in (0, 1)]
    ground = [(x(0), rate.bottom), *steps, (x(24), rate.bottom)]
    shapes += path(ground, fill(theme.WATER))
    shapes += path(steps, stroke(theme.DEEP, 2))
    for hour in (0, 4, 8, 12, 16, 20, 24):
        where = ft.Alignment.TOP_RIGHT if hour == 24 else ft.Alignment.TOP_CENTER
        shapes.append(words(x(hour), rate.bottom + 6, f"{hour}", scale, where))
    return picture(shapes, width, rate.bottom + 6 + 24 * s, spoken)


def _block(
    x1: float, x2: float, axis: ValueAxis, value: float, stands_out: bool, scale: float
) -> list[cv.Shape]:
    """A block up to the median with its number; ink all round where it stands out."""
    y = axis.y_of(value)
    shapes: list[cv.Shape] = [
        cv.Rect(
            x1,
            y,
            x2 - x1,
            axis.bottom - y,
            border_radius=ft.BorderRadius.only(top_left=5, top_right=5),
            paint=fill(theme.WATER),
        ),
        cv.Line(x1, y, x2, y, paint=stroke(theme.DEEP, 3)),
        words((x1 + x2) / 2, y - 3, localized_number(f"{value:g}"), scale,
              ft.Alignment.BOTTOM_CENTER, bold=stands_out, colour=theme.INK),
    ]  # fmt: skip
    if stands_out:
        corners = [(x1, axis.bottom), (x1, y), (x2, y), (x2, axis.bottom)]
        shapes += path(corners, stroke(theme.INK, 3))
    return shapes
