"""The pace chart: at each refill what the pump delivered against what it was told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.chart import picture
from pocketpump.core.messages import message

_HEIGHT = 190.0
_LEFT = 58.0
_TOP, _BOTTOM = 16.0, 34.0
_DOT = 7.0


@dataclass(frozen=True)
class RefillPace:
    """One refill in the chart: its short date, its ratio, whether it counts for the pace."""

    label: str
    ratio: float
    counts: bool


def pace_chart(
    refills: Sequence[RefillPace],
    tolerance: float,
    *,
    spoken: str,
    width: float,
    scale: float = 1.0,
) -> ft.Control:
    """Dots around the line "as told", over the band of the flow accuracy.

    ``tolerance`` is a share (0.145); ``spoken`` says all of it to a screen reader.
    """
    reach = max([2 * tolerance, *(abs(refill.ratio - 1) for refill in refills)]) * 1.15 or 0.1

    def y(ratio: float) -> float:
        middle = (_TOP + _HEIGHT - _BOTTOM) / 2
        return middle - (ratio - 1) / reach * (_HEIGHT - _TOP - _BOTTOM) / 2

    step = (width - _LEFT - 24) / max(1, len(refills))
    size = theme.SMALL_SIZE * min(scale, 1.3) * 0.85
    text = ft.TextStyle(size=size, color=theme.SOFT_INK)
    line = ft.Paint(color=theme.LINE, stroke_width=1.5, style=ft.PaintingStyle.STROKE)
    shapes: list[cv.Shape] = [
        cv.Rect(_LEFT, y(1 + tolerance), width - _LEFT, y(1 - tolerance) - y(1 + tolerance), 8,
                paint=ft.Paint(color=theme.WATER)),
        cv.Line(_LEFT, y(1), width, y(1), paint=line),
        # Note: beside a narrow chart; at most 9 letters.
        cv.Text(0, y(1) - size * 0.65, message("as told"), text),
        # Note: beside a narrow chart; at most 9 letters.
        cv.Text(0, _TOP - size * 0.6, message("more"), text),
        # Note: beside a narrow chart; at most 9 letters.
        cv.Text(0, _HEIGHT - _BOTTOM - size, message("less"), text),
    ]  # fmt: skip
    for index, refill in enumerate(refills):
        x = _LEFT + step * (index + 0.5)
        fill = ft.PaintingStyle.FILL if refill.counts else ft.PaintingStyle.STROKE
        dot = ft.Paint(color=theme.DEEP, style=fill, stroke_width=2.5)
        shapes.append(cv.Line(x, y(1), x, y(refill.ratio), paint=line))
        shapes.append(cv.Circle(x, y(refill.ratio), _DOT, paint=dot))
        shapes.append(cv.Text(x, _HEIGHT - 14, refill.label, text, alignment=ft.Alignment.CENTER))
    return picture(shapes, width, _HEIGHT, spoken)
